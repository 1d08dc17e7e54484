"""Cards are made from the records: each of them can be asked, and has one right answer."""

from __future__ import annotations

import pytest

from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.verdict import verdict
from benchlore.site.study_data import deck
from benchlore.study.cards import cards, rivals
from benchlore.study.setups import USUAL_LEADS, ceilings, choices, lead_kind, leads_of
from benchlore.study.working import STATED, working
from tests.books import example

BOOK = example()
FAMILIES = pytest.mark.parametrize("family", BOOK.families.values(), ids=lambda family: family.id)


def case_and_cards(family):
    case = make_case(BOOK, family.id)
    return case, cards(BOOK, family, case)


@FAMILIES
def test_every_measurement_outcome_and_symptom_is_asked_once(family):
    case, found = case_and_cards(family)
    ids = [card.id for card in found]
    assert len(ids) == len(set(ids))
    asked = [m for m in family.measurements.values() if m.unit is None or case.scales[m.id].ranges]
    assert len(asked) >= 20
    wanted = {f"{kind}/{m.id}" for m in asked for kind in ("reads", "setup")}
    wanted |= {f"means/{m.id}/{o}" for m in asked for o in m.outcomes}
    shown = {s for f in BOOK.faults.values() if f.family == family.id for s in f.symptom}
    wanted |= {f"job/{symptom}" for symptom in shown}
    assert wanted == {card.id for card in found if not card.between}


@FAMILIES
def test_the_meter_cannot_decide_within_the_spans(family):
    case, found = case_and_cards(family)
    doubtful = [card for card in found if card.between]
    assert len(doubtful) >= 30
    meter = BOOK.meters[case.meter]
    for card in doubtful:
        m, scale = family.measurements[card.measure], case.scales[card.measure]
        low, high = card.span
        for value in (low, (low + high) / 2, high):
            said = verdict(m, meter, scale, Reading(m.id, "", value))
            likely = {name for name, share in said.outcomes if share >= 0.05}
            assert (said.kind, likely) == ("undecided", set(card.between)), f"{card.id} at {value}"


@FAMILIES
def test_a_wrong_range_is_wrong(family):
    for m in family.measurements.values():
        for rival in rivals(family, m):
            for right in (o for o in m.outcomes.values() if o.normal):
                if right.range is None or rival.outcome.range is None:
                    assert right.id != rival.outcome.id
                else:
                    wrong = rival.outcome.range
                    assert wrong.high < right.range.low or wrong.low > right.range.high


def test_the_working_is_the_one_of_the_divider():
    # V = Vref (1 + Rtop/Rbottom), the formula in any data sheet of an adjustable converter.
    family = BOOK.families["siskin-12"]
    found = working(BOOK, family, family.measurements["standby-volts"])
    assert found is not None
    low = 1.0 * 0.99 * (1 + 20.5 * 0.99 / (10 * 1.01))
    high = 1.0 * 1.01 * (1 + 20.5 * 1.01 / (10 * 0.99))
    assert found.worst.replace("\u00a0", " ") == f"{low:.3f} V to {high:.3f} V"
    assert found.steps[-1].filled.replace("\u00a0", " ").endswith(f"= {1.0 * 3.05:.3f} V")
    assert ("reference", "1.0 V 1%") in found.steps[-1].given


@pytest.mark.parametrize(
    ("measure", "net"), [("adapter-at-inlet", "ADAPTER"), ("adapter-current", "ADAPTER")]
)
def test_what_a_record_states_is_not_derived(measure, net):
    family = BOOK.families["siskin-12"]
    found = working(BOOK, family, family.measurements[measure])
    assert found is not None
    (step,) = found.steps
    assert (step.net, step.formula, step.filled) == (net, "Stated, not derived", "")
    assert len(step.given) == 1
    assert " to " in step.worst


@FAMILIES
def test_no_working_says_that_a_value_is_itself(family):
    steps = [s for m in family.measurements.values() if (w := working(BOOK, family, m)) for s in w.steps]
    assert any(step.formula == STATED for step in steps)
    for step in steps:
        before, _, result = step.filled.partition(" = ")
        if step.formula == STATED:
            assert not step.filled
        elif result:
            assert before != result
            assert any(sign in before for sign in "×+−/,("), step.filled


def test_a_net_that_is_down_has_a_working_too():
    family = BOOK.families["siskin-12"]
    found = working(BOOK, family, family.measurements["standby-ripple"])
    assert found is None  # no fact gives a ripple


@FAMILIES
def test_an_injection_is_offered_voltages_above_the_rail(family):
    injected = [m for m in family.measurements.values() if m.inject]
    assert injected
    for m in injected:
        right, *wrong = ceilings(family, m)
        assert right == m.inject.volts
        assert wrong
        assert all(volts.low > right.high for volts in wrong)


@FAMILIES
def test_every_set_up_can_be_chosen(family):
    offered = choices(family)
    for m in family.measurements.values():
        assert m.state in offered.states
        assert m.mode in offered.modes
        assert set(m.unplugged) <= set(offered.parts)
        assert not leads_of(m) or leads_of(m) in offered.leads
        assert leads_of(m) or m.mode not in ("dc-volts", "ohms", "junction")
    assert USUAL_LEADS in offered.leads


@FAMILIES
def test_leads_of_an_ammeter_are_known_as_such(family):
    kinds = {text: lead_kind(family, text) for text in choices(family).leads}
    assert set(kinds.values()) >= {"usual", "turned"}
    for m in family.measurements.values():
        if leads_of(m):
            ammeter = kinds[leads_of(m)] in ("ammeter", "plugged")
            assert ammeter == (m.mode == "amps"), m.id


@FAMILIES
def test_the_data_name_only_what_the_book_has(family):
    found = deck(BOOK, family)
    assert {card["measure"] for card in found["cards"] if "measure" in card} == set(found["measures"])
    assert set(found["hazards"]) <= set(BOOK.hazards)
    assert found["meter"] in BOOK.meters
    for measure in found["measures"].values():
        assert measure["rivals"]
