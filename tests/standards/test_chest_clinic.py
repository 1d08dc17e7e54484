"""The "Asia" network of Lauritzen and Spiegelhalter, "Local computations with probabilities on graphical
structures", J. R. Statist. Soc. B 50, 1988: conditional tables as published, posteriors computed (pyAgrum
agrees to six decimals).

Its diseases are not exclusive, so each combination of tuberculosis, lung cancer and bronchitis is a
hypothesis of its own; the last stands where the book has "not in the book". Dyspnoea and x-ray depend on the
combination alone, which is the structure of the posterior.
"""

import itertools

import pytest

from benchlore.book.model import frozen_map
from benchlore.diagnosis.case import Bench, Case
from benchlore.diagnosis.posterior import Evidence, posterior
from benchlore.diagnosis.ways import columns_of

SMOKES = 0.5
TUB_AFTER_ASIA = 0.05
LUNG = {True: 0.1, False: 0.01}
BRONC = {True: 0.6, False: 0.3}
XRAY = {True: 0.98, False: 0.05}
DYSP = {(True, True): 0.9, (True, False): 0.7, (False, True): 0.8, (False, False): 0.1}  # either, bronchitis

COMBINATIONS = list(itertools.product((True, False), repeat=3))  # tub, lung, bronc; the last has none
NO_BENCH = Bench((), (), (), (), (), (), (), ((0.0,),), 1.0)


def share(yes: bool, p: float) -> float:
    return p if yes else 1 - p


def prior(tub: bool, lung: bool, bronc: bool) -> float:
    smoking = (
        share(smokes, SMOKES) * share(lung, LUNG[smokes]) * share(bronc, BRONC[smokes])
        for smokes in (True, False)
    )
    return share(tub, TUB_AFTER_ASIA) * sum(smoking)


CASE = Case(
    family="clinic",
    revision=None,
    meter="",
    faults=tuple("".join("+" if d else "-" for d in c) for c in COMBINATIONS[:-1]),
    prior=tuple(prior(*c) for c in COMBINATIONS),
    shows=frozen_map(
        {
            "dysp": tuple(DYSP[tub or lung, bronc] for tub, lung, bronc in COMBINATIONS),
            "xray": tuple(XRAY[tub or lung] for tub, lung, _ in COMBINATIONS),
        }
    ),
    scales=frozen_map(),
    expected=frozen_map(),
    ways=frozen_map(),
    split=(),
    columns=columns_of(len(COMBINATIONS) - 1, ()),
    alike=frozen_map(),
    says=frozen_map(),
    setups=(),
    bench=NO_BENCH,
)


@pytest.mark.parametrize(
    ("signs", "expected"),
    [
        (("dysp",), (0.087751, 0.099525, 0.811402)),
        (("dysp", "xray"), (0.391712, 0.444271, 0.628822)),
    ],
)
def test_g7_posteriors_after_a_visit_to_asia(signs, expected):
    probabilities = posterior(CASE, Evidence(signs))
    marginals = [
        sum(p for p, c in zip(probabilities, COMBINATIONS, strict=True) if c[disease]) for disease in range(3)
    ]
    assert marginals == pytest.approx(expected, abs=5e-7)
    assert sum(probabilities) == pytest.approx(1)
