"""A family without a word of its circuit: it passes the checks, ranks, plans and has its pages."""

import shutil

import pytest
import yaml

from benchlore.book import load_book
from benchlore.book.elements import ELEMENTS
from benchlore.book.links import faults_of_family
from benchlore.circuit.healthy import healthy
from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.plan import plan
from benchlore.diagnosis.posterior import evidence, posterior
from benchlore.diagnosis.reading import read
from benchlore.rules import check
from benchlore.site.pages import family as family_pages
from benchlore.site.pages import net as net_pages
from benchlore.site.render import environment, render
from tests.books import EXAMPLE, ROOT, example

FAMILY = "teal-8"


@pytest.fixture(scope="module")
def bare(tmp_path_factory):
    """The tests' own book with the circuit of one family taken out; its parts keep their nets, and its faults
    state what they read."""
    root = tmp_path_factory.mktemp("bare")
    shutil.copytree(EXAMPLE / "faults", root / "faults")
    whole = example().families[FAMILY]
    file = root / "faults" / FAMILY / "family.yaml"
    raw = yaml.safe_load(file.read_text(encoding="utf-8"))
    for name, net in raw["nets"].items():
        entering = whole.nets[name].enters
        for key in (*ELEMENTS, "draw", "after"):
            net.pop(key, None)
        if entering and net.get("kind", "rail") == "rail":
            net["source"] = entering[0]
    for name, part in raw["parts"].items():
        part["nets"] = list(whole.parts[name].nets)
    file.write_text(yaml.safe_dump(raw, sort_keys=False), encoding="utf-8")
    for fault in faults_of_family(example(), FAMILY):
        file = root / fault.origin.file
        raw = yaml.safe_load(file.read_text(encoding="utf-8"))
        raw.pop("reads_normal", None)
        raw["test_points"] = [
            {"measure": m, "expected_reading": dict(row) if len(row) > 1 else next(iter(row))}
            for m, row in fault.reads.items()
        ]
        file.write_text(yaml.safe_dump(raw, sort_keys=False), encoding="utf-8")
    return root


def test_it_passes_the_checks(bare):
    ours = f"faults/{FAMILY}/"
    assert [f for f in check(load_book(bare)) if f.file.startswith(ours) and f.severity != "note"] == []


def test_nothing_is_derived_of_it_but_what_it_states(bare):
    book = load_book(bare).book
    family = book.families[FAMILY]
    board = healthy(book, family)
    found = {m.id: board.of(m) for m in family.measurements.values()}
    assert all(d is None or len(d.steps) == 1 for d in found.values())
    assert all(d is None or d.unit == "V" for d in found.values())


def test_it_ranks_each_worked_example_by_what_its_faults_state(bare):
    book = load_book(bare).book
    family = book.families[FAMILY]
    case = make_case(book, FAMILY)
    meter = book.meters[book.shop.default_meter]
    for fault in (f for f in book.faults.values() if f.family == FAMILY):
        readings = [
            read(family.measurements[name], meter, text) for name, text in fault.worked_example.items()
        ]
        found = posterior(case, evidence(case, list(fault.symptom)[:1], readings))
        assert max(range(len(found)), key=found.__getitem__) == case.faults.index(fault.id), fault.id


def test_it_plans(bare):
    book = load_book(bare).book
    case = make_case(book, FAMILY)
    for symptom in case.shows:
        if any(symptom in f.symptom for f in book.faults.values() if f.family == FAMILY):
            assert plan(case, symptom).expected > 0


def test_its_pages_say_what_is_there(bare):
    book = load_book(bare).book
    family = book.families[FAMILY]
    env = environment(ROOT / "site_overrides" / "theme" / "pages", book)
    pages = [*family_pages.of_family(book, family), *net_pages.of_family(book, family)]
    assert len(pages) == 1 + len(family.nets)
    assert all("What it reads" in render(env, page) for page in pages[1:])
