"""`benchlore rules`: what the checks demand, each with a record that breaks it and one that does not."""

from __future__ import annotations

import argparse
import json
import textwrap
from collections.abc import Iterable
from dataclasses import asdict

from benchlore.commands.options import UsageError
from benchlore.findings import nearest
from benchlore.rules import all_docs
from benchlore.rules.docs import RuleDoc


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "rules",
        help="list the rules of the checks",
        description="List the rules of the checks, each with a Bad and a Good record.",
    )
    parser.add_argument("rules", metavar="RULE", nargs="*", help="show only these rules")
    parser.add_argument(
        "--format", choices=("json", "text"), default="text", help="form of the list (default: text)"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the rules."""
    docs = {doc.id: doc for doc in all_docs()}
    for name in args.rules:
        if name not in docs:
            raise UsageError(f"'{name}' is not a rule; {nearest(name, docs) or 'benchlore rules lists them'}")
    chosen = [docs[name] for name in args.rules] or list(docs.values())
    print(_as_json(chosen) if args.format == "json" else "\n".join(_as_text(doc) for doc in chosen))
    return 0


def _as_json(docs: Iterable[RuleDoc]) -> str:
    return json.dumps([asdict(doc) for doc in docs], indent=2, ensure_ascii=False)


def _as_text(doc: RuleDoc) -> str:
    waiver = "" if doc.waivable else ", cannot be waived"
    demand = textwrap.fill(doc.demand, 100, initial_indent="  ", subsequent_indent="  ")
    blocks = (
        f"  {title}:\n{textwrap.indent(block, '    ')}"
        for title, block in (("Bad", doc.bad), ("Good", doc.good))
    )
    return "\n".join((f"{doc.id} ({doc.severity}{waiver})", demand, *blocks, ""))
