"""The pages: one for each record, linked both ways, each in its own place."""

from __future__ import annotations

import dataclasses
import re
from functools import cache
from html import unescape

import pytest

from benchlore.book import links
from benchlore.book.export import export_record
from benchlore.book.model import Opening, Retired, frozen_map
from benchlore.findings import Origin
from benchlore.site import paths, words
from benchlore.site.outline import outline
from benchlore.site.page import SiteFile, SitePage, base, relative
from benchlore.site.pages import KINDS, pages_of_book
from benchlore.site.pages.family import of_family as family_pages
from benchlore.site.pages.fault import _beside
from benchlore.site.pages.part import of_family as part_pages
from benchlore.site.plan_rows import when
from benchlore.site.plans import plans
from benchlore.site.probe_table import place_of, rows, telling_rows
from benchlore.site.prose import inline, keep_units
from benchlore.site.render import environment, render
from benchlore.vocabulary import PART_KINDS, SIGNALS
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
        wanted |= {paths.symptom_on(family.id, name) for name in links.symptoms_of_family(book, family.id)}
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


def test_a_family_s_page_says_how_the_device_is_opened(book):
    """By which technique, its hazards, and what is reached without; nothing where the record says none."""
    family = dataclasses.replace(
        book.families["siskin-12"], opening=Opening(technique="iron-rework", without=("J1",))
    )
    shown = dataclasses.replace(book, families=frozen_map({**book.families, family.id: family}))
    (with_it,) = family_pages(shown, family)
    (without,) = family_pages(book, book.families[family.id])
    said = render(environment(TEMPLATES, shown), with_it)
    opening = said[said.index('id="opening"') :].partition("</section>")[0]
    technique = book.techniques["iron-rework"]
    assert technique.title in opening
    assert f'parts/J1.html">J1</a> {family.parts["J1"].name}' in opening
    assert technique.hazard
    assert all(f">{book.hazards[one].title}<" in opening for one in technique.hazard)
    assert ("opening", "Opening") in with_it.toc
    assert ("opening", "Opening") not in without.toc


@pytest.mark.slow
def test_links_run_both_ways(book, content):
    """A fault names its symptoms, nets, parts, techniques and hazards; each of these lists the fault."""
    for name, fault in book.faults.items():
        here = paths.fault(name)
        others = [paths.symptom_on(fault.family, s) for s in fault.symptom]
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


def boards_of(book):
    """The pages of symptoms on boards, each with its family and its symptom."""
    for family in book.families.values():
        for symptom in links.symptoms_of_family(book, family.id):
            yield paths.symptom_on(family.id, symptom), family, symptom


def _expected_lists(book):
    for path, family, symptom in boards_of(book):
        yield path, links.faults_of_symptom(book, symptom, family.id)
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


def heard(html):
    """The words of a piece of a page, as they are read."""
    text = re.sub(r"<svg.*?</svg>|<[^>]*>", " ", html, flags=re.DOTALL)
    return " ".join(unescape(text).split()).replace(" ,", ",").replace(" ;", ";")


def wanted_of(family, measurement):
    """What a reading needs to be taken right, in words: wherever it is asked for, each of these stands."""
    found = [*measurement.points, measurement.function.label, *measurement.unplugged]
    found += words.besides(measurement)
    found += [measurement.leads] if measurement.polarity else []
    return [heard(str(inline(text))).casefold() for text in found]


def asked_on(book, made, content):
    """Each place where a page asks for a reading: what it is, the measurement, the words there."""
    for family in book.families.values():
        for net in family.nets:
            cards = content(paths.net(family.id, net)).split('<section class="measurement" id="')[1:]
            for measurement, card in zip(links.measurements_of_net(family, net), cards, strict=True):
                yield "net", family, measurement, card.split("<dl")[0]
        path = paths.handout(family.id)
        handout, shown = content(path), made[path].context
        reads = [m for group in ("rails", "lines") for _, found in shown[group] for m in found]
        asked = handout.split('<ul class="handout-reads">')[1:]
        cards = [one for group in asked for one in group.split("</ul>")[0].split("<li>")[1:]]
        for measurement, card in zip(reads, cards, strict=True):
            yield "handout", family, measurement, card
    for fault in book.faults.values():
        yield from asked_of_fault(book, content(paths.fault(fault.id)), fault)
    for path, family, symptom in boards_of(book):
        for name, rest in named_in(content(path)):
            yield "matrix", family, family.measurements[name], re.split("</th>|</li>", rest)[0]
        _, _, board = content(paths.symptom(symptom)).partition(f'id="on-{family.id}"')
        first = plans(book)[family.id].plans[symptom].tree
        if first.kind == "measure":
            yield "begins", family, family.measurements[first.id], board.split("</section>")[0]


def asked_of_fault(book, page, fault):
    """Those of a fault's page: the rows, the proof, the ways of the plans, what tells it from others."""
    family = book.families[fault.family]
    for row in rows(book, fault):
        _, _, rest = page.partition(f'id="row-{row.number}"')
        yield "row", family, row.measurement, re.split("</tr>|</li>", rest)[0]
    proof = page[page.index('id="proof"') :].split("<li>")[1:]
    for measure, one in zip(fault.fix.confirm, proof, strict=False):
        yield "proof", family, family.measurements[measure], one
    way, _, apart = page[page.index('id="plan"') :].partition('id="neighbours"')
    for kind, html in (("way", way), ("apart", apart)):
        for name, rest in named_in(html):
            yield kind, family, family.measurements[name], re.split("</li>|<ul", rest)[0]


def named_in(html):
    """The measurements that a piece of a page names by a link, each with what follows."""
    for at in re.finditer(r'<a href="[^"]*#measure-([\w-]+)">', html):
        yield at[1], html[at.end() :]


BESIDES = ("note", "polarity", "unplugged", "inject", "between")


def test_a_reading_is_asked_for_with_all_that_it_takes(book, made, content):
    """Point, leads, function, bench state, parts unplugged, injection, note: in every place that asks."""
    seen: dict[str, set[str]] = {}
    for kind, family, measurement, html in asked_on(book, made, content):
        said, state = heard(html).casefold(), family.state_of(measurement)
        missing = [text for text in wanted_of(family, measurement) if text not in said]
        assert not missing, (kind, measurement.id, said)
        assert state.short.casefold() in said or state.title.casefold() in said, (kind, measurement.id, said)
        seen.setdefault(kind, set()).update(name for name in BESIDES if getattr(measurement, name))
    assert seen.keys() == {"net", "handout", "row", "proof", "way", "apart", "matrix", "begins"}
    assert seen["row"] >= {"note", "unplugged", "inject"}


def test_the_hazards_of_each_reading_that_a_page_asks_for_stand_on_it(book, content):
    """Above the work, or beside the reading."""
    for name, fault in book.faults.items():
        page = content(paths.fault(name))
        for at in set(re.findall(r"#measure-([\w-]+)", page)):
            family = book.families[fault.family]
            for hazard in links.hazards_of_measurement(book, family, family.measurements[at]):
                assert f">{book.hazards[hazard].title}<" in page, (name, at, hazard)
    for path, family, symptom in boards_of(book):
        page, first = content(path), plans(book)[family.id].plans[symptom].tree
        asks = [(page, at) for at in set(re.findall(r"#measure-([\w-]+)", page))]
        if first.kind == "measure":
            asks.append((content(paths.symptom(symptom)), first.id))
        for page, at in asks:
            for hazard in links.hazards_of_measurement(book, family, family.measurements[at]):
                assert f">{book.hazards[hazard].title}<" in page, (path, at, hazard)


def test_minutes_of_a_plan_follow_no_full_stop(book, content):
    """A note may end with one."""
    noted = 0
    for path, _, _ in boards_of(book):
        said = heard(content(path))
        assert not re.search(r"\.: \d+ min", said), path
        noted += len(re.findall(r"\w: \d+ min", said))
    assert noted > 20


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
        assert last < page.index('id="measure"') < page.index('id="fix"') < page.index('id="proof"'), name
    for name, technique in book.techniques.items():
        page = content(paths.technique(name))
        assert all(
            page.index(f">{book.hazards[h].title}<") < page.index('id="steps"') for h in technique.hazard
        )
    for state in book.states.values():
        page = content(paths.state(state))
        assert all(page.index(f">{book.hazards[h].title}<") < page.index('id="how"') for h in state.hazard)


def test_hazards_stand_by_their_signal_word(book, content):
    """Those that stand on the bench anyway among the others, as paper shows them."""
    met = set()
    for path in (*map(paths.fault, book.faults), *(path for path, _, _ in boards_of(book)), *nets_of(book)):
        groups = re.split(r'<div class="hazards ', content(path))[1:]
        for group in groups:
            signals = re.findall(r'<div class="hazard hazard-(\w+)', group)
            assert signals == sorted(signals, key=list(SIGNALS).index), path
            met.add(tuple(dict.fromkeys(signals)))
    assert ("danger", "warning", "caution", "notice") in met


@pytest.mark.parametrize(("often", "quiet"), [("always", False), ("sometimes", True)])
def test_a_hazard_that_a_fault_is_about_stands_in_full(book, often, quiet):
    fault = next(f for f in book.faults.values() if f.family == "siskin-12")
    shown = dataclasses.replace(fault, symptom=frozen_map({"runs-hot": often}))
    assert "lithium-pack" in book.symptoms["runs-hot"].hazard
    standing = links.standing_hazards(book, book.families["siskin-12"])
    assert "lithium-pack" in standing
    assert ("lithium-pack" in _beside(book, shown, standing)) is quiet


def test_a_point_and_its_places_are_words_apart(book, content):
    """On paper they stand in one line."""
    told = re.findall(r'<dd class="begins-where">(.*?)</dd>', content(paths.symptom("no-power")))
    assert told
    for html in told:
        said = unescape(re.sub("<[^>]+>", "", html))
        assert re.match(r"\S+ on \S+ (\S )*(top|bottom) side:", said), said


def test_the_places_of_a_part_on_no_net_are_words_apart(book):
    family = next(one for one in book.families.values() if len(one.revisions) > 1)
    part = next(iter(family.parts.values()))
    places = frozen_map(dict.fromkeys(family.revisions, (3.0, 4.0)))
    lone = dataclasses.replace(part, id="Z9", nets=(), side="top", at=places)
    family = dataclasses.replace(family, parts=frozen_map({"Z9": lone}))
    changed = dataclasses.replace(book, families=frozen_map({**book.families, family.id: family}))
    (page,) = part_pages(changed, family)
    html = render(environment(TEMPLATES, changed), page)
    (told,) = re.findall(r"<dt>Where</dt><dd>(.*?)</dd>", html, re.DOTALL)
    said = " ".join(unescape(re.sub("<[^>]+>", "", told)).split())
    assert said == "; ".join(
        f"{name} top side, 3 mm from the left edge, 4 mm from the lower edge" for name in family.revisions
    )


def nets_of(book):
    """The paths of all nets."""
    return [paths.net(family.id, net) for family in book.families.values() for net in family.nets]


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
                assert all(words.STOP in content(paths.symptom_on(family.id, s)) for s in fault.symptom)
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


def test_a_line_that_tells_something_leads_to_no_line_that_is_left_out_on_paper(book):
    for fault in book.faults.values():
        table = rows(book, fault)
        first = {row.measurement.points for row in table if not row.again}
        assert first == {row.measurement.points for row in table}, fault.id
        for row in table:
            named = table[row.again - 1] if row.again else row
            assert named.measurement.points == row.measurement.points, fault.id
            assert row.tells_nothing or not named.tells_nothing, fault.id


def test_where_a_part_is_leads_to_a_line_that_paper_has_too(each_book):
    """Lines that read as on a healthy board are left out in print."""
    referred = 0
    for fault in each_book.faults.values():
        table = rows(each_book, fault)
        place = place_of(each_book.families[fault.family], fault.cause.part, table)
        if place and place.row:
            referred += 1
            assert place.row in {row.number for row in telling_rows(table)}, fault.id
    assert referred
