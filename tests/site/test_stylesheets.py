"""Colours stand in one style sheet, and each component of a page in one."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

from benchlore.site.bundles import SHELL_STYLE

FOLDER = Path(__file__).resolve().parents[2] / "site_overrides" / "assets" / "css"
COLOURS = "colours.css"
# Changes for paper what the others lay out for a screen.
PAPER = "print.css"
_COLOUR = re.compile(
    r"#[0-9a-f]{3,8}\b|\b(?:rgb|rgba|hsl|hsla|hwb|lab|lch|oklab|oklch)\(|\b(?:white|black|red|green|blue|grey|gray)\b"
    r"(?=[ ;])",
    re.IGNORECASE,
)
_CLASS_ALONE = re.compile(r"(?:[a-z0-9]+)?\.([a-z][\w-]*)(?:::?[\w-]+)?")


def sheets() -> dict[str, str]:
    """The style sheets by name, without comments."""
    return {
        path.name: re.sub(r"/\*.*?\*/", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        for path in sorted(FOLDER.glob("*.css"))
    }


def declarations(text: str) -> Iterator[str]:
    for block in re.findall(r"\{([^{}]*)\}", text):
        yield from (one.strip() for one in block.split(";") if one.strip())


def test_colours_stand_in_one_style_sheet():
    found = [
        f"{name}: {one}"
        for name, text in sheets().items()
        if name != COLOURS
        for one in declarations(text)
        if _COLOUR.search(one.partition(":")[2] + ";")
    ]
    assert found == []


def test_each_colour_has_its_value_once_for_a_screen():
    screen, _, paper = sheets()[COLOURS].partition("@media print")
    named = [one.partition(":")[0] for one in declarations(screen)]
    named = [name for name in named if name.startswith("--")]
    assert sorted(named) == sorted(set(named))
    assert {one.partition(":")[0] for one in declarations(paper)} - {"color-scheme"} < set(named)


def test_every_colour_that_is_named_is_there():
    known = {one.partition(":")[0] for text in sheets().values() for one in declarations(text)}
    asked = {name for text in sheets().values() for name in re.findall(r"var\((--[\w-]+)", text)}
    assert asked - known == set()
    unused = {name for name in known if name.startswith("--")} - asked
    assert unused == set()


def test_a_component_is_laid_out_in_one_style_sheet():
    where: dict[str, set[str]] = defaultdict(set)
    for name, text in sheets().items():
        for selectors in re.findall(r"([^{}]+)\{", text) if name != PAPER else ():
            for selector in selectors.split(","):
                if found := _CLASS_ALONE.fullmatch(selector.strip()):
                    where[found[1]].add(name)
    assert {name: sorted(files) for name, files in where.items() if len(files) > 1} == {}


def test_what_stands_before_a_sibling_has_a_class_an_id_or_an_attribute():
    """Where it has none (`li + li`), Chromium styles every list item anew when any element comes or goes."""
    screen = {Path(part).name for part in (*SHELL_STYLE.parts, "bench.css")} - {PAPER}
    found = []
    for name in sorted(screen):
        for rule in re.findall(r"([^{};]+)\{", sheets()[name]):
            bare = rule
            while bare != (bare := re.sub(r"\([^()]*\)", "", bare)):
                pass
            before = re.findall(r"([^\s>+~,]+)\s+[+~]\s", bare)
            found += [f"{name}: {rule.strip()}" for one in before if not re.search(r"[.#[]", one)]
    assert found == []
