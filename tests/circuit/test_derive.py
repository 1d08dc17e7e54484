import math
from dataclasses import replace

import pytest

from benchlore.book.elements import Source
from benchlore.book.model import Net, frozen_map
from benchlore.circuit import derive
from benchlore.circuit.healthy import _held, healthy
from benchlore.quantity import parse_quantity
from tests.circuit.boards import small_book
from tests.circuit.books import FAMILY, HERE, good, with_net


def derived(book, name, **changes):
    family = book.families[FAMILY]
    return derive(book, family, replace(family.measurements[name], **changes))


def read(book, net, mode="dc-volts", state="adapter-only"):
    return healthy(book, book.families[FAMILY]).reading(net, mode, state)


def of_small(text, net, mode="dc-volts", state="on"):
    return healthy(*small_book(text)).reading(net, mode, state)


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
    beside = [{"to": "ground", "ohms": "1 kohm 5%"}]
    one = derived(with_net(good(), "MAIN", junction="0.6 V 1%"), "main-junction")
    other = derived(with_net(good(), "MAIN", junction="0.6 V 1%", pull=beside), "main-junction")
    assert other.value < one.value - 0.01
    assert other.worst.high < one.worst.high - 0.01
    assert "parallel" not in [g.name for g in one.last.given]
    assert "parallel" in [g.name for g in other.last.given]


DIVIDER = """
nets:
  IN: {source: {from: adapter, volts: 5 V 1%}}
  HALF:
    pull:
      - {to: IN, ohms: 1 Mohm 1%}
      - {to: ground, ohms: 1 Mohm 1%}
  BEHIND: {converter: {from: HALF, way: both, volts: 3 V 1%}}
"""


def test_the_meter_loads_a_divider():
    assert of_small(DIVIDER, "HALF").value == pytest.approx(5.0 / (1 + 1e6 * (1e-6 + 1e-7)))
    assert [step.net for step in of_small(DIVIDER, "HALF").steps] == ["IN", "HALF"]


def test_the_meter_does_not_load_the_net_above():
    """10 Mohm halves with the meter of 10 Mohm on it; a line that is pulled to it sees it whole."""
    two = """
nets:
  IN: {source: {from: adapter, volts: 5 V 1%}}
  LINE: {pull: {to: IN, ohms: 10 Mohm 1%}}
  SIDE: {pull: {to: LINE, ohms: 1 ohm 1%}}
"""
    assert of_small(two, "LINE").value == pytest.approx(2.5)
    assert of_small(two, "SIDE").steps[1].value == pytest.approx(5.0)


def test_another_meter_loads_otherwise():
    book = good()
    light = replace(book.meters["handheld"], id="analogue", input_resistance=parse_quantity("20 kohm"))
    book = replace(book, meters=frozen_map(dict(book.meters) | {"analogue": light}))
    family = book.families[FAMILY]
    found = derive(book, family, family.measurements["sda-level"], "analogue")
    assert found
    assert found.value == pytest.approx(3.328 / (1 + 2.2 / 20))


LAWS_OF = """
nets:
  SUPPLY: {source: {from: adapter, volts: 5 V 5%}, draw: {"on": 0.3 to 1.2 A}}
  STATED: {source: adapter, nominal: 5.0 V 5%}
  CELLS: {source: {from: adapter, cells: 2, each: 3.0 to 4.2 V}}
  FIXED: {converter: {from: SUPPLY, volts: 1.8 V 2%}}
  CODED: {converter: {from: SUPPLY, way: up, step: 16 mV, code: 525, accuracy: 0.5%}}
  DIVIDED: {converter: {from: SUPPLY, reference: 0.8 V 1%, top: 30 kohm 1%, bottom: [R1, 10 kohm 1%]}}
  UNKNOWN: {converter: {from: SUPPLY}, nominal: 3.3 V 5%}
  DIODE: {path: {from: SUPPLY, drop: 0.3 V 10%}}
  SWITCHED: {path: {from: SUPPLY, ohms: 100 mohm 10%, load: 1 A 10%}}
  BARE: {path: {from: SUPPLY}}
  DRIVEN: {kind: control, signal: {by: U1, needs: SUPPLY, volts: 1.8 V 5%}}
  CLOCK: {kind: clock, signal: {by: U1, needs: SUPPLY, hertz: 32.768 kHz 0.01%}}
  LATE:
    kind: control
    delay: {from: SUPPLY, ohms: 100 kohm 5%, farads: 1 uF 10%, threshold: 2.5 V 1%}
parts:
  U1: {kind: ic}
  R1: {kind: resistor}
"""


@pytest.mark.parametrize(
    ("net", "mode", "value"),
    [
        ("SUPPLY", "dc-volts", 5.0),
        ("SUPPLY", "amps", 0.75),
        ("STATED", "dc-volts", 5.0),
        ("CELLS", "dc-volts", 7.2),
        ("FIXED", "dc-volts", 1.8),
        ("CODED", "dc-volts", 8.4),
        ("DIVIDED", "dc-volts", 3.2),
        ("UNKNOWN", "dc-volts", 3.3),
        ("DIODE", "dc-volts", 4.7),
        ("SWITCHED", "dc-volts", 4.9),
        ("BARE", "dc-volts", 5.0),
        ("DRIVEN", "dc-volts", 1.8),
        ("CLOCK", "hertz", 32768.0),
        ("LATE", "seconds", 0.1 * math.log(2)),
    ],
)
def test_each_law_of_a_live_reading(net, mode, value):
    found = of_small(LAWS_OF, net, mode)
    assert found.value == pytest.approx(value, rel=1e-3)
    assert not found.down
    assert found.worst.low < found.value < found.worst.high
    # The law by itself, and the board as a whole, say the same.
    assert found.worst.contains(found.rss)


def test_accuracy_of_a_programmed_voltage():
    found = of_small(LAWS_OF, "CODED")
    assert (found.worst.low, found.worst.high) == pytest.approx((8.4 * 0.995, 8.4 * 1.005))


def test_a_converter_that_steps_down_gives_no_more_than_it_gets():
    more = """
nets:
  IN: {source: {from: adapter, volts: 5 V 5%}}
  OUT: {converter: {from: IN, volts: 12 V 1%}}
"""
    assert of_small(more, "OUT").worst.high == pytest.approx(5.25)


def test_resistance_to_ground():
    found = read(with_net(good(), "MAIN", load="350 ohm 20%"), "MAIN", "ohms", "all-off")
    assert (found.worst.low, found.worst.high) == pytest.approx((280, 420))


def test_an_element_counts_in_the_bench_states_that_it_names():
    two = [
        {"from": "FUSED", "in": ["adapter-only"], "volts": "3.4 V 1%"},
        {"from": "PACK", "in": ["pack-only"], "way": "both", "volts": "3.2 V 1%"},
    ]
    book = with_net(good(), "MAIN", converter=two)
    assert read(book, "MAIN").value == 3.4
    assert read(book, "MAIN", state="pack-only").value == 3.2


def test_the_higher_of_two_diodes_carries_the_net():
    two = """
nets:
  IN: {source: {from: adapter, volts: 5.0 V 5%}}
  CELL: {source: {from: pack, cells: 1, each: 3.0 to 4.2 V}}
  MAIN:
    path:
      - {from: IN, drop: 0.3 V 10%}
      - {from: CELL, drop: 0.3 V 10%}
"""
    assert of_small(two, "MAIN", state="both").value == pytest.approx(4.7)
    assert of_small(two, "MAIN", state="both").worst.low == pytest.approx(4.75 - 0.33)
    assert of_small(two, "MAIN", state="pack").value == pytest.approx(3.3)


def test_what_several_elements_set_together_is_said_in_words():
    """1 kohm to 5 V, 1 kohm to 3 V and 1 kohm to ground: 8/3 V between them."""
    two = """
nets:
  IN: {source: {from: adapter, volts: 5.0 V 1%}}
  LOW: {converter: {from: IN, volts: 3.0 V 1%}}
  LINE:
    pull:
      - {to: IN, ohms: 1 kohm 1%}
      - {to: LOW, ohms: 1 kohm 1%}
      - {to: ground, ohms: 1 kohm 1%}
"""
    found = of_small(two, "LINE")
    assert found.value == pytest.approx(8 / 3, rel=1e-3)
    assert "currents" in found.formula
    assert [given.net for given in found.last.given] == ["IN", "LOW", ""]


def test_rings_and_names_that_lead_nowhere_give_nothing():
    book = with_net(good(), "VIN", path={"from": "FUSED"}, source=None)
    assert derived(book, "fused-rail") is None
    book = with_net(good(), "SDA", pull={"to": "GONE", "ohms": "2.2 kohm 5%"})
    assert derived(book, "sda-level") is None
    assert derived(good(), "sda-level", net="GONE") is None
    assert derived(good(), "sda-level", state="gone") is None


def test_a_delay_that_never_ends_gives_nothing():
    never = {"from": "MAIN", "ohms": "1 kohm 5%", "farads": "1 uF 10%", "threshold": "3.4 V 1%"}
    assert read(with_net(good(), "SDA", pull=None, delay=never), "SDA", "seconds") is None


def test_what_nothing_gives():
    assert derived(good(), "main-heat") is None
    assert derived(good(), "socket-look") is None
    assert derived(good(), "sda-level", mode="ac-ripple") is None


def test_nothing_is_owed_of_the_circuit():
    """A net of which only the normal voltage is known stands at that, and has a range where that has a
    tolerance; one of which nothing is known says nothing."""
    bare = "nets: {RAIL: {nominal: 3.3 V 2%}, EXACT: {nominal: 3.3 V}, OTHER: {}}"
    assert of_small(bare, "EXACT") is None
    assert of_small(bare, "RAIL").value == pytest.approx(3.3)
    assert of_small(bare, "RAIL", state="off") is None
    assert of_small(bare, "OTHER") is None


def test_a_path_without_a_load_drops_nothing():
    text = """
    nets:
      VIN: {source: {from: adapter, volts: 5.0 V}}
      OUT: {path: {from: VIN, ohms: 100 mohm}}
    """
    found = of_small(text, "OUT")
    assert (found.worst.low, found.worst.high) == pytest.approx((5.0, 5.0), rel=1e-6)


@pytest.mark.parametrize(
    ("given", "met"),
    [
        ("5 V", ["1 ohm to IN", "10 kohm to IN", "10 kohm to ground"]),
        ("1 V", ["12 V", "10 kohm", "10 kohm", "10 Mohm"]),
    ],
)
def test_a_switched_path_meets_a_net_where_it_carries(given, met):
    found = of_small(
        f"""
nets:
  IN: {{source: {{from: adapter, volts: 12 V}}}}
  EN: {{converter: {{part: U1, from: IN, volts: {given}}}}}
  OUT:
    path: {{part: Q1, from: IN, ohms: 1 ohm, needs: {{EN: 3 to 6 V}}}}
    pull: [{{part: R1, to: IN, ohms: 10 kohm}}, {{part: R2, to: ground, ohms: 10 kohm}}]
parts: {{U1: {{kind: ic}}, Q1: {{kind: mosfet}}, R1: {{kind: resistor}}, R2: {{kind: resistor}}}}
""",
        "OUT",
    )
    assert [one.text.replace("\u00a0", " ") for one in found.last.given] == met


T = 0.1 * math.log(2)  # 100 kohm x 1 uF x ln 2


@pytest.mark.parametrize(
    ("net", "mode", "formula", "given", "strays"),
    [
        ("SUPPLY", "dc-volts", "V = 5 V = 5.000 V", "volts 5 V 5%", 0.25),
        ("SUPPLY", "amps", "I = 750 mA = 750.0 mA", "current 0.3 to 1.2 A", 0.45),
        ("CELLS", "dc-volts", "V = cells × V(cell) = 2 × 3.6 V = 7.200 V", "count 2, each 3.0 to 4.2 V", 1.2),
        (
            "CODED",
            "dc-volts",
            "V = step × code = 16 mV × 525 = 8.400 V",
            "step 16 mV, code 525, accuracy ± 0.5%",
            0.042,
        ),
        # Of the reference 1 %, and of each resistor 1 % of the 2.4 V that it sets.
        (
            "DIVIDED",
            "dc-volts",
            "V = reference × (1 + top / bottom) = 800 mV × (1 + 30 kohm / 10 kohm) = 3.200 V",
            "reference 0.8 V 1%, top 30 kohm 1%, bottom 10 kohm 1%",
            math.hypot(0.032, 0.024, 0.024),
        ),
        (
            "DIODE",
            "dc-volts",
            "V = V(from) − drop = 5.000 V − 300 mV = 4.700 V",
            "SUPPLY 4.75 V to 5.25 V, drop 0.3 V 10%",
            math.hypot(0.25, 0.03),
        ),
        (
            "SWITCHED",
            "dc-volts",
            "V = V(from) − resistance × load = 5.000 V − 100 mohm × 1 A = 4.900 V",
            "SUPPLY 4.75 V to 5.25 V, resistance 100 mohm 10%, load 1 A 10%",
            math.hypot(0.25, 0.01, 0.01),
        ),
        (
            "BARE",
            "dc-volts",
            "V = V(from) − resistance × load = 5.000 V − 0 ohm × 0 A = 5.000 V",
            "SUPPLY 4.75 V to 5.25 V, resistance 0 ohm, load 0 A",
            0.25,
        ),
        ("DRIVEN", "dc-volts", "V = 1.8 V = 1.800 V", "volts 1.8 V 5%", 0.09),
        ("CLOCK", "hertz", "f = 32.77 kHz = 32.77 kHz", "frequency 32.768 kHz 0.01%", 3.2768),
        (
            "CLOCK",
            "period",
            "T = 1 / f = 1 / 32.77 kHz = 30.52 us",
            "frequency 32.768 kHz 0.01%",
            1e-4 / 32768,
        ),
        # R, C, the threshold by RC/(Vs - Vth), the supply by RC (Vth/Vs)/(Vs - Vth).
        (
            "LATE",
            "seconds",
            "t = −resistor × capacitor × ln(1 − threshold / V(from)) = −100 kohm × 1 uF × ln(1 − 2.5 V / "
            "5.000 V) = 69.31 ms",
            "resistor 100 kohm 5%, capacitor 1 uF 10%, threshold 2.5 V 1%, SUPPLY 4.75 V to 5.25 V",
            math.hypot(0.05 * T, 0.1 * T, 0.1 / 2.5 * 0.025, 0.1 * 0.5 / 2.5 * 0.25),
        ),
    ],
)
def test_each_law_in_words_and_how_far_it_strays(net, mode, formula, given, strays):
    found = of_small(LAWS_OF, net, mode)
    assert found.formula.replace("\u00a0", " ") == formula
    assert ", ".join(f"{one.name} {one.text}" for one in found.last.given).replace("\u00a0", " ") == given
    assert found.rss.half_width == pytest.approx(strays, rel=1e-4)
    assert [one.net for one in found.last.given if one.net] == (["SUPPLY"] if "SUPPLY" in given else [])


def test_what_a_path_carries_matters_with_its_ohms_alone():
    """Of 2 A nothing is lost in a path of which nobody knows the ohms: the rail strays as its supply does."""
    found = of_small(
        "nets: {IN: {source: {from: adapter, volts: 5 V 2%}}, OUT: {path: {from: IN, load: 2 A 10%}}}", "OUT"
    )
    assert found.value == pytest.approx(5.0)
    assert found.rss.half_width == pytest.approx(0.1, rel=1e-6)


@pytest.mark.parametrize(
    ("mode", "state", "known"),
    [
        ("dc-volts", "on", True),
        ("dc-volts", "off", False),  # without a source there is nothing to work out
        ("dc-volts", "nowhere", False),
        ("ohms", "off", False),  # no load is stated
        ("junction", "off", False),
        ("hertz", "on", False),
        ("seconds", "on", False),
        ("delay", "on", False),
        ("amps", "on", True),
        ("amps", "pack", False),
    ],
)
def test_what_is_known_of_a_supply(mode, state, known):
    assert (of_small(LAWS_OF, "SUPPLY", mode, state) is not None) is known
    assert of_small(LAWS_OF, "NOWHERE", mode, state) is None


ORDERED = """
nets:
  IN: {source: {from: adapter, volts: 5 V 2%}}
  A: {converter: {part: U1, from: IN, volts: 3 V}, after: {IN: 2 to 4 ms}}
  B: {converter: {part: U1, from: IN, volts: 2 V}, after: {IN: 1 ms, A: 3 ms}}
  C: {load: 40 to 60 ohm, junction: 0.5 V, pull: [{to: ground, ohms: 1 kohm}, {to: ground, ohms: 2 kohm}]}
parts: {U1: {kind: ic}}
"""


def test_the_start_order_the_load_and_the_junction_in_words():
    late = of_small(ORDERED, "A", "delay")
    assert (late.worst.low, late.worst.high, late.value) == pytest.approx((0.002, 0.004, 0.003))
    assert of_small(ORDERED, "B", "delay") is None, "it waits for two"
    load = of_small(ORDERED, "C", "ohms", "off")
    assert (load.worst.low, load.worst.high, load.value) == pytest.approx((40, 60, 50))
    drop = of_small(ORDERED, "C", "junction", "off")
    assert [one.name for one in drop.last.given] == ["drop", "test current", "temperature"], (
        "beside two pulls"
    )


def test_where_no_path_carries_nothing_is_said():
    """A rail whose only path waits for a rail that is too low."""
    text = """
nets:
  IN: {source: {from: adapter, volts: 12 V}}
  EN: {converter: {part: U1, from: IN, volts: 1 V}}
  OUT: {path: {part: Q1, from: IN, ohms: 1 ohm, needs: {EN: 3 to 6 V}}}
  SIDE: {path: {part: Q1, from: OUT, ohms: 1 ohm}}
parts: {U1: {kind: ic}, Q1: {kind: mosfet}}
"""
    for net in ("OUT", "SIDE"):
        found = of_small(text, net)
        assert found.down
        assert found.formula == f"{net} is not up in the bench state 'on' = 0.000\u00a0V"


def test_a_cell_whose_number_is_not_stated_is_one():
    each = parse_quantity("3.0 to 4.2 V")
    source = Source(origin=HERE, from_="pack", each=each)
    assert _held(source, Net(id="CELL", origin=HERE, for_="")) == ("cells", {"count": 1, "each": each})
