"""What could be at fault: recorded, suspected from the circuit, outside the board, something else."""

from collections import defaultdict
from dataclasses import replace

import pytest

from benchlore.book.model import Book, frozen_map
from benchlore.diagnosis import hypotheses
from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.hypotheses import hypotheses_of
from benchlore.diagnosis.posterior import Evidence, evidence, posterior
from benchlore.diagnosis.rank import Ranking, rank
from benchlore.diagnosis.reading import read
from benchlore.diagnosis.suspects import outside_of, suspects_of
from tests.books import example

FAMILIES = ("siskin-12", "teal-8")


def ranking(
    book: Book, family: str, symptom: str, typed: dict[str, str], tried: tuple[str, ...] = ()
) -> Ranking:
    case = make_case(book, family)
    meter, known = book.meters[case.meter], book.families[family].measurements
    return rank(
        book,
        case,
        evidence(case, [symptom], [read(known[m], meter, text) for m, text in typed.items()], tried),
    )


@pytest.mark.parametrize("family", FAMILIES)
def test_priors_and_rows_sum_to_one(family):
    known = hypotheses_of(example(), example().families[family])
    assert sum(known.prior) == pytest.approx(1)
    assert len(known.prior) == len(known.names) + 1
    assert all(p > 0 for p in known.prior)
    for rows in known.rows.values():
        assert all(sum(row) == pytest.approx(1, abs=1e-7) for row in rows)
    assert all(0 < p < 1 for row in known.shows.values() for p in row)


def test_a_revision_with_the_same_faults_and_measurements_shares_what_was_worked_out():
    """And one where a test point is missing, or a fault does not occur, is worked out for itself."""
    book, family = example(), example().families["siskin-12"]
    fault = next(f for f in book.faults.values() if f.family == family.id)
    only = replace(fault, revisions=("A",))
    alike = replace(book, faults=frozen_map({i: replace(f, revisions=()) for i, f in book.faults.items()}))
    apart = replace(alike, faults=frozen_map({**alike.faults, fault.id: only}))
    points = {
        name: replace(point, at=frozen_map(dict.fromkeys(family.revisions, next(iter(point.at.values())))))
        for name, point in family.test_points.items()
        if point.at
    }
    same = replace(family, test_points=frozen_map({**family.test_points, **points}))
    one, other = (hypotheses_of(alike, same, revision) for revision in (None, "A"))
    assert (one.revision, other.revision) == (None, "A")
    assert one.rows is other.rows
    here, there = (hypotheses_of(apart, same, revision) for revision in ("A", "B"))
    assert fault.id in here.names
    assert fault.id not in there.names
    name = next(m.points[0] for m in family.measurements.values() if m.points and m.points[0] in points)
    on_a = replace(points[name], part="", at=frozen_map({"A": points[name].at["A"]}))
    missing = {**same.test_points, name: on_a}
    without = replace(family, test_points=frozen_map(missing))
    left, right = (hypotheses_of(alike, without, revision) for revision in ("A", "B"))
    assert set(left.rows) > set(right.rows)


@pytest.mark.parametrize("family", FAMILIES)
def test_suspects_have_no_record_and_stand_apart(family):
    found = suspects_of(example(), example().families[family])
    assert len({one.id for one in found}) == len(found)
    stated = {
        (f.cause.part, way.mode, way.at or "")
        for f in example().faults.values()
        for way in (f.cause, *f.cause.variants)
        if f.family == family and way.mode
    }
    seen = set()
    for one in found:
        assert sum(m.share for m in one.members) == pytest.approx(1) or not one.members
        assert one.minutes > 0
        for member in one.members:
            if member.mode:
                key = (member.part, member.mode, member.at)
                assert key not in stated
                seen.add(key)
    assert len(seen) > 20


@pytest.mark.parametrize("family", FAMILIES)
def test_what_is_outside_has_the_share_that_the_symptom_names(family):
    """So many of the jobs with the symptom, before anything is read: the recorded faults of a kind are among
    them, and only what they leave is suspected.
    """
    case = make_case(example(), family)
    shown = {s for fault in example().faults.values() if fault.family == family for s in fault.symptom}
    for symptom in (example().symptoms[s] for s in sorted(shown)):
        probabilities = posterior(case, Evidence((symptom.id,)))
        told, suspected = defaultdict[str, float](float), defaultdict[str, float](float)
        for name, p in zip(case.faults, probabilities, strict=False):
            if name in case.suspects:
                suspected[case.suspects[name].outside] += p
            else:
                told[outside_of(example(), example().faults[name])] += p
        for kind, percent in symptom.outside.items():
            if suspected[kind]:
                wanted = max(told[kind], percent / 100)
                assert told[kind] + suspected[kind] == pytest.approx(wanted, abs=0.05), f"{symptom.id} {kind}"


def test_a_part_outside_is_suspected_by_what_it_shows_and_of_what_no_record_has():
    """Of a hundred jobs 20 are the accessories': 8 are recorded, so 12 are left, for the one that shows the
    symptom three times as often nine of them. The pack's records hold more than its 30, so a tenth is left:
    what the book leaves unknown, as it does of the hundred.
    """
    kinds = ["", "accessory", "pack", "accessory", "accessory", "pack"]
    weights = [40.0, 8.0, 35.0, 0.0, 0.0, 0.0]
    shown = [1.0, 1.0, 1.0, 0.6, 0.2, 0.5, 1.0]
    found = hypotheses._of_outside(kinds, 3, weights, shown, {"accessory": 20.0, "pack": 30.0}, 0.1)
    assert found == pytest.approx({3: 9.0, 4: 3.0, 5: 3.0})


def test_a_fix_that_is_tried_with_what_is_plugged_in_needs_no_abnormal_reading():
    """Battery not seen, everything healthy: a pack that is known good is tried, and no board is heated."""
    typed = {"main-rail-adapter": "8.40 V", "pack-data-volts": "3.05 V", "pack-connector-look": "clean"}
    found = ranking(example(), "siskin-12", "pack-not-seen", typed)
    assert found.faults[0].id == "siskin-12/~pack"
    assert found.faults[0].probability > 0.5
    assert found.whose[0][0] == "pack"
    assert next(a.id for a in found.next if a.kind == "fix") == "siskin-12/~pack"


def test_a_board_on_which_all_reads_healthy_leads_to_something_else_once_the_pack_was_tried():
    family = example().families["siskin-12"]
    case = make_case(example(), "siskin-12")
    typed = {}
    for m in case.bench.measures:
        outcome = next(o for o in family.measurements[m].outcomes.values() if o.normal)
        middle = outcome.range.middle if outcome.range else None
        typed[m] = outcome.id if middle is None else str(middle)
    tried = ["siskin-12/~pack"]
    found = ranking(example(), "siskin-12", "pack-not-seen", typed, tuple(tried))
    while found.next[0].kind == "fix":
        assert found.not_in_book > max(one.probability for one in found.faults)
        assert not [
            a for a in found.next if a.kind == "fix" and case.bench.guarded >> case.faults.index(a.id) & 1
        ]
        tried.append(found.next[0].id)
        found = ranking(example(), "siskin-12", "pack-not-seen", typed, tuple(tried))
    assert found.next[0].kind == "escalate"
    assert all(case.suspects[name].outside for name in tried), "what is plugged in, before it is given up"
    assert sum(case.suspects[name].minutes for name in tried) < 60


def test_a_short_of_a_rail_names_the_other_parts_on_it():
    """Whoever has no record of the capacitor still finds the rail's suspects as one line."""
    book = example()
    case = make_case(book, "siskin-12")
    shorts = [
        s
        for s in case.suspects.values()
        if any(m.at == "MAIN" and m.mode == "shorted-to-ground" for m in s.members)
    ]
    assert shorts
    (one,) = shorts
    worth = [m.share / m.minutes for m in one.members]
    matched = ["firmware" in book.families["siskin-12"].parts[m.part].replace.donor for m in one.members]
    free = [w for w, late in zip(worth, matched, strict=True) if not late]
    assert free == sorted(free, reverse=True)
    assert matched == sorted(matched), "parts with firmware matched to their board come last"


def test_the_parts_of_a_rail_share_a_short_by_jobs_modes_and_number():
    """Three quarters of a job for each way of failing, shared by the modes of a kind as FMD-91 has them.

    By hand, on MAIN of Siskin 12: the recorded capacitor has its jobs and a half; beside it stand the ways of
    the others by the table, and nobody else.
    """
    book = example()
    known = hypotheses_of(book, book.families["siskin-12"])
    recorded = known.names.index("siskin-12/main-rail-capacitor-shorted")
    group = next(
        s
        for s in known.suspects
        if any(m.at == "MAIN" and m.mode == "shorted-to-ground" for m in s.members) and not s.outside
    )
    seen = book.faults["siskin-12/main-rail-capacitor-shorted"].seen
    ratio = known.prior[known.names.index(group.id)] / known.prior[recorded]
    assert ratio == pytest.approx(0.75 * group.weight / (seen + 0.5))
    # 0.8 x 0.17 of four modes at two rails is a quarter of a job for a converter; of others less.
    assert group.weight > 0.1 * len({m.part for m in group.members})


def test_a_silent_record_reads_as_its_circuit_foretells():
    """The cracked clock resistor says nothing of the standby rail; the circuit does: it is not touched."""
    book = example()
    known = hypotheses_of(book, book.families["siskin-12"])
    fault = book.faults["siskin-12/pack-clock-resistor-cracked"]
    measure = next(
        m
        for m in known.rows
        if m not in {e.measure for e in fault.test_points}
        and book.families["siskin-12"].measurements[m].mode == "ohms"
    )
    place = known.names.index(fault.id)
    normal = [
        o in book.families["siskin-12"].measurements[measure].normal
        for o in book.families["siskin-12"].measurements[measure].outcomes
    ]
    row = known.rows[measure][place]
    assert sum(p for p, healthy in zip(row, normal, strict=True) if healthy) > 0.9


def test_a_board_without_records_is_unknown_in_three_jobs_of_ten():
    """Its suspects share the others, as the least that a book without jobs knows."""
    book = replace(example(), faults=frozen_map({}))
    known = hypotheses_of(book, book.families["siskin-12"])
    assert known.prior[-1] == hypotheses.MOST_UNKNOWN
    assert sum(known.prior) == pytest.approx(1)
    assert min(known.prior) > 0
