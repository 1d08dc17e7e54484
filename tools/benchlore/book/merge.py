"""The data of records in full: a family out of its files, and what a record leaves to another by `like`.

Works on plain data before they are held to their schema, so that what is left out counts as stated. A
family's `family.yaml` may leave nets, parts, test points and measurements to the files of its folder
`family/`, one a subsystem; an entry stands in one of them. `like` names a revision, an entry of the same
section, or a fault pattern of the same family; what stands beside it goes before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from benchlore.book.defaults import lacking, with_defaults
from benchlore.book.ids import family_of, file_of, kind_of
from benchlore.book.short import cause_in_full
from benchlore.book.yaml_reader import parse
from benchlore.findings import Origin, Problem, nearest

LIKE = "like"
# What a family may keep in several files.
SECTIONS = ("nets", "parts", "test_points", "measurements")
# These say all of their matter or nothing of it.
_WHOLE = frozenset(
    {"symptom", "confirm", "worked_example", "expected_reading", "source", "path", "converter"}
)
# What is of one record alone; of a part also where it sits and what it meets.
_OWN = frozenset({"waive", "moved_to", "retired"})
_OWN_OF = {"parts": frozenset({"side", "at", "size", "nets", "pictures"})}
# Of these a record states one, by what holds them: the one that it states itself puts the others out.
_INSTEAD: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "measurements": {"between": ("at", "part"), "at": ("between", "part"), "part": ("between", "at")},
    "cause": {"variants": ("mode", "ohms", "volts"), "mode": ("variants", "ohms", "volts", "share_of_time")},
}

Raw = Mapping[str, Any]


@dataclass(slots=True)
class Merged:
    """A record's data in full; where an entry stands that is in another file, by section and name; what is
    wrong; whether the rest can be believed; and whether something lacks that does not follow."""

    data: Raw
    elsewhere: dict[str, dict[str, str]] = field(default_factory=dict)
    problems: list[tuple[str, Problem]] = field(default_factory=list)
    whole: bool = True
    lacks: bool = False

    def file_of(self, path: tuple[str | int, ...], file: str) -> str:
        """The file in which what lies at a path stands, as far as it is not the record's own."""
        if len(path) < 2:
            return file
        return self.elsewhere.get(str(path[0]), {}).get(str(path[1]), file)


def family_of_files(file: str, data: Raw, others: Mapping[str, Raw]) -> Merged:
    """A family's data out of `family.yaml` and of its other files, by name."""
    made = Merged(dict(data))
    for other, held in others.items():
        for section in SECTIONS:
            _take(made, file, other, section, held.get(section))
    _revisions(made, file)
    for section in SECTIONS:
        entries = made.data.get(section)
        if isinstance(entries, Mapping):
            full = {name: _filled(made, file, section, entries, name) for name in entries}
            made.data = {**made.data, section: full}
    _places(made)
    made.data = with_defaults(made.data)
    for section, name, field_, mend in lacking(made.data) if made.whole else ():
        origin = Origin(made.file_of((section, name), file), (section, name))
        problem = Problem(origin, f"the field '{field_}' is missing", mend, on_key=True)
        made.problems.append(("missing-field", problem))
        made.lacks = True
    return made


def family_data(texts: Mapping[str, str], family: str) -> Raw:
    """A family's data in full, from the texts of its files; empty where it has none."""
    data: dict[str, Raw] = {}
    for file, text in texts.items():
        kind = kind_of(file)
        if kind and kind[0] in ("family", "subsystem") and family_of(kind[1]) == family:
            read = parse(text)[0]
            data[file] = read if isinstance(read, Mapping) else {}
    file = file_of("family", family)
    return family_of_files(file, data.pop(file, {}), data).data


def fault_like(file: str, data: Raw, others: Callable[[str], Raw | None], known: Iterable[str]) -> Merged:
    """A fault pattern's data with those of the one that it is like. `others`: the data of a fault pattern of
    the same family by its id; `known`: these ids."""
    made = Merged(data)
    chain, at = [data], data.get(LIKE)
    named: list[str] = []
    while isinstance(at, str):
        found = others(at)
        if at in named:
            made.problems.append(_circle(Origin(file, (LIKE,)), [*named, at]))
        elif found is None:
            mend = nearest(at, known) or "name a fault pattern of the same family"
            problem = Problem(Origin(file, (LIKE,)), f"'{at}' is not a fault pattern here", mend)
            made.problems.append(("unknown-like", problem))
        else:
            named.append(at)
            chain.append(found)
            at = found.get(LIKE)
            continue
        made.whole = False
        return made
    full: Raw = {}
    for one in reversed(chain):
        full = _over(full, {**one, "cause": cause_in_full(one["cause"])} if "cause" in one else one)
    made.data = {key: value for key, value in full.items() if key != LIKE}
    return made


def _take(made: Merged, file: str, other: str, section: str, entries: Any) -> None:
    if not isinstance(entries, Mapping):
        return
    held = made.data.get(section, {})
    if not isinstance(held, Mapping):
        return
    there = made.elsewhere.setdefault(section, {})
    for name in entries:
        if name in held:
            message = f"'{name}' stands in '{there.get(name, file)}', too"
            problem = Problem(Origin(other, (section, name)), message, "keep one of them", on_key=True)
            made.problems.append(("entry-said-twice", problem))
        else:
            there[name] = other
    made.data = {**made.data, section: {**entries, **held} if section in made.data else dict(entries)}


def _filled(made: Merged, file: str, section: str, entries: Raw, name: str) -> Any:
    """An entry with what it leaves to others of its section."""
    chain: list[Raw] = []
    named: list[str] = []
    at: Any = name
    while True:
        entry = entries.get(at) if isinstance(at, str) else None
        origin = Origin(made.file_of((section, name), file), (section, name, LIKE))
        if named and at in named:
            if at == name:  # one finding a ring, at each of its records
                made.problems.append(_circle(origin, [*named, at]))
            made.whole = False
            return entries[name]
        if not isinstance(entry, Mapping):
            if len(named) == 1:  # what it leads to says the rest
                mend = nearest(str(at), set(entries) - {name})
                message = f"'{at}' is no other entry of '{section}'"
                made.problems.append(("unknown-like", Problem(origin, message, mend)))
            made.whole = made.whole and not named
            return entries[name]
        named.append(str(at))
        chain.append(entry)
        if LIKE not in entry:
            break
        at = entry[LIKE]
    full: Raw = {}
    for one in reversed(chain):
        full = _over(full, one, section)
    return {key: value for key, value in full.items() if key != LIKE} if len(chain) > 1 else entries[name]


def _over(below: Raw, above: Raw, held_by: str = "") -> Raw:
    """What `above` states before what is taken from `below`: mappings are merged, all else is replaced."""
    instead = _INSTEAD.get(held_by, {})
    out = {gone for key in above for gone in instead.get(key, ())} | _OWN | _OWN_OF.get(held_by, frozenset())
    full = {key: value for key, value in below.items() if key not in out}
    for key, value in above.items():
        held = full.get(key)
        merges = isinstance(value, Mapping) and isinstance(held, Mapping) and key not in _WHOLE
        full[key] = _over(held, value, key) if merges and isinstance(held, Mapping) else value
    return full


def _circle(origin: Origin, names: list[str]) -> tuple[str, Problem]:
    message = f"this is like itself: {' like '.join(names)}"
    return "like-in-circle", Problem(origin, message, "let one of them state all of itself")


def _revisions(made: Merged, file: str) -> None:
    """Of a revision that is like another one: every place that it does not state is that of the other."""
    revisions = made.data.get("revisions")
    if not isinstance(revisions, Mapping):
        return
    likes = {r: one[LIKE] for r, one in revisions.items() if isinstance(one, Mapping) and LIKE in one}
    for revision in likes:
        _sound(made, Origin(file, ("revisions", revision, LIKE)), revision, likes, revisions)
    if not likes or not made.whole:
        return

    def filled(place: Any) -> Any:
        if not isinstance(place, Mapping):
            return place
        given = dict(place)
        for revision in revisions:
            at = revision
            while at not in place and at in likes:
                at = likes[at]
            if at in place:
                given.setdefault(revision, place[at])
        return given

    plain = {r: {k: v for k, v in one.items() if k != LIKE} for r, one in revisions.items()}
    made.data = _at_places(made.data, filled, filled) | {"revisions": plain}


def _sound(made: Merged, origin: Origin, revision: str, likes: Raw, revisions: Raw) -> None:
    """Say where a revision is like none, or in the end like itself."""
    chain, at = [revision], likes[revision]
    while isinstance(at, str) and at in likes and at not in chain:
        chain.append(at)
        at = likes[at]
    if at in chain:
        made.whole = False
        if at == revision:
            made.problems.append(_circle(origin, [*chain, at]))
    elif at not in revisions:
        made.whole = False
        if len(chain) == 1:  # what it leads to says the rest
            mend = nearest(str(at), set(revisions) - {revision})
            made.problems.append(("unknown-like", Problem(origin, f"'{at}' is not a revision", mend)))


def _places(made: Merged) -> None:
    """Words that hold for all revisions stand once in a record."""
    revisions = made.data.get("revisions")
    names = list(revisions) if isinstance(revisions, Mapping) else []

    def all_of(where: Any) -> Any:
        return dict.fromkeys(names, where) if isinstance(where, str) and names else where

    made.data = _at_places(made.data, lambda at: at, all_of)


def _at_places(data: Raw, at: Callable[[Any], Any], where: Callable[[Any], Any]) -> dict[str, Any]:
    """The data of a family with every place and its words made anew."""

    def one(entry: Any) -> Any:
        if not isinstance(entry, Mapping) or not entry.keys() & {"at", "where"}:
            return entry
        made = {"at": at, "where": where}
        return {key: made[key](value) if key in made else value for key, value in entry.items()}

    def each(entries: Any) -> Any:
        return {k: one(v) for k, v in entries.items()} if isinstance(entries, Mapping) else entries

    full = {key: each(value) if key in ("parts", "test_points") else value for key, value in data.items()}
    board = full.get("board")
    if isinstance(board, Mapping) and "landmarks" in board:
        full["board"] = {**board, "landmarks": each(board["landmarks"])}
    return full
