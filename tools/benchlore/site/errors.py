"""What stops a build."""

from __future__ import annotations


class BuildError(Exception):
    """The site could not be made; the message says why."""
