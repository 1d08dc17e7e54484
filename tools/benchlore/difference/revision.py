"""The record files as a git revision holds them."""

from __future__ import annotations

import io
import subprocess
import tarfile
from pathlib import Path

from benchlore.book.ids import BOOK_FOLDER


class RevisionError(Exception):
    """The revision cannot be read; the message says why."""


def unpack(root: Path, revision: str, folder: Path) -> None:
    """Put the `faults/` of a revision of the repository around `root` into `folder`. Raises RevisionError."""
    # A revision that begins with a hyphen would be read as an option.
    command = ["git", "archive", "--format=tar", "--end-of-options", revision, BOOK_FOLDER]
    try:
        made = subprocess.run(command, cwd=root, capture_output=True, check=False)
    except OSError as error:
        raise RevisionError(f"git cannot be run: {error.strerror or error}") from error
    if made.returncode:
        raise RevisionError(made.stderr.decode(errors="replace").strip() or "git archive failed")
    with tarfile.open(fileobj=io.BytesIO(made.stdout)) as held:
        for member in held:
            target = folder / member.name
            if member.isfile() and target.resolve().is_relative_to(folder.resolve()):
                content = held.extractfile(member)
                assert content is not None
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(content.read())
