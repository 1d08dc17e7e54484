"""Steps as sentences."""

from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.model import PartUse, Step
from benchlore.findings import Origin
from benchlore.quantity import parse_quantity
from benchlore.site.steps import _Speaker
from benchlore.vocabulary import VERBS
from tests.books import example

HERE = Origin("faults/siskin-12/x.yaml")
SAID: dict[str, tuple[dict[str, Any], str]] = {
    "unplug": (
        {"unplug": ("everything", "E7")},
        "Unplug the adapter, then the pack, then E7 (pen bay with its charging contacts).",
    ),
    "plug": ({"plug": ("adapter",)}, "Plug in the adapter."),
    "discharge": ({"discharge": parse_quantity("10 s")}, "Hold the power key for 10\u00a0s."),
    "wait": ({"wait": parse_quantity("10 min")}, "Wait for 10\u00a0min."),
    "look": ({"look": ("Q61",)}, "Look at Q61 (low-side switch of the core converter)."),
    "press": ({"press": ("U30",)}, "Press on U30 (embedded controller)."),
    "measure": (
        {"measure": ("core-ohms",), "reads": "normal"},
        "Measure ohms at L60_OUT on CORE: it must read 5.4 to 8.2\u00a0Ω (normal). Null the leads first. "
        "Half an ohm of theirs counts here.",
    ),
    "inject": (
        {"inject": "MAIN", "limit": parse_quantity("1 A"), "up_to": parse_quantity("8.4 V")},
        "Inject 0.5\u00a0V into MAIN, limit 1\u00a0A, and look for heat. While nothing warms up, raise the "
        "voltage in small steps, to 8.4\u00a0V at most.",
    ),
    "remove": ({"remove": ("U30",)}, "Take U30 (embedded controller) off."),
    "fit": ({"fit": (PartUse(part="U30"),)}, "Fit a new U30 (embedded controller)."),
    "replace": (
        {"replace": (PartUse(part="R82", value=parse_quantity("2.2 kohm 5%")),)},
        "Replace R82 (pull-up resistor of the data line) with 2.2\u00a0kΩ ±5%.",
    ),
    "reflow": (
        {"reflow": ("J1",), "if_": "its legs are loose", "say": "Do so from both sides."},
        "If its legs are loose: reflow the joints of J1 (adapter inlet). Do so from both sides.",
    ),
    "clean": ({"clean": ("J1",), "with_": "alcohol"}, "Clean J1 (adapter inlet) with a brush and alcohol."),
    "wash": ({"wash": True}, "Wash the board."),
    "dry": ({"dry": parse_quantity("60 min")}, "Let it dry for 60\u00a0min."),
    "program": ({"program": ("U30",)}, "Write the program of U30 (embedded controller)."),
    "set": (
        {"set_": ("U30",), "say": "No tool."},
        "Change a setting of U30 (embedded controller). No tool.",
    ),
    "try": ({"try_": ("K1",)}, "Try a known good K1 (keyboard with power key)."),
}


@pytest.mark.parametrize("verb", VERBS)
def test_a_verb_is_a_sentence(verb):
    fields, said = SAID[verb]
    speaker = _Speaker(example().families["siskin-12"])
    assert speaker.sentence(Step(origin=HERE, **fields)) == said


def test_a_reading_that_a_step_waits_for_is_said_by_its_place():
    speaker = _Speaker(example().families["siskin-12"])
    step = Step(origin=HERE, replace=(PartUse(part="U30"),), if_="core-ohms then reads low, self-made")
    assert speaker.sentence(step) == (
        "If ohms at L60_OUT on CORE then reads low, self-made: replace U30 (embedded controller)."
    )


def test_a_look_is_not_measured():
    family = example().families["siskin-12"]
    named = next(key for key, one in family.measurements.items() if one.mode == "look" and one.to_ground)
    said = _Speaker(family).sentence(Step(origin=HERE, measure=(named,), reads="normal"))
    assert said.startswith("Look at ")


def test_a_family_says_how_its_own_charge_goes():
    family = example().families["siskin-12"]
    empty = replace(family.bench_states[0], title="All out", origin=HERE)
    speaker = _Speaker(replace(family, states={"all-out": empty}))
    assert speaker.sentence(Step(origin=HERE, discharge=parse_quantity("2 min"))) == (
        "Wait for 2\u00a0min, as *All out* has it."
    )


def test_words_alone_stay_as_they_are():
    speaker = _Speaker(None)
    assert speaker.sentence(Step(origin=HERE, say="Save the data.")) == "Save the data."
    assert speaker.sentence(Step(origin=HERE, say="Save the data.", if_="it wakes")) == (
        "If it wakes: save the data."
    )
    assert speaker.sentence(Step(origin=HERE, unplug=("everything",))) == "Unplug every source, the pack too."
