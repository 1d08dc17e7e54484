"""A family of twelve points, twelve healthy readings and four faults, without a word of its circuit.

It passes the checks, ranks, plans and has its pages. Then five facts, one line each, and what each bought.
"""

from __future__ import annotations

import shutil
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import pytest
import yaml

from benchlore.book import load_book
from benchlore.book.links import faults_of_family
from benchlore.book.model import Book, Family
from benchlore.circuit.foretold import foretold, in_full
from benchlore.circuit.healthy import healthy
from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.plan import plan
from benchlore.diagnosis.posterior import evidence, posterior
from benchlore.diagnosis.reading import read
from benchlore.diagnosis.suspects import suspects_of
from benchlore.rules import check
from benchlore.site.pages import family as family_pages
from benchlore.site.pages import fault as fault_pages
from benchlore.site.pages import net as net_pages
from benchlore.site.render import environment, render
from benchlore.site.sections.circuit import known
from tests.books import EXAMPLE, ROOT

FAMILY = "robin-4"
VOLTS = {
    "IN": 12.0,
    "FUSED": 12.0,
    "MAIN": 5.0,
    "LOGIC": 3.3,
    "CORE": 1.0,
    "MEMORY": 1.5,
    "IO": 1.8,
    "LIGHT": 9.0,
    "SDA": 3.3,
    "SCL": 3.3,
    "RESET": 3.3,
    "ENABLE": 5.0,
}
LINES = ("SDA", "SCL", "RESET", "ENABLE")
PARTS = {
    "F1": ("fuse", ["IN", "FUSED"], "iron"),
    "U1": ("ic", ["FUSED", "MAIN"], "hot-air"),
    "U2": ("ic", ["MAIN", "LOGIC"], "hot-air"),
    "R4": ("resistor", ["LOGIC", "SDA"], "iron"),
}
DEAD_BEHIND_MAIN = ["MAIN", "LOGIC", "CORE", "MEMORY", "IO", "LIGHT", "SDA", "SCL", "RESET", "ENABLE"]
FAULTS = {
    "input-fuse-open": ("F1", "no-power", ["FUSED", *DEAD_BEHIND_MAIN]),
    "main-converter-dead": ("U1", "no-power", DEAD_BEHIND_MAIN),
    "logic-converter-dead": ("U2", "no-picture", ["LOGIC", "SDA", "SCL", "RESET"]),
    "data-pull-up-open": ("R4", "touch-dead", ["SDA"]),
}
ABOVE = {"F1": "IN", "U1": "FUSED", "U2": "MAIN", "R4": "LOGIC"}
# A net, and the one line that is known of it.
FACTS = (
    ("IN", "source: {from: adapter, volts: 12 V 2%}"),
    ("FUSED", "path: {part: F1, from: IN, ohms: 30 mohm 20%, load: 0 to 2 A}"),
    ("MAIN", "converter: {part: U1, from: FUSED, volts: 5 V 2%}"),
    (
        "LOGIC",
        "converter: {part: U2, from: MAIN, reference: 0.8 V 1%, top: 30.9 kohm 1%, bottom: 10 kohm 1%}",
    ),
    ("SDA", "pull: {part: R4, to: LOGIC, ohms: 2.2 kohm 5%}"),
)


class Bought(NamedTuple):
    """`ranges`: healthy ranges that the circuit gives; `foretold`: readings of recorded faults that it gives;
    `suspects`: parts without a record that can be suspected; `known`: what the family's page counts."""

    ranges: int
    foretold: int
    suspects: int
    known: int


def family(facts: int) -> dict[str, object]:
    nets = {
        name: {"for": f"It stands at {volts:g} V.", **({"kind": "control"} if name in LINES else {})}
        for name, volts in VOLTS.items()
    }
    for net, fact in FACTS[:facts]:
        nets[net] |= yaml.safe_load(fact)
    return {
        "title": "Robin 4",
        "kind": "other",
        "summary": "A board that nobody has a schematic of.",
        "revisions": {"A": {"tell": "The letter A stands beside the socket."}},
        "states": ["nothing-connected", "adapter-only"],
        "board": {
            "width": "120 mm",
            "height": "80 mm",
            "landmarks": {
                "Socket": {"side": "top", "at": {"A": ["6 mm", "40 mm"]}, "size": ["12 mm", "10 mm"]}
            },
        },
        "nets": nets,
        "parts": {
            name: {
                "name": f"{kind} {name}",
                "kind": kind,
                "package": "1206",
                "nets": on,
                "replace": {"minutes": 10, "skill": skill, "price": 1},
            }
            for name, (kind, on, skill) in PARTS.items()
        },
        "test_points": {
            f"TP{i}": {"net": name, "side": "top", "at": {"A": [f"{8 * i} mm", "30 mm"]}, "where": f"pad {i}"}
            for i, name in enumerate(VOLTS, 1)
        },
        "measurements": {
            f"{name.lower()}-volts": {
                "at": f"TP{i}",
                "mode": "dc-volts",
                "state": "adapter-only",
                "asks": f"Does {name} stand?",
                "healthy": f"{volts * 0.95:.3g} to {volts * 1.05:.3g} V",
            }
            for i, (name, volts) in enumerate(VOLTS.items(), 1)
        },
    }


def fault(name: str) -> dict[str, object]:
    part, symptom, dead = FAULTS[name]
    return {
        "title": f"{PARTS[part][0].capitalize()} {part} is open, so {dead[0]} is dead",
        "symptom": {symptom: "always"},
        "summary": "What hangs on it is dead.",
        "test_points": [
            {"measure": f"{net.lower()}-volts", "expected_reading": "absent", "note": "It is not fed."}
            for net in dead
        ],
        "reads_normal": [f"{net.lower()}-volts" for net in VOLTS if net not in dead],
        "cause": {"part": part, "mode": "open", "how": "It grew old."},
        "seen": 3,
        "fix": {
            "action": "replace",
            "minutes": 12,
            "steps": [{"unplug": "everything"}, {"discharge": "10 s"}, {"replace": part}],
            "confirm": {f"{dead[0].lower()}-volts": "normal"},
        },
        "worked_example": {
            f"{ABOVE[part].lower()}-volts": f"{VOLTS[ABOVE[part]]:.2f} V",
            f"{dead[0].lower()}-volts": "0.02 V",
        },
    }


@cache
def book_with(facts: int, folder: Path) -> tuple[Path, Book]:
    root = folder / str(facts)
    shutil.copytree(EXAMPLE / "faults" / "common", root / "faults" / "common")
    own = root / "faults" / FAMILY
    own.mkdir()
    for name, record in (("family", family(facts)), *((name, fault(name)) for name in FAULTS)):
        (own / f"{name}.yaml").write_text(yaml.safe_dump(record, sort_keys=False), encoding="utf-8")
    return root, in_full(load_book(root).book)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("five-facts")


def bought(book: Book, record: Family) -> Bought:
    board = healthy(book, record)
    on_board = [s for s in suspects_of(book, record) if not s.outside]
    section = known(book, record)
    rows = section.context["rows"] if section else ()
    return Bought(
        sum(d is not None and not d.down for d in map(board.of, record.measurements.values())),
        sum(len(rows) for rows in foretold(book, record).values()),
        len(on_board),
        sum(row.there for row in rows),
    )


def test_it_passes_the_checks_without_a_fact_and_with_five(folder):
    for facts in (0, len(FACTS)):
        root, _ = book_with(facts, folder)
        found = [
            f
            for f in check(load_book(root))
            if f.file.startswith(f"faults/{FAMILY}/") and f.severity != "note"
        ]
        assert [f"{f.rule}: {f.message}" for f in found] == []


def test_without_a_fact_it_ranks_plans_and_has_its_pages(folder):
    _, book = book_with(0, folder)
    record, meter = book.families[FAMILY], book.meters[book.shop.default_meter]
    case = make_case(book, FAMILY)
    for one in faults_of_family(book, FAMILY):
        readings = [read(record.measurements[m], meter, text) for m, text in one.worked_example.items()]
        found = posterior(case, evidence(case, list(one.symptom), readings))
        assert max(range(len(found)), key=found.__getitem__) == case.faults.index(one.id), one.id
        assert plan(case, next(iter(one.symptom))).expected > 0
    env = environment(ROOT / "site_overrides" / "theme" / "pages", book)
    made = [*family_pages.of_family(book, record), *net_pages.of_family(book, record)]
    made += [page for page in fault_pages.of_family(book, record) if hasattr(page, "title")]
    assert len(made) >= 1 + len(VOLTS) + len(FAULTS)
    assert all(render(env, page) for page in made)


def test_what_each_fact_buys(folder):
    """The table of DEVELOPERS.md."""
    found = [
        bought(book_with(n, folder)[1], book_with(n, folder)[1].families[FAMILY])
        for n in range(len(FACTS) + 1)
    ]
    assert found[0][:3] == (0, 0, 0)
    for before, after in pairwise(found):
        assert all(b <= a for b, a in zip(before, after, strict=True))
        assert before != after
