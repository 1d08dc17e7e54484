"""A symptom's matrix and plan, and how the plan reaches a fault: what is drawn is what the plan says."""

from __future__ import annotations

import pytest

from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.plan import nodes
from benchlore.diagnosis.posterior import evidence
from benchlore.diagnosis.rank import rank
from benchlore.site.outline import LONGEST, outline, ways
from benchlore.site.plan_rows import FOLDED, rows
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


@pytest.fixture(scope="module")
def listed(small, known, shown):
    return every(rows(small, known.family, shown))


def every(found):
    """All rows, from the first down, with those below each after it."""
    return [one for row in found for one in (row, *every(row.below))]


def test_plans_are_made_for_the_symptoms_that_the_faults_show(small, known):
    assert set(known.plans) == {"dead-on-adapter", "no-picture"}
    assert set(plans(small)) == {FAMILY}


def test_a_kept_plan_is_judged_step_by_step():
    """Each step once: twice at each would take longer than to make the plan again, or never end."""
    packed = ["escalate", "", 1.0, 9.0, 9.0, 0.0, [], [], None]
    for _ in range(40):
        packed = ["measure", "m", 1.0, 2.0, 9.0, 0.0, [], [["dead", 1.0, packed]], None]
        packed = ["fix", "f", 1.0, 2.0, 9.0, 0.5, [["g", 0.2]], [], packed]
    assert _is_node(packed)
    assert not _is_node([*packed[:8], ["fix"]])
    assert not _is_node([*packed[:6], [["g"]], *packed[7:]])
    assert not _is_node([*packed[:7], [["dead", "1.0", packed[8]]], None])


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


def test_every_fix_that_is_shown_names_its_fault(shown, listed):
    fixes = {line.step.id for line in shown.lines if line.step is not None and line.step.kind == "fix"}
    recorded = {"wren-5/fuse-open", "wren-5/rail-short"}
    assert recorded <= fixes
    assert {row.fault for row in listed} == {"", *recorded}


def test_what_has_no_record_is_sought_or_tried(small, known, shown, listed):
    """It has no page; the plan is that of the bench page."""
    steps = [line.step for line in shown.lines]
    sought = [
        row
        for step, row in zip(steps, listed, strict=True)
        if step is not None and step.kind == "fix" and step.id in known.case.suspects
    ]
    assert sought
    for row in sought:
        assert row.what.endswith("(suspected, no record)") or row.what.startswith("Try: ")
        assert "proof" not in row.aside


def test_the_plan_on_a_page_is_that_of_the_bench(small, known):
    case = make_case(small, FAMILY)
    first = rank(small, case, evidence(case, [SYMPTOM])).next[0]
    assert known.plans[SYMPTOM].tree.id == first.id


def test_the_rows_show_every_step_with_its_outcome_and_minutes(known, shown, listed):
    assert [row.number for row in listed] == list(range(1, len(shown.lines) + 1))
    for line, row in zip(shown.lines, listed, strict=True):
        if line.parent is not None:
            above = shown.lines[line.parent].step
            at = "" if line.after_fix else f", {known.family.measurements[above.id].net},"
            assert row.after == f"If step {line.parent + 1}{at} {'is' if line.after_fix else 'reads'}"
        if line.step is not None and line.step.kind == "measure":
            assert row.what == known.family.measurements[line.step.id].asks
        if line.step is None:
            assert (row.what, row.aside) == (FOLDED, "")
    assert listed[0].after == "First:"
    assert any(row.when.startswith("absent, under 1\u00a0V · ") for row in listed)
    assert any("with its proof, mends" in row.aside for row in listed)


def test_rows_hang_below_the_step_that_leads_to_them(book):
    """Each once, in the order of the outline; a row that leads straight on follows at the same depth."""
    straight = 0
    for made in plans(book).values():
        for plan in made.plans.values():
            shown = outline(plan.tree)
            top = rows(book, made.family, shown)
            assert [row.number for row in every(top)] == list(range(1, len(shown.lines) + 1))
            waiting = [(0, top)]
            while waiting:
                depth, chain = waiting.pop()
                for place, row in enumerate(chain):
                    line = shown.lines[row.number - 1]
                    assert line.indent == depth
                    if "straight" in row.lines:
                        straight += 1
                        assert line.parent == chain[place - 1].number - 1
                    waiting.append((depth + 1, row.below))
    assert straight > 20


def test_the_lines_lead_to_the_last_row_and_no_further(book):
    """Past other rows below a measurement the line goes on; beside the last it ends if nothing follows."""
    ends = 0
    for made in plans(book).values():
        for plan in made.plans.values():
            for row in every(rows(book, made.family, outline(plan.tree))):
                firsts = [one for one in row.below if "straight" not in one.lines]
                assert ("more" in row.lines) >= bool(firsts)
                assert all("through" in one.lines for one in firsts[:-1])
                ends += sum("end" in one.lines for one in firsts)
    assert ends > 20


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
                assert fault in (step.id, *(name for name, _ in step.also))
                assert way.before == pytest.approx(minutes)
                assert way.minutes == pytest.approx(minutes + step.minutes)
                assert 0 < way.share <= 1 + 1e-9


def test_no_way_where_the_plan_never_tries_the_fix(known):
    tree = known.plans[SYMPTOM].tree
    fixes = [node for node in nodes(tree) if node.kind == "fix"]
    tried = {node.id for node in fixes}
    also = {name for node in fixes for name, _ in node.also}
    assert set(ways(tree)) == tried | also
    assert also - tried, "what another fix mends is reached by that"


def test_the_matrix_is_blank_where_the_book_is_silent(small, known):
    faults = [small.faults["wren-5/fuse-open"], small.faults["wren-5/rail-short"]]
    found = {row.measurement.id: row for row in matrix(known.family, faults)}
    assert "sda-level" not in found  # neither states it
    fuse, short = found["main-junction"].cells
    assert fuse == ()
    assert [(outcome.id, share) for outcome, share in short] == [("shorted", 1.0)]
    assert [(o.id, share) for o, share in found["main-heat"].cells[1]] == [("hot", 0.9), ("cool", 0.1)]
    # Those that both state stand before those that one of them states.
    stated = [sum(bool(cell) for cell in row.cells) for row in found.values()]
    assert stated == sorted(stated, reverse=True)


def test_a_plan_names_the_hazards_of_its_steps(small, known):
    made = planned(small, known, SYMPTOM)
    assert made.hazards[0] == "lithium-pack"
    assert {"burn", "fumes"} <= set(made.hazards)
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
