"""The scripts of tools/, as modules."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

TOOLS = Path(__file__).resolve().parents[2] / "tools"


@pytest.fixture
def test_script() -> ModuleType:
    """tools/test.py, loaded by its path: the standard library has a `test` of its own."""
    spec = importlib.util.spec_from_file_location("test_script", TOOLS / "test.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
