"""Ids: names that pages can have, and names that stay."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book
from benchlore.findings import Origin, Problem
from benchlore.rules.engine import BookRule, Rule

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
_FAMILY_PAGES = frozenset({"index", "nets", "parts"})
# Beside the files that the site names by family: what all families share.
_FAMILY_FILES = frozenset({"book"})
_HANDOUT = "-handout"
# No file on Windows may have these names, whatever its ending
# (Microsoft, "Naming Files, Paths, and Namespaces").
_DEVICES = frozenset(
    {"aux", "con", "nul", "prn", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10))}
)


def reserved_name(book: Book) -> Iterator[Problem]:
    """A record's id can be the name of its page: not one that the site uses itself, such as `index`,
    `nets` or `symptoms`, and not one that Windows keeps for devices, such as `aux`, `con` or `com1`.

    Nor has a family the name of another one's handout, `wren-5-handout` beside `wren-5`.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          AUX: {kind: rail, for: Feeds the display board., fed_by: MAIN}

    Good:
        # faults/wren-5/family.yaml
        nets:
          MAIN: {kind: rail, for: Feeds the processor and the display.}
    """
    for family in book.families.values():
        yield from _reserved(family.origin, family.id, SITE_FOLDERS | _FAMILY_FILES)
        if family.id.endswith(_HANDOUT) and family.id.removesuffix(_HANDOUT) in book.families:
            of = family.id.removesuffix(_HANDOUT)
            message = f"the handout of '{of}' has a page named '{family.id}'"
            yield Problem(family.origin, message, "choose another id", on_key=True)
        for net in family.nets.values():
            yield from _reserved(net.origin, net.id)
        for part in family.parts.values():
            yield from _reserved(part.origin, part.id)
    for fault in book.faults.values():
        if said := reserved_fault(fault.name):
            yield Problem(fault.origin, said, "choose another id", on_key=True)
    for origin, name in _shared(book):
        yield from _reserved(origin, name, frozenset({"index"}))


def _shared(book: Book) -> Iterator[tuple[Origin, str]]:
    for symptom in book.symptoms.values():
        yield symptom.origin, symptom.id
    for hazard in book.hazards.values():
        yield hazard.origin, hazard.id
    for meter in book.meters.values():
        yield meter.origin, meter.id
    for state in book.states.values():
        yield state.origin, state.id
    for technique in book.techniques.values():
        yield technique.origin, technique.id


def reserved_fault(name: str) -> str:
    """Why no fault pattern can have this name; empty when one can."""
    return _taken(name, _FAMILY_PAGES)


def _reserved(origin: Origin, name: str, taken: frozenset[str] = frozenset()) -> Iterator[Problem]:
    if said := _taken(name, taken):
        yield Problem(origin, said, "choose another id", on_key=True)


def _taken(name: str, taken: frozenset[str]) -> str:
    if name.lower() in _DEVICES:
        return f"Windows allows no file named '{name}'"
    return f"the site has a page of its own named '{name}'" if name.lower() in taken else ""


def names_differ_in_case(book: Book) -> Iterator[Problem]:
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
    for family in book.families.values():
        seen: dict[str, str] = {}
        for name in family.board.landmarks:
            first = seen.setdefault(name.casefold(), name)
            if first != name:
                origin = family.origin.at("board", "landmarks", name)
                yield Problem(
                    origin, f"'{name}' differs from '{first}' only in case", "rename one", on_key=True
                )


def moved_in_circle(book: Book) -> Iterator[Problem]:
    """Following `moved_to` from record to record ends at a fault pattern.

    Bad:
        # faults/wren-5/fuse-blown.yaml
        moved_to: wren-5/fuse-blown

    Good:
        # faults/wren-5/fuse-blown.yaml
        moved_to: wren-5/fuse-open
    """
    for record in book.retired.values():
        seen, at = [record.id], record.moved_to
        while at is not None and at in book.retired and at not in seen:
            seen.append(at)
            at = book.retired[at].moved_to
        if at == record.id:
            message = f"the record moves in a circle: {' to '.join([*seen, at])}"
            yield Problem(record.origin.at("moved_to"), message, "name the fault pattern that it is now")


RULES: tuple[BookRule, ...] = (
    Rule(reserved_name, waivable=False),
    Rule(names_differ_in_case),
    Rule(moved_in_circle, waivable=False),
)
