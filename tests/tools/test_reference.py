"""The page of all commands and options says what the parsers take."""

from __future__ import annotations

import re

import pytest

import bootstrap
import reference
from benchlore.circuit.calculators import CALCULATORS
from benchlore.cli import parser


def test_page_is_that_of_the_parsers_today():
    """Where it is not: `python3 tools/reference.py`."""
    assert reference.PAGE.read_text(encoding="utf-8") == reference.page()


def test_every_command_and_option_stands_on_it(capsys):
    page = reference.page()
    for name, command in reference.commands(parser(), "benchlore"):
        section = page.split(f"\n## {name}\n")[1].split("\n## ")[0]
        with pytest.raises(SystemExit):
            command.parse_args(["--help"])
        for option in re.findall(r"(?m)^  (--[a-z-]+)", capsys.readouterr().out):
            assert f"`{option}`" in section, (name, option)


def test_readme_names_every_command_but_the_calculators():
    readme = (bootstrap.ROOT / "README.md").read_text(encoding="utf-8")
    names = {name.split()[1] for name, _ in reference.commands(parser(), "benchlore")} - set(CALCULATORS)
    assert {name for name in names if f"`benchlore {name}" not in readme} == set()
