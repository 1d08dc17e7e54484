"""The command line: a thin shell around the commands."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import Any

from benchlore.commands import bench, build, check, export, new, plan, rank, rules
from benchlore.commands.options import UsageError

COMMANDS = (build, check, rules, new, export, rank, plan, bench)


class _Parser(argparse.ArgumentParser):
    """Options are written out: an abbreviation that is unique today may not be tomorrow."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(allow_abbrev=False, **settings)


def parser() -> argparse.ArgumentParser:
    """The parser of all commands."""
    top = _Parser(
        prog="benchlore", description="Check a book of board faults, and make the site that finds them."
    )
    subparsers = top.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for command in COMMANDS:
        command.add(subparsers)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. Returns 0, 1 when the book has errors, 2 when the command cannot be done."""
    args = parser().parse_args(argv)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")  # a console without UTF-8 must not stop a check
    try:
        code: int = args.run(args)
    except UsageError as error:
        print(f"benchlore: {error}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # The reader of the output has gone (`benchlore rules | head`); there is nobody left to tell.
        sys.stderr.close()
        return 1
    return code
