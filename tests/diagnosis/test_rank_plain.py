"""Whose fault it is, which readings clash, and which prefix a number may lack, by hand."""

from __future__ import annotations

import pytest

from benchlore.diagnosis.meter import normal_between
from benchlore.diagnosis.posterior import Evidence
from benchlore.diagnosis.rank import clashes, whose
from benchlore.diagnosis.reading import Reading, ReadingError, read
from tests.books import example
from tests.diagnosis.cases import case
from tests.diagnosis.test_scale import METER, OHMS, measuring
from tests.parts import Library

stats = Library("scipy.stats")
FAMILY = "siskin-12"


def test_whose_fault_it_is_adds_up_by_owner() -> None:
    known = case(FAMILY)
    names = (*known.faults, "")
    for place, name in enumerate(names):
        probabilities = tuple(0.25 if i == place else 0.75 / (len(names) - 1) for i in range(len(names)))
        found = dict(whose(example(), known, probabilities))
        assert sum(found.values()) == pytest.approx(1)
        owners = {}
        for other in names:
            suspect = known.suspects.get(other)
            if suspect:
                owner = suspect.outside or "board"
            elif other:
                part = example().families[FAMILY].parts.get(example().faults[other].cause.part)
                plugged = part and part.kind in ("pack", "adapter", "cable", "accessory")
                owner = part.kind if part and plugged else "board"
            else:
                owner = "something else"
            owners[other] = owner
        rest = 0.75 / (len(names) - 1)
        for owner, share in found.items():
            count = sum(1 for other in names if owners[other] == owner)
            mine = owners[name] == owner
            assert share == pytest.approx((count - mine) * rest + 0.25 * mine), (name, owner)


def test_with_every_fault_out_a_reading_clashes_that_no_fault_explains() -> None:
    known = case(FAMILY)
    measure = "main-rail-adapter"
    outcome = known.scales[measure].bands[0].outcome
    given = Evidence((), (Reading(measure, outcome, outcome=outcome),))
    none = (*(0.0 for _ in known.faults), 1.0)
    explained = any(row[0] > 0.5 for row in known.expected[measure])
    assert explained
    assert clashes(known, given, none) == ()


@pytest.mark.parametrize(
    ("text", "choices"),
    [
        ("2.2", ("2.2 ohm", "2.2 kohm")),  # 2.2 kohm would be healthy
        ("2.2 ohm", ()),  # who writes the unit means it
        ("0", ()),
        ("2200", ()),  # healthy as it stands
        ("0.4", ()),  # a meter shows 0.4 ohm so, and no 400 ohm
        ("150", ()),  # healthy with no prefix
    ],
)
def test_a_number_that_may_lack_its_prefix_is_asked_back(text: str, choices: tuple[str, ...]) -> None:
    ohms = measuring(OHMS, shorted="under 100 ohm", normal="2.1 to 2.3 kohm", high="over 5 kohm")
    if not choices:
        assert read(ohms, METER, text).value == pytest.approx(float(text.removesuffix(" ohm")))
        return
    with pytest.raises(ReadingError) as refusal:
        read(ohms, METER, text)
    assert refusal.value.choices == choices


@pytest.mark.parametrize("low", [-9.0, -1.0, 0.0, 1.0, 6.0])
@pytest.mark.parametrize("width", [0.1, 1.0, 20.0])
def test_the_normal_between_two_ends(low: float, width: float) -> None:
    """`scipy.stats.norm`, from whichever tail keeps its digits."""
    high = low + width
    expected = (
        stats.norm.sf(low) - stats.norm.sf(high) if low > 0 else stats.norm.cdf(high) - stats.norm.cdf(low)
    )
    assert normal_between(low, high) == pytest.approx(float(expected), rel=1e-9)
