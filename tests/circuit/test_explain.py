"""Why a net reads what it reads: the steps of each kind of fault, worked out by hand from the circuit."""

from __future__ import annotations

import pytest

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Predictor
from benchlore.circuit.interval import Interval
from tests.circuit.boards import small
from tests.circuit.test_predict import PREDICTOR as LADDER

SWITCHED = Predictor(
    small("""
nets:
  IN: {source: {from: adapter, volts: 12 V, limit: 2 A, part: J1}}
  CHARGED:
    converter:
      part: U1
      from: IN
      step: 100 mV
      code: 84
      accuracy: 1%
      command: {by: U9, needs: KEEP, default: {code: 80}}
    path: {part: D2, from: PACK, in: [pack, both], drop: 0.3 to 0.5 V}
  PACK: {source: {from: pack, cells: 2, each: 3 to 4 V}}
  KEEP: {converter: {part: U2, from: CHARGED, volts: 3.3 V}}
  RUN:
    kind: control
    signal: {by: U9, needs: KEEP, volts: 3.0 to 3.3 V}
    pull: {part: R1, to: ground, ohms: 100 kohm}
  SIDE: {path: {part: Q1, from: KEEP, needs: RUN, ohms: 0.1 ohm}, load: 1 kohm}
  LINK: {path: {from: SIDE, ohms: 0.1 ohm}}
parts:
  J1: {kind: connector}
  D2: {kind: diode}
  U1: {kind: ic}
  U2: {kind: ic}
  U9: {kind: ic, nets: [RUN]}
  Q1: {kind: mosfet}
  R1: {kind: resistor}
  C1: {kind: mlcc, nets: [KEEP]}
""")
)


def steps(predictor: Predictor, fault: Fault, net: str, state: str) -> list[str]:
    ask = Ask(net, "dc-volts", Setup(state))
    return [step.replace("\u00a0", " ") for step in predictor.predict([ask], fault)[ask].steps]


@pytest.mark.parametrize(
    ("fault", "net", "expected"),
    [
        (
            Fault("F1", "open"),
            "LOGIC",
            [
                "F1: open",
                "FUSED is at 0 V: F1 from IN is open",
                "MAIN is at 0 V: U1 waits for FUSED",
                "LOGIC is at 0 V: U2 waits for MAIN",
            ],
        ),
        (Fault("R4", "open"), "SDA", ["R4: open", "SDA is at 0 V: nothing pulls it to LOGIC any more"]),
        # 3.12 to 3.28 V of the rail, with nothing but the meter below: 0.8 (1 + 30/10), each end worst.
        (
            Fault("R6", "open"),
            "TEMP",
            ["R6: open", "TEMP is at 3.12 V to 3.28 V: nothing pulls it to ground any more"],
        ),
        # At the reference, 0.8 V 1%; half of it between two equal resistors.
        (
            Fault("R2", "open"),
            "TEMP",
            [
                "R2: open",
                "LOGIC is at 792 mV to 808 mV: the divider of U2 is open",
                "TEMP is at 392 mV to 408 mV: R5 pulls it to LOGIC",
            ],
        ),
        (Fault("U1", "open"), "MAIN", ["U1: open", "MAIN is at 10.7 V to 12.5 V: U1 does not switch"]),
        (Fault("L1", "open"), "MAIN", ["L1: open", "MAIN is at 0 V: the way out of U1 is open"]),
        (
            Fault("U4", "stuck", "SDA"),
            "SDA",
            ["U4: stuck at a level on SDA", "SDA is at 0.00 V to 400 mV: the line is held"],
        ),
        (
            Fault("U2", "shorted-across", "LOGIC", "MAIN"),
            "TEMP",
            [
                "U2: shorted from end to end on LOGIC",
                "LOGIC is at 4.90 V to 5.10 V: joined with MAIN",
                "TEMP is at 2.43 V to 2.58 V: R5 pulls it to LOGIC",
            ],
        ),
        (
            Fault("D1", "leaks", "SDA", value=Interval(2200, 2200)),
            "SDA",
            ["D1: leaks to ground on SDA", "SDA is at 1.52 V to 1.68 V: 2.20 kohm to ground"],
        ),
        (
            Fault("J1", "open"),
            "MAIN",
            [
                "J1: open",
                "IN is at 0 V: the way in from the adapter is open",
                "FUSED is at 0 V: F1 from IN carries",
                "MAIN is at 0 V: U1 waits for FUSED",
            ],
        ),
        (
            Fault("R3", "open"),
            "LATE",
            [
                "R3: open",
                "EN is at 0 V: nothing pulls it to MAIN any more",
                "LOGIC is at 0 V: U2 waits for EN",
                "LATE is at 0 V: U3 waits for LOGIC",
            ],
        ),
        (
            Fault("C5", "shorted-to-ground"),
            "LOOSE",
            [
                "C5: shorted to ground",
                "LOOSE is at 0.00 V to 128 mV: what feeds LOOSE cannot carry the short and gives up",
            ],
        ),
        # 4 A do not open the 5 A fuse; the adapter folds back to a twentieth, half of it behind the fuse.
        (
            Fault("C4", "shorted-to-ground"),
            "FUSED",
            [
                "C4: shorted to ground",
                "IN is at 0.00 V to 630 mV: J1 cannot carry the short and gives up",
                "FUSED is at 0.00 V to 315 mV: 0.00 ohm to 5.00 ohm to ground",
            ],
        ),
        (
            Fault("C3", "shorted-to-ground", then=(Fault("F3", "open"),)),
            "FAR",
            ["C3: shorted to ground; F3: open", "FAR is at 0 V: 0.00 ohm to 5.00 ohm to ground"],
        ),
    ],
    ids=lambda value: f"{value.part}-{value.mode}" if isinstance(value, Fault) else "",
)
def test_steps_with_the_adapter_in(fault, net, expected):
    assert steps(LADDER, fault, net, "on") == expected


@pytest.mark.parametrize(
    ("fault", "net", "state", "expected"),
    [
        (
            Fault("U9", "content-lost"),
            "CHARGED",
            "on",
            ["U9: content lost", "CHARGED is at 7.92 V to 8.08 V: U1 is not commanded by U9"],
        ),
        (
            Fault("U9", "open"),
            "SIDE",
            "pack",
            ["U9: open", "RUN is at 0 V: U9 does not drive it", "SIDE is at 0 V: Q1 waits for RUN"],
        ),
        (
            Fault("U2", "open"),
            "LINK",
            "pack",
            [
                "U2: open",
                "KEEP is at 0 V: U2 does not switch",
                "RUN is at 0 V: U9 waits for KEEP",
                "SIDE is at 0 V: Q1 waits for RUN",
                "LINK is at 0 V: the path of LINK from SIDE carries",
            ],
        ),
        (
            Fault("U1", "open"),
            "KEEP",
            "on",
            ["U1: open", "CHARGED is at 0 V: U1 does not switch", "KEEP is at 0 V: U2 waits for CHARGED"],
        ),
        (Fault("D2", "open"), "CHARGED", "pack", ["D2: open", "CHARGED is at 0 V: D2 from PACK is open"]),
        (Fault("Q1", "open"), "SIDE", "on", ["Q1: open", "SIDE is at 0 V: Q1 from KEEP is open"]),
        (
            Fault("C1", "shorted-to-ground"),
            "CHARGED",
            "on",
            [
                "C1: shorted to ground",
                "KEEP is at 0.00 V to 165 mV: U2 cannot carry the short and gives up",
                "CHARGED is at 7.92 V to 8.08 V: U1 is not commanded by U9",
            ],
        ),
    ],
    ids=lambda value: f"{value.part}-{value.mode}" if isinstance(value, Fault) else "",
)
def test_steps_through_switches_signals_and_commands(fault, net, state, expected):
    assert steps(SWITCHED, fault, net, state) == expected


def test_a_leak_on_a_line_whose_rail_is_down_too():
    fault = Fault("D1", "leaks", "SDA", value=Interval(2200, 2200), then=(Fault("U2", "open"),))
    assert steps(LADDER, fault, "SDA", "on") == [
        "D1: leaks to ground on SDA; U2: open",
        "LOGIC is at 0 V: U2 does not switch",
        "SDA is at 0 V: 2.20 kohm to ground",
    ]
