"""One target under the fuzzer; `tools/fuzz.py` runs it. The first argument names the target."""

from __future__ import annotations

import sys

import atheris

with atheris.instrument_imports(include=["benchlore"]):
    from tests.fuzz.targets import TARGETS

from tests.fuzz.records import changed


def mutator(data: bytes, most: int, seed: int) -> bytes:
    """Three of four times a change that leaves a record YAML, else one of bytes."""
    found = changed(data, seed) if seed % 4 else None
    return found if found is not None and len(found) <= most else bytes(atheris.Mutate(data, most))


if __name__ == "__main__":
    name = sys.argv.pop(1)
    options = {"custom_mutator": mutator} if name == "record" else {}
    atheris.Setup(sys.argv, TARGETS[name], **options)
    atheris.Fuzz()
