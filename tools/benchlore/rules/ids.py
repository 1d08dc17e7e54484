"""Ids: names that pages can have, and names that stay."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.ids import file_of
from benchlore.book.model import Book, Family
from benchlore.cache import like
from benchlore.findings import Origin, Problem
from benchlore.rules.rule import Kind, Seen, across, rule
from benchlore.rules.subjects import FAMILY

# Folders and pages that the site keeps for itself, where a record of this id would have its own.
SITE_FOLDERS = frozenset(
    {
        "assets",
        "contribute",
        "data",
        "hazards",
        "meters",
        "records",
        "search",
        "states",
        "study",
        "symptoms",
        "techniques",
    }
)
_FAMILY_PAGES = frozenset({"index", "nets", "parts", "states", "walk", "walk-sheet"})
# Beside the files that the site names by family: what all families share.
_FAMILY_FILES = frozenset({"book"})
_HANDOUT = "-handout"
# No file on Windows may have these names, whatever its ending
# (Microsoft, "Naming Files, Paths, and Namespaces").
_DEVICES = frozenset(
    {"aux", "con", "nul", "prn", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10))}
)


def _names(book: Book) -> Iterator[tuple[Origin, str, frozenset[str]]]:
    for family in book.families.values():
        yield family.origin, family.id, SITE_FOLDERS | _FAMILY_FILES
        for net in family.nets.values():
            yield net.origin, net.id, frozenset()
        for part in family.parts.values():
            yield part.origin, part.id, frozenset()
        for state in family.own_states:
            yield state.origin, state.id, frozenset()
    for fault in book.faults.values():
        yield fault.origin, fault.name, _FAMILY_PAGES


def _shared_names(book: Book) -> Iterator[tuple[Origin, str, frozenset[str]]]:
    for records in (book.symptoms, book.hazards, book.meters, book.states, book.techniques):
        for record in records.values():
            yield record.origin, record.id, frozenset({"index"})


# Every id that names a page, with the names that the site has for itself there.
_NAMES = Kind({"origin": "Origin", "name": "str", "taken": "frozenset[str]"}, _names, _shared_names)


@rule(each=_NAMES, waivable=False)
def reserved_name(origin: Origin, name: str, taken: frozenset[str]) -> Iterator[Problem]:
    """A record's id can be the name of its page: not one that the site uses itself, such as `index`,
    `nets` or `symptoms`, and not one that Windows keeps for devices, such as `aux`, `con` or `com1`.

    Nor has a family the name of another one's handout, `wren-5-handout` beside `wren-5`.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          AUX: {for: Feeds the display board., path: {from: MAIN}}

    Good:
        # faults/wren-5/family.yaml
        nets:
          MAIN: {for: Feeds the processor and the display.}
    """
    if said := _taken(name, taken):
        yield Problem(origin, said, "choose another id", on_key=True)


@across(visit=lambda book: list(book.families), notes=[str], part_of=reserved_name, waivable=False)
def handout_of_another(seen: Seen) -> Iterator[Problem]:
    """A family whose id is that of another one's handout would have its page in that place."""
    families = {name for noted in seen for name in noted}
    for name in sorted(families):
        of = name.removesuffix(_HANDOUT)
        if of != name and of in families:
            origin = Origin(file_of("family", name))
            yield Problem(
                origin, f"the handout of '{of}' has a page named '{name}'", "choose another id", on_key=True
            )


def reserved_fault(name: str) -> str:
    """Why no fault pattern can have this name; empty when one can."""
    return _taken(name, _FAMILY_PAGES)


def _taken(name: str, taken: frozenset[str]) -> str:
    if name.lower() in _DEVICES:
        return f"Windows allows no file named '{name}'"
    return f"the site has a page of its own named '{name}'" if name.lower() in taken else ""


@rule(each=FAMILY, waivable=False)
def state_named_twice(book: Book, family: Family) -> Iterator[Problem]:
    """A bench state that a family writes out has a name that no common one has: a name is one state.

    Bad:
        # faults/wren-5/family.yaml
        states:
          - adapter-only
          - all-off
          - pack-only:
              title: Pack in
              short: Pack in
              sources: [pack]
              minutes: 1
              how: [Plug in the pack.]
              hazard: [lithium-pack]

    Good:
        # faults/wren-5/family.yaml
        states: [adapter-only, pack-only, all-off]
    """
    for state in family.own_states:
        if state.id in book.states:
            message = f"'{state.id}' is a common bench state, too"
            yield Problem(state.origin, message, "name it alone, or choose another name", on_key=True)


@rule(each=FAMILY)
def names_differ_in_case(family: Family) -> Iterator[Problem]:
    """Two landmarks differ in more than capitals.

    Bad:
        # faults/wren-5/family.yaml
        board:
          landmarks:
            Barrel Jack: {side: top, at: {A: [9 mm, 5 mm], B: [9 mm, 9 mm]}, size: [9 mm, 9 mm]}

    Good:
        # faults/wren-5/family.yaml
        board:
          landmarks:
            volume keys: {side: top, at: {A: [9 mm, 5 mm], B: [9 mm, 9 mm]}, size: [9 mm, 9 mm]}
    """
    seen: dict[str, str] = {}
    for name in family.board.landmarks:
        first = seen.setdefault(name.casefold(), name)
        if first != name:
            origin = family.origin.at("board", "landmarks", name)
            yield Problem(origin, f"'{name}' differs from '{first}' only in case", "rename one", on_key=True)


def _is_move(noted: object) -> bool:
    return like(noted, (str, str)) or like(noted, (str, None))


def _moves(book: Book) -> dict[str, list[str | None]]:
    """Where the retired records went, by id, each with its file."""
    return {record.id: [record.origin.file, record.moved_to] for record in book.retired.values()}


@across(visit=_moves, notes={str: _is_move}, waivable=False)
def moved_in_circle(seen: Seen) -> Iterator[Problem]:
    """Following `moved_to` from record to record ends at a fault pattern.

    Bad:
        # faults/wren-5/fuse-blown.yaml
        moved_to: wren-5/fuse-blown

    Good:
        # faults/wren-5/fuse-blown.yaml
        moved_to: wren-5/fuse-open
    """
    moves = {name: moved for noted in seen for name, moved in noted.items()}
    for name, (file, to) in moves.items():
        chain, at = [name], to
        while at is not None and at in moves and at not in chain:
            chain.append(at)
            at = moves[at][1]
        if at == name:
            message = f"the record moves in a circle: {' to '.join([*chain, at])}"
            origin = Origin(file, ("moved_to",))
            yield Problem(origin, message, "name the fault pattern that it is now")
