"""The posterior: any order of evidence, sums to one, and equal to a Bayesian-network library."""

import random
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.diagnosis.case import Case, CaseError
from benchlore.diagnosis.hypotheses import priors
from benchlore.diagnosis.likelihood import BLUNDER, ELSEWHERE, outcome_weights
from benchlore.diagnosis.posterior import Evidence, evidence, posterior
from benchlore.diagnosis.reading import Reading
from tests.books import example
from tests.diagnosis.cases import case, random_evidence, reading, silent
from tests.parts import Library

pyagrum = Library("pyagrum")
FAMILIES = ("siskin-12", "teal-8")


class Network:
    """The family as a Bayesian network: the fault, below it the symptoms and the way in which it failed, and
    below that the measurements.

    A measurement has a state for each outcome and one for a reading that means nothing; what the meter shows
    is soft evidence on it.
    """

    def __init__(self, known: Case) -> None:
        self.known = known
        self.net = pyagrum.BayesNet()
        self._node("fault", len(known.prior))
        self.net.cpt("fault")[:] = list(known.prior)
        for symptom, shows in known.shows.items():
            self._child(f"symptom {symptom}", [[1 - p, p] for p in shows])
        split = [h for h, _ in known.split]
        alone = [h for h in range(len(known.faults)) if h not in split]
        ways = [*((h, 1.0) for h in alone), *known.split]
        elsewhere = [(len(known.faults), share) for share, _ in ELSEWHERE]
        shares = [[s if h == of else 0.0 for of, s in (*ways, *elsewhere)] for h in range(len(known.prior))]
        self._child("way", shares)
        for measure, rows in known.expected.items():
            scale = known.scales[measure]
            each = [*(rows[h] for h in alone), *known.ways[measure]]
            stated = [[*((1 - BLUNDER) * p for p in row), BLUNDER] for row in each]
            other = []
            for _, usual in ELSEWHERE:
                healthy = 1 - (1 - usual) * scale.stray
                share = [healthy / len(scale.normal) if o in scale.normal else 0.0 for o in range(scale.size)]
                other.append([*share, 1 - healthy])
            self._child(f"measure {measure}", [*stated, *other], "way")

    def _node(self, name: str, states: int) -> None:
        self.net.add(pyagrum.LabelizedVariable(name, name, states))

    def _child(self, name: str, rows: Sequence[Sequence[float]], parent: str = "fault") -> None:
        self._node(name, len(rows[0]))
        self.net.addArc(parent, name)
        for i, row in enumerate(rows):
            self.net.cpt(name)[{parent: i}] = list(row)

    def posterior(self, given: Evidence) -> list[float]:
        engine = pyagrum.LazyPropagation(self.net)
        for symptom in given.symptoms:
            engine.addEvidence(f"symptom {symptom}", 1)
        for taken in given.readings:
            weights, nothing = outcome_weights(self.known.scales[taken.measure], taken)
            highest = max(*weights, nothing)
            engine.addEvidence(f"measure {taken.measure}", [w / highest for w in (*weights, nothing)])
        if given.tried:
            mended = {
                self.known.faults[h]
                for name in given.tried
                for h in self.known.bench.mended_by(self.known.faults.index(name))
            }
            out = [0.0 if fault in mended else 1.0 for fault in (*self.known.faults, "")]
            engine.addEvidence("fault", out)
        engine.addTarget("fault")
        engine.makeInference()
        return [float(p) for p in engine.posterior("fault").tolist()]


@pytest.mark.parametrize("family", FAMILIES)
def test_equals_a_network_library_on_random_evidence(family):
    """pyAgrum, lazy propagation, on 1,000 sets of evidence over both families."""
    network, chance = Network(case(family)), random.Random(13)
    for _ in range(500):
        given = random_evidence(case(family), chance)
        assert posterior(case(family), given) == pytest.approx(network.posterior(given), abs=1e-9)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("meter", [None, "hand-held-4-half", "bench-5-half"])
def test_sums_to_one_in_any_order(family, meter):
    known, chance = case(family, None, meter), random.Random(7)
    for _ in range(300):
        given = random_evidence(known, chance)
        straight = posterior(known, given)
        symptoms, readings = list(given.symptoms), list(given.readings)
        chance.shuffle(symptoms)
        chance.shuffle(readings)
        assert (
            posterior(known, replace(given, symptoms=tuple(symptoms), readings=tuple(readings))) == straight
        )
        assert sum(straight) == pytest.approx(1, abs=1e-12)
        assert all(0 <= p <= 1 for p in straight)


def test_silence_is_no_evidence():
    """A reading that only other faults speak of moves a silent fault against "not in the book" by less than
    what the stating faults gain on the whole."""
    known, chance = silent("siskin-12"), random.Random(3)
    symptom = "pack-not-seen"
    before = posterior(known, Evidence((symptom,)))
    for measure in known.scales:
        quiet = [i for i in range(len(known.faults)) if i not in known.says[measure]]
        if len(quiet) < 2:
            continue
        after = posterior(known, Evidence((symptom,), (reading(known, measure, chance),)))
        ratios = [after[i] / before[i] for i in quiet]
        assert max(ratios) == pytest.approx(min(ratios), rel=1e-9), "all silent faults move alike"


@pytest.mark.parametrize("family", FAMILIES)
def test_a_reading_that_no_fault_states_counts_against_those_that_state_another(family):
    known, counted = silent(family), 0
    for measure, scale in known.scales.items():
        stated = known.says[measure]
        unsaid = [
            o for o in range(scale.size) if stated and not any(known.expected[measure][i][o] for i in stated)
        ]
        if not unsaid or len(stated) == len(known.faults):
            continue
        seen = Reading(measure, "", outcome=scale.bands[unsaid[0]].outcome)
        after = posterior(known, evidence(known, (), [seen]))
        moved = [after[i] / known.prior[i] for i in range(len(known.faults))]
        quiet = next(i for i in range(len(known.faults)) if i not in stated)
        assert all(moved[i] < moved[quiet] for i in stated), measure
        if unsaid[0] not in scale.normal:
            assert after[-1] / known.prior[-1] > moved[quiet], "not in the book explains it best"
        counted += 1
    assert counted > 3


@pytest.mark.parametrize("family", FAMILIES)
def test_every_fault_ruled_out_leaves_not_in_the_book(family):
    known = case(family)
    probabilities = posterior(known, Evidence((), (), known.faults))
    assert probabilities == (*(0.0 for _ in known.faults), 1.0)


@given(st.lists(st.integers(0, 10**6), max_size=80))
def test_priors_sum_to_one(seen):
    found = priors(seen)
    assert len(found) == len(seen) + 1
    assert sum(found) == pytest.approx(1)
    assert all(p > 0 for p in found)
    if seen:
        assert 0.02 <= found[-1] <= 0.30


def test_share_of_the_unknown_is_good_turing():
    """Good, Biometrika 40, 1953: what was never seen has the probability of what was seen once."""
    assert priors([1, 1, 8, 10])[-1] == pytest.approx(2 / 20)
    assert priors([50, 50])[-1] == 0.065
    assert priors([1, 1])[-1] == 0.30
    assert priors([0, 0])[-1] == 0.30


@pytest.mark.parametrize(
    ("given_names", "reason"),
    [
        ({"symptoms": ["pack-not-sene"]}, "'pack-not-sene' is not a symptom"),
        ({"readings": [Reading("nowhere", "1", 1.0)]}, "'nowhere' is not a measurement of siskin-12"),
        ({"tried": ["siskin-12/nothing"]}, "'siskin-12/nothing' is not a fault of siskin-12"),
    ],
)
def test_names_that_lead_nowhere_are_refused(given_names, reason):
    with pytest.raises(CaseError) as refusal:
        evidence(case("siskin-12"), **given_names)
    assert refusal.value.reason == reason


def test_the_later_reading_of_a_measurement_stands():
    twice = [Reading("main-rail-adapter", "8.4", 8.4), Reading("main-rail-adapter", "0.1", 0.1)]
    assert evidence(case("siskin-12"), readings=twice) == evidence(case("siskin-12"), readings=twice[1:])


def test_revision_leaves_out_the_faults_of_the_other():
    only = [f for f in example().faults.values() if f.revisions == ("A",)]
    assert only, "the book has faults of one revision"
    for fault in only:
        assert fault.id in case(fault.family, "A").faults
        assert fault.id not in case(fault.family, "B").faults
