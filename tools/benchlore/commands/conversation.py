"""A conversation at the terminal: it can be left and taken up again, and it ends in files, all or none."""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from benchlore.commands.options import UsageError
from benchlore.reporters import FORMATS, Report
from benchlore.rules import check_book
from benchlore.starter.talk import Talk, UnansweredError


@dataclass(frozen=True, slots=True)
class Told:
    """What a conversation comes to: texts of new files, and of files that hold more than before, by name."""

    new: Mapping[str, str]
    changed: Mapping[str, str]


def converse(args: argparse.Namespace, root: Path, name: str, told: Callable[[Talk], Told]) -> int:
    """Hold the conversation, write its files and check the book; an exit code.

    `name`: under which the answers are kept in `root` until the end.
    """
    kept = root / f".new-{name}.txt"
    given = _answers(args.answers) if args.answers else _kept(kept)
    if given and not args.answers:
        print(f"Going on where you left: {len(given)} answers are kept in {kept.name}.")

    def keep(taken: Sequence[str]) -> None:
        if not args.answers:
            kept.write_text("".join(f"{line}\n" for line in taken), encoding="utf-8")

    talk = Talk(deque(given), None if args.yes else input, print, keep, again=not args.answers)
    try:
        whole = told(talk)
    except (EOFError, KeyboardInterrupt):
        print(f"\nLeft. What was answered is kept in {kept}; the same command goes on there.")
        return 130
    except UnansweredError as error:
        raise UsageError(str(error)) from error
    write_files(root, whole)
    with suppress(FileNotFoundError):
        kept.unlink()
    _conclude(root, whole, talk)
    return 0


def _answers(file: Path) -> list[str]:
    try:
        lines = file.read_text(encoding="utf-8").split("\n")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{file} cannot be read: {error}") from error
    return [line for line in lines[: -1 if lines[-1] == "" else None] if not line.startswith("#")]


def _kept(file: Path) -> list[str]:
    try:
        return file.read_text(encoding="utf-8").split("\n")[:-1]
    except (OSError, UnicodeDecodeError):
        return []


def write_files(root: Path, whole: Told) -> None:
    """All files, or none of them; none that is there already is written over, but for what grows."""
    written: list[Path] = []
    grown: list[tuple[Path, Path]] = []
    try:
        for name, text in whole.changed.items():
            path = root / name
            with tempfile.NamedTemporaryFile(
                "w", encoding="utf-8", newline="\n", dir=path.parent, prefix=f".{path.name}.", delete=False
            ) as file:
                grown.append((Path(file.name), path))
                file.write(text)
            grown[-1][0].chmod(path.stat().st_mode)
        for name, text in whole.new.items():
            path = root / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="\n") as new:
                written.append(path)
                new.write(text)
    except OSError as error:
        for path in (*written, *(made for made, _ in grown)):
            path.unlink(missing_ok=True)
        if isinstance(error, FileExistsError):
            raise UsageError(f"{error.filename} is there already; choose another name") from error
        raise
    for made, path in grown:
        made.replace(path)


def _conclude(root: Path, whole: Told, talk: Talk) -> None:
    files = {**whole.new, **whole.changed}
    found = tuple(one for one in check_book(root).findings if one.file in files)
    sys.stdout.write(FORMATS["text"](Report(found, len(files))))
    lines = sum(text.count("\n") for text in whole.new.values())
    typed = sum(bool(line.strip()) for line in talk.taken)
    print(f"Written: {', '.join(files)}.")
    if talk.taken:
        said = f"{typed} answers typed, {len(talk.taken) - typed} by Enter, {talk.refused} refused"
        print(f"{said}; {lines} lines written.")
    print(f"Then run: benchlore check {' '.join(whole.new or whole.changed)}")
