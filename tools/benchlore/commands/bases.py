"""An earlier state of the book, as a command line names it."""

from __future__ import annotations

import tempfile
from pathlib import Path

from benchlore.book import Loaded, load_book
from benchlore.commands.options import UsageError
from benchlore.difference.revision import RevisionError, unpack


def base_book(root: Path, base: str) -> Loaded:
    """The book in a folder that holds faults/, or as a git revision has it. Raises UsageError for neither."""
    folder = Path(base)
    if base and (folder / "faults").is_dir():
        return load_book(folder)
    with tempfile.TemporaryDirectory() as made:
        try:
            unpack(root, base, Path(made))
            return load_book(Path(made))
        except (RevisionError, FileNotFoundError) as error:
            raise UsageError(
                f"'{base}' is neither a folder that holds faults/ nor a git revision that does: {error}"
            ) from error
