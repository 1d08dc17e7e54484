"""Safety rules at the very limits that they state: the value itself, and the next beside it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book import load_book
from benchlore.book.model import Injection
from benchlore.quantity import parse_quantity
from benchlore.rules import safety
from benchlore.rules.rule import Rule
from tests.rules.fixtures import GOOD

BOOK = load_book(GOOD).book
FAMILY = BOOK.families["wren-5"]
HEAT = FAMILY.measurements["main-heat"]
STATE = BOOK.states[HEAT.state]


def refused(rule: Rule, *, volts: str = "3.2 V", limit: str = "1 A", **changed: object) -> bool:
    """Whether a rule refuses the injection of the good book with these settings."""
    inject = Injection(volts=parse_quantity(volts), limit=parse_quantity(limit))
    measurement = replace(HEAT, inject=inject)
    told = {"family": FAMILY, "measurement": measurement, "state": STATE, **changed}
    return bool(list(rule.check(**{name: told[name] for name in rule.asked})))


@pytest.mark.parametrize(
    ("volts", "limit", "no"),
    [
        ("3.2 V", "1 A", False),
        ("0 V", "1 A", True),
        ("1 mV", "1 A", False),
        ("-1 mV", "1 A", True),
        ("3.2 V", "0 A", True),
        ("3.2 V", "1 mA", False),
        ("3.2 V", "-1 mA", True),
        ("3.2 V", "5 A", False),
        ("3.2 V", "5.001 A", True),
        ("3.2 V 1%", "1 A", True),
        ("3.1 to 3.2 V", "1 A", True),
        ("3.2 V", "0 to 5 A", True),
        ("6 V", "1 A", False),  # the limit of 5 is one of amps
    ],
)
def test_what_a_supply_can_be_set_to(volts, limit, no):
    assert refused(safety.unsafe_injection, volts=volts, limit=limit) == no


@pytest.mark.parametrize(
    ("volts", "nominal", "no"),
    [
        ("3.299 V", "3.3 V", False),
        ("3.3 V", "3.3 V", False),
        ("3.301 V", "3.3 V", True),
        ("3.3 V", "3.3 V 5%", False),
        ("3.301 V", "3.3 V 5%", True),
        ("3 V", "3.0 to 4.2 V", False),
        ("3.001 V", "3.0 to 4.2 V", True),
        ("1 mV", "0 V", True),
        ("1 mV", "-5 V", True),
        ("1 mV", "under 3.3 V", True),
    ],
)
def test_nothing_above_the_normal_voltage_is_injected(volts, nominal, no):
    net = replace(FAMILY.nets[HEAT.net], nominal=parse_quantity(nominal))
    family = replace(FAMILY, nets={**FAMILY.nets, net.id: net})
    assert refused(safety.injection_too_high, volts=volts, family=family) == no


def test_a_net_without_a_normal_voltage_takes_no_injection():
    net = replace(FAMILY.nets[HEAT.net], nominal=None)
    assert refused(safety.injection_too_high, family=replace(FAMILY, nets={net.id: net}))


@pytest.mark.parametrize(
    ("sources", "discharged", "no"),
    [((), True, False), ((), False, True), (("pack",), True, True), (("pack",), False, True)],
)
def test_an_injection_wants_every_source_out_and_the_charge_gone(sources, discharged, no):
    state = replace(STATE, sources=sources, discharged=discharged)
    assert refused(safety.injection_beside_source, state=state) == no


@pytest.mark.parametrize(
    ("sources", "discharged", "injects", "count"),
    [
        ((), True, False, 0),
        ((), False, False, 1),
        (("adapter",), True, False, 1),
        (("adapter",), False, False, 1),
        ((), True, True, 1),
        (("adapter",), False, True, 2),
    ],
)
def test_ohms_want_a_board_without_power(sources, discharged, injects, count):
    ohms = next(m for m in FAMILY.measurements.values() if m.function.power == "off")
    measurement = replace(ohms, inject=HEAT.inject if injects else None)
    state = replace(STATE, sources=sources, discharged=discharged)
    found = safety.measured_under_power.check(family=FAMILY, measurement=measurement, state=state)
    assert len(list(found)) == count


@pytest.mark.parametrize(
    ("sources", "injects", "no"), [((), False, True), (("adapter",), False, False), ((), True, False)]
)
def test_volts_want_a_source_or_an_injection(sources, injects, no):
    volts = next(m for m in FAMILY.measurements.values() if m.function.power == "on")
    measurement = replace(volts, inject=HEAT.inject if injects else None)
    state = replace(STATE, sources=sources)
    assert (
        bool(list(safety.measured_without_power.check(family=FAMILY, measurement=measurement, state=state)))
        == no
    )


@pytest.mark.parametrize(
    ("mode", "text", "over"),
    [
        ("dc-volts", "60 V", False),
        ("dc-volts", "60.1 V", True),
        ("dc-volts", "-60.1 V", True),
        ("dc-volts", "0 to 60 V", False),
        ("dc-volts", "over 60 V", False),
        ("ac-ripple", "30 V", False),
        ("ac-ripple", "30.1 V", True),
    ],
)
def test_shock_begins_above_the_limits_of_class_1(mode, text, over):
    """More than 60 V d.c. or 30 V r.m.s.: IEC 62368-1, energy source class 1 (from memory)."""
    fault = next(iter(BOOK.faults.values()))
    measured = FAMILY.measurements[fault.test_points[0].measure]
    (name, outcome), *_ = measured.outcomes.items()
    shown = replace(
        measured, mode=mode, outcomes={name: replace(outcome, range=parse_quantity(text))}, inject=None
    )
    family = replace(FAMILY, measurements={**FAMILY.measurements, shown.id: shown})
    told = missing(fault, family)
    assert ("shock" in told) == over


def missing(fault, family) -> str:
    """What the rule says of a fault in a book whose hazards are none of those that the work brings."""
    hazard = replace(next(iter(BOOK.hazards.values())), id="static")
    book = replace(BOOK, families={family.id: family}, hazards={"static": hazard})
    return " ".join(one.message for one in safety.missing_hazard.check(book=book, fault=fault))
