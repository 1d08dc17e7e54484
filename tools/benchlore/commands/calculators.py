"""`benchlore leak`, `inject`, `fuse` and so on: what a reading at the bench says, with the cautions first."""

from __future__ import annotations

import argparse
import json
import math
import textwrap
from dataclasses import asdict
from functools import partial
from typing import Any

from benchlore.book.model import Book, Family, Net
from benchlore.circuit.calculators import CALCULATORS, FIRST, Calculator
from benchlore.circuit.inputs import InputError
from benchlore.commands.options import UsageError, add_root, open_book
from benchlore.findings import nearest
from benchlore.site.sections.circuit import NET_VALUES


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare one command for each calculator."""
    for one in CALCULATORS.values():
        command = subparsers.add_parser(one.kind, help=one.short, description=one.purpose)
        command.add_argument(
            "--format", choices=("json", "text"), default="text", help="form (default: text)"
        )
        for field in one.fields:
            says = "; ".join(said for said in (field.label, field.hint) if said)
            default = f" (default: {field.start})" if field.start else ""
            command.add_argument(
                _flag(field.name),
                metavar={"V": "VOLTS", "A": "AMPS", "ohm": "OHMS"}.get(field.unit, "NUMBER"),
                help=f"{says}, such as '{field.example}'{default}".replace("%", "%%"),
            )
        if one.of_net:
            command.add_argument("--net", metavar="FAMILY/NET", help="take the net's values from the book")
            add_root(command)
        command.set_defaults(run=partial(_run, one))


def _flag(field: str) -> str:
    return f"--{field.replace('_', '-')}"


def _run(one: Calculator, args: argparse.Namespace) -> int:
    typed = {f.name: text for f in one.fields if (text := getattr(args, f.name)) is not None}
    known = _of_net(one, args) if one.of_net and args.net else {}
    texts = {f.name: f.start for f in one.fields if f.start} | known | typed
    stood = {f.stands_for for f in one.fields if f.name in typed}
    for field in one.fields:
        if field.required and field.name not in texts and field.name not in stood:
            fills = "; state it, or name the net with --net FAMILY/NET" if one.of_net and not known else ""
            raise UsageError(f"{_flag(field.name)} is missing{fills}")
    try:
        answer = one.work(**one.read(texts))
    except InputError as error:
        raise UsageError(f"{_flag(error.field)}: {error.reason}") from error
    cautions = (FIRST, *one.cautions)
    if args.format == "json":
        print(json.dumps({"cautions": cautions, **_finite(asdict(answer))}, indent=2))
        return 0
    print("CAUTION")
    for caution in cautions:
        print(textwrap.fill(caution, 100, initial_indent="  - ", subsequent_indent="    "))
    print()
    for name, words in one.said(answer):
        print(f"{name}: {words}")
    return 0


def _finite(value: Any) -> Any:
    """Infinity, which JSON cannot write, as null."""
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _of_net(one: Calculator, args: argparse.Namespace) -> dict[str, str]:
    """The values of the net that `--net` names, by field."""
    book, family, net = _net_of(args)
    found = NET_VALUES[one.of_net](book, family, net)
    if not found:
        if one.of_net == "rail" and net.kind != "rail":
            clamps = "is no rail: the clamps of the chips on it would feed them"
            raise UsageError(f"{args.net} {clamps}; measure it in diode mode, or inject into a rail")
        lacks = {"line": "knows no pull-up", "rail": "states no normal voltage"}[one.of_net]
        wanted = " and ".join(_flag(f.name) for f in one.fields if f.required and not f.start)
        raise UsageError(f"the book {lacks} of {args.net}; state {wanted}")
    meter = book.meters.get(book.shop.default_meter)
    return {f.name: meter.input_resistance.text for f in one.fields if f.of_meter and meter} | found


def _net_of(args: argparse.Namespace) -> tuple[Book, Family, Net]:
    book = open_book(args).book
    family_id, _, net_id = args.net.partition("/")
    family = book.families.get(family_id)
    if family is None:
        hint = nearest(family_id, book.families) or "write --net FAMILY/NET with a family of the book"
        raise UsageError(f"'{family_id}' is not a family; {hint}")
    if not net_id:
        raise UsageError(f"no net is named; write --net {family_id}/NET, such as {_first_net(family)}")
    net = family.nets.get(net_id)
    if net is None:
        hint = nearest(net_id, family.nets) or f"write one of its nets, such as {_first_net(family)}"
        raise UsageError(f"'{net_id}' is not a net of {family_id}; {hint}")
    return book, family, net


def _first_net(family: Family) -> str:
    return next(f"{family.id}/{net}" for net in family.nets)
