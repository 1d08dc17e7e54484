"""Books of any size, made from the real one: families that differ in names, places, values and words.

    python tools/benchmarks/books.py FOLDER [--families 20] [--seed 1]

The families of the real book are taken in turn, and each copy is said anew: the ids, the size of the board
and every place on it, resistances and pull-ups (another value of their series, with the ranges that follow),
the ends of outcomes, worked readings, shares, counts, minutes, prices, and some of the prose. The same seed
gives the same bytes, and the book passes `benchlore check`. A large book takes of each family a share of its
fault patterns, so that it holds some 7,000.
"""

from __future__ import annotations

import argparse
import random
import re
import shutil
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tools")]

from benchlore.book.merge import family_data, fault_like  # noqa: E402
from benchlore.book.outcomes import in_full  # noqa: E402
from benchlore.book.short import in_full as fault_in_full  # noqa: E402
from benchlore.book.yaml_reader import parse  # noqa: E402
from benchlore.circuit.series import series  # noqa: E402
from benchlore.vocabulary import VERBS  # noqa: E402

FAULTS = ROOT / "faults"
_START = ("bo", "cal", "dra", "fen", "gir", "hol", "jas", "kel", "lum", "mor", "nar", "pel", "ros", "sil")
_END = ("bin", "dane", "gart", "hurst", "kova", "lin", "mere", "nock", "quist", "rath", "tova", "wick")
_WHEN = ("in a damp winter", "after a hot summer", "in the second year", "after many charges", "early on")
_WHERE = ("near the hinge", "at the long edge", "beside the fan", "under the frame", "by the speaker")
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_RANGE = re.compile(
    r"(?:(?P<bound>under|over) )?(?:(?P<low>[0-9.]+) to )?(?P<end>[0-9.]+) (?P<unit>[a-zA-Z]+)"
)
# A boundary between two outcomes moves by this share of itself at most, a worked reading by this one.
_END_SHARE, _READING_SHARE = 0.004, 0.002
MOST_FAULTS = 7_000  # in the largest book
# What stands at a net of the circuit.
_ELEMENTS = ("source", "path", "converter", "pull", "load", "junction", "signal", "delay", "after", "good")


@dataclass(frozen=True, slots=True)
class Names:
    """What a family's own ids become: nets, parts and test points by one mapping each."""

    code: str
    nets: Mapping[str, str]
    parts: Mapping[str, str]
    points: Mapping[str, str]
    words: re.Pattern[str]

    def measure(self, name: str) -> str:
        """The new id of a measurement."""
        return f"{name}-{self.code}"

    def prose(self, text: str) -> str:
        """A text with the new ids in it."""
        known = {**self.points, **self.parts, **self.nets}
        return self.words.sub(lambda found: known[found[0]], text)


def write_book(folder: Path, families: int, seed: int = 1, most: int = MOST_FAULTS) -> None:
    """Write `folder/faults` with so many families, and `most` fault patterns at most. The folder must not
    hold `faults` yet.
    """
    target = folder / "faults"
    shutil.copytree(FAULTS / "common", target / "common")
    originals = sorted(path.parent for path in FAULTS.glob("*/family.yaml"))
    for index in range(families):
        rng = random.Random(f"{seed}/{index}")
        write_family(target, originals[index % len(originals)], index, rng, most // families)


def write_family(target: Path, original: Path, index: int, rng: random.Random, most: int) -> None:
    """Write one family made from the records in `original`, `most` fault patterns at most, into a new folder
    of `target`.
    """
    raw = _family_in_full(original)
    word = _START[index % len(_START)] + _END[index // len(_START) % len(_END)]
    size = 7 + index // (len(_START) * len(_END)) * 9 + rng.randrange(9)
    names = _names(raw, index)
    folder = target / f"{word}-{size}"
    folder.mkdir()
    measurements = raw["measurements"]
    on_net = {name: _ohms_factor(net, rng) for name, net in raw["nets"].items()}
    factors = {name: on_net[point["net"]] for name, point in raw["test_points"].items()}
    title = f"{word.capitalize()} {size}"
    _write(folder / "family.yaml", _family(raw, names, rng, title, on_net, factors))
    paths = sorted(path for path in original.glob("*.yaml") if path.name != "family.yaml")
    faults = {path.stem: raw for path in paths if "cause" in (raw := _in_full(path))}  # not what has moved
    for stem in faults if len(faults) <= most else sorted(rng.sample(list(faults), most)):
        made = _fault(faults[stem], names, rng, measurements, factors)
        _write(folder / f"{stem}-{names.code}.yaml", made)


def _family_in_full(original: Path) -> dict[str, Any]:
    """A family's record with all that its measurements leave to their healthy range or to others."""
    files = [original / "family.yaml", *sorted((original / "family").glob("*.yaml"))]
    texts = {path.relative_to(FAULTS.parent).as_posix(): path.read_text(encoding="utf-8") for path in files}
    raw = dict(family_data(texts, original.name))
    raw["measurements"] = {
        name: {key: value for key, value in m.items() if key != "healthy"}
        | {"outcomes": in_full(m["mode"], m.get("healthy"), m.get("outcomes", {}))}
        for name, m in raw["measurements"].items()
    }
    return raw


def _names(raw: Mapping[str, Any], index: int) -> Names:
    code = "".join("abcdefghijklmnopqrstuvwxyz"[index // 26**place % 26] for place in (2, 1, 0))
    nets = {name: f"{name}_{code.upper()}" for name in raw["nets"]}
    offset = 100 * (1 + index % 9)

    def numbered(name: str) -> str:
        found = re.fullmatch(r"([A-Z]+)([0-9]+)(.*)", name)
        return f"{found[1]}{int(found[2]) + offset}{found[3]}" if found else f"{name}_{code.upper()}"

    parts = {name: numbered(name) for name in raw["parts"]}
    points = {name: numbered(name) for name in raw["test_points"]}
    known = sorted({*nets, *parts, *points}, key=len, reverse=True)
    words = re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, known))})(?![\w-])")
    return Names(code, nets, parts, points, words)


def _family(
    raw: dict[str, Any],
    names: Names,
    rng: random.Random,
    title: str,
    on_net: Mapping[str, float],
    factors: Mapping[str, float],
) -> dict[str, Any]:
    """`on_net`, `factors`: how much larger the resistance to ground is, by net and by test point."""
    new = dict(raw)
    new["title"] = title
    new["summary"] = f"{raw['summary']} {_sentence(rng)}"
    stretch, across, up = rng.choice((1.0, 1.1, 1.25)), rng.randrange(12), rng.randrange(8)

    def place(entry: Mapping[str, Any]) -> dict[str, Any]:
        at = {
            revision: [f"{_mm(x) * stretch + across:.1f} mm", f"{_mm(y) * stretch + up:.1f} mm"]
            for revision, (x, y) in entry["at"].items()
        }
        sized = {"size": [f"{_mm(s) * stretch:.1f} mm" for s in entry["size"]]} if "size" in entry else {}
        return {**entry, "at": at, **sized}

    board = raw["board"]
    new["board"] = {
        "width": f"{_mm(board['width']) * stretch + 2 * across:.1f} mm",
        "height": f"{_mm(board['height']) * stretch + 2 * up:.1f} mm",
        "landmarks": {name: place(entry) for name, entry in board["landmarks"].items()},
    }
    if "opening" in raw:
        new["opening"] = _named(raw["opening"], names)
    if "symptoms" in raw:
        new["symptoms"] = {symptom: _comes_of(one, names) for symptom, one in raw["symptoms"].items()}
    new["nets"] = {names.nets[name]: _net(net, names, rng, on_net[name]) for name, net in raw["nets"].items()}
    new["parts"] = {
        names.parts[name]: _part(place(part) if "at" in part else part, names, rng)
        for name, part in raw["parts"].items()
    }
    new["test_points"] = {
        names.points[name]: {**place(point), "net": names.nets[point["net"]]}
        for name, point in raw["test_points"].items()
    }
    new["measurements"] = {
        names.measure(name): _measurement(m, names, rng, _factor(m, factors))
        for name, m in raw["measurements"].items()
    }
    return new


def _ohms_factor(net: Mapping[str, Any], rng: random.Random) -> float:
    """How much larger the resistance to ground of a net becomes: a step of its series, or 1."""
    load = net.get("load")
    if "bus" in net or not isinstance(load, str) or not load.endswith("20%"):
        return 1.0
    value = float(_NUMBER.findall(load)[0])
    return _beside(value, 24, rng) / value


def _beside(value: float, size: int, rng: random.Random) -> float:
    """A value of the series E`size` at or beside a given one, within its decade."""
    decade = 10 ** (len(str(int(value))) - 1)
    known = [v * decade for v in series(size)]
    at = min(range(len(known)), key=lambda i: abs(known[i] - value))
    return float(f"{known[max(0, min(len(known) - 1, at + rng.choice((-1, 0, 1))))]:.3g}")


def _net(net: Mapping[str, Any], names: Names, rng: random.Random, factor: float) -> dict[str, Any]:
    new = {**net, "for": f"{names.prose(net['for'])} {_sentence(rng)}"}
    for key in _ELEMENTS:
        if key in net:
            new[key] = _named(net[key], names)
    pull = new.get("pull")
    if isinstance(pull, dict) and pull["ohms"].endswith("5%"):
        pull["ohms"] = _first(pull["ohms"], lambda value: _beside(value, 24, rng))
    if factor != 1.0:
        new["load"] = _first(net["load"], lambda value: value * factor)
    return new


def _named(value: Any, names: Names) -> Any:
    """What stands at a net of the circuit, with the nets and parts in it under their new names."""
    if isinstance(value, list):
        return [_named(one, names) for one in value]
    if isinstance(value, dict):
        return {names.nets.get(key, key): _named(one, names) for key, one in value.items()}
    return names.nets.get(value, names.parts.get(value, value)) if isinstance(value, str) else value


def _comes_of(one: Any, names: Names) -> Any:
    """What a symptom comes of, and the measurements that come before any source."""
    new = _named(one, names)
    if isinstance(one, dict) and "first" in one:
        new["first"] = [names.measure(name) for name in one["first"]]
    return new


def _part(part: Mapping[str, Any], names: Names, rng: random.Random) -> dict[str, Any]:
    replace = dict(part["replace"])
    replace["minutes"] = max(1, replace["minutes"] - rng.randrange(3))
    if "price" in replace:
        replace["price"] = round(replace["price"] * rng.uniform(0.7, 1.4), 2)
    nets = {"nets": [names.nets[net] for net in part["nets"]]} if "nets" in part else {}
    return {**part, "name": names.prose(part["name"]), **nets, "replace": replace}


def _measurement(
    raw: Mapping[str, Any], names: Names, rng: random.Random, ohms_factor: float
) -> dict[str, Any]:
    new = {**raw, "asks": names.prose(raw["asks"])}
    if "between" in raw:
        new["between"] = [names.points[point] for point in raw["between"]]
    else:
        new["at"] = names.points.get(raw["at"]) or names.parts[raw["at"]]
    if "compare" in raw:
        new["compare"] = {**raw["compare"], "with": names.points[raw["compare"]["with"]]}
    if "unplugged" in raw:
        new["unplugged"] = [names.parts[part] for part in raw["unplugged"]]
    outcomes = {name: dict(outcome) for name, outcome in raw["outcomes"].items()}
    if raw["mode"] == "ohms" and ohms_factor != 1.0:
        for outcome in outcomes.values():
            outcome["range"] = _every(outcome["range"], lambda value: value * ohms_factor)
    elif "inject" not in raw:
        _move_ends(outcomes, rng)
    last = list(outcomes)[-1]
    outcomes[last]["means"] = f"{names.prose(outcomes[last]['means'])} {_sentence(rng)}"
    return {**new, "outcomes": outcomes}


def _factor(measurement: Mapping[str, Any], factors: Mapping[str, float]) -> float:
    """How much larger its resistance to ground is; between two points it stays."""
    return factors.get(measurement.get("at", ""), 1.0)


def _move_ends(outcomes: Mapping[str, dict[str, Any]], rng: random.Random) -> None:
    """Move the boundary between neighbouring outcomes, both its ends alike, away from the normal one."""
    read = [(o, _RANGE.fullmatch(o["range"])) for o in outcomes.values() if "range" in o]
    ends = [(o, {**found.groupdict()}) for o, found in read if found]
    ends.sort(
        key=lambda item: 0.0 if item[1]["bound"] == "under" else float(item[1]["low"] or item[1]["end"])
    )
    for (lower, below), (upper, above) in pairwise(ends):
        start = "low" if above["low"] else "end"
        one, other = below["end"], above[start]
        same = below["unit"] == above["unit"] and below["bound"] != "over" and above["bound"] != "under"
        normal = bool(lower.get("normal")), bool(upper.get("normal"))
        places = max(_places(one), _places(other)) + 1
        most = int(float(one) * _END_SHARE * 10**places)
        if same and most and normal != (True, True):
            step = rng.randint(1, most) * (-1 if normal[1] else 1) / 10**places
            below["end"], above[start] = (f"{float(end) + step:.{places}f}" for end in (one, other))
    for outcome, parts in ends:
        bound, low = parts["bound"], parts["low"]
        head = f"{bound} " if bound else f"{low} to " if low else ""
        outcome["range"] = f"{head}{parts['end']} {parts['unit']}"


def _fault(
    raw: dict[str, Any],
    names: Names,
    rng: random.Random,
    measurements: Mapping[str, Any],
    factors: Mapping[str, float],
) -> dict[str, Any]:
    """`factors`: how much larger the resistance to ground is, by the test point of the original."""
    raw = dict(fault_in_full(raw))
    new = dict(raw)
    new["title"] = f"{raw['title']} {rng.choice(_WHERE)}"
    new["summary"] = f"{names.prose(raw['summary'])} {_sentence(rng)}"
    new["seen"] = max(1, round(raw["seen"] * rng.uniform(0.95, 1.1)))
    if "test_points" in raw:
        new["test_points"] = [_expectation(entry, names, rng) for entry in raw["test_points"]]
    if "reads_normal" in raw:
        new["reads_normal"] = [names.measure(name) for name in raw["reads_normal"]]
    cause, fix = raw["cause"], raw["fix"]
    how = f"{names.prose(cause['how'])} Seen {rng.choice(_WHEN)}."
    new["cause"] = {**_failure(cause, names), "how": how}
    new["fix"] = {
        **fix,
        "minutes": fix["minutes"] + rng.randrange(6),
        "steps": [_step(step, names) for step in fix["steps"]],
        "confirm": _proof(fix["confirm"], names),
    }
    new["worked_example"] = {
        names.measure(name): _typed(typed, measurements[name], _factor(measurements[name], factors), rng)
        for name, typed in raw["worked_example"].items()
    }
    return new


def _proof(proof: Any, names: Names) -> Any:
    if isinstance(proof, list):
        return [names.measure(name) for name in proof]
    return {names.measure(name): outcome for name, outcome in proof.items()}


def _step(raw: str | Mapping[str, Any], names: Names) -> Any:
    """A step under the new names."""
    if isinstance(raw, str):
        return names.prose(raw)

    def renamed(value: Any, how: Callable[[str], str]) -> Any:
        if isinstance(value, list):
            return [renamed(one, how) for one in value]
        return {**value, "part": how(value["part"])} if isinstance(value, dict) else how(value)

    new = dict(raw)
    known = {**names.points, **names.parts, **names.nets}
    for key, value in raw.items():
        if key == "measure":
            new[key] = renamed(value, names.measure)
        elif key in VERBS and isinstance(value, str | list | dict):
            new[key] = renamed(value, lambda name: known.get(name, name))
        elif key == "say":
            new[key] = names.prose(value)
    if "ohm" in new.get("say", ""):
        del new["say"]  # a resistor may have another value here
    return new


def _failure(raw: Mapping[str, Any], names: Names) -> dict[str, Any]:
    """A cause, or a part and mode within one, under the new names."""
    new = dict(raw)
    for key, known in (("part", names.parts), ("at", names.nets), ("to", names.nets)):
        if key in raw:
            new[key] = known[raw[key]]
    for key in ("then", "variants"):
        if key in raw:
            new[key] = [_failure(one, names) for one in raw[key]]
    return new


def _expectation(entry: Mapping[str, Any], names: Names, rng: random.Random) -> dict[str, Any]:
    new = {**entry, "measure": names.measure(entry["measure"])}
    shares = entry["expected_reading"]
    if isinstance(shares, dict) and len(shares) == 2 and all(0.3 <= s <= 0.7 for s in shares.values()):
        (first, one), (second, _) = shares.items()
        side = (one > 0.5) - (one < 0.5)  # what is likelier stays so
        moved = round(one + side * rng.choice((0.0, 0.01, 0.02)), 2)
        new["expected_reading"] = {first: moved, second: round(1 - moved, 2)}
    return new


def _typed(typed: Any, measurement: Mapping[str, Any], factor: float, rng: random.Random) -> Any:
    """Another reading near the one of the example; what is looked at stays."""
    if measurement["mode"] in ("look", "listen") or not isinstance(typed, str):
        return typed
    if measurement["mode"] == "ohms":
        return _first(typed, lambda value: value * factor)
    return _first(typed, lambda value: value * (1 + rng.uniform(-_READING_SHARE, _READING_SHARE)))


def _first(text: str, change: Callable[[float], float]) -> str:
    """The text with its first number changed, written with as many decimals."""
    found = _NUMBER.search(text)
    return _swap(text, found[0], change(float(found[0]))) if found else text


def _every(text: str, change: Callable[[float], float]) -> str:
    """The text with each number changed, to three significant digits."""
    return _NUMBER.sub(lambda found: f"{change(float(found[0])):.3g}", text)


def _swap(text: str, number: str, value: float) -> str:
    return text.replace(number, f"{value:.{_places(number)}f}", 1)


def _places(number: str) -> int:
    return len(number.partition(".")[2])


def _mm(text: str) -> float:
    return float(text.removesuffix("mm"))


def _sentence(rng: random.Random) -> str:
    batch = rng.choice(_START) + rng.choice(_END)
    return f"In the {batch} batch {rng.choice(_WHEN)}, {rng.choice(_WHERE)}."


@cache
def _in_full(path: Path) -> dict[str, Any]:
    """A fault pattern with what it leaves to the one that it is like; read once, for all copies."""
    family = path.parent.name
    known = [f"{family}/{one.stem}" for one in path.parent.glob("*.yaml")]
    made = fault_like(str(path), _read(path), lambda id_: _read(FAULTS / f"{id_}.yaml"), known)
    return dict(made.data)


def _read(path: Path) -> dict[str, Any]:
    data, faults, _ = parse(path.read_text(encoding="utf-8"))
    if faults or not isinstance(data, dict):
        raise ValueError(f"{path} cannot be read: check the book first")
    return data


def _write(path: Path, data: Mapping[str, Any]) -> None:
    schema = "family" if path.name == "family.yaml" else "fault"
    body = yaml.dump(
        dict(data), Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=100, default_flow_style=None
    )
    head = f"# yaml-language-server: $schema=../../schema/{schema}.schema.json\n"
    path.write_text(head + body, encoding="utf-8")


class _Dumper(getattr(yaml, "CSafeDumper", yaml.SafeDumper)):  # type: ignore[misc]
    """Writes every value out where it is used: a record holds no aliases."""

    def ignore_aliases(self, data: Any) -> bool:  # noqa: ARG002
        return True


def main() -> int:
    """Write a book into the folder that the command line names."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--families", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    write_book(options.folder, options.families, options.seed)
    return 0


if __name__ == "__main__":
    sys.exit(main())
