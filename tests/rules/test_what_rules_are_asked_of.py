"""What rules are asked of: each record of its kind, and each place where a name or a value can stand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.elements import After
from benchlore.book.model import Failure, Variant, frozen_map
from benchlore.quantity import parse_quantity
from benchlore.rules import dangers, ranges, references, safety, steps, subjects
from tests.rules.asked import BOOK, FAMILY, problems
from tests.rules.test_beside_the_circuit import book_of, with_measurements
from tests.rules.test_boundaries import FUSE, HERE, VOLTS, measuring, step
from tests.rules.test_branches import with_net

OWN = replace(
    BOOK.states["all-off"], id="own", origin=FAMILY.origin, sources=("dock", "pack"), hazard=("burn",)
)
WITH_OWN = replace(FAMILY, states=frozen_map({**FAMILY.states, "own": OWN}))


def last(found: Iterable[tuple[Any, ...]], at: int = 0) -> list[str]:
    """Where each stands: the last keys."""
    return [".".join(map(str, one[at].path[-2:])) for one in found]


def test_the_texts_that_tell_somebody_what_to_do() -> None:
    work = (step(say="one", if_="two"), step(say="three"))
    fault = replace(FUSE, fix=replace(FUSE.fix, steps=work))
    family = replace(FAMILY, measurements=frozen_map({VOLTS.id: replace(VOLTS, leads="four", note="five")}))
    own = [text for _, text in dangers._orders(book_of(family, fault)) if text]
    assert own == ["one", "two", "three", "four", "five"]
    technique = replace(BOOK.techniques["hot-air-rework"], steps=work)
    state = replace(BOOK.states["all-off"], how=("six", "seven"))
    book = replace(BOOK, techniques=frozen_map({"t": technique}), states=frozen_map({"s": state}))
    found = list(dangers._common_orders(book))
    assert [text for _, text in found if text] == ["one", "two", "three", "six", "seven"]
    assert last(found)[-2:] == ["how.0", "how.1"]


def test_where_a_part_is_named() -> None:
    along = Failure(origin=HERE, part="along", mode="open")
    way = Variant(origin=HERE, part="way", mode="open", share=1.0, then=(replace(along, part="way-along"),))
    cause = replace(FUSE.cause, part="cause", variants=(way,), then=(along,))
    fault = replace(FUSE, cause=cause, fix=replace(FUSE.fix, steps=(step(remove=("step-1", "step-2")),)))
    family = with_measurements(replace(VOLTS, id="one", unplugged=("out-1", "out-2")))
    found = [name for _, _, name in references._part_uses(book_of(family, fault))]
    assert found[:6] == ["cause", "way", "along", "way-along", "step-1", "step-2"]
    assert found[6:] == ["J1", "out-1", "out-2", "F1", "U1", "U1"]
    assert {name for name, *_ in references._part_uses(book_of(family, fault))} == {"wren-5"}


def test_where_a_net_is_named() -> None:
    family = with_net("MAIN", after=(After(net="one"), After(net="two")), good="three")
    found = [name for _, _, name in references._net_uses(book_of(family))]
    assert found[:3] == ["one", "two", "three"]
    assert found[3:7] == ["VIN", "FUSED", "PACK", "MAIN"], "of its elements"
    parts = [net for part in family.parts.values() for net in part.nets]
    assert found[7:] == [*parts, *(point.net for point in family.probe_points)]


def test_where_a_technique_is_named() -> None:
    family = replace(FAMILY, measurements=frozen_map({"a": VOLTS, "b": replace(VOLTS, technique="three")}))
    fault = replace(FUSE, techniques=("one", "two"))
    found = list(references._technique_uses(book_of(family, fault)))
    assert [name for _, name in found] == ["one", "two", "three"]
    assert last(found) == ["techniques.0", "techniques.1", f"{VOLTS.id}.technique"]


def test_where_a_source_is_named() -> None:
    source = replace(FAMILY.nets["VIN"].source[0], from_="wall")
    family = with_net("VIN", source=(source,))
    (found,) = problems(references.unknown_source, family=family)
    assert found.origin == source.origin.at("from")
    cell = replace(source, built_in=True)
    assert problems(references.unknown_source, family=with_net("VIN", source=(cell,))) == []
    high = measuring(normal="1 to 2 V", high="over 2 V")
    barred = replace(high.outcomes["high"], bars=("pack", "wall"))
    one = replace(high, outcomes=frozen_map({**high.outcomes, "high": barred}))
    (found,) = problems(references.unknown_source, family=with_measurements(one))
    assert found.origin.path[-3:] == ("high", "bars", 1)
    lost = replace(family, states=frozen_map({**FAMILY.states, "nowhere": None}))
    assert problems(references.unknown_source, family=lost) == [], "that state may be the one that has it"


def test_where_a_source_enters_or_is_plugged_in() -> None:
    own = list(safety._SOURCES.own(book_of(WITH_OWN)))
    assert [source for _, source, _ in own] == ["adapter", "pack", "dock", "pack"]
    assert last(own)[-2:] == ["sources.0", "sources.1"]
    assert own[0][2] == "mains enters at VIN"
    assert own[-1][2] == "'own' has mains as a source"
    shared = [source for _, source, _ in safety._SOURCES.shared(BOOK)]
    assert shared == [source for state in BOOK.states.values() for source in state.sources]


def test_the_values_of_a_meter() -> None:
    found = list(ranges._meter_values(BOOK))
    counts = sum(len(limits) for meter in BOOK.meters.values() for limits in meter.accuracy.values())
    assert len(found) == 3 * len(BOOK.meters) + 2 * counts
    units = {".".join(map(str, o.path[-4:])): unit for o, _, unit, _ in found}
    assert units["accuracy.dc-volts.0.up_to"] == units["accuracy.junction.0.resolution"] == "V"
    assert units["accuracy.ohms.0.up_to"] == "ohm"
    names = ("input_resistance", "test_current", "open_voltage")
    assert [units[f"handheld.{name}"] for name in names] == ["ohm", "A", "V"]


def test_the_values_of_a_cause_and_of_the_steps() -> None:
    volts, ohms = parse_quantity("1 V"), parse_quantity("1 ohm")
    way = Variant(origin=HERE, part="F1", mode="leaks", share=1.0, ohms=ohms)
    cause = replace(FUSE.cause, volts=volts, variants=(way,))
    work = (step(limit=parse_quantity("1 A"), up_to=volts), step(wait=parse_quantity("2 min")))
    fault = replace(FUSE, cause=cause, fix=replace(FUSE.fix, steps=work))
    book = replace(book_of(FAMILY, fault), families=frozen_map())
    found = list(ranges._values(book))
    assert last(found) == ["cause.volts", "ohms", "limit", "up_to", "wait"]
    assert [unit for _, _, unit, _ in found] == ["V", "ohm", "A", "V", "min"]


def test_the_steps_of_faults_and_of_techniques() -> None:
    assert [one for (one,) in steps._STEPS.own(BOOK)] == [
        one for fault in BOOK.faults.values() for one in fault.fix.steps
    ]
    assert [one for (one,) in steps._STEPS.shared(BOOK)] == [
        one for technique in BOOK.techniques.values() for one in technique.steps
    ]
    stray = replace(FUSE, id="nobody/fuse-open")
    book = book_of(FAMILY, FUSE, stray)
    assert [(family.id, fault.id) for family, fault in steps.WORK.own(book)] == [("wren-5", FUSE.id)]


@pytest.mark.parametrize(
    ("kind", "own", "shared"),
    [
        (subjects.FAMILY, 1, 0),
        (subjects.NET, len(FAMILY.nets), 0),
        (subjects.ELEMENT, sum(len(net.elements) for net in FAMILY.nets.values()), 0),
        (subjects.PART, len(FAMILY.parts), 0),
        (subjects.POINT, len(FAMILY.probe_points), 0),
        (subjects.MEASUREMENT, len(FAMILY.measurements), 0),
        (subjects.FAULT, len(BOOK.faults), 0),
        (subjects.SYMPTOM, 0, len(BOOK.symptoms)),
        (subjects.HAZARD, 0, len(BOOK.hazards)),
        (subjects.METER, 0, len(BOOK.meters)),
        (subjects.STATE, 1, len(BOOK.states)),
        (subjects.TECHNIQUE, 0, len(BOOK.techniques)),
        (
            subjects.HAZARDS,
            len(BOOK.faults) + 1,
            len(BOOK.techniques) + len(BOOK.states) + len(BOOK.symptoms),
        ),
    ],
)
def test_each_record_is_asked_about_once(kind, own, shared) -> None:
    book = book_of(WITH_OWN)
    assert (len(list(kind.own(book))), len(list(kind.shared(book)))) == (own, shared)


def test_what_is_measured_in_a_state_that_there_is() -> None:
    family = with_measurements(replace(VOLTS, id="one", state="nowhere"))
    found = [measurement.id for _, measurement, _ in safety._MEASURED.own(book_of(family))]
    assert found == list(FAMILY.measurements)
