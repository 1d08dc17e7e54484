"""`benchlore migrate`: bring a book of an older form to the one that this Benchlore writes."""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from benchlore.book.ids import file_of
from benchlore.book.yaml_reader import parse
from benchlore.commands.options import UsageError, add_root, root_folder
from benchlore.shipped import home
from benchlore.starter.book import FORMAT, schema_texts, with_settings

_SHOP = file_of("shop", "shop")
# The id of every site before a book could name its own; jobs that browsers keep lie under it.
_FIRST_SITE = "benchlore"


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "migrate",
        help="bring an older book to the form of this Benchlore",
        description=f"Bring a book of an older form to form {FORMAT}. From 1 to 2, 'format' and 'site' "
        f"come into {_SHOP}; all other records stay as they are. The schemas in schema/ are renewed.",
    )
    add_root(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Raise the form, or say that there is nothing to do."""
    root = root_folder(args)
    _renew_schemas(root)
    return _raise_form(root)


def _renew_schemas(root: Path) -> None:
    """Write the schemas that editors read in a book of one's own as this Benchlore has them."""
    if root == home():
        return  # they are the ones that all others are made of
    for name, text in schema_texts().items():
        path = root / name
        if path.is_file() and path.read_text(encoding="utf-8") != text:
            _write(path, text)
            print(f"{name}: as this Benchlore has it")


def _raise_form(root: Path) -> int:
    path = root / _SHOP
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{path} cannot be read: {error}") from error
    data = _data(text)
    held = 1 if data is None else data.get("format", 1)
    if data is None or not isinstance(held, int):
        raise UsageError(f"{_SHOP} has errors; 'benchlore check {_SHOP}' says what to mend first")
    if held > FORMAT:
        raise UsageError(
            f"the book has form {held}, this Benchlore knows {FORMAT}; install a newer Benchlore"
        )
    if held == FORMAT:
        print(f"the book has form {FORMAT} already; nothing is to be done")
        return 0
    raised = with_settings(text, _FIRST_SITE)
    if _data(raised) != {"site": _FIRST_SITE, **data, "format": FORMAT}:
        raise UsageError(f"{_SHOP} is written in another way than expected; add 'format: {FORMAT}' to it")
    _write(path, raised)
    print(f"{_SHOP}: form {held} -> {FORMAT}")
    if "site" not in data:
        print(f"  site: {_FIRST_SITE} is the id that the site had, so that browsers keep its jobs")
    print("No record needed a change. Run: benchlore check")
    return 0


def _data(text: str) -> Mapping[str, Any] | None:
    data, faults, _ = parse(text)
    return data if isinstance(data, Mapping) and not faults else None


def _write(path: Path, text: str) -> None:
    """The whole file, or it stays as it was."""
    with tempfile.NamedTemporaryFile(
        "w", encoding="utf-8", newline="", dir=path.parent, prefix=f".{path.name}.", delete=False
    ) as file:
        file.write(text)
    new = Path(file.name)
    try:
        new.chmod(path.stat().st_mode)
        new.replace(path)
    except OSError:
        new.unlink(missing_ok=True)
        raise
