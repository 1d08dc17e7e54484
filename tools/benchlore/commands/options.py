"""What several commands share: where the book is, and a plain way to refuse."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from benchlore.book import Loaded, load_book
from benchlore.circuit.foretold import in_full


class UsageError(Exception):
    """The command cannot do what was asked. The message says why and what to do instead."""


# What is made in one of these would be read as a part of what it was made from, or lie among the code.
_SOURCES = ("faults", "site_overrides", "schema", "tools", "tests", ".git", ".venv")


def refuse_sources(root: Path, place: Path, what: str) -> Path:
    """The place that `what` goes to, every link followed. Raises UsageError for one that cannot hold it."""
    try:
        target = place.resolve()
    except (OSError, RuntimeError, ValueError) as error:  # a link to itself, a name that no file can have
        reason = getattr(error, "strerror", None) or error
        raise UsageError(f"{what} cannot be at {str(place)!r}: {reason}") from error
    for name in _SOURCES:
        if target.is_relative_to((root / name).resolve()):
            raise UsageError(
                f"{target} lies in {name}/, among what {what} is made from; choose another place for it"
            )
    return target


def add_root(parser: argparse.ArgumentParser) -> None:
    """Declare `--root DIR`."""
    parser.add_argument(
        "--root",
        metavar="DIR",
        type=Path,
        help="the folder that holds faults/ (default: this folder, or the nearest one above it that does)",
    )


def root_folder(args: argparse.Namespace) -> Path:
    """The folder that holds the book. Raises UsageError when there is none."""
    given: Path | None = args.root
    if given is not None and not (given / "faults").is_dir():
        raise UsageError(f"there is no folder 'faults' in {given}; name the folder that holds it with --root")
    try:
        if given is not None:
            return given.resolve()
        here = Path.cwd()
    except OSError:  # it has been deleted
        raise UsageError("the folder that you are in is not there any more; change to another one") from None
    for folder in (here, *here.parents):
        if (folder / "faults").is_dir():
            return folder
    raise UsageError(
        f"there is no folder 'faults' in {here} nor above it; name the folder that holds it with --root"
    )


def open_book(args: argparse.Namespace) -> Loaded:
    """The book that the command was told to read, in full. Raises UsageError when there is none."""
    loaded = load_book(root_folder(args), kept=True)
    return replace(loaded, book=in_full(loaded.book))
