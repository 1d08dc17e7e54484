"""A symptom's matrix and plan, and how the plan reaches a fault: what is drawn is what the plan says."""

from __future__ import annotations

import re
from html import unescape

import pytest

from benchlore.diagnosis.plan import nodes
from benchlore.site.drawings.plan_tree import FOLDED, NARROW, WIDE, drawing, in_words
from benchlore.site.outline import LONGEST, outline, ways
from benchlore.site.plans import _is_node, plans
from benchlore.site.sections.diagnosis import matrix, planned

FAMILY = "wren-5"
SYMPTOM = "dead-on-adapter"


@pytest.fixture(scope="module")
def known(small):
    return plans(small)[FAMILY]


@pytest.fixture(scope="module")
def shown(known):
    return outline(known.plans[SYMPTOM].tree)


@pytest.fixture(scope="module", params=[NARROW, WIDE], ids=["narrow", "wide"])
def drawn(request, small, known, shown):
    return drawing(small, known.family, shown, request.param, lambda fault: f"../{fault}.html")


def words_of(drawn: str) -> str:
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", drawn)
    return unescape(" ".join(texts))


def test_plans_are_made_for_the_symptoms_that_the_faults_show(small, known):
    assert set(known.plans) == {"dead-on-adapter", "no-picture"}
    assert set(plans(small)) == {FAMILY}


def test_a_kept_plan_is_judged_step_by_step():
    """Each step once: twice at each would take longer than to make the plan again, or never end."""
    packed = ["escalate", "", 1.0, 9.0, 9.0, 0.0, [], None]
    for _ in range(40):
        packed = ["measure", "m", 1.0, 2.0, 9.0, 0.0, [["dead", 1.0, packed]], None]
        packed = ["fix", "f", 1.0, 2.0, 9.0, 0.5, [], packed]
    assert _is_node(packed)
    assert not _is_node([*packed[:7], ["fix"]])
    assert not _is_node([*packed[:6], [["dead", "1.0", packed[7]]], None])


def test_an_outline_holds_the_likeliest_steps_and_accounts_for_all_jobs(book):
    for made in plans(book).values():
        for plan in made.plans.values():
            found = outline(plan.tree)
            steps = [line for line in found.lines if line.step is not None]
            assert 1 <= len(steps) <= LONGEST
            assert 0.4 < found.ends_shown <= 1 + 1e-9
            for number, line in enumerate(found.lines):
                if line.step is not None and line.step.kind == "measure" and not line.last:
                    below = [one for one in found.lines if one.parent == number]
                    assert sum(one.share for one in below) == pytest.approx(line.share)
                    named = sorted(name for one in below for name in one.outcomes)
                    assert named == sorted(branch.outcome for branch in line.step.branches)


def test_every_fix_that_is_drawn_is_a_link_to_its_fault(shown, drawn):
    fixes = {line.step.id for line in shown.lines if line.step is not None and line.step.kind == "fix"}
    assert fixes == {"wren-5/fuse-open", "wren-5/rail-short"}
    assert set(re.findall(r'<a href="\.\./([^"]+)\.html">', drawn)) == fixes


def test_the_drawing_shows_every_step_with_its_outcome_and_minutes(small, known, shown, drawn):
    text = words_of(drawn)
    for line in shown.lines:
        if line.step is not None and line.step.kind == "measure":
            measurement = known.family.measurements[line.step.id]
            assert measurement.asks in text.replace("\n", " ")
        if line.step is None:
            assert FOLDED in text
    assert "absent, under 1\u00a0V" in text
    assert "with its proof, mends" in text


def test_words_stay_within_the_drawing(drawn):
    width = float(re.search(r'viewBox="0 0 (\d+)', drawn)[1])  # type: ignore[index]
    for x, text in re.findall(r'<text class="plan-[a-z]+" x="([\d.]+)"[^>]*>([^<]*)</text>', drawn):
        longest = max(map(len, unescape(text).split(" ")))
        assert float(x) + len(unescape(text)) * 14 * 0.6 <= width + 1 or longest * 14 * 0.6 + float(x) > width


def test_a_plan_comes_in_pieces_that_fit_a_sheet_and_a_reader(book):
    """On A4 with its margins a piece is at most half a sheet high, and the words are at least 8 pt."""
    to_mm = (210 - 2 * 9) / WIDE
    assert 14 * to_mm / 25.4 * 72 >= 8
    several = 0
    for made in plans(book).values():
        for plan in made.plans.values():
            tree = drawing(book, made.family, outline(plan.tree), WIDE, str)
            views = [tuple(map(float, view.split())) for view in re.findall(r'viewBox="([^"]*)"', tree)]
            assert tree.count("<title>") == 1
            top = 0.0
            for piece, (_, start, width, height) in zip(re.split("<svg", tree)[1:], views, strict=True):
                assert start == pytest.approx(top, abs=0.11)
                assert width == WIDE
                assert height * to_mm < 140
                top = start + height
                heights = [float(y) for y in re.findall(r'<text [^>]* y="([-\d.]+)"', piece)]
                assert all(start < y < start + height for y in heights)
            several += len(views) > 2
    assert several > 5


def test_the_description_says_the_same_in_words(small, known, shown):
    said = in_words(small, known.family, shown).replace("\u00a0", " ")
    assert said.startswith("1. First: ")
    assert len(re.findall(r"(?:^| )\d+\. (?:First|If step)", said)) == len(shown.lines)
    assert "reads absent, under 1 V" in said
    assert "Fix: Input fuse open (" in said


def test_ways_lead_along_the_tree_and_their_minutes_add_up(book):
    for made in plans(book).values():
        for plan in made.plans.values():
            for fault, way in ways(plan.tree).items():
                step = plan.tree
                minutes = 0.0
                for turn in way.turns:
                    assert step is turn.step
                    minutes += step.minutes
                    if turn.outcome is None:
                        assert step.failed is not None
                        step = step.failed
                    else:
                        step = next(b.then for b in step.branches if b.outcome == turn.outcome)
                assert step is way.fix
                assert step.id == fault
                assert way.before == pytest.approx(minutes)
                assert way.minutes == pytest.approx(minutes + step.minutes)
                assert 0 < way.share <= 1 + 1e-9


def test_no_way_where_the_plan_never_tries_the_fix(known):
    tree = known.plans[SYMPTOM].tree
    tried = {node.id for node in nodes(tree) if node.kind == "fix"}
    assert set(ways(tree)) == tried


def test_the_matrix_is_blank_where_the_book_is_silent(small, known):
    faults = [small.faults["wren-5/fuse-open"], small.faults["wren-5/rail-short"]]
    rows = {row.measurement.id: row for row in matrix(known.family, faults)}
    assert "sda-level" not in rows  # neither states it
    fuse, short = rows["main-junction"].cells
    assert fuse == ()
    assert [(outcome.id, share) for outcome, share in short] == [("shorted", 1.0)]
    assert [(o.id, share) for o, share in rows["main-heat"].cells[1]] == [("hot", 0.9), ("cool", 0.1)]
    # Those that both state stand before those that one of them states.
    stated = [sum(bool(cell) for cell in row.cells) for row in rows.values()]
    assert stated == sorted(stated, reverse=True)


def test_a_plan_names_the_hazards_of_its_steps_and_starts_the_job(small, known):
    made = planned(small, known, SYMPTOM)
    assert made.hazards[0] == "lithium-pack"
    assert {"burn", "fumes"} <= set(made.hazards)
    assert made.ask == "bench.html#v=1&family=wren-5&symptom=dead-on-adapter"
    assert made.expected < made.guess


def test_what_only_leads_on_stands_straight_below(book):
    """A row moves right only where its measurement leads on in more than one way, or where it ends."""
    straight = 0
    for made in plans(book).values():
        for plan in made.plans.values():
            lines = outline(plan.tree).lines
            for line in lines:
                if line.parent is None or line.after_fix:
                    continue
                above = lines[line.parent]
                assert line.depth == above.depth + 1
                assert line.indent in (above.indent, above.indent + 1)
                below = [one for one in lines if one.parent == line.parent and not one.after_fix]
                if line.indent == above.indent:
                    straight += 1
                    assert line is below[-1]
    assert straight > 20
