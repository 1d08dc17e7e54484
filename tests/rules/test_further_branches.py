"""Branches of the rules that no bad record takes: what they say, where it stands, and what they let pass."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.model import Book, Compare, Step, frozen_map
from benchlore.circuit.interval import Interval
from benchlore.quantity import parse_quantity
from benchlore.rules import (
    healthy,
    measurements,
    proof,
    ranges,
    references,
    safety,
    steps,
    unused,
)
from benchlore.rules.rule import Kind, Rule, across, rule
from tests.circuit.boards import small_book
from tests.rules.asked import BOOK, FAMILY, problems, said
from tests.rules.test_beside_the_circuit import book_of, derived_of, with_measurements
from tests.rules.test_boundaries import EMPTY, FUSE, OUT, VOLTS, measuring, step, stepping
from tests.rules.test_branches import INJECT, SHORT

Q = parse_quantity
LIMITED = {"limit": Q("1 A"), "up_to": Q("1 V")}
AFTER = (step(wash=True), step(dry=Q("5 min")))


def keys(rule_: Rule, **told: Any) -> list[tuple[object, bool]]:
    """The last key of each finding, and whether it points at that key or at what stands there."""
    return [(one.origin.path[-1] if one.origin.path else "", one.on_key) for one in problems(rule_, **told)]


# Where a finding stands: at a key that should not be there or that lacks something, or at a wrong value.


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"mode": "look", "polarity": "reversed"}, "polarity"),
        ({"mode": "look", "at": "TP1", "between": ("TP1", "TP2")}, "between"),
        ({"at": "TP2", "between": ("TP1", "TP2")}, "at"),
        ({"at": "TP1", "between": ("TP1", "TP2"), "polarity": "reversed"}, "polarity"),
        ({"at": "TP1", "between": ("TP1", "TP2"), "inject": INJECT}, "between"),
    ],
)
def test_the_key_of_leads_that_do_not_fit(changes, key) -> None:
    assert keys(measurements.leads_misstated, measurement=replace(VOLTS, **changes)) == [(key, True)]


def test_the_key_of_a_comparison_that_tells_nothing() -> None:
    def told(within: float = 10.0, with_: str = "TP1", **changes: Any) -> list[tuple[object, bool]]:
        compare = Compare(with_=with_, within=within)
        one = replace(VOLTS, **{"at": "TP3", "mode": "junction", "compare": compare, **changes})
        return keys(measurements.comparison_tells_nothing, measurement=one)

    assert told() == []
    assert told(inject=INJECT) == [("compare", True)]
    assert told(at="TP1") == [("compare", True)]
    assert told(at="TP2", mode="dc-volts") == [("compare", True)]
    assert told(within=100.0) == [("within", False)]


def test_the_key_of_steps_of_a_current() -> None:
    climbing = frozen_map({"a": Q("2 to 3 A"), "b": Q("1 to 2 A")})
    volts, amps = (replace(VOLTS, mode=mode, steps=climbing) for mode in ("dc-volts", "amps"))
    assert keys(measurements.steps_out_of_order, measurement=volts) == [("steps", True)]
    assert keys(measurements.steps_out_of_order, measurement=amps) == [("b", False)]


def test_the_key_of_what_is_measured_with_or_without_power() -> None:
    on, off = BOOK.states["adapter-only"], BOOK.states["all-off"]
    ohms = replace(VOLTS, mode="ohms", inject=INJECT)
    assert keys(safety.measured_under_power, measurement=ohms, state=on) == [
        ("state", False),
        ("inject", True),
    ]
    charged = replace(off, discharged=False)
    (found,) = problems(safety.measured_under_power, measurement=replace(VOLTS, mode="ohms"), state=charged)
    assert found.mend == "use 'all-off', or say 'discharged: true' where it is so"
    (found,) = problems(safety.measured_without_power, measurement=VOLTS, state=off)
    assert (found.origin.path[-1], found.mend) == ("state", "use one of 'adapter-only', 'pack-only'")
    none = replace(FAMILY, states=frozen_map({"all-off": charged}))
    (found,) = problems(safety.measured_without_power, measurement=VOLTS, state=off, family=none)
    assert found.mend == "use one of a bench state with a source"
    (found,) = problems(safety.injection_beside_source, measurement=ohms, state=on, family=none)
    assert found.mend == "use a bench state without sources that ends discharged"


@pytest.mark.parametrize(
    ("rule_", "done", "found"),
    [
        (steps.work_under_power, (step(remove=("F1",)),), [("remove", True)]),
        (steps.work_under_power, (OUT, step(remove=("F1",))), [("remove", True)]),
        (steps.wet_at_heat_or_power, AFTER, [("wash", True)]),
        (
            steps.wet_at_heat_or_power,
            (OUT, EMPTY, AFTER[0], step(remove=("C1",)), AFTER[1]),
            [("remove", True)],
        ),
        (steps.wet_at_heat_or_power, (OUT, EMPTY, AFTER[0]), [("wash", True)]),
        (steps.unsafe_injection_step, (step(inject="MAIN"),), [("inject", True)]),
        (steps.unsafe_injection_step, (step(inject="SDA", **LIMITED),), [("inject", False)]),
        (
            steps.unsafe_injection_step,
            (step(inject="MAIN", **{**LIMITED, "limit": Q("6 A")}),),
            [("limit", False)],
        ),
        (
            steps.unsafe_injection_step,
            (step(inject="MAIN", **{**LIMITED, "up_to": Q("4 V")}),),
            [("up_to", False)],
        ),
        (steps.unsafe_injection_step, (step(inject="NOWHERE", **LIMITED),), []),
        (steps.unsafe_injection_step, (step(say="So."), step(inject="MAIN")), [("inject", True)]),
    ],
)
def test_the_key_of_a_step_that_hurts(rule_, done, found) -> None:
    assert keys(rule_, fault=stepping(*done)) == found


def test_which_of_the_settings_of_an_injection_are_missing() -> None:
    for given, missing in (
        ({}, "'limit' and 'up_to'"),
        ({"limit": Q("1 A")}, "'up_to'"),
        ({"up_to": Q("1 V")}, "'limit'"),
    ):
        (found,) = problems(steps.unsafe_injection_step, fault=stepping(step(inject="MAIN", **given)))
        assert (found.message, found.mend) == (f"current is injected without {missing}", f"add {missing}")


@pytest.mark.parametrize(
    ("fields", "found"),
    [
        ({"unplug": ("J1",), "remove": ("F1",)}, [("remove", True)]),
        ({"remove": ("F1",), "reads": "healthy"}, [("reads", True)]),
        ({}, [("", False)]),
    ],
)
def test_the_key_of_a_step_that_is_not_one_action(fields, found) -> None:
    one: Step = step(**fields)
    assert keys(steps.step_not_one_action, step=one) == found


def test_the_discharge_of_a_family_is_the_one_that_is_asked_for() -> None:
    for family, long in ((FAMILY, "10 s"), (replace(FAMILY, discharge=Q("30 s")), "30 s")):
        done = stepping(OUT, step(remove=("F1",)))
        (found,) = problems(steps.work_under_power, fault=done, family=family)
        assert found.mend == f"put 'discharge: {long}' before it"
    (found,) = problems(steps.work_under_power, fault=stepping(step(remove=("F1",))))
    assert found.mend == "put 'unplug: everything' and 'discharge: 10 s' before it"


def test_the_key_of_what_an_outcome_says() -> None:
    high = measuring(normal="3.2 to 3.4 V", high="over 3.4 V")
    assert keys(measurements.over_range_without_stop, measurement=high) == [("high", True)]
    stop = replace(high.outcomes["normal"], stop=True)
    both = replace(high, outcomes=frozen_map({**high.outcomes, "normal": stop}))
    assert keys(measurements.stop_on_normal, measurement=both) == [("stop", True)]
    assert keys(measurements.unplug_without_stop, measurement=high) == []
    assert keys(ranges.misleading_outcome_name, measurement=measuring(**{"5": "over 1 V"})) == [("5", True)]
    assert keys(ranges.misleading_outcome_name, measurement=measuring(open="1 to 2 V")) == [("open", True)]
    assert keys(ranges.range_missing, measurement=measuring(a="")) == [("a", True)]
    assert keys(ranges.range_not_read, measurement=measuring("look", a="1 to 2 V")) == [("range", True)]
    assert keys(ranges.range_without_width, measurement=measuring(a="1 V")) == [("range", False)]
    assert keys(ranges.no_normal_outcome, measurement=measuring(a="1 to 2 V")) == [("outcomes", True)]
    assert keys(ranges.no_abnormal_outcome, measurement=measuring(normal="1 to 2 V")) == [("outcomes", True)]
    assert keys(ranges.reading_without_outcome, measurement=measuring(a="1 to 2 V")) == [("outcomes", True)]


def test_the_key_of_what_proves_a_fix() -> None:
    fix = replace(SHORT.fix, confirm=frozen_map({"main-rail": "healthy"}))
    assert keys(proof.power_before_ohms, fault=replace(SHORT, fix=fix)) == [("confirm", True)]
    wrong = replace(FUSE, fix=replace(FUSE.fix, confirm=frozen_map({"fused-rail": "low"})))
    assert keys(proof.confirm_not_normal, fault=wrong) == [("fused-rail", False)]
    silent = replace(FUSE, fix=replace(FUSE.fix, confirm=frozen_map({"main-rail-on-pack": "healthy"})))
    assert keys(proof.confirm_proves_nothing, fault=silent) == [("confirm", True)]
    assert said(proof.power_before_ohms, book=replace(BOOK, families=frozen_map()), fault=SHORT) == []


# What the circuit gives.


def test_what_a_net_reads_where_it_is_down_is_not_what_its_circuit_gives() -> None:
    """In the first bench state, with the adapter in, the pack's net is down."""
    pack = replace(FAMILY.nets["PACK"], nominal=Q("9 V"))
    family = replace(FAMILY, nets=frozen_map({**FAMILY.nets, "PACK": pack}))
    (found,) = said(healthy.contradicted_nominal, book=book_of(family), family=family, net=pack)
    assert found.replace("\xa0", " ").startswith(
        "the circuit of PACK gives 3.000 V to 4.200 V, not the nominal 9 V"
    )


def test_without_a_normal_range_there_is_nothing_to_contradict() -> None:
    derived = derived_of(VOLTS)
    for one in (measuring(low="8 to 9 V"), measuring(normal="3.3 V", low="8 to 9 V")):
        assert said(healthy.contradicted_range, measurement=one, derived=derived) == []
        assert said(healthy.loose_range, measurement=one, derived=derived) == []
        swing = replace(one, mode="amplitude", at="TP3", net="SDA")
        assert said(healthy.swing_beyond_supply, measurement=swing) == []


def test_a_reading_without_an_end_has_no_loose_range() -> None:
    derived = derived_of(VOLTS)
    last = replace(derived.last, worst=Interval(derived.worst.low, math.inf))
    endless = replace(derived, steps=(*derived.steps[:-1], last))
    one = measuring(normal="over 1 V")
    assert said(healthy.loose_range, measurement=one, derived=endless) == []


def test_a_line_of_which_nothing_is_known_may_swing() -> None:
    bare = replace(FAMILY.nets["SDA"], pull=(), nominal=None, bus=None)
    family = replace(FAMILY, nets=frozen_map({**FAMILY.nets, "SDA": bare}))
    line = replace(measuring("amplitude", normal="9 to 10 V"), at="TP3", net="SDA")
    told: dict[str, Any] = {"book": book_of(family), "family": family, "measurement": line}
    assert said(healthy.swing_beyond_supply, **told) == []
    assert said(healthy.swing_beyond_supply, measurement=line)


# A line of 10 V swings to 11 V, a tenth more.
@pytest.mark.parametrize(
    ("text", "no"), [("10.99 to 12 V", False), ("11.01 to 12 V", True), ("under 12 V", False)]
)
def test_a_tenth_more_than_the_supply_is_ringing(text, no) -> None:
    book, family = small_book("nets:\n  IN: {source: {from: adapter, volts: 9 to 10 V}}\n")
    look = next(iter(family.measurements.values()))
    one = replace(look, mode="amplitude", outcomes=measuring(normal=text).outcomes)
    found = said(healthy.swing_beyond_supply, book=book, family=family, measurement=one)
    assert bool(found) == no
    assert not no or "and IN stands no higher than 10 V" in found[0]


# Outcomes.


@pytest.mark.parametrize(
    ("changes", "no"),
    [
        ({}, True),
        ({"polarity": "reversed"}, False),
        ({"between": ("TP2", "TP3")}, False),
        ({"state": "nowhere"}, False),
        ({"at": "TP9"}, False),
        ({"compare": Compare(with_="TP1", within=10.0)}, False),
    ],
)
def test_where_more_than_healthy_ends_the_work(changes, no) -> None:
    one = replace(measuring(normal="3.2 to 3.4 V", high="over 3.4 V"), **changes)
    family = with_measurements(one)
    told: dict[str, Any] = {"family": family, "measurement": family.measurements[one.id]}
    assert bool(said(measurements.over_range_without_stop, **told)) == no
    for texts in ({"high": "over 3.4 V"}, {"normal": "3.2 to 3.4 V", "high": ""}):
        other = replace(one, outcomes=measuring(**texts).outcomes)
        assert not said(measurements.over_range_without_stop, measurement=other)


@pytest.mark.parametrize(
    ("texts", "holes"),
    [
        ({"a": "5 to 10 %", "b": "10 to 20 %"}, []),  # from nothing on it need not reach
        ({"a": "-10 to 10 %", "b": "20 to 30 %"}, [(10.0, 20.0)]),
        ({"a": "under 1 %", "b": "open"}, []),
    ],
)
def test_a_comparison_begins_at_no_zero_and_ends_at_no_open(texts, holes) -> None:
    one = replace(measuring("ohms", "all-off", **texts), compare=Compare(with_="TP1", within=10.0))
    assert list(ranges._holes(BOOK, one)) == holes


def test_a_current_that_climbs_in_steps_has_no_holes() -> None:
    one = measuring("amps", a="1 to 2 A", b="5 to 6 A")
    assert list(ranges._holes(BOOK, one))
    climbing = replace(one, steps=frozen_map({"a": Q("1 to 2 A"), "b": Q("5 to 6 A")}))
    assert list(ranges._holes(BOOK, climbing)) == []


# Bench states and hazards.


def test_a_state_of_one_family_takes_out_what_that_family_has_in() -> None:
    """This one has no pack: none need be taken out."""
    own = replace(BOOK.states["all-off"], id="own", origin=FAMILY.origin, how=("Unplug the adapter.",))
    left = {"adapter-only": BOOK.states["adapter-only"], "own": own}
    family = replace(FAMILY, states=frozen_map(left))
    assert said(safety.source_left_in, book=book_of(family), state=own) == []
    with_pack = replace(family, states=frozen_map({**left, "pack-only": BOOK.states["pack-only"]}))
    assert said(safety.source_left_in, book=book_of(with_pack), state=own) == [
        "no step of 'own' takes out pack"
    ]
    dock = replace(BOOK.states["pack-only"], id="dock", sources=("dock",))
    docked = replace(family, states=frozen_map({**left, "dock": dock}))
    assert said(safety.source_left_in, book=book_of(docked), state=own) == [], (
        "of its own it speaks elsewhere"
    )


def test_what_the_common_records_lack() -> None:
    both = replace(BOOK.states["adapter-only"], sources=("adapter", "pack"), hazard=())
    live = replace(next(iter(BOOK.hazards.values())), id="probe-slip")
    known = frozen_map(
        {**BOOK.hazards, "probe-slip": live, "mains-adapter": replace(live, id="mains-adapter")}
    )
    (found,) = problems(safety.no_live_hazard, book=replace(BOOK, hazards=known), state=both)
    assert found.message == (
        "'adapter-only' has adapter and pack in and does not name the hazards probe-slip and mains-adapter"
    )
    assert found.origin.path[-1] == "sources"
    some = replace(both, hazard=("probe-slip",))
    (found,) = problems(safety.no_live_hazard, book=replace(BOOK, hazards=known), state=some)
    assert found.message.endswith("does not name the hazard mains-adapter")
    assert found.origin.path[-1] == "hazard"


# Names, and records to which nothing leads.


def test_a_name_is_told_at_its_key_or_at_its_value() -> None:
    fault = replace(FUSE, symptom=frozen_map({"nowhere": "always"}))
    assert keys(references.unknown_symptom, fault=fault) == [("nowhere", True)]
    step_ = step(measure=("main-rail", "nowhere"))
    fault = replace(
        FUSE,
        test_points=(replace(FUSE.test_points[0], measure="nowhere"),),
        worked_example=frozen_map({"nowhere": "1 V"}),
        fix=replace(FUSE.fix, confirm=frozen_map({"nowhere": "x"}), steps=(step_,)),
    )
    found = keys(references.unknown_measurement, fault=fault)
    assert found == [("measure", False), ("nowhere", True), ("nowhere", True), (1, False)]
    assert keys(references.unknown_part, family="wren-5", origin=FUSE.origin, part="F7") == [("", False)]
    for name, on_key in (("Z", True), ("Z", False)):
        told = {"family": "wren-5", "origin": FUSE.origin, "revision": name, "on_key": on_key}
        assert keys(references.unknown_revision, **told) == [("", on_key)]
    assert keys(references.unknown_hazard, origin=FUSE.origin, names=("burn", "nowhere")) == [(1, False)]


def test_what_is_not_used_is_told_at_its_key() -> None:
    found = unused.unused_symptom.check(book=BOOK, seen=[])
    assert all(one.on_key for one in found)
    states = [one.on_key for one in unused.unused_source.check(book=BOOK, seen=[["adapter"]])]
    assert states
    assert not any(states)


# What a rule is.


def _none(book: Book) -> list[str]:
    del book
    return []


def test_a_rule_is_an_error_that_may_be_waived_unless_it_says_otherwise() -> None:
    of_nothing = Kind({})

    def some_rule() -> list[Any]:
        return []

    plain, over_all = rule(each=of_nothing)(some_rule), across(visit=_none, notes=[str])(some_rule)
    for one in (plain, over_all):
        assert (one.severity, one.waivable, one.whole, one.part_of, one.name) == (
            "error",
            True,
            False,
            "",
            "some-rule",
        )
    part = across("note", visit=_none, notes=[str], waivable=False, whole=True, part_of=plain)(some_rule)
    assert (part.severity, part.waivable, part.whole, part.id) == ("note", False, True, "some-rule")
    assert list(of_nothing.own(BOOK)) == list(of_nothing.shared(BOOK)) == []
