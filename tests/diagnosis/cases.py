"""The cases of the tests' own book, and evidence drawn at random for them."""

import random
from dataclasses import replace
from functools import cache

from benchlore.book.model import frozen_map
from benchlore.diagnosis.case import Case, make_case
from benchlore.diagnosis.posterior import Evidence, evidence
from benchlore.diagnosis.reading import Reading
from tests.books import example


@cache
def case(family: str, revision: str | None = None, meter: str | None = None) -> Case:
    return make_case(example(), family, revision, meter)


@cache
def silent(family: str) -> Case:
    """The case of a family whose circuit is not known: what a record does not state is not foretold."""
    faults = {
        name: replace(fault, cause=replace(fault.cause, mode=None, variants=()))
        for name, fault in example().faults.items()
    }
    return make_case(replace(example(), faults=frozen_map(faults)), family, suspects=False)


def reading(known: Case, measure: str, chance: random.Random) -> Reading:
    """A reading inside, near or far from an outcome; over-range; or a named outcome."""
    scale = known.scales[measure]
    if not scale.order or chance.random() < 0.1:
        return Reading(measure, "", outcome=chance.choice(scale.bands).outcome)
    if chance.random() < 0.1:
        return Reading(measure, "OL")
    band = scale.bands[chance.choice(scale.order)]
    value = chance.uniform(band.floor, band.ceiling) * chance.choice((1.0, 1.0, 1.0, 0.97, 1.02))
    return Reading(measure, f"{value}", value)


def random_evidence(known: Case, chance: random.Random) -> Evidence:
    """A few symptoms, a few readings, now and then a fix that did not help; it may contradict itself."""
    symptoms = chance.sample(sorted(known.shows), chance.randint(0, 3))
    measures = chance.sample(sorted(known.scales), chance.randint(0, 6))
    tried = chance.sample(known.faults, chance.choice((0, 0, 0, 1, 2)))
    return evidence(known, symptoms, [reading(known, m, chance) for m in measures], tried)
