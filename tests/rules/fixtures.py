"""Books for the tests of the rules: the good one, spoiled by an edit or by a piece of a record."""

import json
import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from benchlore.book.yaml_reader import parse
from benchlore.rules import all_docs

HERE = Path(__file__).parent
GOOD = HERE / "good"
BAD = HERE / "bad"
# The good book says more than it must, so that there is something to spoil.
QUIET = {"repeats-prediction"}

# What is listed of rules by name: see the file.
_LISTED = yaml.safe_load((HERE / "rules.yaml").read_text(encoding="utf-8"))
AT_NAME, AT_EITHER = frozenset(_LISTED["at_name"]), frozenset(_LISTED["at_either"])
NEVER_WAIVED, OF_THE_WHOLE = frozenset(_LISTED["never_waived"]), frozenset(_LISTED["of_the_whole"])

DOCS = all_docs()
_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)  # a fifth of the time, where there is one
# Shown in words: what is wrong lies in a file's name or bytes, not in its text.
IN_WORDS = {
    "findings-left-out",
    "file-misnamed",
    "file-unreadable",
    "file-too-large",
    "missing-file",
    "not-utf-8",
    "entry-said-twice",
    "id-vanished",
    "entry-vanished",
}
PIECES = [doc for doc in DOCS if doc.bad.startswith("# faults/") and doc.id not in IN_WORDS]

Expected = tuple[str, int, str]  # file, line, rule
_COMMENT = re.compile(r" *# expect: ([a-z0-9, -]+)$")
# Mappings that list what belongs together; a piece of a record gives all of it.
_REPLACED = ("symptom", "confirm", "worked_example")
_HEAD = re.compile(r"expect: ([a-z0-9-]+) (\S+):(\d+)")


@dataclass(frozen=True)
class Edit:
    """What a fixture does to one record: blocks of lines before and after."""

    file: str
    blocks: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Case:
    """A fixture: its words, its edits, and the findings whose place cannot carry a comment."""

    name: str
    words: str
    edits: tuple[Edit, ...]
    expected: tuple[Expected, ...]


def cases() -> list[Case]:
    return [read_case(path) for path in sorted(BAD.glob("*/*.edit"))]


def read_case(path: Path) -> Case:
    head, *sections = re.split(r"^=== ", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    expected = tuple((file, int(line), rule) for rule, file, line in _HEAD.findall(head))
    words = _HEAD.sub("", head).strip()
    assert words, f"{path.name}: say in words what is wrong"
    return Case(f"{path.parent.name}/{path.stem}", words, tuple(map(_edit, sections)), expected)


def _edit(section: str) -> Edit:
    file, _, body = section.partition("\n")
    blocks = [block.split("\n") for block in re.split(r"\n(?:[ \t]*\n)+", body.strip("\n")) if block.strip()]
    return Edit(file.strip(), tuple((_side(block, "-"), _side(block, "+")) for block in blocks))


def _side(lines: list[str], sign: str) -> str:
    assert all(line[0] in "-+ " for line in lines), f"begin each line with '-', '+' or a blank: {lines}"
    return "".join(f"{line[1:]}\n" for line in lines if line[0] in (sign, " "))


def spoiled(case: Case, folder: Path) -> Path:
    """A copy of the good book in `folder`, with the edits of the case, without their comments."""
    wanted = list(case.expected)
    for path, text in _edited(case, folder).items():
        wanted += _comments(path.relative_to(folder).as_posix(), text)
        path.write_text("\n".join(_COMMENT.sub("", line) for line in text.split("\n")), encoding="utf-8")
    (folder / "expected.json").write_text(json.dumps(sorted(wanted)), encoding="utf-8")
    return folder


def _edited(case: Case, folder: Path) -> dict[Path, str]:
    """The texts that the edits make, with the comments that say what to expect."""
    texts: dict[Path, str] = {}
    shutil.copytree(GOOD, folder, dirs_exist_ok=True)
    for edit in case.edits:
        path = folder / edit.file
        if not edit.blocks:
            path.unlink()
            continue
        text = texts.get(path) or (path.read_text(encoding="utf-8") if path.exists() else "")
        for before, after in edit.blocks:
            assert not before or f"\n{text}".count(f"\n{before}") == 1, (
                f"{edit.file} must hold once:\n{before}"
            )
            text = f"\n{text}".replace(f"\n{before}", f"\n{after}", 1)[1:] if before else text + after
        path.parent.mkdir(parents=True, exist_ok=True)
        texts[path] = text
    return texts


def expected(folder: Path) -> list[Expected]:
    """The findings that the case spoiled into a folder asks for, in order."""
    return [(file, line, rule) for file, line, rule in json.loads((folder / "expected.json").read_text())]


def _comments(file: str, text: str) -> Iterator[Expected]:
    for number, line in enumerate(text.split("\n"), 1):
        if found := _COMMENT.search(line):
            for rule in found[1].split(","):
                yield file, number, rule.strip()


def merged(piece: str, folder: Path) -> Path:
    """A copy of the good book in `folder`, with a piece of a record merged into the record that it names."""
    shutil.copytree(GOOD, folder, dirs_exist_ok=True)
    first, _, body = piece.partition("\n")
    assert first.startswith("# faults/"), f"the first line names a record, not: {first}"
    path = folder / first.removeprefix("# ")
    record = parse(path.read_text(encoding="utf-8"))[0] if path.exists() else {}
    data, faults, _ = parse(body)
    assert not faults, (piece, faults)
    assert isinstance(data, dict)
    assert isinstance(record, dict)
    text = yaml.dump(_merge(record, data), Dumper=_DUMPER, sort_keys=False, allow_unicode=True)
    path.write_text(text, encoding="utf-8")
    return folder


def _merge(record: Mapping[str, Any], piece: Mapping[str, Any]) -> dict[str, Any]:
    result = dict(record)
    for key, value in piece.items():
        old = result.get(key)
        if value is None:
            result.pop(key, None)
        elif isinstance(old, dict) and isinstance(value, dict) and key not in _REPLACED:
            result[key] = _merge(old, value)
        else:
            result[key] = value
    return result
