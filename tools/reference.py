"""Write the page of all commands and options from their own parsers: `python3 tools/reference.py`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator

from benchlore.cli import parser
from bootstrap import ROOT, say

PAGE = ROOT / "site_overrides" / "pages" / "commands.md"
_HEAD = """\
---
title: Every command and option
---

# Every command and option

What each command takes, as `benchlore COMMAND --help` says it. Where a command reads the book, it reads the
one in this folder, or in the nearest folder above that holds `faults/`. The exit code is 0; 1 where the book
has errors; 2 where the command cannot be done; 130 where somebody stopped it.
"""


def main() -> int:
    """Write the page where it differs; the result is the exit code."""
    text = page()
    if not PAGE.is_file() or PAGE.read_text(encoding="utf-8") != text:
        PAGE.write_text(text, encoding="utf-8")
        say(f"{PAGE.relative_to(ROOT)} written")
    return 0


def page() -> str:
    """The page, in Markdown."""
    parts = [_HEAD, "## benchlore\n", _table(parser())]
    for name, command in commands(parser(), "benchlore"):
        taken = " ".join(_shown(one) for one in command._actions if not one.option_strings)
        parts += [
            f"## {name}\n",
            f"`{' '.join(filter(None, (name, taken)))}`\n",
            f"{_words(command.description)}\n",
        ]
        parts.append(_table(command))
    return "\n".join(part for part in parts if part)


def commands(top: argparse.ArgumentParser, name: str) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    """Every command that does something, with its whole name."""
    for action in top._actions:
        if isinstance(action, argparse._SubParsersAction):
            for called, one in action.choices.items():
                below = list(commands(one, f"{name} {called}"))
                yield from below or [(f"{name} {called}", one)]


def _table(command: argparse.ArgumentParser) -> str:
    rows = [
        f"| {' '.join(f'`{one}`' for one in (action.option_strings or [_shown(action)]))}{_value(action)} "
        f"| {_words(action.help)} |"
        for action in command._actions
        if action.help is not None
        and not isinstance(action, argparse._SubParsersAction | argparse._HelpAction)
    ]
    return "\n".join(["| option | what it does |", "| --- | --- |", *rows, ""]) if rows else ""


def _value(action: argparse.Action) -> str:
    """What follows the option: one of some words, or a value."""
    if action.nargs == 0 or not action.option_strings:
        return ""
    words = " ".join(f"`{one}`" for one in action.choices or ())
    return f" {words or f'`{_shown(action)}`'}"


def _shown(action: argparse.Action) -> str:
    if isinstance(action, argparse._SubParsersAction):
        return ""
    name = action.metavar if isinstance(action.metavar, str) else action.dest.upper()
    return {"?": f"[{name}]", "*": f"[{name} ...]", "+": f"{name} ..."}.get(str(action.nargs), name)


def _words(text: str | None) -> str:
    """A help text, with the signs that Markdown and HTML would read as theirs put out of action."""
    said = " ".join((text or "").replace("%%", "%").split())
    return "".join(f"\\{char}" if char in "\\`*_{}[]<>#|" else char for char in said)


if __name__ == "__main__":
    sys.exit(main())
