"""No text is slow to check: each pattern of the schemas takes steps in proportion to the length of the text.

A matcher that tries every way, as the engines of Python and of browsers do, counts its steps on texts that a
generator makes to be bad for the pattern: beginnings that fit, a piece repeated, an end that does not fit.
"""

from __future__ import annotations

import itertools
import json
import re
import re._constants as code  # type: ignore[import-not-found]
import re._parser as parser  # type: ignore[import-not-found]
import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

SCHEMAS = Path(__file__).resolve().parents[2] / "schema"
FOREIGN = "!"
LENGTHS = (12, 24)
MOST = 2.5  # times the steps for twice the length: 2 is linear, 4 quadratic
REPEATS = (code.MAX_REPEAT, code.MIN_REPEAT)
Go = Callable[[int], bool]


def patterns() -> list[str]:
    """Every pattern of every schema, each once."""
    found: dict[str, None] = {}

    def walk(node: Any) -> None:
        if isinstance(node, dict):
            if isinstance(pattern := node.get("pattern"), str):
                found[pattern] = None
            found.update(dict.fromkeys(node.get("patternProperties", ())))
        for inner in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
            walk(inner)

    for path in sorted(SCHEMAS.glob("*.json")):
        walk(json.loads(path.read_text(encoding="utf-8")))
    return list(found)


@cache
def parsed(pattern: str) -> list[Any]:
    return list(parser.parse(pattern))


class Steps:
    """Counts the steps of one search, from every place of the text, until all ways are tried or one fits."""

    def __init__(self, pattern: str, text: str) -> None:
        self.text = text
        self.count = 0
        tree = parsed(pattern)
        self.found = any(self.all(tree, 0, at, lambda _: True) for at in range(len(text) + 1))

    def all(self, nodes: list[Any], n: int, at: int, then: Go) -> bool:
        if n == len(nodes):
            return then(at)
        return self.one(nodes[n], at, lambda place: self.all(nodes, n + 1, place, then))

    def one(self, node: Any, at: int, then: Go) -> bool:
        self.count += 1
        kind, value = node
        if kind is code.AT:
            edge = 0 if value in (code.AT_BEGINNING, code.AT_BEGINNING_STRING) else len(self.text)
            return at == edge and then(at)
        if kind is code.SUBPATTERN:
            return self.all(list(value[3]), 0, at, then)
        if kind is code.BRANCH:
            return any(self.all(list(way), 0, at, then) for way in value[1])
        if kind in (code.ASSERT, code.ASSERT_NOT):
            assert value[0] == 1, "this counter looks ahead only"
            return self.all(list(value[1]), 0, at, lambda _: True) is (kind is code.ASSERT) and then(at)
        if kind in REPEATS:
            least, most, inner = value
            return self.repeat(kind, least, most, inner, at, then)
        return at < len(self.text) and fits(node, self.text[at]) and then(at + 1)

    def repeat(self, kind: Any, least: int, most: int, inner: Any, at: int, then: Go) -> bool:
        again = most > 0 and (
            lambda: self.all(
                list(inner),
                0,
                at,
                lambda place: (
                    place > at and self.repeat(kind, max(least - 1, 0), most - 1, inner, place, then)
                ),
            )
        )
        self.count += 1
        if kind is code.MIN_REPEAT:
            return bool((least <= 0 and then(at)) or (again and again()))
        return bool((again and again()) or (least <= 0 and then(at)))


def fits(node: Any, char: str) -> bool:
    """Whether one character is what a node of the pattern takes."""
    kind, value = node
    if kind is code.LITERAL:
        return char == chr(value)
    if kind is code.NOT_LITERAL:
        return char != chr(value)
    if kind is code.ANY:
        return char != "\n"
    assert kind is code.IN, f"this counter does not know {kind}"
    turned = value[0][0] is code.NEGATE
    inside = any(_in(one, char) for one in value)
    return inside is not turned


def _in(one: Any, char: str) -> bool:
    kind, value = one
    if kind is code.RANGE:
        return bool(value[0] <= ord(char) <= value[1])
    if kind is code.CATEGORY:
        return bool({code.CATEGORY_DIGIT: str.isdigit, code.CATEGORY_SPACE: str.isspace}[value](char))
    return kind is code.LITERAL and char == chr(value)


def letters(pattern: str) -> str:
    """A character for each kind of character that the pattern tells apart, and one that it does not know."""
    known = sorted({char for char in map(chr, range(32, 127)) if char in pattern or char.isalnum()})
    tree = parser.parse(pattern)
    nodes = [node for node in _nodes(tree) if node[0] in (code.LITERAL, code.NOT_LITERAL, code.ANY, code.IN)]
    kinds: dict[tuple[bool, ...], str] = {}
    for char in (*known, FOREIGN):
        kinds.setdefault(tuple(fits(node, char) for node in nodes), char)
    return "".join(dict.fromkeys([*kinds.values(), FOREIGN]))


def _nodes(tree: Any) -> Iterator[Any]:
    for kind, value in tree:
        yield kind, value
        inner = (
            [value[2]]
            if kind in REPEATS
            else [value[3]]
            if kind is code.SUBPATTERN
            else [value[1]]
            if kind in (code.ASSERT, code.ASSERT_NOT)
            else value[1]
            if kind is code.BRANCH
            else []
        )
        for one in inner:
            yield from _nodes(one)


def bad(pattern: str, length: int) -> Iterator[str]:
    """Texts of about this length that are meant to be slow."""
    chars = letters(pattern)
    pieces = [*chars, *map("".join, itertools.product(chars, repeat=2))]
    for start, piece, end in itertools.product(("", *chars), pieces, ("", FOREIGN, "\n")):
        yield start + piece * (length // len(piece)) + end


def growth(pattern: str) -> tuple[float, str]:
    """The worst ratio of steps for twice the length, and the text that brings it."""
    worst = (0.0, "")
    for texts in zip(*(bad(pattern, length) for length in LENGTHS), strict=True):
        counts = [Steps(pattern, text).count for text in texts]
        worst = max(worst, (counts[1] / counts[0], texts[0]))
        if worst[0] > MOST:
            break
    return worst


@pytest.fixture(autouse=True)
def deep() -> Iterator[None]:
    """Each character takes some calls."""
    before = sys.getrecursionlimit()
    sys.setrecursionlimit(20_000)
    yield
    sys.setrecursionlimit(before)


@pytest.mark.slow
@pytest.mark.parametrize("pattern", patterns())
def test_a_pattern_is_linear(pattern):
    ratio, text = growth(pattern)
    assert 1 <= ratio <= MOST, text


@pytest.mark.parametrize("pattern", [r"^\d*\d*x$", r" +$", r"^[a-z]*-?[a-z]*$"])
def test_a_pattern_that_grows_with_the_square_is_found(pattern):
    assert growth(pattern)[0] > MOST


@pytest.mark.parametrize("pattern", [r"^(a+)+$", r"^([a-z]+-?)*$", r"^(a|a)*$"])
def test_a_pattern_that_hardly_ends_is_found(pattern):
    """On short texts: on long ones the count would never end."""
    assert any(
        Steps(pattern, long).count > MOST * Steps(pattern, short).count
        for short, long in zip(*(bad(pattern, length) for length in (6, 12)), strict=True)
    )


@pytest.mark.parametrize("pattern", patterns())
def test_the_counter_finds_what_python_finds(pattern):

    for text in itertools.islice(bad(pattern, 6), 300):
        assert Steps(pattern, text).found == bool(re.search(pattern.replace("$", r"\Z"), text, re.ASCII)), (
            text
        )
