"""How the kinds of parts fail: each share made of the printed ones, as the module's comments say."""

from __future__ import annotations

import pytest

from benchlore.circuit.graph.mode_shares import FMD_91, PRACTICE, PRINTED, mode_shares, modes_of, source_of

LEAKY = 0.2


def of(kind: str, *names: str) -> float:
    return sum(PRINTED[kind][name] for name in names)


def ground(short: float, **others: float) -> dict[str, float]:
    """A short, of which one in five still has a resistance that counts."""
    named = {name.replace("_", "-"): share for name, share in others.items()}
    return {"shorted-to-ground": (1 - LEAKY) * short, "leaks": LEAKY * short, **named}


CERAMIC, ALU, FILM = "capacitor, ceramic", "capacitor, aluminium", "resistor, fixed film"
DIODE, FET, COIL = "diode, general", "transistor, field effect", "inductor"
CONTACT, CELL, QUARTZ = "connector", "battery, lithium", "crystal, quartz"
CHIP, HYBRID = "digital circuit, MOS", "hybrid device"
# A stuck low output: half with power only, half as a short. Open: input, output and supply.
LOGIC = ground(
    of(CHIP, "output stuck low") / 2,
    open=of(CHIP, "input open", "output open", "supply open"),
    stuck=of(CHIP, "output stuck low") / 2 + of(CHIP, "output stuck high"),
)
# At a chip on balls half of that is a joint that touches now and then (common practice, no source).
ON_BALLS = {**LOGIC, "open": LOGIC["open"] / 2, "loose": LOGIC["open"] / 2}
# Heavy or rigid on two joints: three of ten that are open are such a joint (common practice, no source).
CRACKED = 0.3
WOUND = {
    "shorted-across": of(COIL, "short"),
    "open": (1 - CRACKED) * of(COIL, "open"),
    "loose": CRACKED * of(COIL, "open"),
    "wrong-value": of(COIL, "change in value"),
}
EXPECTED = {
    "mlcc": ground(
        of(CERAMIC, "short"), wrong_value=of(CERAMIC, "change in value"), open=of(CERAMIC, "open")
    ),
    "electrolytic": {
        "shorted-to-ground": of(ALU, "short"),
        "open": of(ALU, "open"),
        "leaks": of(ALU, "leak"),
        "worn": of(ALU, "change in value"),
    },
    "resistor": {
        "open": of(FILM, "open"),
        "wrong-value": of(FILM, "change in value"),
        "shorted-across": of(FILM, "short"),
    },
    "diode": {
        "shorted-across": of(DIODE, "short"),
        "open": of(DIODE, "open"),
        "leaks": of(DIODE, "parameter change"),
    },
    # With its output low it does not conduct, with its output high it always does.
    "mosfet": {
        "shorted-across": of(FET, "short", "output high"),
        "open": of(FET, "open", "output low"),
        "leaks": of(FET, "parameter change"),
    },
    "inductor": WOUND,
    "ferrite": WOUND,
    "connector": ground(of(CONTACT, "short"), open=of(CONTACT, "open"), loose=of(CONTACT, "poor contact")),
    "pack": {
        "worn": of(CELL, "degraded output", "start-up delay"),
        "shorted-to-ground": of(CELL, "short"),
        "open": of(CELL, "open"),
    },
    "crystal": {"open": 1 - CRACKED, "loose": CRACKED},
    "fuse": {"open": 1.0},
    **dict.fromkeys(("ic", "sensor"), LOGIC),
    "bga": ON_BALLS,
    # Common practice, no source.
    "button": {"open": 0.5, "stuck": 0.3, "worn": 0.2},
    "adapter": {"open": 0.6, "worn": 0.3, "loose": 0.1},
    "cable": {"open": 0.45, "loose": 0.45, "shorted-to-ground": 0.1},
    "accessory": ground(0.6, open=0.4),
}


@pytest.mark.parametrize("kind", sorted(EXPECTED))
def test_shares_are_the_printed_ones_taken_together(kind: str) -> None:
    whole = sum(EXPECTED[kind].values())
    assert whole == pytest.approx(1, abs=0.015), "as printed, to two places"
    assert dict(mode_shares(kind)) == pytest.approx({m: p / whole for m, p in EXPECTED[kind].items()})
    assert set(EXPECTED[kind]) | {"loose", "damaged"} <= set(modes_of(kind))
    assert source_of(kind).startswith(FMD_91.partition(" (")[0]) or source_of(kind) == PRACTICE


def test_a_chip_that_carries_power_fails_as_the_hybrid_device() -> None:
    expected = ground(
        of(HYBRID, "short"),
        open=of(HYBRID, "open", "no output"),
        wrong_value=of(HYBRID, "degraded output"),
    )
    assert dict(mode_shares("ic", power=True)) == pytest.approx(expected)
    for kind in sorted(EXPECTED):
        assert kind == "ic" or mode_shares(kind, power=True) == mode_shares(kind)


@pytest.mark.parametrize(
    ("kind", "recorded"),
    [
        ("mosfet", {"shorted-to-ground"}),
        ("diode", {"shorted-to-ground"}),
        ("crystal", {"wrong-value"}),
        ("ic", {"content-lost", "wrong-value"}),
        ("bga", {"content-lost"}),
        ("sensor", set()),
        ("connector", {"worn"}),
        ("pack", {"content-lost", "leaks"}),
        ("cable", set()),
        ("accessory", {"worn", "stuck"}),
        ("fuse", set()),
    ],
)
def test_what_only_a_record_says(kind: str, recorded: set[str]) -> None:
    assert set(modes_of(kind)) - set(mode_shares(kind)) - {"loose", "damaged"} == recorded
    assert set(modes_of("nothing")) == {"loose", "damaged"}
    assert mode_shares("nothing") == {}


@pytest.mark.parametrize("kind", sorted(PRINTED))
def test_the_printed_shares_of_a_kind_are_one_in_all(kind: str) -> None:
    assert sum(PRINTED[kind].values()) == pytest.approx(1, abs=0.011)
