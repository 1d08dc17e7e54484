"""What could be at fault without a record: the parts of the circuit, and what is plugged in.

On the board, what no measurement tells apart is one suspect, and finding which part it is belongs to its fix.
What is outside the board (pack, adapter, cable, accessory, settings) is tried with one that is known good.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass
from functools import lru_cache
from math import fsum
from typing import Any

from benchlore.book.links import by_severity, faults_of_family, hazards_of_fault, of_family
from benchlore.book.model import Book, Family, Fault, Measurement, Part, frozen_map
from benchlore.book.same import Same
from benchlore.cache import code_of, key_of, like, remembered
from benchlore.circuit.foretold import Asks, Row, asks_of, mixed, predictor_of
from benchlore.circuit.graph import suspects as circuit
from benchlore.circuit.graph.causes import fault_of
from benchlore.circuit.graph.predict import Predictor
from benchlore.circuit.healthy import is_sound
from benchlore.diagnosis.minutes import is_hot, part_minutes
from benchlore.fingerprint import Fingerprints
from benchlore.vocabulary import FAULT_MODES, OUTSIDE_KINDS, PART_KINDS

# Common practice, no source.
LOOK_FOR = (
    6.0  # min to see what warms up under a limited current, or what changes when something is unplugged
)
CHECK = 2.0  # min to measure again after each part, or to see whether the symptom is gone
SOUND_OUTSIDE = 0.5  # of what fails outside the board, what the board's own points do not show at all
NAMED = 4  # parts that a title names


@dataclass(frozen=True, slots=True)
class Member:
    """A part that it may be, and how it has failed. `share`: of the suspect; `minutes`: to change it."""

    part: str
    mode: str
    at: str
    share: float
    minutes: float


@dataclass(frozen=True, slots=True)
class Suspect:
    """One hypothesis without a record.

    `members`: in the order in which to try them: share over minutes, those whose firmware is matched to the
    board last. `outside`: the kind of what is plugged in, or empty. `weight`: in ways of failing, which
    the modes of a part share by the published table.
    `reads`: outcomes with their shares, by measurement; None where nothing is foretold. `minutes`: expected,
    to find and change the part. `hot`: it heats the board.
    """

    id: str
    title: str
    members: tuple[Member, ...]
    outside: str
    weight: float
    reads: Mapping[str, Row | None]
    minutes: float
    hot: bool


def suspects_of(book: Book, family: Family) -> tuple[Suspect, ...]:
    """The suspects of a family: those on the board, then what is outside."""
    return _suspects(Same(book), Same(family))


@lru_cache(maxsize=8)
def _suspects(of_book: Same[Book], of_family: Same[Family]) -> tuple[Suspect, ...]:
    """Kept by what they come from: the family, the causes of its faults, and the shop's prices."""
    book, family = of_book.record, of_family.record
    causes = [(fault.id, fault.cause) for fault in faults_of_family(book, family.id)]
    code = code_of("book", "circuit", "diagnosis", "quantity.py", "vocabulary.py")
    key = key_of(code, Fingerprints().of((family, causes, book.shop)))

    def make() -> list[Any]:
        return [_packed(suspect) for suspect in _worked_out(book, family)]

    made = remembered(f"suspects/{family.id}", key, make, _FORM)
    return tuple(_unpacked(suspect) for suspect in made)


def _worked_out(book: Book, family: Family) -> tuple[Suspect, ...]:
    if not is_sound(family):
        return ()  # of a board that feeds itself, or has a name that leads nowhere, nothing can be suspected
    predictor, asks = predictor_of(book, family), asks_of(family)
    faults = tuple(faults_of_family(book, family.id))
    return (
        *_on_board(book, family, predictor, asks, faults),
        *_outside(family, predictor, asks),
    )


def _is_row(value: Any) -> bool:
    return value is None or like(value, {str: float})


# What `_packed` gives of each suspect.
_FORM = [(str, str, [(str, str, str, float, float)], str, float, {str: _is_row}, float, bool)]


def _packed(suspect: Suspect) -> list[Any]:
    return [
        suspect.id,
        suspect.title,
        [astuple(member) for member in suspect.members],
        suspect.outside,
        suspect.weight,
        {m: None if row is None else dict(row) for m, row in suspect.reads.items()},
        suspect.minutes,
        suspect.hot,
    ]


def _unpacked(packed: Sequence[Any]) -> Suspect:
    id_, title, members, outside, weight, reads, minutes, hot = packed
    rows = {m: None if row is None else frozen_map(row) for m, row in reads.items()}
    known = tuple(Member(*member) for member in members)
    return Suspect(id_, title, known, outside, weight, frozen_map(rows), minutes, hot)


def _on_board(
    book: Book,
    family: Family,
    predictor: Predictor,
    asks: Asks,
    faults: tuple[Fault, ...],
) -> Iterator[Suspect]:
    """The groups of suspects on the board that change a reading; the others are something else."""
    graph = predictor.graph
    known = {(way.part, way.mode, way.at) for fault in faults for _, way in fault_of(fault)}
    everyone = [
        suspect
        for suspect in circuit.suspects(graph)
        if graph.parts[suspect.fault.part].kind not in OUTSIDE_KINDS and not _recorded(suspect, known)
    ]
    healthy = {m.id: dict.fromkeys(m.normal, 1 / len(m.normal)) for m, _ in asks if m.normal}
    for group in circuit.groups(predictor, asks, everyone):
        if not group.reads:
            continue
        reads: dict[str, Row | None] = {m.id: healthy.get(m.id) for m, _ in asks}
        reads.update(group.reads)
        reads.update(dict.fromkeys(group.unknown))
        weight = fsum(suspect.share * suspect.ways for suspect in group.suspects)
        members = _members(book, family, group.suspects, weight)
        yield Suspect(
            f"{family.id}/{_slug(group.suspects[0])}",
            _title(family, members),
            members,
            "",
            weight,
            frozen_map(reads),
            _search_minutes(members),
            any(family.parts[m.part].replace.skill != "none" for m in members),
        )


def _recorded(suspect: circuit.Suspect, known: set[tuple[str, str, str]]) -> bool:
    fault = suspect.fault
    return any((fault.part, fault.mode, at) in known for at in ("", fault.at))


def _slug(suspect: circuit.Suspect) -> str:
    fault = suspect.fault
    return "~" + "-".join(name.lower() for name in (fault.part, fault.mode, fault.at, fault.to) if name)


def _members(
    book: Book, family: Family, group: tuple[circuit.Suspect, ...], whole: float
) -> tuple[Member, ...]:
    found = [
        Member(
            s.fault.part,
            s.fault.mode,
            s.fault.at,
            s.share * s.ways / whole,
            _change_minutes(book, family.parts[s.fault.part]),
        )
        for s in group
    ]

    def key(member: Member) -> tuple[bool, float, str, str, str]:
        matched = "firmware" in family.parts[member.part].replace.donor and member.share < 0.5
        return matched, -member.share / member.minutes, member.part, member.mode, member.at

    return tuple(sorted(found, key=key))


def _change_minutes(book: Book, part: Part) -> float:
    """Minutes to change a part, with its price, what it risks, and a measurement after it."""
    risk = book.shop.risk.get(part.replace.skill, 0.0) / 100 * book.shop.escalate.minutes
    return part.replace.minutes + part_minutes(book.shop, part) + risk + CHECK


def _search_minutes(members: tuple[Member, ...]) -> float:
    """Expected minutes until the part is found and changed, in the order of the members."""
    left, minutes = 1.0, LOOK_FOR if len({m.part for m in members}) > 1 else 0.0
    changed: set[str] = set()
    for member in members:
        if member.part not in changed:
            minutes += left * member.minutes
        changed.add(member.part)
        left -= member.share
    return minutes


def _title(family: Family, members: tuple[Member, ...]) -> str:
    parts = tuple(dict.fromkeys(m.part for m in members))
    modes = tuple(dict.fromkeys(m.mode for m in members))
    nets = tuple(dict.fromkeys(m.at for m in members))
    said = " or ".join(FAULT_MODES[mode].label for mode in modes)
    if len(parts) == 1:
        return f"{parts[0]}, {family.parts[parts[0]].name}: {said}"
    named = ", ".join(parts[:NAMED]) + (f" and {len(parts) - NAMED} more" if len(parts) > NAMED else "")
    if len(nets) == 1 and nets[0]:
        return f"{nets[0]} {said}: one of {named}"
    return f"One of {named}: {said}"


def _outside(family: Family, predictor: Predictor, asks: Asks) -> Iterator[Suspect]:
    """What is plugged in, each part by itself; and what no record lists as a part, the settings among it."""
    listed = [part for part in family.parts.values() if part.kind in OUTSIDE_KINDS]
    for part in listed:
        ways = [
            (s.share, s.fault) for s in circuit.suspects_of(predictor.graph, predictor.graph.parts[part.id])
        ]
        rows = mixed(predictor, asks, ways)
        reads = {m.id: _half_sound(m, rows[m.id]) for m, _ in asks}
        member = Member(part.id, "", "", 1.0, part.replace.minutes + CHECK)
        title = f"The {PART_KINDS[part.kind].label} itself ({part.id}: {part.name})"
        yield Suspect(
            f"{family.id}/~{part.id.lower()}",
            title,
            (member,),
            part.kind,
            0.0,
            frozen_map(reads),
            member.minutes,
            False,
        )
    there = {part.kind for part in listed}
    entering = {source for net in family.nets.values() for source in net.enters}
    plugged = {"pack": entering & {"pack"}, "adapter": entering - {"pack"}, "cable": entering - {"pack"}}
    kinds = {kind: by for kind, by in plugged.items() if by and kind not in there}
    for kind, by in (*kinds.items(), ("settings", frozenset[str]())):
        title = f"The {PART_KINDS[kind].label} itself" if kind in PART_KINDS else "Settings or software"
        sound: dict[str, Row | None] = {
            m.id: dict.fromkeys(m.normal, 1 / len(m.normal))
            for m in family.measurements.values()
            if m.normal and not _fed(family, m, by)
        }
        yield Suspect(
            f"{family.id}/~{kind}", title, (), kind, 0.0, frozen_map(sound), LOOK_FOR + CHECK, hot=False
        )


def _fed(family: Family, measurement: Measurement, sources: Collection[str]) -> bool:
    """True where one of the sources is in for a measurement."""
    state = family.states.get(measurement.state)
    return state is not None and any(source in sources for source in state.sources)


def _half_sound(measurement: Measurement, row: Row | None) -> Row | None:
    if row is None or not measurement.normal:
        return None
    found = {outcome: (1 - SOUND_OUTSIDE) * share for outcome, share in row.items()}
    for outcome in measurement.normal:
        found[outcome] = found.get(outcome, 0.0) + SOUND_OUTSIDE / len(measurement.normal)
    return frozen_map(found)


def hazards_of_suspect(book: Book, family: Family, suspect: Suspect) -> tuple[str, ...]:
    """What can hurt while it is sought and changed, most serious first: what every hot fix of the family
    warns of, or, of what is plugged in, the bench states with a source.
    """
    if suspect.outside:
        states = (state for state in family.bench_states if state.sources)
        return of_family(book, family, (h for state in states for h in state.hazard))
    faults = faults_of_family(book, family.id)
    return by_severity(book, (h for f in faults if is_hot(book, f) for h in hazards_of_fault(book, f)))


def outside_of(book: Book, fault: Fault) -> str:
    """The kind of what is plugged in that a recorded fault is of, `settings` for one that is mended by a
    setting and in which no part has failed; empty for one of the board.
    """
    part = book.families[fault.family].parts.get(fault.cause.part)
    if part is not None and part.kind in OUTSIDE_KINDS:
        return part.kind
    failed = fault.cause.mode or fault.cause.variants
    return "settings" if fault.fix.action == "reprogram" and not failed else ""
