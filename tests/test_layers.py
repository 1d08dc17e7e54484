"""Imports run one way, as pyproject.toml lists the layers."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_imports_run_one_way():
    program = (
        "import sys; from importlinter.cli import lint_imports_command; lint_imports_command(['--no-cache'])"
    )
    result = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True)
    assert result.returncode == 0, result.stdout
    assert "1 kept, 0 broken" in result.stdout
