"""Parts that a machine may lack: the tests that need one are skipped, and the run says at its end which."""

from __future__ import annotations

import shutil
import warnings
from typing import Any

import pytest


class Library:
    """A reference library, imported when a test first uses it; without it that test is skipped."""

    def __init__(self, module: str) -> None:
        self._module = module

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):  # pytest looks at what stands in a module while it collects
            raise AttributeError(name)
        with warnings.catch_warnings():
            # pyAgrum's C types warn while they are made; a warning that is an error ends the process there.
            warnings.simplefilter("ignore")
            reason = f"{self._module.partition('.')[0]} is not installed"
            module = pytest.importorskip(self._module, reason=reason, exc_type=ImportError)
        return getattr(module, name)


NGSPICE = pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
