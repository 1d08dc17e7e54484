"""What the fuzzer starts from, and what it once found, keep the promises of their target."""

from pathlib import Path

import pytest

from tests.fuzz.targets import TARGETS

CORPUS = Path(__file__).parent / "corpus"
INPUTS = sorted(path for path in CORPUS.rglob("*") if path.is_file())


def test_every_target_has_inputs():
    assert {path.parent.name for path in INPUTS} == set(TARGETS)


@pytest.mark.parametrize("path", INPUTS, ids=lambda path: f"{path.parent.name}-{path.name}")
def test_input(path):
    TARGETS[path.parent.name](path.read_bytes())
