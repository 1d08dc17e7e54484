"""`benchlore export`: the whole book, resolved and linked, as one JSON."""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
from pathlib import Path

from benchlore.book.export import export_book, schema
from benchlore.book.projection import Json
from benchlore.commands.options import UsageError, add_root, open_book, refuse_sources
from benchlore.rules import check_known


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "export",
        help="write the whole book as one JSON",
        description="Write the whole book, linked in both directions, as one JSON. A book with errors is "
        "not exported.",
    )
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, help="write to FILE, not to the screen")
    parser.add_argument("--schema", action="store_true", help="write the JSON Schema of that, not the book")
    add_root(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the export and return the exit code."""
    loaded = open_book(args)
    if args.output is not None:
        refuse_sources(loaded.sources.root, args.output, "the export")
    if args.schema:
        return _give(schema(), args.output)
    errors = sum(finding.severity == "error" for finding in check_known(loaded))
    if errors:
        count = f"{errors} error{'s' if errors > 1 else ''}"
        print(f"benchlore: the book has {count}; 'benchlore check' lists them", file=sys.stderr)
        return 1
    return _give(export_book(loaded.book), args.output)


def _give(data: Json, output: Path | None) -> int:
    text = json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    if output is None:
        print(text, end="")
    else:
        _write(output, text)
    return 0


def _write(path: Path, text: str) -> None:
    """Write the whole file or leave it as it was. Raises UsageError when it cannot be written."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise UsageError(f"cannot write {path}: {error.strerror or error}") from error
