"""Twenty more mistakes, in what a record can say since: conditions, comparisons, numbers of a scope, steps
of a current, power-good, a look at a part. Written down before the rules for these were looked at or made.
"""

from tests.rules.plantings import SISKIN, TEAL, Planting

_FIRST = "measurements:\n"


def _measurement(number: int, gravity: str, said: str, lines: str, at: str, file: str = SISKIN) -> Planting:
    """A measurement more, wrong in one way; `lines` stand in it."""
    return Planting(
        number,
        gravity,
        said,
        f"{file}/family.yaml",
        _FIRST,
        _FIRST
        + "  planted-one:\n    asks: Is it so?\n"
        + "".join(f"    {one}\n" for one in lines.split("\n")),
        at,
    )


PLANTINGS = (
    _measurement(
        61,
        "D",
        "under load, and nothing is plugged in",
        "at: C55\nmode: dc-volts\nstate: nothing-connected\nunder: load\nhealthy: 8.35 to 8.45 V",
        "under: load",
    ),
    _measurement(
        62,
        "D",
        "ohms while the board works",
        "at: C55\nmode: ohms\nstate: nothing-connected\nunder: load\nhealthy: 17.5 to 26.5 kohm",
        "under: load",
    ),
    _measurement(
        63,
        "D",
        "two lines compared in diode mode with the adapter in",
        "at: J5_3\nmode: junction\nstate: adapter-only\ncompare: {with: J5_4, within: 10%}",
        "state: adapter-only",
    ),
    _measurement(
        64,
        "W",
        "a line compared with itself",
        "at: J15_2\nmode: junction\nstate: nothing-connected\ncompare: {with: J5_3, within: 10%}",
        "compare",
    ),
    _measurement(
        65,
        "S",
        "compared with a point that is not there",
        "at: J5_3\nmode: junction\nstate: nothing-connected\ncompare: {with: J5_9, within: 10%}",
        "J5_9",
    ),
    _measurement(
        66,
        "W",
        "a comparison that nothing fails",
        "at: J5_3\nmode: junction\nstate: nothing-connected\ncompare: {with: J5_4, within: 300%}",
        "300%",
    ),
    _measurement(
        67,
        "W",
        "two rails of different volts compared",
        "at: C72\nmode: dc-volts\nstate: adapter-only\ncompare: {with: C66, within: 5%}",
        "compare",
    ),
    _measurement(
        68,
        "W",
        "a swing above the supply of its line",
        "at: J15_2\nmode: amplitude\nstate: adapter-only\nhealthy: 4.8 to 5.2 V",
        "4.8 to 5.2 V",
    ),
    _measurement(
        69,
        "W",
        "a period that is not that of the clock",
        "at: TP32\nmode: period\nstate: adapter-only\nhealthy: 38.0 to 39.0 us",
        "38.0",
    ),
    _measurement(
        70,
        "W",
        "a duty cycle above all",
        "at: TP32\nmode: duty\nstate: adapter-only\nhealthy: 80 to 140 %",
        "140 %",
    ),
    _measurement(
        71,
        "S",
        "a period in volts",
        "at: TP32\nmode: period\nstate: adapter-only\nhealthy: 30 to 31 V",
        "30 to 31 V",
    ),
    _measurement(
        72,
        "W",
        "the second step of a current lies below the first",
        "at: J1_TIP\nmode: amps\nstate: adapter-only\nleads: ammeter in line with the adapter\n"
        "steps: {standby: 0.20 to 0.30 A, runs: 0.02 to 0.05 A}",
        "steps:",
    ),
    _measurement(
        73,
        "W",
        "the last step is not what the board draws",
        "at: J1_TIP\nmode: amps\nstate: adapter-only\nleads: ammeter in line with the adapter\n"
        "steps: {standby: 20 to 40 mA, runs: 2.5 to 3.0 A}",
        "steps:",
    ),
    Planting(
        74,
        "W",
        "a power-good that its own rail waits for",
        f"{SISKIN}/family.yaml",
        "converter: {from: MAIN, needs: RUN, reference: 0.8 V 1%,",
        "good: RUN\n    converter: {from: MAIN, needs: RUN, reference: 0.8 V 1%,",
        "good: RUN",
    ),
    Planting(
        75,
        "S",
        "a power-good that no net is",
        f"{SISKIN}/family.yaml",
        "    for: 1.2 V for the memory.\n",
        "    for: 1.2 V for the memory.\n    good: MEMORY_GOOD\n",
        "good: MEMORY_GOOD",
    ),
    Planting(
        76,
        "S",
        "a start within volts",
        f"{SISKIN}/family.yaml",
        "    for: 1.2 V for the memory.\n",
        "    for: 1.2 V for the memory.\n    after: {LOGIC_3V3: 0 to 20 mV}\n",
        "20 mV",
    ),
    _measurement(
        77,
        "W",
        "a voltage measured at a part, not at a point",
        "at: U30\nmode: dc-volts\nstate: adapter-only\nhealthy: 2.97 to 3.13 V",
        "at: U30",
    ),
    Planting(
        78,
        "W",
        "a fault that shows only cold, and its record reads it warm",
        f"{SISKIN}/inlet-fuse-open.yaml",
        "cause:\n",
        "cause:\n  when: [cold]\n",
        "inlet-behind-fuse: 0.05 V",
    ),
    Planting(
        79,
        "D",
        "ohms on the net of a cell that is soldered in",
        f"{SISKIN}/family.yaml",
        "    load: 4.7 kohm 20%\n",
        "    load: 4.7 kohm 20%\n    source: {from: backup-cell, volts: 3.0 V 5%, built_in: true}\n",
        "mode: ohms\n    state: nothing-connected\n    technique: ground-resistance\n    minutes: 1\n"
        "    asks: Is the standby",
    ),
    Planting(
        80,
        "W",
        "what is taken along is a fuse of another path",
        f"{TEAL}/system-capacitor-leaks.yaml",
        "cause:\n",
        "cause:\n  then: [{part: R91, mode: open}]\n",
        "R91",
    ),
)
