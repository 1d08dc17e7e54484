"""What work costs: bench states, unplugging, proofs, and parts by the labour rate."""

from dataclasses import replace

import pytest

from benchlore.book.model import frozen_map
from benchlore.diagnosis.minutes import (
    NOTHING,
    Setup,
    change_minutes,
    fix_minutes,
    parts_minutes,
    price_minutes,
    proof_measures,
    proof_minutes,
    risk_minutes,
    skill_of,
)
from tests.books import example

FAMILY = example().families["siskin-12"]


def test_price_by_the_labour_rate():
    shop = replace(example().shop, labour_rate=60.0)
    assert price_minutes(shop, 9.0) == pytest.approx(9.0)
    assert price_minutes(replace(shop, labour_rate=30.0), 9.0) == pytest.approx(18.0)


def test_same_set_up_costs_nothing():
    stands = Setup("adapter-only", frozenset({"E7"}))
    assert change_minutes(example(), FAMILY, stands, stands) == 0


def test_another_state_costs_its_minutes_and_every_part_its_own():
    states, shop = example().states, example().shop
    there = Setup("pack-only", frozenset({"E7", "J9"}))
    assert change_minutes(example(), FAMILY, NOTHING, there) == pytest.approx(
        states["pack-only"].minutes + 2 * shop.unplug_minutes
    )
    assert change_minutes(
        example(), FAMILY, Setup("pack-only", frozenset({"E7", "X1"})), there
    ) == pytest.approx(2 * shop.unplug_minutes)


@pytest.mark.parametrize("name", sorted(example().faults))
def test_fix_is_the_work_its_parts_and_its_proof(name):
    fault = example().faults[name]
    whole = fix_minutes(example(), fault)
    assert proof_minutes(example(), fault) > 0, "every fix is proved"
    spent = fault.fix.minutes + parts_minutes(example(), fault) + proof_minutes(example(), fault)
    assert whole == pytest.approx(spent + risk_minutes(example(), fault))


def test_what_a_fix_risks_is_in_its_price():
    """Of the fixes with hot air one in twenty makes a new fault, which costs an escalation of 150 minutes."""
    shorted = example().faults["siskin-12/main-rail-capacitor-shorted"]
    assert skill_of(example(), shorted) == "hot-air"
    assert risk_minutes(example(), shorted) == pytest.approx(0.05 * 150)
    cleaned = replace(shorted, fix=replace(shorted.fix, action="clean"))
    assert (skill_of(example(), cleaned), risk_minutes(example(), cleaned)) == ("none", 0)
    shop = replace(example().shop, risk=frozen_map({"replace": 10.0, "hot-air": 5.0}))
    assert risk_minutes(replace(example(), shop=shop), shorted) == pytest.approx(15), (
        "the action stands first"
    )


def test_a_proof_powers_the_board_last():
    """What was mended is looked at without power before a source goes in again."""
    mixed = 0
    for fault in example().faults.values():
        family = example().families[fault.family]
        live = [
            bool(example().states[family.measurements[m].state].sources)
            for m in proof_measures(example(), fault)
        ]
        assert live == sorted(live), fault.id
        mixed += len(set(live)) == 2
    assert mixed > 5


def test_part_without_a_price_costs_nothing():
    fault = next(f for f in example().faults.values() if f.fix.parts)
    family = example().families[fault.family]
    free = {
        name: replace(part, replace=replace(part.replace, price=None)) for name, part in family.parts.items()
    }
    cheap = replace(example(), families={**example().families, family.id: replace(family, parts=free)})
    assert parts_minutes(cheap, fault) == 0


def test_what_is_plugged_in_is_tried_and_not_bought():
    fault = next(f for f in example().faults.values() if parts_minutes(example(), f) > 0)
    family = example().families[fault.family]
    plugged = {name: replace(part, kind="accessory") for name, part in family.parts.items()}
    tried = replace(example(), families={**example().families, family.id: replace(family, parts=plugged)})
    assert parts_minutes(tried, fault) == 0
