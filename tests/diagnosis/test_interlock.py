"""No step brings power to what a reading has proved unsafe; a later reading clears it."""

import itertools
from collections.abc import Iterator
from dataclasses import replace

import pytest

from benchlore.book.model import Book, ComesOf, Family, Measurement, frozen_map
from benchlore.diagnosis.case import Case, make_case
from benchlore.diagnosis.interlock import checks_of, interlock, reads_shorted
from benchlore.diagnosis.lookahead import after_outcome
from benchlore.diagnosis.minutes import proof_measures
from benchlore.diagnosis.plan import Node, grow_from, nodes, plan
from benchlore.diagnosis.posterior import evidence
from benchlore.diagnosis.rank import Ranking, interlocks, place, rank
from benchlore.diagnosis.reading import Reading, read
from benchlore.quantity import parse_quantity
from tests.books import example

SHORT = "0.4 ohm"


def rails(family: Family) -> Iterator[Measurement]:
    """The measurements that a short of a supply rail shows in, by the records alone."""
    for measurement in family.measurements.values():
        if not measurement.net:
            continue  # a look at a part on no net
        net = family.nets[measurement.net]
        if net.kind == "rail" and measurement.mode == "ohms":
            yield measurement


def shown(book: Book, family: Family) -> list[str]:
    return sorted({s for f in book.faults.values() if f.family == family.id for s in f.symptom})


def powered(book: Book, family: Family, case: Case, step: Node, rail: str) -> bool:
    """A step that brings a source in with the rail shorted, as far as anybody knows."""
    if step.kind == "measure":
        return bool(family.state_of(family.measurements[step.id]).sources)
    if step.kind == "escalate":
        return False
    if step.id in case.suspects:  # what is plugged in is tried under power
        return bool(case.suspects[step.id].outside)
    for measure in proof_measures(book, book.faults[step.id]):
        found = family.measurements[measure]
        if found.net == rail and found.mode == "ohms":
            return False
        if family.state_of(found).sources:
            return True
    return False


def walk(book: Book, family: Family, case: Case) -> Iterator[tuple[str, Measurement, Node]]:
    """Every rail and every symptom of a family; of the tests' own book, every two of them together."""
    measured = [rail for rail in rails(family) if rail.id in case.scales]
    symptoms = shown(book, family)
    pairs = list(itertools.product(symptoms, measured))
    if book is not example():
        longer = max(len(symptoms), len(measured)) if pairs else 0
        pairs = [(symptoms[i % len(symptoms)], measured[i % len(measured)]) for i in range(longer)]
    for symptom, rail in pairs:
        taken = read(rail, book.meters[case.meter], SHORT)
        known = evidence(case, [symptom], [taken])
        here = place(book, case, known)
        yield symptom, rail, grow_from(case.bench, here, steps=40)


def test_a_short_on_any_supply_rail_bars_every_powered_step(each_book: Book):
    walked = 0
    for family in each_book.families.values():
        case = make_case(each_book, family.id)
        for symptom, rail, tree in walk(each_book, family, case):
            steps = list(nodes(tree))
            bad = [step.id for step in steps if powered(each_book, family, case, step, rail.net)]
            assert bad == [], f"{family.id} {symptom} {rail.id}"
            walked += len(steps)
    assert walked > 100


def ranking(symptom: str, *readings: tuple[str, str], book: Book | None = None) -> Ranking:
    book = book or example()
    case = make_case(book, "siskin-12")
    family, meter = book.families["siskin-12"], book.meters[case.meter]
    taken = [read(family.measurements[m], meter, text) for m, text in readings]
    return rank(book, case, evidence(case, [symptom], taken))


def test_the_interlock_says_why_and_what_clears_it():
    (one,) = ranking("no-power", ("main-rail-ohms", SHORT)).interlocks
    assert (one.measure, one.outcome) == ("main-rail-ohms", "shorted")
    assert set(one.lock.states) == {s.id for s in example().families["siskin-12"].bench_states if s.sources}
    assert "shorted" in one.lock.why
    assert "main-rail-ohms" in one.lock.clears


def test_a_later_reading_clears_it():
    again = ranking("no-power", ("main-rail-ohms", "22 kohm"))
    assert again.interlocks == ()


def test_a_reading_with_a_part_unplugged_clears_nothing():
    """The short may be in the part that is out."""
    family = example().families["siskin-12"]
    ohms = family.measurements["main-rail-ohms"]
    part = next(p.id for p in family.parts.values() if p.unplugs)
    more = replace(ohms, id="main-rail-ohms-out", unplugged=(part,))
    wider = replace(family, measurements=frozen_map({**family.measurements, more.id: more}))
    book = replace(example(), families=frozen_map({**example().families, family.id: wider}))
    readings = (("main-rail-ohms", SHORT), ("main-rail-ohms-out", "22 kohm"))
    assert ranking("no-power", *readings, book=book).interlocks
    assert ranking("no-power", *reversed(readings), book=book).interlocks
    swapped = (("main-rail-ohms-out", SHORT), ("main-rail-ohms", "22 kohm"))
    assert not ranking("no-power", *swapped, book=book).interlocks


def with_pack_look() -> Book:
    family = example().families["siskin-12"]
    look = family.measurements["pack-connector-look"]
    first, *rest = look.outcomes.values()
    swollen = replace(rest[0], id="swollen", stop=False, bars=("pack",), means="The pack is swollen.")
    more = replace(look, id="pack-look", outcomes=frozen_map({first.id: first, "swollen": swollen}))
    wider = replace(family, measurements=frozen_map({**family.measurements, "pack-look": more}))
    return replace(example(), families=frozen_map({**example().families, family.id: wider}))


def test_a_swollen_pack_bars_the_states_with_the_pack_alone():
    book = with_pack_look()
    found = ranking("pack-not-seen", ("pack-look", "swollen"), book=book)
    (one,) = found.interlocks
    assert set(one.lock.states) == {
        s.id for s in book.families["siskin-12"].bench_states if "pack" in s.sources
    }
    states = [book.families["siskin-12"].measurements[a.id].state for a in found.next if a.kind == "measure"]
    assert "adapter-only" in states
    assert not set(states) & set(one.lock.states)
    fixes = [book.faults[a.id] for a in found.next if a.kind == "fix" and a.id in book.faults]
    assert "siskin-12/~pack" not in [a.id for a in found.next], "the pack is not tried in the device"
    proofs = [
        book.families["siskin-12"].measurements[m].state for f in fixes for m in proof_measures(book, f)
    ]
    assert not set(proofs) & set(one.lock.states)


def test_what_a_family_names_for_a_symptom_comes_before_any_source():
    """Neither the plan nor the ranking brings power to a plug that sparks before all of it was read."""
    family, first = example().families["siskin-12"], {"pack-connector-look", "main-rail-ohms"}
    one = ComesOf(id="pack-not-seen", origin=family.origin, of=tuple(family.nets), first=tuple(first))
    wider = replace(family, symptoms=frozen_map({one.id: one}))
    book = replace(example(), families=frozen_map({**example().families, family.id: wider}))
    tree = plan(make_case(book, family.id), one.id).tree
    assert tree.id in first
    outcomes = family.measurements[tree.id].outcomes
    after = next(b.then for b in tree.branches if outcomes[b.outcome].normal)
    assert {tree.id, after.id} == first
    found = [a for a in ranking(one.id, book=book).next if a.kind == "measure"]
    assert {a.id for a in found[:2]} == first
    assert not any(family.state_of(family.measurements[a.id]).sources for a in found)
    other = ranking("charges-slowly", book=book).next[0]
    assert family.state_of(family.measurements[other.id]).sources, "another symptom asks for nothing first"


@pytest.mark.parametrize("symptom", ["no-power", "runs-hot"])
def test_a_dead_or_hot_board_has_its_supply_rails_measured_before_a_source_goes_in(symptom, each_book):
    for family in each_book.families.values():
        if symptom not in shown(each_book, family):
            continue
        case = make_case(each_book, family.id)
        step, read_first = plan(case, symptom, steps=120).tree, set()
        while step.kind == "measure" and not family.state_of(family.measurements[step.id]).sources:
            read_first.add(step.id)
            outcomes = family.measurements[step.id].outcomes
            step = next(b.then for b in step.branches if outcomes[b.outcome].normal)
        wanted = {m.id for m in rails(family) if m.inject is None and not m.unplugged}
        assert wanted & set(case.bench.measures) <= read_first, f"{family.id} {symptom}"


def test_a_pack_that_is_barred_leaves_what_comes_before_any_other_source(each_book):
    """What one source is barred for says nothing of a short in the path of another.

    Common practice, no source.
    """
    book, met = with_pack_look() if each_book is example() else each_book, set[str]()
    for family in book.families.values():
        case = make_case(book, family.id)
        measures = case.bench.measures
        states = {m: family.measurements[name].state for m, name in enumerate(measures)}
        barring = [(m, o) for m in family.measurements.values() for o in m.outcomes.values() if o.bars]
        for (look, outcome), symptom in itertools.product(barring, shown(book, family)):
            before = place(book, case, evidence(case, [symptom]))
            known = evidence(case, [symptom], [Reading(look.id, "", outcome=outcome.id)])
            barred = {state for one in interlocks(book, case, known) for state in one.lock.states}
            first = {m for m in before.first if measures[m] != look.id and states[m] not in barred}
            if first:
                asked = [a.id for a in rank(book, case, known).next if a.kind == "measure"]
                assert asked[0] in {measures[m] for m in first}, f"{family.id} {symptom}"
                assert not any(family.state_of(family.measurements[a]).sources for a in asked)
                met.add(symptom)
            if look.id in measures:
                taken = measures.index(look.id), [*look.outcomes].index(outcome.id)
                assert set(after_outcome(case.bench, before, *taken).first) == first
    assert met >= ({"no-power"} if each_book is example() else {"no-power", "sparks-at-plug"})


def test_only_zero_ohms_is_a_short():
    family = example().families["siskin-12"]
    ohms = family.measurements["main-rail-ohms"]
    shorted = [o.id for o in ohms.outcomes.values() if reads_shorted(ohms, o)]
    assert shorted == ["shorted"]
    volts = family.measurements["main-rail-adapter"]
    assert not any(reads_shorted(volts, o) for o in volts.outcomes.values())
    assert interlock(family, ohms, ohms.outcomes["low"]) is None


def test_interlocks_stand_by_the_outcome_that_the_reading_is_taken_for():
    case = make_case(example(), "siskin-12")
    for value, stands in ((3.0, True), (22e3, False), (900.0, False)):
        known = evidence(case, (), [Reading("main-rail-ohms", "", value)])
        assert bool(interlocks(example(), case, known)) == stands


@pytest.mark.parametrize(
    ("text", "short"),
    [
        ("0 to 5 ohm", True),
        ("under 5 ohm", True),
        ("-1 to 1 ohm", True),
        ("1 mohm to 5 ohm", False),
        ("0 ohm", False),
        ("-5 to 0 ohm", False),
        ("over 0 ohm", True),
        ("open", False),
    ],
)
def test_a_short_is_a_range_that_begins_at_zero(text, short):
    ohms = example().families["siskin-12"].measurements["main-rail-ohms"]
    outcome = replace(ohms.outcomes["shorted"], range=parse_quantity(text))
    assert reads_shorted(ohms, outcome) == short
    assert not reads_shorted(ohms, replace(outcome, normal=True)), "a healthy net may read so"
    assert not reads_shorted(ohms, replace(outcome, range=None))


def test_a_fix_that_injects_asks_for_the_ohms_of_the_rail_behind_first():
    """MAIN is injected with 8.4 V; through a switch that is shorted the core would get them.

    Common practice, no source.
    """
    book = example()
    family = book.families["siskin-12"]
    fault = book.faults["siskin-12/main-rail-capacitor-shorted"]
    assert checks_of(book, family, fault) == ("core-ohms",)
    case = make_case(book, "siskin-12")

    def ranked(**read: str):
        taken = [Reading(m.replace("_", "-"), "", outcome=outcome) for m, outcome in read.items()]
        known = evidence(case, ["no-power"], taken)
        return rank(book, case, known), [a.id for a in rank(book, case, known).next if a.kind == "fix"]

    found, _ = ranked(main_rail_ohms="shorted", standby_ohms="normal", main_rail_adapter="absent")
    assert found.faults[0].id == fault.id
    assert (found.next[0].kind, found.next[0].id) == ("measure", "core-ohms")
    found, _ = ranked(main_rail_ohms="shorted", main_rail_adapter="absent", core_ohms="normal")
    assert found.next[0].id != "core-ohms"
    _, fixes = ranked(main_rail_ohms="shorted", main_rail_adapter="absent", core_ohms="shorted")
    assert fault.id not in fixes


def test_no_plan_injects_before_the_rail_behind_was_read():
    book = example()
    for family in book.families:
        case = make_case(book, family)
        bench = case.bench
        for symptom in sorted({s for f in case.faults[: case.recorded] for s in book.faults[f].symptom}):
            waiting = [(plan(case, symptom).tree, frozenset[str]())]
            while waiting:
                step, read = waiting.pop()
                if step.kind == "fix" and step.id in bench.faults:
                    checks = bench.checks.get(bench.faults.index(step.id), ())
                    assert {bench.measures[m] for m in checks} <= read, f"{symptom}: {step.id}"
                after = read | {step.id} if step.kind == "measure" else read
                waiting += [(branch.then, after) for branch in step.branches]
                waiting += [(step.failed, read)] if step.failed else []
