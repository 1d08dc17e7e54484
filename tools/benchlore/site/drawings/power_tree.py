"""The power tree: a family's rails below what feeds them, and in which bench states each is up.

It stands upright like a list, one row a rail, so that it fits a phone and a sheet of paper. A column a bench
state, its name upright above it, holds a disc where the rail is up and a dash where it is not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from benchlore.book.model import Family, State
from benchlore.circuit.healthy import Healthy
from benchlore.circuit.power_tree import Branch, feeders, power_tree
from benchlore.site import words
from benchlore.site.drawings.svg import element, text_width

_SIZE = 14.0
_ROW = 26.0
_INDENT = 16.0
_COLUMN = 24.0
_LEFT = 8.0


@dataclass(frozen=True, slots=True)
class Row:
    """One rail of the drawing: its branch and the middle of its row; the rail above it and the middle of
    that.
    """

    branch: Branch
    y: float
    parent: str | None
    parent_y: float | None

    @property
    def name_at(self) -> float:
        """Where the rail's name begins."""
        return _LEFT + self.branch.depth * _INDENT + 12


def drawing(family: Family, states: Sequence[State], board: Healthy) -> Markup:
    """The tree as inline SVG, a column for each of `states`; nothing without a rail."""
    head = max((text_width(state.short, _SIZE) for state in states), default=0.0) + 10
    rows = tuple(_rows(power_tree(family), head))
    if not rows:
        return Markup()
    names = max(
        row.name_at + text_width(row.branch.net.id + _beside_name(family, row), _SIZE) for row in rows
    )
    columns = [(state, names + 20 + i * _COLUMN) for i, state in enumerate(states)]
    width = names + 20 + max(len(columns) - 1, 0) * _COLUMN + 14
    height = rows[-1].y + _ROW / 2 + 2
    body = Markup().join(
        [*_heads(columns, head), *(piece for row in rows for piece in _row(board, row, columns))]
    )
    return element(
        "svg",
        element("title", f"Power tree of {family.title}")
        + element("desc", in_words(family, states, board))
        + body,
        class_="power-tree",
        viewBox=f"0 0 {width:.0f} {height:.0f}",
        role="img",
    )


def in_words(family: Family, states: Sequence[State], board: Healthy) -> str:
    """The same tree as sentences."""
    said = []
    for row in _rows(power_tree(family), 0.0):
        net = row.branch.net
        up = [state.title for state in states if board.is_up(net.id, state.id)]
        where = f"up in: {'; '.join(up)}" if up else "up in none of these bench states"
        above = f"below {row.parent}" if row.parent else "comes in from outside"
        said.append(f"{net.id}{_beside_name(family, row)}, {above}, {where}.")
    return " ".join(said)


def _rows(branches: Sequence[Branch], head: float) -> Iterator[Row]:
    places: dict[str, float] = {}
    y = head + _ROW / 2

    def walk(children: Sequence[Branch], parent: str | None) -> Iterator[Row]:
        nonlocal y
        for branch in children:
            places[branch.net.id] = y
            yield Row(branch, y, parent, places[parent] if parent else None)
            y += _ROW
            yield from walk(branch.children, branch.net.id)

    yield from walk(branches, None)


def _beside_name(family: Family, row: Row) -> str:
    """The nominal voltage, and what else feeds the rail: ` 8.40 V or PACK`."""
    net = row.branch.net
    nominal = f" {words.quantity(net.nominal)}" if net.nominal else ""
    others = [name for name in feeders(family, net) if name not in (row.parent, net.id)]
    return nominal + "".join(f" or {name}" for name in others)


def _heads(columns: Sequence[tuple[State, float]], head: float) -> Iterator[Markup]:
    for state, x in columns:
        at, y = x + _SIZE * 0.35, head - 4
        turned = f"rotate(-90 {at:.1f} {y:.1f})"
        yield element("text", state.short, class_="tree-state", x=at, y=y, transform=turned)


def _row(board: Healthy, row: Row, columns: Sequence[tuple[State, float]]) -> Iterator[Markup]:
    x, y = _LEFT + row.branch.depth * _INDENT, row.y
    if row.parent_y is None:
        yield element("path", class_="tree-source", d=f"M{x - 5:.1f} {y - 6:.1f}l9 6l-9 6z")
    else:
        yield element(
            "path", class_="tree-line", d=f"M{x - _INDENT:.1f} {row.parent_y + 7:.1f}V{y:.1f}H{x + 5:.1f}"
        )
    net = row.branch.net
    name = element("tspan", net.id, class_="tree-net")
    beside = element("tspan", _beside_name(board.family, row))
    yield element("text", name + beside, x=row.name_at, y=y + 5)
    for state, at in columns:
        if board.is_up(net.id, state.id):
            yield element("circle", class_="tree-up", cx=at, cy=y, r=6)
        else:
            yield element("path", class_="tree-down", d=f"M{at - 5:.1f} {y:.1f}h10")
