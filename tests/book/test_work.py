"""What the work on a fault brings, as its steps say: techniques and hazards that nobody has to write."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from benchlore.book.links import (
    hazards_by_step,
    hazards_of_fault,
    hazards_of_measurement,
    hazards_of_work,
    standing_hazards,
    techniques_of_fault,
)
from benchlore.book.model import Book, Fault, Fix, Opening, PartUse, Step, frozen_map
from benchlore.book.work import is_bare, opened, sources_of, spared, technique_of_opening
from benchlore.findings import Origin
from benchlore.quantity import parse_quantity
from benchlore.rules.safety import DEMANDED
from benchlore.vocabulary import VERBS
from tests.books import example

HERE = Origin("faults/siskin-12/x.yaml")
SHOWN = json.loads((Path(__file__).parent / "shown_hazards.json").read_text(encoding="utf-8"))


def step(**fields):
    return Step(origin=HERE, **fields)


def worked(*steps: Step, action: str = "replace") -> tuple[Book, Fault]:
    """A fault of a board without anything but steps to bring a hazard."""
    fault = example().faults["siskin-12/pack-data-pull-up-open"]
    fix = Fix(action=action, minutes=10, steps=steps, confirm={})
    bare = replace(fault, fix=fix, test_points=(), hazard=(), techniques=())
    return example(), bare


@pytest.mark.parametrize(
    ("done", "opens"),
    [
        (step(replace=(PartUse(part="R82"),)), True),
        # What is reached without: it is opened only to solder there.
        (step(clean=("J1",), with_="alcohol"), False),
        (step(reflow=("J1",)), True),
        (step(clean=("U12",), with_="brush"), True),
        (step(fit=(PartUse(part="K1"),)), True),
        (step(unplug=("K1",)), True),
        (step(plug=("K1",)), True),
        (step(plug=("J1",)), False),
        (step(wash=True), True),
        (step(unplug=("everything",)), False),
        (step(look=("U12",)), False),
        (step(program=("U30",)), False),
        (step(measure=("core-ohms",)), False),
    ],
)
def test_a_fix_that_handles_what_lies_inside_opens_the_device(done, opens):
    book, fault = worked(done)
    family = book.families[fault.family]
    assert technique_of_opening(fault, family) == technique_of_opening(fault, None) == ""
    shut = replace(family, opening=Opening(technique="thermal-search", without=("J1",)))
    assert technique_of_opening(fault, shut) == ("thermal-search" if opens else "")
    there = replace(book, families={**book.families, family.id: shut})
    assert ("thermal-search" in techniques_of_fault(there, fault)) == opens
    brought = {*book.techniques["thermal-search"].hazard} - {*hazards_of_fault(book, fault)}
    assert brought <= {*hazards_of_fault(there, fault)} or not opens


@pytest.mark.parametrize(
    ("done", "hazards"),
    [
        (step(replace=(PartUse(part="R82"),)), {"burn", "fumes", "eye", "lithium-pack", "static"}),
        (step(remove=("U30",)), {"burn", "fumes", "eye", "lithium-pack", "static"}),
        (step(reflow=("U12",)), {"burn", "fumes"}),
        (step(fit=(PartUse(part="K1"),)), set()),
        (step(unplug=("everything",)), {"lithium-pack"}),
        (step(unplug=("pack",)), {"lithium-pack"}),
        (step(clean=("U12",), with_="alcohol"), {"solvent"}),
        (step(clean=("U12",), with_="brush"), set()),
        (step(wash=True), {"solvent", "lithium-pack", "static"}),
        (step(inject="MAIN", limit=parse_quantity("1 A")), {"burn", "eye", "stored-charge"}),
        (step(say="Touch up the joint with the iron."), {"burn", "fumes"}),
        (step(say="Lay the battery aside."), {"lithium-pack"}),
        (step(measure=("core-ohms",)), {"stored-charge", "lithium-pack", "static"}),
    ],
)
def test_a_step_brings_its_hazards(done, hazards):
    book, fault = worked(done)
    shown = set(hazards_of_fault(book, fault))
    assert hazards <= shown
    if not hazards:
        assert not shown & set(DEMANDED)


def test_a_board_without_a_pack_has_none_of_its_hazard():
    """What common records and words name of a battery: diode mode, hot air, a ship's battery in a step."""
    book, fault = worked(step(replace=(PartUse(part="R82"),)), step(say="Charge the ship's battery."))
    family = book.families["siskin-12"]
    assert spared(family) == frozenset()
    states = {
        name: None if state is None else replace(state, sources=()) for name, state in family.states.items()
    }
    parts = {
        name: replace(part, kind="ic") if part.kind == "pack" else part for name, part in family.parts.items()
    }
    bare = replace(family, states=states, parts=parts)
    without = replace(book, families={**book.families, family.id: bare}, faults={fault.id: fault})
    assert spared(bare) == {"lithium-pack"}
    assert "lithium-pack" in hazards_of_fault(book, fault)
    assert "lithium-pack" not in hazards_of_fault(without, fault)
    assert {"burn", "fumes", "static"} <= set(hazards_of_fault(without, fault))
    assert "lithium-pack" not in standing_hazards(without, bare)
    assert all("lithium-pack" not in one for one in hazards_by_step(without, fault))
    for measurement in bare.measurements.values():
        assert "lithium-pack" not in hazards_of_measurement(without, bare, measurement)


def test_a_battery_by_another_name_keeps_its_hazard():
    book, _ = worked(step(say="Look."))
    family = book.families["siskin-12"]
    states = {
        name: state and replace(state, sources=tuple("cells" if s == "pack" else s for s in state.sources))
        for name, state in family.states.items()
    }
    parts = {
        name: replace(part, kind="ic") if part.kind == "pack" else part for name, part in family.parts.items()
    }
    named = replace(family, states=states, parts=parts)
    assert "pack" not in sources_of(named)
    assert spared(named) == frozenset()
    assert "lithium-pack" in standing_hazards(book, named)


def test_a_volt_above_the_limits_of_class_one_brings_the_shock():
    """IEC 62368-1: 60 V d.c."""
    book, fault = worked(step(replace=(PartUse(part="R82"),)))
    family = book.families["siskin-12"]
    nets = dict(family.nets)
    nets["PACK_DATA"] = replace(nets["PACK_DATA"], nominal=parse_quantity("70 V"))
    live = replace(book, families={"siskin-12": replace(family, nets=nets)})
    assert "shock" in hazards_of_work(live, fault)
    assert "shock" not in hazards_of_work(book, fault)


@pytest.mark.parametrize(
    ("part", "technique"),
    [("R82", "iron-rework"), ("U12", "hot-air-replacement"), ("U30", "many-ball-replacement")],
)
def test_the_technique_follows_from_the_skill_of_the_part(part, technique):
    book, fault = worked(step(replace=(PartUse(part=part),)))
    assert techniques_of_fault(book, fault) == (technique,)


def test_washing_and_injecting_have_their_techniques():
    book, fault = worked(step(wash=True), step(inject="MAIN"))
    assert techniques_of_fault(book, fault) == ("ultrasonic-wash", "current-limited-injection")


def test_the_pack_is_unplugged_last():
    assert sources_of(example().families["siskin-12"]) == ("adapter", "pack")


@pytest.mark.parametrize("fault", sorted(SHOWN))
def test_no_fault_warns_of_less_than_before_its_hazards_were_derived(fault):
    """What each record listed by hand, with what came of its bench states and techniques."""
    book = example()
    assert set(SHOWN[fault]) <= set(hazards_of_fault(book, book.faults[fault]))


def test_every_verb_is_a_field_of_a_step_and_every_action_has_one():
    names = {field.rstrip("_") for field in Step.__dataclass_fields__}
    assert set(VERBS) <= names
    assert all(set(verb.takes) <= names for verb in VERBS.values())


def test_a_new_adapter_asks_nobody_to_hold_the_power_key():
    """The charge of the board hurts nobody who changes what is plugged in; beside a joint, it does."""
    family = example().families["siskin-12"]
    adapter = replace(family.parts["J1"], id="A1", kind="adapter")
    held = replace(
        family, discharge=parse_quantity("10 s"), parts=frozen_map({**family.parts, "A1": adapter})
    )
    new = step(replace=(PartUse(part="A1"),))

    def verbs(*steps):
        return [one.verb.id for one in opened(worked(*steps)[1], held).fix.steps if one.verb]

    assert verbs(new) == ["unplug", "replace"]
    assert verbs(step(unplug=("everything",)), step(unplug=("A1",)), new) == ["unplug", "unplug", "replace"]
    assert verbs(new, step(reflow=("J1",))) == ["unplug", "discharge", "replace", "reflow"]
    assert verbs(step(unplug=("everything",))) == ["unplug", "discharge"]
    for say in ("Solder its cable to the board.", "Wipe the socket with alcohol."):
        assert verbs(replace(new, say=say)) == ["unplug", "discharge", "replace"], say


@pytest.mark.parametrize(
    ("done", "bare"),
    [
        (step(replace=(PartUse(part="R82"),)), True),
        (step(unplug=("K1",)), True),
        (step(say="Switch the sound on in the menu."), False),
        (step(measure=("main-rail-adapter",)), False),
    ],
)
def test_work_that_touches_the_board_takes_everything_out(done, bare):
    book, fault = worked(done)
    assert is_bare(fault, book.families[fault.family]) is bare
