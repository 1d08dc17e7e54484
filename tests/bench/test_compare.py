"""Two readings that are compared: the page's scripts read and weigh them as Python does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book import outcomes
from benchlore.book.model import Compare, Measurement, Outcome, frozen_map
from benchlore.diagnosis.likelihood import class_table, meaningless_classes, outcome_weights, scale_of
from benchlore.diagnosis.reading import ReadingError, read
from benchlore.quantity import parse_quantity
from tests.books import example
from tests.study.scripts import FAMILY, run

TYPED = (
    "0.52 V / 0.49 V",
    "0.52 and .49",
    "520m/490m",
    "0.3/0.5",
    "OL / 0.5",
    "0.5 / OL",
    "0.5 / 0",
    "1.9 / 2.2",
    "0.02 / 0.5",
)
REFUSED = ("0.5", "0 / 0", "OL / OL", "0.5 / abc", "0.1 / 0.2 / 0.3", "-0.3 / 0.5", "0.4 to 0.5 / 0.5")
ASKED = {
    "1/0.6": ("OL / 0.6", "1.0 V / 0.6"),
    "0.6 vs 1": ("0.6 / OL", "0.6 / 1.0 V"),
    "{0.6} / 1.": (),  # what cannot be read at all is said first
}


def pair() -> Measurement:
    one = example().families[FAMILY].measurements["pack-data-junction"]
    made = outcomes.compared(one.mode, "10%", {})
    ends = {
        name: Outcome(id=name, range=parse_quantity(o["range"]), normal=o.get("normal", False))
        for name, o in made.items()
    }
    return replace(one, compare=Compare(with_="J5_4", within=10.0), outcomes=frozen_map(ends), healthy=None)


PROGRAM = """
const one = {...family.measurements["pack-data-junction"], compare: {with: "J5_4", within: 10}};
one.links = {...one.links, unit: "%"};
one.outcomes = Object.fromEntries(given.outcomes.map((o) => [o.id, o]));
const meter = book.meters[given.meter];
const scale = benchlore.likelihood.scaleOf(one, meter);
const table = benchlore.likelihood.classTable(scale);
const classes = benchlore.likelihood.meaninglessClasses(scale, table);
const read = given.typed.map((text) => {
  const found = benchlore.reading.read(one, meter, text);
  return "reason" in found
    ? {reason: found.reason, mend: found.mend, choices: found.choices}
    : {...found, ...benchlore.likelihood.outcomeWeights(scale, found)};
});
return {read, table, classes};
"""


@pytest.mark.parametrize("meter", ["hand-held-3-half", "hand-held-4-half"])
def test_the_page_reads_and_weighs_a_comparison_as_python_does(meter):
    one, known = pair(), example().meters[meter]

    def end(value: float) -> float | None:
        return value if abs(value) < 1e9 else None

    ranges = {o.id: o.range for o in one.outcomes.values()}
    given = [
        {
            "id": name,
            "normal": one.outcomes[name].normal,
            "range": r and {"low": end(r.low), "high": end(r.high)},
        }
        for name, r in ranges.items()
    ]
    texts = [*TYPED, *REFUSED, *ASKED]
    page = run(PROGRAM, {"outcomes": given, "meter": meter, "typed": texts})
    scale = scale_of(one, known)
    table = class_table(scale)
    for mine, row in zip(table, page["table"], strict=True):
        assert row == pytest.approx(mine)
    assert page["classes"] == pytest.approx(meaningless_classes(scale, table))
    for text, found in zip(texts, page["read"], strict=True):
        if text in REFUSED or text in ASKED:
            with pytest.raises(ReadingError) as refused:
                read(one, known, text)
            assert found["reason"] == refused.value.reason, text
            choices = list(ASKED.get(text, ()))
            assert list(refused.value.choices) == found["choices"] == choices, text
            if choices:
                assert refused.value.mend == found["mend"] == f"type {choices[0]} or {choices[1]}"
                assert [read(one, known, choice) for choice in choices]
            continue
        reading = read(one, known, text)
        weights, nothing = outcome_weights(scale, reading)
        assert found["outcome"] == reading.outcome, text
        assert found["value"] == (None if reading.value is None else pytest.approx(reading.value)), text
        assert found.get("u") == (None if reading.u is None else pytest.approx(reading.u)), text
        assert found["weights"] == pytest.approx(weights), text
        assert found["nothing"] == pytest.approx(nothing), text
