"""Drawings that take long to place are drawn once: a sketch stands on many pages, and in the bench's data."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from markupsafe import Markup

from benchlore.cache import Drawer, code_of, key_of

_drawer: ContextVar[Drawer | None] = ContextVar("drawings", default=None)


@contextmanager
def drawings_kept(name: str) -> Iterator[None]:
    """Within it, each drawing is made once, and kept from build to build in a drawer of this name."""
    drawer = Drawer(f"drawings/{name}")
    before = _drawer.set(drawer)
    try:
        yield
    finally:
        _drawer.reset(before)
        drawer.close()


def drawn_once(made_from: object, draw: Callable[[], Markup]) -> Markup:
    """What `draw` gives. `made_from`: all that it depends on, told apart by its `repr`."""
    drawer = _drawer.get()
    if drawer is None:
        return draw()
    key = key_of(code_of("site/drawings", packages=("markupsafe",)), made_from)
    return Markup(drawer.get(key, key, draw))
