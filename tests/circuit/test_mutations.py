"""A wrong number in the book does not go unnoticed."""

import importlib.util
import sys
from pathlib import Path

import pytest

from benchlore.quantity import parse_quantity
from tests.books import example

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def benchmark():
    spec = importlib.util.spec_from_file_location("mutations", ROOT / "tools/benchmarks/mutations.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # its dataclasses look it up
    spec.loader.exec_module(module)
    yield module
    del sys.modules[spec.name]


@pytest.fixture(scope="module")
def outcomes(benchmark):
    """Of every second mutation."""
    return list(benchmark.judge(example(), of=2))


def test_rules_notice_95_percent_of_values_that_are_20_percent_off(outcomes):
    noticed = sum(outcome.rule is not None for outcome in outcomes)
    survivors = [f"{o.mutation.place} x {o.mutation.factor}" for o in outcomes if o.rule is None]
    assert len(outcomes) > 200
    assert noticed / len(outcomes) >= 0.95, "\n".join(survivors)


def test_every_normal_range_that_is_20_percent_off_is_noticed(outcomes):
    assert [o.mutation.place for o in outcomes if o.mutation.kind == "normal range" and not o.rule] == []


def test_a_mutation_changes_the_value_and_keeps_its_tolerance(benchmark):
    changed = benchmark.scaled(parse_quantity("2.2 kohm 5%"), 1.2)
    assert (changed.nominal, changed.low, changed.high) == pytest.approx((2640, 2508, 2772))
    assert benchmark.scaled(parse_quantity("open"), 1.2) is None
    spread = benchmark.scaled(parse_quantity("under 1 V"), 0.8)
    assert spread.high == pytest.approx(0.8)
