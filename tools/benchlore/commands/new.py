"""`benchlore new`: a conversation that starts a family, a fault, a measurement, a symptom or a technique."""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from benchlore.book import Loaded
from benchlore.book.defaults import without_defaults
from benchlore.book.ids import BOOK_FOLDER, fault_id, file_of
from benchlore.book.merge import family_data
from benchlore.book.short import shortened
from benchlore.commands.conversation import Told, converse, write_files
from benchlore.commands.options import UsageError, add_root, open_book
from benchlore.findings import nearest
from benchlore.starter import common, values
from benchlore.starter.ask_common import ask_symptom, ask_technique
from benchlore.starter.ask_family import ask_family
from benchlore.starter.ask_fault import ask_fault
from benchlore.starter.ask_measurement import ask_measurement
from benchlore.starter.draft import Draft
from benchlore.starter.form import form
from benchlore.starter.talk import RefusedError, Talk, one_of
from benchlore.starter.walked import walked_of
from benchlore.starter.writing import as_record, entry
from benchlore.walk.file import WalkError, read_walk

_FAMILY_BLANKS = ("revisions", "states", "board", "nets", "parts", "test_points", "measurements")
_KINDS = {
    "family": "start a board family: sources, nets, parts, points, measurements, faults",
    "fault": "add a fault pattern to a family",
    "measurement": "add a measurement to a family",
    "symptom": "add a symptom for all families",
    "technique": "add a technique for all families",
}


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "new",
        help="start a record in a conversation",
        description="Ask for what a record needs, check each answer at once, and write the record. Leave "
        "with Ctrl+C whenever you like: the same command goes on where you left. No record is written over.",
    )
    kinds = parser.add_subparsers(title="records", metavar="RECORD", required=True)
    for kind, says in _KINDS.items():
        one = kinds.add_parser(kind, help=says, description=f"{says[:1].upper()}{says[1:]}.")
        if kind in ("fault", "measurement"):
            one.add_argument("family", metavar="FAMILY", help="id of the family, the name of its folder")
        if kind == "measurement":
            one.add_argument("name", metavar="POINT", help="the test point, such as F1_OUT")
        else:
            one.add_argument("name", metavar="NAME", help="its id: lower-case words joined by hyphens")
        if kind == "family":
            one.add_argument(
                "--from-walk",
                type=Path,
                metavar="FILE",
                nargs="+",
                default=[],
                help="walks over good boards that the site saved, one a board: their points and readings",
            )
        if kind == "fault":
            one.add_argument("--form", action="store_true", help="ask nothing: write a form to fill in")
            one.add_argument(
                "--from-job",
                type=Path,
                metavar="FILE",
                help="a job that the bench page saved: its symptoms, and its readings as worked example",
            )
        one.add_argument(
            "--answers", type=Path, metavar="FILE", help="answers, one a line; # begins a remark"
        )
        one.add_argument(
            "--yes", action="store_true", help="ask nobody: take the answers given and the defaults"
        )
        add_root(one)
        one.set_defaults(run=run, record=kind)


def run(args: argparse.Namespace) -> int:
    """Talk, write, say what to do next, and return the exit code."""
    loaded = open_book(args)
    if args.record != "measurement":
        _free_name(args.name)
    makes = {"family": _family, "fault": _fault, "measurement": _measurement}
    if args.record in makes:
        return makes[args.record](args, loaded)
    return _common(args, loaded)


def _free_name(name: str) -> None:
    try:
        values.slug()(name)
    except RefusedError as refused:
        raise UsageError(str(refused)) from refused


def _family(args: argparse.Namespace, loaded: Loaded) -> int:
    if (loaded.sources.root / "faults" / args.name).exists():
        raise UsageError(f"{BOOK_FOLDER}/{args.name} is there already; choose another name")

    try:
        walked = walked_of(loaded.book, [read_walk(path) for path in args.from_walk])
    except WalkError as error:
        raise UsageError(str(error)) from error

    def told(talk: Talk) -> Told:
        draft = Draft(loaded.book, args.name, {})
        ask_family(talk, draft, walked)
        talk.say("Faults that are known of this board.")
        while name := talk.maybe("A fault, by a name such as input-fuse-open", values.slug(draft.faults)):
            ask_fault(talk, draft, name)
        new = {
            file_of("family", args.name): as_record("family", without_defaults(draft.data), _FAMILY_BLANKS)
        }
        return _with_common(draft, loaded, new)

    return converse(args, loaded.sources.root, f"family-{args.name}", told)


def _fault(args: argparse.Namespace, loaded: Loaded) -> int:
    draft = _draft(args.family, loaded)
    file = file_of("fault", fault_id(args.family, args.name))
    if (loaded.sources.root / file).exists():
        raise UsageError(f"{file} is there already; choose another name")
    symptoms, readings = _job(args.from_job, args.family) if args.from_job else ((), {})
    if args.form:
        family = loaded.book.families[args.family]
        write_files(loaded.sources.root, Told({file: form(loaded.book, family)}, {}))
        print(f"Fill in {file}, then run: benchlore check {file}")
        return 0

    def told(talk: Talk) -> Told:
        ask_fault(talk, draft, args.name, symptoms, readings)
        return _with_common(draft, loaded, {})

    return converse(args, loaded.sources.root, f"fault-{args.family}-{args.name}", told)


def _measurement(args: argparse.Namespace, loaded: Loaded) -> int:
    draft = _draft(args.family, loaded)
    try:
        one_of(draft.data["test_points"])(args.name)
    except RefusedError as refused:
        raise UsageError(str(refused)) from refused
    file = file_of("family", args.family)

    def told(talk: Talk) -> Told:
        known = set(draft.data["measurements"])
        ask_measurement(talk, draft, args.name)
        (id_,) = set(draft.data["measurements"]) - known
        text = _inserted(loaded.sources.texts[file], entry(id_, draft.data["measurements"][id_], 2))
        if family_data({**loaded.sources.texts, file: text}, args.family) != draft.data:
            raise UsageError(f"{file} is written in another way than expected; add the measurement by hand")
        whole = _with_common(draft, loaded, {})
        return Told(whole.new, {**whole.changed, file: text})

    return converse(args, loaded.sources.root, f"measurement-{args.family}-{args.name}", told)


def _inserted(text: str, added: str) -> str:
    """A family's text with one measurement more, behind the last one."""
    lines = text.rstrip("\n").split("\n")
    if "measurements:" not in lines:  # they stand in other files of the family
        return "\n".join([*lines, "", "measurements:", added.rstrip("\n")]) + "\n"
    start = lines.index("measurements:")
    after = (n for n in range(start + 1, len(lines)) if lines[n][:1].strip() and not lines[n].startswith("#"))
    end = next(after, len(lines))
    while not lines[end - 1].strip():
        end -= 1
    rest = lines[end:]
    return "\n".join([*lines[:end], "", *added.rstrip("\n").split("\n"), *rest]) + "\n"


def _common(args: argparse.Namespace, loaded: Loaded) -> int:
    kind = f"{args.record}s"
    if args.name in getattr(loaded.book, kind):
        raise UsageError(f"the {args.record} '{args.name}' is there already; choose another name")

    def told(talk: Talk) -> Told:
        draft = Draft(loaded.book, "", {}, {})
        packed = common.technique(args.name) if kind == "techniques" else common.entries(kind).get(args.name)
        if (
            packed
            and talk.choice("The package has one of this name. Take it over?", ("yes", "no"), "yes") == "yes"
        ):
            draft.has(kind, args.name)
            return _with_common(draft, loaded, {})
        if kind == "techniques":
            made = ask_technique(talk, loaded.book.hazards)
            return Told({file_of("technique", args.name): as_record("technique", made)}, {})
        file = file_of("symptoms", "symptoms")
        text = f"{loaded.sources.texts[file].rstrip()}\n\n{entry(args.name, ask_symptom(talk))}"
        return Told({}, {file: text})

    return converse(args, loaded.sources.root, f"{args.record}-{args.name}", told)


def _draft(family: str, loaded: Loaded) -> Draft:
    if family not in loaded.book.families:
        hint = nearest(family, loaded.book.families) or "mend its family.yaml first"
        raise UsageError(f"'{family}' is not a family of the book; {hint}")
    return Draft(loaded.book, family, dict(family_data(loaded.sources.texts, family)))


def _with_common(draft: Draft, loaded: Loaded, new: Mapping[str, str]) -> Told:
    """The files of the conversation, with the faults of the draft and what it took over from the package."""
    files = dict(new)
    measured = draft.family().measurements.values() if draft.faults else ()
    normal = {m.id: m.proves for m in measured}
    for name, fault in draft.faults.items():
        files[file_of("fault", fault_id(draft.id, name))] = as_record("fault", shortened(fault, normal))
    texts = draft.common_texts(loaded.sources.texts)
    changed = {file: text for file, text in texts.items() if file in loaded.sources.texts}
    return Told({**files, **{file: text for file, text in texts.items() if file not in changed}}, changed)


def _job(file: Path, family: str) -> tuple[tuple[str, ...], Mapping[str, str]]:
    """The symptoms of a saved job, and the last reading of each measurement, as typed."""
    try:
        job: Any = json.loads(file.read_text(encoding="utf-8"))
        if job["format"] != "benchlore-job" or job["version"] != 1:
            raise UsageError(f"{file} is no job that this Benchlore reads")
        readings = {one["measure"]: one["text"] for one in job["entries"] if one["kind"] == "reading"}
        symptoms, board = tuple(job["symptoms"]), job["family"]
    except (OSError, ValueError, LookupError, TypeError) as error:
        raise UsageError(f"{file} is no job of the bench page: {error}") from error
    if board != family:
        raise UsageError(f"{file} is a job of '{board}', not of '{family}'")
    return symptoms, readings
