"""`benchlore leak`, `inject` and `fuse`: what a reading at the bench says, with the cautions first."""

from __future__ import annotations

import argparse
import json
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from benchlore.book.model import Book, Family, Net
from benchlore.circuit.cautions import CAUTIONS, FIRST
from benchlore.circuit.conductor import squares_resistance
from benchlore.circuit.derive import reading
from benchlore.circuit.fuse import FuseCurrent, current_from_drop
from benchlore.circuit.heat import Heat
from benchlore.circuit.injection import FIRST_VOLTS, InjectionPlan, plan_injection
from benchlore.circuit.inputs import Estimate, InputError
from benchlore.circuit.leak import Leak, find_leak
from benchlore.circuit.typed import typed
from benchlore.commands.options import UsageError, add_root, open_book
from benchlore.findings import nearest
from benchlore.quantity import Quantity, format_value

Answer = Leak | InjectionPlan | FuseCurrent

HEAT: Mapping[Heat, str] = {
    "hidden": "too little to be seen as heat",
    "camera": "enough for a thermal camera, not for alcohol",
    "plain": "enough to be seen with a camera or with alcohol",
}


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the three commands."""
    leak = _command(
        subparsers,
        "leak",
        "the leak that explains a low line",
        "Work out the resistance to ground that explains a reading on a line with a pull-up, and whether it "
        "shows as heat.",
    )
    leak.add_argument(
        "--reading", metavar="VOLTS", required=True, help="what the line reads, such as '0.36 V'"
    )
    leak.add_argument(
        "--supply", metavar="VOLTS", help="the rail that it is pulled up to, such as '3.42 V 2%%'"
    )
    leak.add_argument("--pull-up", metavar="OHMS", help="the pull-up, such as '2.2 kohm 5%%'")
    leak.add_argument("--meter", metavar="OHMS", help="the meter's input resistance (default: 10 Mohm)")
    leak.add_argument("--net", metavar="FAMILY/NET", help="take supply, pull-up and meter from the book")
    add_root(leak)
    leak.set_defaults(run=_refusing(_run_leak))

    inject = _command(
        subparsers,
        "inject",
        "settings for a current-limited injection",
        "Work out the voltage ceiling, the current limit to start with and the power in a short.",
    )
    inject.add_argument(
        "--short", metavar="OHMS", required=True, help="the rail to ground, such as '0.4 ohm'"
    )
    inject.add_argument("--rail", metavar="VOLTS", help="the rail's normal voltage, such as '3.42 V'")
    inject.add_argument("--net", metavar="FAMILY/NET", help="take the normal voltage from the book")
    add_root(inject)
    inject.set_defaults(run=_refusing(_run_inject))

    fuse = _command(
        subparsers,
        "fuse",
        "the current through a fuse from its drop",
        "Work out the current through a fuse, a shunt or a track from the voltage across it.",
    )
    fuse.add_argument("--drop", metavar="VOLTS", required=True, help="the voltage across it, such as '24 mV'")
    across = fuse.add_mutually_exclusive_group(required=True)
    across.add_argument("--resistance", metavar="OHMS", help="its cold resistance, such as '20 mohm 20%%'")
    across.add_argument(
        "--squares",
        metavar="NUMBER",
        type=float,
        help="for a track of one-ounce copper instead of a fuse: its length over its width",
    )
    fuse.add_argument("--rating", metavar="AMPS", help="its rated current, such as '3 A'")
    fuse.set_defaults(run=_refusing(_run_fuse))


def _command(
    subparsers: argparse._SubParsersAction[argparse.ArgumentParser], name: str, short: str, long: str
) -> argparse.ArgumentParser:
    parser = subparsers.add_parser(name, help=short, description=long)
    parser.add_argument("--format", choices=("json", "text"), default="text", help="form (default: text)")
    return parser


def _refusing(run: Callable[[argparse.Namespace], int]) -> Callable[[argparse.Namespace], int]:
    """The command; a value that it cannot take is refused by the name of its option."""

    def refusing(args: argparse.Namespace) -> int:
        try:
            return run(args)
        except InputError as error:
            raise UsageError(f"{_flag(error.field)}: {error.reason}") from error

    return refusing


def _flag(field: str) -> str:
    return f"--{field.replace('_', '-')}"


def _run_leak(args: argparse.Namespace) -> int:
    given = {"supply": args.supply, "pull_up": args.pull_up, "meter": args.meter}
    known = _line_of(args) if args.net else {}
    values = {
        name: typed(name, text, "V" if name == "supply" else "ohm")
        for name, text in given.items()
        if text is not None
    }
    values = {"meter": typed("meter", "10 Mohm", "ohm")} | known | values
    for name in ("supply", "pull_up"):
        if name not in values:
            raise UsageError(f"{_flag(name)} is missing; state it, or name the line with --net FAMILY/NET")
    reading_ = typed("reading", args.reading, "V")
    return _answer(
        args,
        "leak",
        lambda: find_leak(values["supply"], values["pull_up"], reading_, values["meter"]),
        _leak_lines,
    )


def _run_inject(args: argparse.Namespace) -> int:
    if args.rail is not None:
        rail = typed("rail", args.rail, "V")
    elif args.net:
        _, _, net = _net_of(args)
        if net.nominal is None:
            raise UsageError(f"the book states no normal voltage of {args.net}; state it with --rail")
        rail = net.nominal
    else:
        raise UsageError("--rail is missing; state it, or name the rail with --net FAMILY/NET")
    short = typed("short", args.short, "ohm")
    return _answer(args, "inject", lambda: plan_injection(rail, short), _inject_lines)


def _run_fuse(args: argparse.Namespace) -> int:
    drop = typed("drop", args.drop, "V")
    if args.squares is None:
        resistance = typed("resistance", args.resistance, "ohm")
    elif 0 < args.squares < 1e6:
        resistance = squares_resistance(args.squares)
    else:
        raise UsageError("--squares: write how many times the track is as long as wide, such as 20")
    rating = typed("rating", args.rating, "A") if args.rating is not None else None
    return _answer(args, "fuse", lambda: current_from_drop(drop, resistance, rating), _fuse_lines)


def _answer(
    args: argparse.Namespace, kind: str, work: Callable[[], Answer], lines: Callable[[Any], list[str]]
) -> int:
    answer = work()
    if args.format == "json":
        print(json.dumps({"cautions": [FIRST, *CAUTIONS[kind]], **_finite(asdict(answer))}, indent=2))
        return 0
    print("CAUTION")
    for caution in (FIRST, *CAUTIONS[kind]):
        print(textwrap.fill(caution, 100, initial_indent="  - ", subsequent_indent="    "))
    print()
    print("\n".join(lines(answer)))
    return 0


def _finite(value: Any) -> Any:
    """Infinity, which JSON cannot write, as null."""
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    return None if isinstance(value, float) and value in (float("inf"), float("-inf")) else value


def _leak_lines(leak: Leak) -> list[str]:
    healthy = f"A healthy line reads {_estimate(leak.healthy, 'V')}."
    if leak.verdict == "none":
        return [healthy, "The reading is healthy: there is no leak to look for."]
    first = "Something shorts the line" if leak.verdict == "short" else "The leak that explains it"
    return [
        healthy,
        f"{first}: {_estimate(leak.resistance, 'ohm')} to ground.",
        f"It carries {_estimate(leak.current, 'A')}.",
        f"It takes {_estimate(leak.power, 'W')}: {HEAT[leak.heat]}.",
        f"No leak on this line can take more than {format_value(leak.most_power, 'W')}.",
    ]


def _inject_lines(plan: InjectionPlan) -> list[str]:
    at_start, at_most = format_value(plan.start_power, "W", 2), format_value(plan.most_power, "W", 2)
    begin = "0.5\u00a0V" if plan.begin == FIRST_VOLTS else format_value(plan.begin, "V")
    held = "below the limit" if plan.start_amps < plan.limit else "held by the limit"
    return [
        f"Begin at:        {begin}, current limit {format_value(plan.limit, 'A', 2)}.",
        f"Never above:     {format_value(plan.ceiling, 'V')}, the rail's normal voltage.",
        f"At the start:    {format_value(plan.start_volts, 'V', 2)} on the rail, {held}; {at_start} in the",
        f"                 short: {HEAT[plan.start_heat]}.",
        f"At the ceiling:  {format_value(plan.most, 'A', 2)}, {at_most} in the short.",
        "Raise the voltage slowly, or the limit where the supply stands at it.",
        "Raise either only while nothing warms up.",
    ]


def _fuse_lines(fuse: FuseCurrent) -> list[str]:
    if fuse.open:
        return ["The fuse is open: a whole fuse never drops as much. It carries no current."]
    lines = [
        f"Current:  {_estimate(fuse.current, 'A')}.",
        f"Power:    {_estimate(fuse.power, 'W')} in the fuse.",
        "The cold resistance makes this, if anything, too high: resistance rises as a fuse or track warms.",
    ]
    if fuse.share is not None:
        lines.insert(1, f"Rating:   {fuse.share * 100:.0f} % of it.")
    return lines


def _estimate(estimate: Estimate, unit: str) -> str:
    middle = format_value(estimate.middle, unit, 3)
    if estimate.low == estimate.high:
        return middle
    low, high = (format_value(end, unit, 3) for end in (estimate.low, estimate.high))
    return f"{middle} ({low} to {high})"


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


def _line_of(args: argparse.Namespace) -> dict[str, Quantity]:
    """Supply, pull-up and meter of a line, by its pull-up fact in the first bench state in which it is up."""
    book, family, net = _net_of(args)
    for state in book.states.values():
        derived = reading(book, family, net, "dc-volts", state)
        fact = derived.last.fact if derived else None
        if derived and fact and fact.fact == "pull-up":
            above = derived.steps[-2]
            supply = Quantity("", "V", above.worst.low, above.worst.high, above.value)
            meter = book.meters.get(book.shop.default_meter)
            found = {"supply": supply, "pull_up": fact.quantities["resistor"]}
            return found | ({"meter": meter.input_resistance} if meter else {})
    raise UsageError(f"the book knows no pull-up of {args.net}; state --supply and --pull-up")
