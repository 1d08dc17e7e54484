"""The command line: a thin shell around the commands."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import Any

from benchlore.commands.options import UsageError
from benchlore.shipped import version

# Of each its module in `commands`, in the order of the help.
COMMANDS = (
    "init",
    "build",
    "check",
    "rules",
    "new",
    "walk",
    "diff",
    "migrate",
    "export",
    "rank",
    "plan",
    "calculators",
)


class _Parser(argparse.ArgumentParser):
    """Options are written out: an abbreviation that is unique today may not be tomorrow."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(allow_abbrev=False, **settings)


def parser(commands: Sequence[str] = COMMANDS) -> argparse.ArgumentParser:
    """The parser of all commands, or of some: a command that is not asked for need not be loaded."""
    top = _Parser(
        prog="benchlore", description="Check a book of board faults, and make the site that finds them."
    )
    top.add_argument("--version", action="version", version=f"benchlore {version()}")
    subparsers = top.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for command in commands:
        import_module(f"benchlore.commands.{command}").add(subparsers)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Returns 0, 1 when the book has errors, 2 when the command cannot be done, 130 when Ctrl+C stopped it.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")  # a console without UTF-8 must not stop a check
    try:
        wanted = sys.argv[1:] if argv is None else argv
        named = wanted[0] if wanted else ""
        args = parser([named] if named in COMMANDS else COMMANDS).parse_args(wanted)
        code: int = args.run(args)
        sys.stdout.flush()  # else a full disk is noticed when nobody can say so any more
    except UsageError as error:
        print(f"benchlore: {error}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # The reader of the output has gone (`benchlore rules | head`); there is nobody left to tell.
        _drop_output()
        return 1
    except KeyboardInterrupt:
        print("benchlore: stopped", file=sys.stderr)
        return 130
    except OSError as error:
        reason = error.strerror or str(error)
        if error.filename is None:
            _drop_output()
            print(f"benchlore: the output cannot be written: {reason}", file=sys.stderr)
        else:
            print(f"benchlore: {error.filename}: {reason}", file=sys.stderr)
        return 2
    return code


def _drop_output() -> None:
    """What is still held back goes nowhere: Python writes it at its end, and would fail again."""
    with suppress(OSError, ValueError):  # a stream without a file of its own
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
