"""`benchlore check`: everything that is wrong with the book, in one run."""

from __future__ import annotations

import argparse
from pathlib import Path

from benchlore.book import load_book
from benchlore.commands.bases import base_book
from benchlore.commands.options import UsageError, add_root, root_folder
from benchlore.difference.vanished import vanished
from benchlore.progress import progress
from benchlore.reporters import FORMATS, Report
from benchlore.rules import check_book
from benchlore.workers import WorkerError


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "check",
        help="check the book",
        description="Check every record of the book and list the findings of all files, each with its line "
        "and the mend. Exit code 1 when there are errors.",
    )
    parser.add_argument(
        "paths", metavar="PATH", nargs="*", type=Path, help="show only findings of these files, folders"
    )
    parser.add_argument(
        "--format", choices=sorted(FORMATS), default="text", help="form of the list (default: text)"
    )
    parser.add_argument(
        "--against",
        metavar="BASE",
        help="also name the ids that are gone since BASE (a git revision, or a folder that holds faults/), "
        "neither moved nor retired",
    )
    parser.add_argument("--strict", action="store_true", help="warnings count as errors")
    parser.add_argument(
        "--no-cache", action="store_true", help="judge every family anew, also those that did not change"
    )
    add_root(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check, print, and return the exit code."""
    root = root_folder(args)
    wanted = [_in_book(path, root) for path in args.paths]
    try:
        with progress("families checked") as tell:
            checked = check_book(root, not args.no_cache, tell)
    except WorkerError as error:
        raise UsageError(str(error)) from error
    gone = vanished(base_book(root, args.against), load_book(root, kept=True)) if args.against else ()
    known = {*checked.files, *(f.file for f in (*checked.findings, *gone))}
    for path, name in zip(args.paths, wanted, strict=True):
        if not any(_wanted(file, [name]) for file in known):
            raise UsageError(f"{path} is no record file, and holds none; name a '.yaml' file or its folder")
    findings = tuple(f for f in sorted({*checked.findings, *gone}) if _wanted(f.file, wanted))
    files = [file for file in known if _wanted(file, wanted)]
    report = Report(findings, len(files), strict=args.strict)
    print(FORMATS[args.format](report), end="")
    return 1 if report.failed else 0


def _in_book(path: Path, root: Path) -> str:
    """A path as typed, as findings name it. Raises UsageError when it is not part of the book."""
    # The name itself, not what a link in the book leads to.
    absolute = path.parent.resolve() / path.name if path.name != ".." else path.resolve()
    if not absolute.exists():
        raise UsageError(f"there is no file or folder {path}")
    try:
        name = absolute.relative_to(root).as_posix()
    except ValueError:
        name = ""
    if name.split("/")[0] not in ("faults", "."):
        raise UsageError(f"{path} does not belong to the book in {root / 'faults'}")
    return name


def _wanted(file: str, wanted: list[str]) -> bool:
    if not wanted or "." in wanted:
        return True
    return any(file == name or file.startswith(f"{name}/") for name in wanted)
