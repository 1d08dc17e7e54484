"""The laws that set a reading: what each takes, its formula, its published source."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from benchlore.circuit import divider, junction, path, pull_up, rc
from benchlore.circuit.interval import Value
from benchlore.vocabulary import FUNCTIONS


@dataclass(frozen=True, slots=True)
class Input:
    """One value that a law takes.

    `place` says where it comes from: the `record`, the voltage of the `net` above, or the `bench` (the
    meter's input resistance and test current, the temperature). A unit of `%` is an accuracy: the law gets
    the factor 1 +- accuracy. `default` stands in where the record leaves the value out; `lead`: the words
    before such a value in the filled formula.
    """

    name: str
    unit: str
    place: Literal["record", "net", "bench"] = "record"
    default: float | None = None
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Law:
    """One law: `inputs` in the order that `value` takes them.

    `formula` is for people, `filled` the same with `{name}` for the numbers. `made`: inputs that are
    resistors or capacitors one can buy.
    """

    kind: str
    mode: str
    inputs: tuple[Input, ...]
    formula: str
    filled: str
    source: str
    value: Callable[..., float]
    made: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        """The unit of the result."""
        return FUNCTIONS[self.mode].unit or ""


def _itself(value: Value) -> Value:
    return value


def _inverse(value: Value) -> Value:
    return 1 / value


def _product(a: Value, b: Value) -> Value:
    return a * b


def _product3(a: Value, b: Value, c: Value) -> Value:
    return a * b * c


_STATED = "stated in the record"
_METER = Input("meter", "ohm", "bench")

LAWS: Mapping[str, Law] = MappingProxyType(
    {
        law.kind: law
        for law in (
            Law("supply", "dc-volts", (Input("volts", "V"),), "V", "{volts}", _STATED, _itself),
            Law(
                "cells",
                "dc-volts",
                (Input("count", ""), Input("each", "V")),
                "V = cells × V(cell)",
                "{count} × {each}",
                "cells in series add (Kirchhoff)",
                _product,
            ),
            Law(
                "feedback-divider",
                "dc-volts",
                (Input("reference", "V"), Input("top", "ohm"), Input("bottom", "ohm")),
                "V = reference × (1 + top / bottom)",
                "{reference} × (1 + {top} / {bottom})",
                "Horowitz and Hill, The Art of Electronics (from memory)",
                divider.feedback,
                made=("top", "bottom"),
            ),
            Law(
                "programmed",
                "dc-volts",
                (Input("step", "V"), Input("code", ""), Input("accuracy", "%")),
                "V = step × code",
                "{step} × {code}",
                _STATED,
                _product3,
            ),
            Law(
                "divider",
                "dc-volts",
                (Input("from", "V", "net"), Input("top", "ohm"), Input("bottom", "ohm"), _METER),
                "V = V(from) / (1 + top × (1 / bottom + 1 / meter))",
                "{from} / (1 + {top} × (1 / {bottom} + 1 / {meter}))",
                "Ohm's and Kirchhoff's laws",
                divider.divider,
                made=("top", "bottom"),
            ),
            Law(
                "pull-up",
                "dc-volts",
                (Input("to", "V", "net"), Input("resistor", "ohm"), _METER),
                "V = V(to) / (1 + resistor / meter)",
                "{to} / (1 + {resistor} / {meter})",
                "Ohm's law",
                pull_up.level,
                made=("resistor",),
            ),
            Law(
                "switched",
                "dc-volts",
                (Input("from", "V", "net"), Input("resistance", "ohm"), Input("load", "A")),
                "V = V(from) − resistance × load",
                "{from} − {resistance} × {load}",
                "Ohm's law",
                path.after_resistance,
            ),
            Law(
                "diode",
                "dc-volts",
                (Input("from", "V", "net"), Input("drop", "V")),
                "V = V(from) − drop",
                "{from} − {drop}",
                "Kirchhoff's law",
                path.after_diode,
            ),
            Law(
                "junction",
                "junction",
                (
                    Input("drop", "V"),
                    Input("test current", "A", "bench"),
                    Input("temperature", "degC", "bench"),
                    Input("parallel", "ohm", default=math.inf, lead=", beside it "),
                ),
                "V = drop + drift × (T − 25 degC) + kT/q × ln(I / 1 mA), less what flows beside it",
                "{drop}, at {test current} and {temperature}{parallel}",
                "junction equation: Sedra and Smith, Microelectronic Circuits",
                junction.reading,
                made=("parallel",),
            ),
            Law("resistance", "ohms", (Input("ohms", "ohm"),), "R", "{ohms}", _STATED, _itself),
            Law(
                "rc-delay",
                "seconds",
                (
                    Input("resistor", "ohm"),
                    Input("capacitor", "F"),
                    Input("threshold", "V"),
                    Input("from", "V", "net"),
                ),
                "t = −resistor × capacitor × ln(1 − threshold / V(from))",
                "−{resistor} × {capacitor} × ln(1 − {threshold} / {from})",
                "first-order step response",
                rc.delay,
                made=("resistor", "capacitor"),
            ),
            Law("clock", "hertz", (Input("frequency", "Hz"),), "f", "{frequency}", _STATED, _itself),
            Law(
                "period",
                "period",
                (Input("frequency", "Hz"),),
                "T = 1 / f",
                "1 / {frequency}",
                "T = 1 / f",
                _inverse,
            ),
            Law("start-order", "delay", (Input("within", "s"),), "t", "{within}", _STATED, _itself),
            Law("draw", "amps", (Input("current", "A"),), "I", "{current}", _STATED, _itself),
        )
    }
)
