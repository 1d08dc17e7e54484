"""Build the whole site into a folder. Publishing it is another matter (publish.py)."""

from __future__ import annotations

import logging
from pathlib import Path

from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort, MkDocsException


class BuildError(Exception):
    """The site could not be made; the message says why."""


def build_site(root: Path, site_dir: Path) -> None:
    """Render the book in `root` into `site_dir`, which is emptied first.

    The same input gives the same bytes. Raises BuildError; what lies in `site_dir` then is not a site.
    """
    logging.getLogger("mkdocs").setLevel(logging.CRITICAL)
    try:
        config = load_config(str(root / "mkdocs.yml"), site_dir=str(site_dir), strict=True)
        config.plugins.on_startup(command="build", dirty=False)
        mkdocs_build(config)
        config.plugins.on_shutdown()
    except Abort as error:  # the generator has told its reason to its log and carries it as the context
        raise BuildError(str(error.__context__ or error)) from error
    except MkDocsException as error:
        raise BuildError(str(error)) from error
