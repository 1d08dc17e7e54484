"""Build the whole site into a folder. Publishing it is another matter (publish.py)."""

from __future__ import annotations

import logging
from pathlib import Path

from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort, MkDocsException


class BuildError(Exception):
    """The site could not be made; the message says why."""


class _Said(logging.Handler):
    """Keeps what the generator says to its log."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


def build_site(root: Path, site_dir: Path) -> None:
    """Render the book in `root` into `site_dir`, which is emptied first.

    The same input gives the same bytes. Raises BuildError; what lies in `site_dir` then is not a site.
    """
    said = _Said()
    log = logging.getLogger("mkdocs")
    log.setLevel(logging.ERROR)
    log.addHandler(said)
    log.propagate = False  # it is told once, with the error
    try:
        config = load_config(str(root / "mkdocs.yml"), site_dir=str(site_dir), strict=True)
        config.plugins.on_startup(command="build", dirty=False)
        mkdocs_build(config)
        config.plugins.on_shutdown()
    except Abort as error:  # the generator has told its reason to its log, or carries it as the context
        reason = str(error.__context__ or "\n".join(said.lines) or error)
        raise BuildError(reason) from error
    except MkDocsException as error:
        raise BuildError(str(error)) from error
    finally:
        log.removeHandler(said)
        log.propagate = True
