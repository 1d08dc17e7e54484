"""`benchlore init`: a book of one's own, with a small invented family that passes the check."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from benchlore.commands.options import UsageError
from benchlore.starter.book import first_files


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "init",
        help="start a book of your own",
        description="Make a folder with a book in it: the records that all families share, and one small "
        "family, invented as a sample. It passes the check. No file is written over.",
    )
    parser.add_argument("folder", metavar="DIR", type=Path, help="the new folder, such as my-shop")
    parser.add_argument(
        "--contact",
        metavar="TEXT",
        default="",
        help="who is told of advice that can hurt, and how: for SECURITY.md",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the files and say what to do next."""
    folder = _absolute(args.folder)
    texts = first_files(folder.name, args.contact)
    there = next((name for name in ("faults", *texts) if (folder / name).exists()), None)
    if there:
        raise UsageError(f"{folder / there} is there already; choose another folder")
    _write(folder, texts)
    print(f"{len(texts)} files written to {folder}. Go there, then:")
    print("  benchlore check           every finding, with file, line and mend")
    print("  benchlore build --serve   the site, built again after each save")
    print("faults/sample-board is an invented sample: delete it once you have a family of your own.")
    return 0


def _write(folder: Path, texts: Mapping[str, str]) -> None:
    """All files, or none of them."""
    written: list[Path] = []
    try:
        for name, text in texts.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="\n") as file:
                written.append(path)
                file.write(text)
    except OSError:
        for path in reversed(written):
            path.unlink(missing_ok=True)
            for parent in path.parents:
                with suppress(OSError):  # it holds something of somebody else
                    if parent.is_relative_to(folder):
                        parent.rmdir()
        raise


def _absolute(folder: Path) -> Path:
    try:
        return folder.absolute()
    except OSError:
        raise UsageError("the folder that you are in is not there any more; change to another one") from None
