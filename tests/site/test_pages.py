"""The pages: one for each record, linked both ways, each in its own place."""

from __future__ import annotations

import dataclasses
from functools import cache

import pytest

from benchlore.book import links
from benchlore.book.export import export_record
from benchlore.book.model import Retired, frozen_map
from benchlore.findings import Origin
from benchlore.site import paths, words
from benchlore.site.outline import outline
from benchlore.site.page import SiteFile, SitePage, base, relative
from benchlore.site.pages import KINDS, pages_of_book
from benchlore.site.plan_rows import when
from benchlore.site.plans import plans
from benchlore.site.prose import inline, keep_units
from benchlore.site.render import environment, render
from benchlore.vocabulary import PART_KINDS
from tests.books import all_pages, example_pages
from tests.site.conftest import TEMPLATES


@pytest.fixture(scope="module")
def made():
    pages, _ = example_pages()
    return {page.path: page for page in pages}


@pytest.fixture(scope="module")
def content(book, made):
    """Each page is rendered once."""
    env = environment(TEMPLATES, book)
    return cache(lambda path: render(env, made[path]))


def test_every_record_has_its_page(book, made):
    wanted = {paths.fault(name) for name in book.faults}
    wanted |= {paths.symptom(name) for name in book.symptoms}
    wanted |= {paths.hazard(name) for name in book.hazards}
    wanted |= {paths.technique(name) for name in book.techniques}
    wanted |= {paths.meter(name) for name in book.meters}
    wanted |= {paths.state(state) for state in book.states.values()}
    for family in book.families.values():
        wanted |= {paths.family(family.id)}
        wanted |= {paths.net(family.id, net) for net in family.nets}
        wanted |= {paths.part(family.id, part) for part in family.parts}
    wanted |= {paths.FAMILIES, paths.FAULTS, paths.NETS, paths.PARTS, paths.SYMPTOMS, paths.TECHNIQUES}
    wanted |= {paths.HAZARDS, paths.METERS, paths.STATES, paths.HOME, paths.LOOK_UP, paths.LEARN}
    assert wanted <= made.keys()


def test_a_part_s_page_says_what_it_is(book, content):
    for family in book.families.values():
        for part in family.parts.values():
            label = PART_KINDS[part.kind].label
            assert f"<dt>Kind</dt><dd>{label}" in content(paths.part(family.id, part.id)), part.id


def test_links_run_both_ways(book, content):
    """A fault names its symptoms, nets, parts, techniques and hazards; each of these lists the fault."""
    for name, fault in book.faults.items():
        here = paths.fault(name)
        others = [paths.symptom(s) for s in fault.symptom]
        others += [paths.net(fault.family, n) for n in links.nets_of_fault(book, fault)]
        others += [paths.part(fault.family, p) for p in links.parts_of_fault(fault)]
        others += [paths.technique(t) for t in links.techniques_of_fault(book, fault)]
        others += [paths.hazard(h) for h in links.hazards_of_fault(book, fault)]
        page = content(here)
        for other in others:
            assert f'href="{relative(here, other)}"' in page, f"{here} does not lead to {other}"
    for path, faults in _expected_lists(book):
        page = content(path)
        for fault in faults:
            assert f'href="{relative(path, paths.fault(fault.id))}"' in page, f"{path} lists no {fault.id}"


def _expected_lists(book):
    for symptom in book.symptoms:
        yield paths.symptom(symptom), links.faults_of_symptom(book, symptom)
    for technique in book.techniques:
        yield paths.technique(technique), links.faults_of_technique(book, technique)
    for hazard in book.hazards:
        yield paths.hazard(hazard), links.faults_of_hazard(book, hazard)
    for family in book.families.values():
        for net in family.nets:
            yield paths.net(family.id, net), links.faults_of_net(book, family.id, net)
        for part in family.parts:
            yield paths.part(family.id, part), links.faults_of_part(book, family.id, part)


def test_a_fault_names_its_neighbours_and_what_tells_them_apart(book, content):
    fault = book.faults["siskin-12/pen-bay-holds-pack-data-low"]
    page = content(paths.fault(fault.id))
    page = page[page.index('id="neighbours"') :]
    for other in links.neighbours(book, fault):
        assert f'href="{relative(paths.fault(fault.id), paths.fault(other.fault.id))}"' in page
    array = next(n for n in links.neighbours(book, fault) if n.fault.name.startswith("protection-array"))
    asks = book.families["siskin-12"].measurements[array.told_apart_by[0]].asks
    assert asks.replace("'", "&#39;") in page


def test_a_reading_is_asked_for_with_all_that_it_takes(book, content):
    """In the proof as in the table: leads, injection, note, parts unplugged, bench state."""
    seen = set()
    for name, fault in book.faults.items():
        page = content(paths.fault(name))
        proof = page[page.index('id="proof"') :]
        family = book.families[fault.family]
        for measure in fault.fix.confirm:
            measurement = family.measurements[measure]
            wanted = [*words.besides(measurement), family.state_of(measurement).short, *measurement.unplugged]
            wanted += [measurement.leads] if measurement.polarity else []
            for text in wanted:
                assert str(inline(text)) in proof, (name, measure, text)
            seen |= {kind for kind in ("note", "polarity", "unplugged") if getattr(measurement, kind)}
    assert "note" in seen


def test_a_proof_asks_whether_the_symptom_is_gone(book, content):
    for name, fault in book.faults.items():
        page = content(paths.fault(name))
        proof = page[page.index('id="proof"') :]
        proof = proof[: proof.index("</ul>")]
        assert "the symptom is gone: " in proof
        assert all(str(keep_units(book.symptoms[id_].title)) in proof for id_ in fault.symptom), name


def test_hazards_stand_above_what_is_asked(book, content):
    """On every page that asks for an action, the signal words come before the first action."""
    for name, fault in book.faults.items():
        page = content(paths.fault(name))
        last = max(page.index(f">{book.hazards[h].title}<") for h in links.hazards_of_fault(book, fault))
        assert last < page.index('id="measure"') < page.index('id="cause"') < page.index('id="proof"'), name
    for name, technique in book.techniques.items():
        page = content(paths.technique(name))
        assert all(
            page.index(f">{book.hazards[h].title}<") < page.index('id="steps"') for h in technique.hazard
        )
    for state in book.states.values():
        page = content(paths.state(state))
        assert all(page.index(f">{book.hazards[h].title}<") < page.index('id="how"') for h in state.hazard)


def test_a_fault_of_one_revision_says_so(book, content):
    limited = [f for f in book.faults.values() if f.revisions and len(f.revisions) == 1]
    assert limited
    for fault in limited:
        assert f"Revision {fault.revisions[0]} only." in content(paths.fault(fault.id))


def test_moved_and_retired_ids_lead_on(book):
    at = Origin("faults/siskin-12/old.yaml")
    now = "siskin-12/inlet-fuse-open"
    gone = {
        "siskin-12/old": Retired(id="siskin-12/old", origin=at, moved_to="siskin-12/older"),
        "siskin-12/older": Retired(id="siskin-12/older", origin=at, moved_to=now),
        "siskin-12/ring": Retired(id="siskin-12/ring", origin=at, moved_to="siskin-12/ring"),
        "siskin-12/wrong": Retired(
            id="siskin-12/wrong", origin=at, retired="It was the symptom of <another> fault."
        ),
    }
    changed = dataclasses.replace(book, retired=frozen_map(gone))
    pages = {page.path: page for page in pages_of_book(changed) if isinstance(page, SitePage)}
    env = environment(TEMPLATES, changed)
    assert 'href="inlet-fuse-open.html"' in render(env, pages["siskin-12/old.html"])
    assert 'href="index.html"' in render(env, pages["siskin-12/ring.html"])
    withdrawn = render(env, pages["siskin-12/wrong.html"])
    assert "It was the symptom of &lt;another&gt; fault." in withdrawn
    assert 'href="index.html"' in withdrawn


def test_a_record_page_names_its_file_and_its_data(book, made, content):
    shown = [page for page in made.values() if page.record is not None]
    assert len(shown) > len(book.faults)
    for page in shown:
        html = content(page.path)
        assert page.source in book.files
        assert f'href="{relative(page.path, page.source_path)}"' in html
        assert f'href="{relative(page.path, page.data_path)}"' in html
        data = export_record(book, page.record, book.families.get(page.family or ""))
        assert data["id"] == page.record.id
        assert data.get("file", page.source) == page.source


def test_two_pages_never_share_a_file(small):
    def twice(book):
        yield SitePage("a/X.html", "X", "x.html")
        yield SiteFile("a/x.html", "")

    with pytest.raises(ValueError, match=r"a/x.html and a/X.html would be the same file"):
        all_pages(small, (twice,))
    with pytest.raises(ValueError, match=r"would be the same file"):
        all_pages(small, (*KINDS, *KINDS))


@pytest.mark.parametrize(
    ("here", "there", "link"),
    [
        ("index.html", "a/b.html", "a/b.html"),
        ("a/b.html", "index.html", "../index.html"),
        ("a/b.html", "a/c.html#x", "c.html#x"),
        ("a/nets/N.html", "a/nets/N.html#x", "#x"),
        ("a/nets/N.html", "b/index.html", "../../b/index.html"),
        ("a/b.html", "a/b.html", "b.html"),
    ],
)
def test_relative_links(here, there, link):
    assert relative(here, there) == link


def test_the_way_to_the_root():
    assert [base(path) for path in ("index.html", "a/b.html", "a/b/c.html")] == ["", "../", "../../"]


def test_an_outcome_that_ends_the_work_under_power_says_so_wherever_it_stands(book, content):
    """In words: on the net's page, on the cards of the faults that read so, in their symptoms' matrix."""
    stops = 0
    for family in book.families.values():
        for net in family.nets:
            measured = links.measurements_of_net(family, net)
            ending = [o for m in measured for o in m.outcomes.values() if o.stop]
            stops += len(ending)
            assert content(paths.net(family.id, net)).count(words.STOP) == len(ending), net
    assert stops > 10
    shown = 0
    for name, fault in book.faults.items():
        family = book.families[fault.family]
        for expected in fault.test_points:
            outcomes = family.measurements[expected.measure].outcomes
            if any(outcomes[o].stop and share > 0 for o, share in expected.expected_reading.items()):
                shown += 1
                assert words.STOP in content(paths.fault(name))
                assert all(words.STOP in content(paths.symptom(symptom)) for symptom in fault.symptom)
    assert shown


def test_a_plan_marks_the_outcomes_that_end_the_work_under_power(book):
    marked = 0
    for family, made in plans(book).items():
        for plan in made.plans.values():
            shown = outline(plan.tree)
            for line in shown.lines:
                above = (
                    shown.lines[line.parent].step if line.parent is not None and not line.after_fix else None
                )
                if above is not None:
                    outcomes = book.families[family].measurements[above.id].outcomes
                    ending = [o for o in line.outcomes if outcomes[o].stop]
                    marked += len(ending)
                    assert when(made.family, shown.lines, line).count("(stop)") == len(ending)
    assert marked > 10
