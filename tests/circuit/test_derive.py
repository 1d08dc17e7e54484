import math
from dataclasses import replace

import pytest

from benchlore.book.model import frozen_map
from benchlore.circuit import derive
from benchlore.circuit.derive import reading
from benchlore.circuit.laws import LAWS
from benchlore.quantity import parse_quantity
from tests.circuit.books import FAMILY, fact, good, with_net


def derived(book, name, **changes):
    family = book.families[FAMILY]
    return derive(book, family, replace(family.measurements[name], **changes))


def read(book, net, mode="dc-volts", state="adapter-only"):
    family = book.families[FAMILY]
    return reading(book, family, family.nets[net], mode, book.states[state])


def test_a_chain_of_nets_is_followed_to_its_source():
    found = derived(good(), "sda-level")
    assert [step.net for step in found.steps] == ["MAIN", "SDA"]
    # 0.8 V x (1 + 31.6/10) = 3.328 V; 2.2 kohm against 10 Mohm takes 0.022 %.
    assert found.steps[0].value == pytest.approx(3.328)
    assert found.value == pytest.approx(3.328 / (1 + 2.2e3 / 10e6))
    low, high = 0.792 * (1 + 31.6e3 * 0.99 / 10.1e3), 0.808 * (1 + 31.6e3 * 1.01 / 9.9e3)
    assert (found.steps[0].worst.low, found.steps[0].worst.high) == pytest.approx((low, high))
    assert found.worst.contains(found.rss)
    assert found.rss.half_width < found.worst.half_width


def test_the_working_is_shown_with_its_numbers():
    found = derived(good(), "main-rail")
    assert found.formula.replace("\u00a0", " ") == (
        "V = reference × (1 + top / bottom) = 800 mV × (1 + 31.6 kohm / 10 kohm) = 3.328 V"
    )
    assert [(g.name, g.text) for g in found.last.given] == [
        ("reference", "0.800 V 1%"),
        ("top", "31.6 kohm 1%"),
        ("bottom", "10 kohm 1%"),
    ]
    assert "Art of Electronics" in found.last.source


def test_root_sum_square_of_a_feedback_divider():
    # From the partial derivatives: Vref 1 %, and each resistor 1 % of the 2.528 V that it sets.
    found = derived(good(), "main-rail")
    by_hand = math.hypot(0.01 * 3.328, 0.01 * 2.528, 0.01 * 2.528)
    assert found.rss.half_width == pytest.approx(by_hand, rel=1e-5)


def test_a_net_that_is_down_reads_nothing():
    found = derived(good(), "fused-rail", state="pack-only")
    assert found.down
    assert (found.worst.low, found.worst.high) == (0, 0)
    assert found.last.formula == "FUSED is not up in the bench state 'Pack in, adapter out'"


def test_junction_widens_with_current_and_temperature():
    book = good()
    meter = replace(book.meters["handheld"], test_current=parse_quantity("1 to 1.5 mA"))
    book = replace(book, meters=frozen_map({"handheld": meter}))
    found = derived(book, "main-junction")
    # 0.40 to 0.50 V at 1 mA and 25 degC; 1.5 mA adds VT ln 1.5 = 10.4 mV, 18 degC about 17 mV, 28 degC takes
    # about 7 mV.
    assert found.worst.low == pytest.approx(0.40 - 0.0079, abs=5e-4)
    assert found.worst.high == pytest.approx(0.50 + 0.0160 + 0.0102, abs=1e-3)


def test_a_resistance_beside_the_junction_pulls_it_down():
    bare = fact("junction", drop="0.6 V 1%")
    beside = fact("junction", drop="0.6 V 1%", parallel="1 kohm 5%")
    one = derived(with_net(good(), "MAIN", set_by=(bare,)), "main-junction")
    other = derived(with_net(good(), "MAIN", set_by=(beside,)), "main-junction")
    assert other.value < one.value - 0.01
    assert "parallel" not in [g.name for g in one.last.given]
    assert "parallel" in [g.name for g in other.last.given]


def test_the_meter_loads_a_divider_but_not_the_net_above():
    high = fact("divider", names={"from": "VIN"}, top="1 Mohm 1%", bottom="1 Mohm 1%")
    book = with_net(good(), "FUSED", set_by=(high,))
    assert derived(book, "fused-rail").value == pytest.approx(5.0 / (1 + 1e6 * (1e-6 + 1e-7)))
    line = with_net(book, "SDA", set_by=(fact("pull-up", names={"to": "FUSED"}, resistor="2.2 kohm 5%"),))
    assert derived(line, "sda-level").steps[1].value == pytest.approx(2.5)


def test_another_meter_loads_otherwise():
    book = good()
    light = replace(book.meters["handheld"], id="analogue", input_resistance=parse_quantity("20 kohm"))
    book = replace(book, meters=frozen_map(dict(book.meters) | {"analogue": light}))
    family = book.families[FAMILY]
    found = derive(book, family, family.measurements["sda-level"], "analogue")
    assert found
    assert found.value == pytest.approx(3.328 / (1 + 2.2 / 20))


@pytest.mark.parametrize(
    ("made", "mode", "value"),
    [
        (fact("supply", volts="5.0 V 5%"), "dc-volts", 5.0),
        (fact("cells", count=2, each="3.0 to 4.2 V"), "dc-volts", 7.2),
        (fact("programmed", step="16 mV", code=525, accuracy="0.5%"), "dc-volts", 8.4),
        (fact("diode", names={"from": "VIN"}, drop="0.3 V 10%"), "dc-volts", 4.7),
        (fact("switched", names={"from": "VIN"}, resistance="0.1 ohm 10%", load="1 A 10%"), "dc-volts", 4.9),
        (fact("clock", frequency="32.768 kHz 0.01%"), "hertz", 32768.0),
        (fact("draw", current="0.3 to 1.2 A"), "amps", 0.75),
        (
            fact(
                "rc-delay",
                names={"from": "VIN"},
                resistor="100 kohm 5%",
                capacitor="1 uF 10%",
                threshold="2.5 V 1%",
            ),
            "seconds",
            0.1 * math.log(2),
        ),
    ],
    ids=lambda given: getattr(given, "fact", None),
)
def test_each_law_of_a_live_reading(made, mode, value):
    found = read(with_net(good(), "MAIN", set_by=(made,)), "MAIN", mode)
    assert found.value == pytest.approx(value)
    assert found.unit == LAWS[made.fact].unit
    assert found.worst.low < found.value < found.worst.high


def test_accuracy_of_a_programmed_voltage():
    made = fact("programmed", step="16 mV", code=525, accuracy="0.5%")
    found = read(with_net(good(), "MAIN", set_by=(made,)), "MAIN")
    assert (found.worst.low, found.worst.high) == pytest.approx((8.4 * 0.995, 8.4 * 1.005))


def test_resistance_to_ground():
    made = fact("resistance", ohms="350 ohm 20%")
    found = read(with_net(good(), "MAIN", set_by=(made,)), "MAIN", "ohms", "all-off")
    assert (found.worst.low, found.worst.high) == (280, 420)


def test_a_fact_that_names_the_state_goes_first():
    facts = (
        fact("supply", volts="8.4 V 1%", states=("adapter-only",)),
        fact("supply", volts="8.2 V 1%"),
    )
    book = with_net(good(), "MAIN", set_by=facts)
    assert read(book, "MAIN").value == 8.4
    assert read(book, "MAIN", state="pack-only").value == 8.2


def test_the_higher_of_two_diodes_carries_the_net():
    facts = (
        fact("diode", names={"from": "VIN"}, drop="0.3 V 10%"),
        fact("diode", names={"from": "PACK"}, drop="0.3 V 10%"),
    )
    states = dict(good().states)
    both = replace(states["adapter-only"], id="both", sources=("adapter", "pack"))
    book = replace(good(), states=frozen_map(states | {"both": both}))
    book = with_net(book, "VIN", up_in=("adapter-only", "both"))
    book = with_net(book, "PACK", up_in=("pack-only", "both"))
    book = with_net(book, "MAIN", up_in=(), set_by=facts)
    assert read(book, "MAIN", state="both").value == pytest.approx(4.7)
    assert read(book, "MAIN", state="both").worst.low == pytest.approx(4.75 - 0.33)


def test_two_facts_in_one_state_give_nothing():
    facts = (fact("supply", volts="8.4 V 1%"), fact("supply", volts="8.2 V 1%"))
    assert read(with_net(good(), "MAIN", set_by=facts), "MAIN") is None


def test_rings_and_names_that_lead_nowhere_give_nothing():
    book = with_net(good(), "VIN", set_by=(fact("diode", names={"from": "FUSED"}, drop="0.3 V 5%"),))
    assert derived(book, "fused-rail") is None
    book = with_net(good(), "SDA", set_by=(fact("pull-up", names={"to": "GONE"}, resistor="2.2 kohm 5%"),))
    assert derived(book, "sda-level") is None
    assert derived(good(), "sda-level", net="GONE") is None
    assert derived(good(), "sda-level", state="gone") is None


def test_a_delay_that_never_ends_gives_nothing():
    never = fact(
        "rc-delay", names={"from": "MAIN"}, resistor="1 kohm 5%", capacitor="1 uF 10%", threshold="3.4 V 1%"
    )
    assert read(with_net(good(), "SDA", set_by=(never,)), "SDA", "seconds") is None


def test_what_no_fact_gives():
    assert derived(good(), "main-heat") is None
    assert derived(good(), "socket-look") is None
    assert derived(good(), "sda-level", mode="ac-ripple") is None


def test_an_open_tolerance_keeps_the_worst_case():
    made = fact("resistance", ohms="over 100 kohm")
    found = read(with_net(good(), "MAIN", set_by=(made,)), "MAIN", "ohms", "all-off")
    assert found.worst.high == math.inf
    assert found.rss == found.worst
