"""One target under the fuzzer; `tools/fuzz.py` runs it. The first argument names the target."""

from __future__ import annotations

import sys

import atheris

with atheris.instrument_imports(include=["benchlore"]):
    from tests.fuzz.targets import TARGETS

if __name__ == "__main__":
    target = TARGETS[sys.argv.pop(1)]
    atheris.Setup(sys.argv, target)
    atheris.Fuzz()
