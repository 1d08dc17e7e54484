"""What could be at fault without a record: the parts of the circuit, and what is plugged in.

On the board, what no measurement tells apart is one suspect, and finding which part it is belongs to its fix.
What is outside the board (pack, adapter, cable, accessory, settings) is tried with one that is known good.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass, replace
from functools import lru_cache
from math import fsum
from typing import Any

from benchlore.book.links import by_severity, faults_of_family, hazards_of_fault, of_family
from benchlore.book.model import Book, Family, Fault, Measurement, Part, frozen_map
from benchlore.book.same import Same
from benchlore.book.work import SOLVENT
from benchlore.cache import code_of, key_of, like, remembered
from benchlore.circuit.foretold import Asks, Row, asks_of, mixed, predictor_of
from benchlore.circuit.graph import suspects as circuit
from benchlore.circuit.graph.causes import fault_of
from benchlore.circuit.graph.change import CHIPS, spares
from benchlore.circuit.graph.change import Fault as Way
from benchlore.circuit.graph.mode_shares import mode_shares
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Predictor
from benchlore.circuit.healthy import is_sound
from benchlore.diagnosis.minutes import is_hot, part_minutes
from benchlore.fingerprint import Fingerprints
from benchlore.vocabulary import FAULT_MODES, OUTSIDE_KINDS, PART_KINDS, STORED_ACTIONS

# Common practice, no source.
LOOK_FOR = (
    6.0  # min to see what warms up under a limited current, or what changes when something is unplugged
)
CHECK = 2.0  # min to measure again after each part, or to see whether the symptom is gone
TEND = 12.0  # min to clean or reseat what is plugged, where it looks damaged
WORN_OUT = 0.2  # of what looks damaged there, what that does not mend
REFLOW = 45.0  # min to warm up a board with a chip on it, reflow the chip by its profile, and let it cool
NOT_HELD = 0.2  # of the joints below a chip, those that this does not mend; it is changed then, or the board
WARMS = 0.8  # of the parts that hold a net down, those that the search for what warms up finds
SOUND_OUTSIDE = 0.5  # of what fails outside the board, what the board's own points do not show at all
AMISS = 0.6  # of what is read where a fault touches, and nothing tells how, what is not healthy
BESIDE = 0.3  # the same of an open contact: what stands on the board's own side of it mostly stands still
ABOUT = (
    0.25  # of what a record reads there, an outcome that it is about; one that is rarer is no record of it
)
TENDED = ("loose", "leaks")  # how a connector fails that is cleaned or reseated before it is changed
HOLDING = ("shorted-to-ground", "leaks")  # the modes that take a current from what feeds the net
NAMED = 4  # parts that a title names
SURELY = 0.999  # of a group of shorts, those that have blown the fuse, so that its title says so


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
    to find and change the part. `hot`: it heats the board. `by_hand`: it is cleaned or reseated before it is
    changed; `reflowed`: its joints are reflowed before. `apart`: of what is outside, the ways of failing that
    the board's points show, with their shares and what is foretold of each; empty where there is one.
    `along`: the fuses that it has blown, or may have, which are changed after it.
    """

    id: str
    title: str
    members: tuple[Member, ...]
    outside: str
    weight: float
    reads: Mapping[str, Row | None]
    minutes: float
    hot: bool
    by_hand: bool = False
    reflowed: bool = False
    apart: tuple[tuple[float, Mapping[str, Row]], ...] = ()
    along: tuple[str, ...] = ()


def suspects_of(book: Book, family: Family) -> tuple[Suspect, ...]:
    """The suspects of a family: those on the board, then what is outside."""
    return _suspects(Same(book), Same(family))


@lru_cache(maxsize=8)
def _suspects(of_book: Same[Book], of_family: Same[Family]) -> tuple[Suspect, ...]:
    """Kept by what they come from: the family, the causes of its faults, what these show of a part itself,
    and the shop's prices.
    """
    book, family = of_book.record, of_family.record
    looks, faults = looks_of(book, family), tuple(faults_of_family(book, family.id))
    causes = [(fault.id, fault.cause) for fault in faults]
    shown = [
        (fault.id, one.measure, one.expected_reading)
        for fault in faults
        for one in fault.test_points
        if one.measure in looks
    ]
    code = code_of("book", "circuit", "diagnosis", "quantity.py", "vocabulary.py")
    key = key_of(code, Fingerprints().of((family, causes, looks, shown, book.shop)))

    def make() -> list[Any]:
        return [_packed(suspect) for suspect in _worked_out(book, family)]

    made = remembered(f"suspects/{family.id}", key, make, _FORM)
    return tuple(_unpacked(suspect) for suspect in made)


def _worked_out(book: Book, family: Family) -> tuple[Suspect, ...]:
    if not is_sound(family):
        return ()  # of a board that feeds itself, or has a name that leads nowhere, nothing can be suspected
    predictor, asks = predictor_of(book, family), asks_of(family)
    faults, looks = tuple(faults_of_family(book, family.id)), looks_of(book, family)
    return (
        *_on_board(book, family, predictor, asks, looks, faults),
        *_seen(book, family, predictor, asks, looks, faults),
        *_outside(family, predictor, asks, looks, faults),
    )


def _is_row(value: Any) -> bool:
    return value is None or like(value, {str: float})


# What `_packed` gives of each suspect.
_FORM = [
    (
        str,
        str,
        [(str, str, str, float, float)],
        str,
        float,
        {str: _is_row},
        float,
        bool,
        bool,
        bool,
        [(float, {str: {str: float}})],
        [str],
    )
]


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
        suspect.by_hand,
        suspect.reflowed,
        [[share, {m: dict(row) for m, row in rows.items()}] for share, rows in suspect.apart],
        list(suspect.along),
    ]


def _unpacked(packed: Sequence[Any]) -> Suspect:
    id_, title, members, outside, weight, reads, minutes, hot, by_hand, reflowed, apart, along = packed
    rows = {m: None if row is None else frozen_map(row) for m, row in reads.items()}
    known = tuple(Member(*member) for member in members)
    ways = tuple((s, frozen_map({m: frozen_map(row) for m, row in by.items()})) for s, by in apart)
    return Suspect(
        id_,
        title,
        known,
        outside,
        weight,
        frozen_map(rows),
        minutes,
        hot,
        by_hand,
        reflowed,
        ways,
        tuple(along),
    )


def _on_board(
    book: Book,
    family: Family,
    predictor: Predictor,
    asks: Asks,
    looks: Mapping[str, str],
    faults: tuple[Fault, ...],
) -> Iterator[Suspect]:
    """The groups of suspects on the board that change a reading; the others are something else."""
    graph = predictor.graph
    pressed = {of for m, of in looks.items() if _shows_joints(family, of, m)}
    known = {(way.part, way.mode, way.at) for fault in faults for _, way in fault_of(fault)}
    everyone = [
        suspect
        for suspect in circuit.suspects(graph)
        if graph.parts[suspect.fault.part].kind not in OUTSIDE_KINDS
        and not (suspect.fault.mode == "loose" and suspect.fault.part in pressed)
        and not _recorded(suspect, known)
        and not spares(graph, suspect.fault)
    ]
    healthy = {m.id: dict.fromkeys(m.normal, 1 / len(m.normal)) for m, _ in asks if m.normal}
    contacts = _contacts(family)
    plugs = {part.id for part in family.parts.values() if part.kind == "connector"}
    for group in circuit.groups(predictor, asks, everyone, _told_by_name(Same(family))):
        alike = group.suspects if group.reads else _broken(group)
        reads: dict[str, Row | None] = {m.id: healthy.get(m.id) for m, _ in asks}
        reads.update(group.reads)
        of_contact = all(s.fault.mode == "open" and s.fault.part in plugs for s in alike)
        share = BESIDE if of_contact and not group.reads else AMISS
        reads.update({m: _amiss(family.measurements[m], share) for m in sorted(group.unknown)})
        for seen, apart in _apart_by_eye(alike, contacts):
            at_eye = {m: _amiss(family.measurements[m]) for m in seen}
            yield _of_group(book, family, apart, {**reads, **at_eye})


def _of_group(
    book: Book, family: Family, alike: tuple[circuit.Suspect, ...], reads: Mapping[str, Row | None]
) -> Suspect:
    weight = fsum(suspect.share * suspect.ways for suspect in alike)
    members = _members(book, family, alike, weight)
    along = _along(alike, weight)
    parts = tuple(dict.fromkeys(m.part for m in members))
    by_hand = len(parts) == 1 and family.parts[parts[0]].kind == "connector"
    by_hand = by_hand and all(m.mode in TENDED for m in members)
    if by_hand:
        tend = _tend_minutes(book, family.parts[parts[0]])
        members = tuple(replace(member, minutes=tend) for member in members)
    reflowed = len(parts) == 1 and all(m.mode == "loose" for m in members)
    reflowed = reflowed and family.parts[parts[0]].kind in CHIPS
    if reflowed:
        members = tuple(replace(m, minutes=_reflow_minutes(book, family.parts[m.part])) for m in members)
    return Suspect(
        f"{family.id}/{_slug(alike[0])}",
        _title(family, members, along),
        members,
        "",
        weight,
        frozen_map(reads),
        _search_minutes(members)
        + fsum(p * _change_minutes(book, family.parts[part]) for part, p in along.items()),
        not by_hand and any(family.parts[part].replace.skill != "none" for part in (*parts, *along)),
        by_hand,
        reflowed,
        along=tuple(along),
    )


def _apart_by_eye(
    group: tuple[circuit.Suspect, ...], contacts: Mapping[str, tuple[str, ...]]
) -> Iterator[tuple[tuple[str, ...], tuple[circuit.Suspect, ...]]]:
    """The suspects of a group by the looks at their contacts: a contact that does not carry, or carries where
    it must not, is dirty, bent, wet or askew more often than not."""
    by: dict[tuple[str, ...], list[circuit.Suspect]] = {}
    for suspect in group:
        by.setdefault(contacts.get(suspect.fault.part, ()), []).append(suspect)
    for looks, apart in by.items():
        yield looks, tuple(apart)


def _contacts(family: Family) -> Mapping[str, tuple[str, ...]]:
    """The looks at each connector of the board."""
    found: dict[str, tuple[str, ...]] = {}
    for m in family.measurements.values():
        part = _looked_at(family, m)
        if part and family.parts[part].kind == "connector":
            found[part] = (*found.get(part, ()), m.id)
    return found


def _tend_minutes(book: Book, part: Part) -> float:
    """Minutes to clean or reseat a connector, and, where that does not mend, to change it."""
    return TEND + CHECK + WORN_OUT * _change_minutes(book, part)


def _along(group: tuple[circuit.Suspect, ...], whole: float) -> dict[str, float]:
    """The fuses that a group of shorts has blown, each with its share of the group."""
    found: dict[str, float] = {}
    for suspect in group:
        for other in suspect.fault.then:
            found[other.part] = found.get(other.part, 0.0) + suspect.share * suspect.ways / whole
    return found


def _broken(group: circuit.Group) -> tuple[circuit.Suspect, ...]:
    """Of suspects of which the circuit only tells where they show, those that leave nothing as it was: of
    a leak or another value a board shows little, and nobody knows what."""
    return tuple(s for s in group.suspects if group.unknown and s.fault.mode in ("open", "stuck"))


@lru_cache(maxsize=16)
def _told_by_name(of_family: Same[Family]) -> Asks:
    """What the eye, the ear or the scope finds at a net under power, with the level of the net."""
    return tuple(_named(of_family.record))


def _named(family: Family) -> Iterator[tuple[Measurement, Ask]]:
    for m in family.measurements.values():
        state = family.states.get(m.state)
        powered = state is not None and bool(state.sources)
        by_name = m.unit is None and m.inject is None and bool(m.normal)
        if powered and by_name and len(m.nets) == 1 and all(part in family.parts for part in m.unplugged):
            yield m, Ask(m.nets[0], "dc-volts", Setup(m.state, frozenset(m.unplugged), frozenset(m.under)))


def _amiss(measurement: Measurement, share: float = AMISS) -> Row | None:
    """What is read where a fault touches and nothing tells what it does there: healthy, or, by `share`,
    anything else."""
    wrong = [o for o in measurement.outcomes if o not in measurement.normal]
    if not wrong or not measurement.normal:
        return None
    healthy = dict.fromkeys(measurement.normal, (1 - share) / len(measurement.normal))
    return frozen_map({**healthy, **dict.fromkeys(wrong, share / len(wrong))})


def _seen(
    book: Book,
    family: Family,
    predictor: Predictor,
    asks: Asks,
    looks: Mapping[str, str],
    faults: tuple[Fault, ...],
) -> Iterator[Suspect]:
    """The parts of the board that somebody looks at: each may be damaged as a look at it shows and no record
    says. What else it reads is not known, where its loss changes a reading; the rest is healthy. A connector
    is cleaned or reseated before it is changed. At a chip under power nobody sees damage: pressed, warmed or
    cooled it shows its joints, which are reflowed before it is changed."""
    for part in family.parts.values():
        seen = {} if part.kind in OUTSIDE_KINDS else _looks(family, part, looks, faults)
        if not any(seen.values()):
            continue
        lost = predictor.predict([ask for _, ask in asks], Way(part.id, "open"), words=False)
        reads = {m.id: m.reads_healthy or None if lost[ask].healthy else None for m, ask in asks}
        reads.update(seen)
        by_hand = part.kind == "connector"
        reflowed = any(_shows_joints(family, part.id, m) for m in seen)
        minutes = _tend_minutes(book, part) if by_hand else _change_minutes(book, part)
        minutes = _reflow_minutes(book, part) if reflowed else minutes
        mode = "loose" if reflowed else "damaged"
        member = Member(part.id, mode, "", 1.0, minutes)
        yield Suspect(
            f"{family.id}/~{part.id.lower()}-{mode}",
            _title(family, (member,), {}),
            (member,),
            "",
            _weight_of_joints(part) if reflowed else 1.0,
            frozen_map(reads),
            minutes,
            part.replace.skill != "none" and not by_hand,
            by_hand,
            reflowed,
        )


def _shows_joints(family: Family, part: str, look: str) -> bool:
    """True for a look at a chip under power."""
    state = family.states.get(family.measurements[look].state)
    return family.parts[part].kind in CHIPS and state is not None and bool(state.sources)


def _weight_of_joints(part: Part) -> float:
    """In ways of failing; one, where the table has no share of it."""
    shares = mode_shares(part.kind)
    return shares["loose"] * len(shares) if "loose" in shares else 1.0


def _reflow_minutes(book: Book, part: Part) -> float:
    """Minutes to reflow a chip, with what that risks, and, where it does not hold, to change the chip or the
    board."""
    escalate = book.shop.escalate.minutes
    risk = book.shop.risk.get(part.replace.skill, 0.0) / 100 * escalate
    change = _change_minutes(book, part)
    return min(REFLOW + risk + CHECK + NOT_HELD * min(change, escalate), change)


def _looks(
    family: Family, part: Part, looks: Mapping[str, str], faults: tuple[Fault, ...]
) -> dict[str, Row | None]:
    """What a damaged part reads where a look shows it: what is wrong there and no record of the part is
    about, in even shares; None where nothing is left."""
    recorded = {
        (expectation.measure, outcome)
        for fault in faults
        if fault.cause.part == part.id
        for expectation in fault.test_points
        for outcome, share in expectation.expected_reading.items()
        if share >= ABOUT
    }
    found: dict[str, Row | None] = {}
    for m in (family.measurements[name] for name, of in looks.items() if of == part.id):
        wrong = [o for o in m.outcomes if o not in m.normal and (m.id, o) not in recorded]
        found[m.id] = frozen_map(dict.fromkeys(wrong, 1 / len(wrong))) if wrong else None
    return found


def looks_of(book: Book, family: Family) -> Mapping[str, str]:
    """The looks that show a part itself, not what the device does, with that part: those at a part, or at a
    point on it, with which at least three of four jobs that read abnormally there have it at fault, by the
    records. Where no record reads anything wrong, it shows the part at which it is.
    """
    parts = {m.id: part for m in family.measurements.values() if (part := _looked_at(family, m))}
    jobs = {m: [0.0, 0.0] for m in parts}
    for fault in faults_of_family(book, family.id):
        for expectation in fault.test_points:
            if expectation.measure in parts:
                normal = family.measurements[expectation.measure].normal
                wrong = fsum(p for o, p in expectation.expected_reading.items() if o not in normal)
                other = parts[expectation.measure] != fault.cause.part
                jobs[expectation.measure][other] += (fault.seen + 0.5) * wrong
    return frozen_map({m: part for m, part in parts.items() if jobs[m][0] >= 3 * jobs[m][1]})


def _looked_at(family: Family, measurement: Measurement) -> str:
    """The part at which a look or a listen is; empty where it is at none, or where current is injected."""
    m, point = measurement, family.test_points.get(measurement.at)
    if point is None or not m.function.feels or m.unit is not None or m.inject or not m.normal:
        return ""
    return point.part or (point.sits_on if point.sits_on in family.parts else "")


def _recorded(suspect: circuit.Suspect, known: set[tuple[str, str, str]]) -> bool:
    fault = suspect.fault
    return any((fault.part, fault.mode, at) in known for at in ("", fault.at))


def _slug(suspect: circuit.Suspect) -> str:
    fault = suspect.fault
    along = (name for other in fault.then for name in (other.part, other.mode))
    names = (fault.part, fault.mode, fault.at, fault.to, *along)
    return "~" + "-".join(name.lower() for name in names if name)


def _members(
    book: Book, family: Family, group: tuple[circuit.Suspect, ...], whole: float
) -> tuple[Member, ...]:
    shares: dict[tuple[str, str, str], float] = {}
    for s in group:  # with the fuse blown and without, it is one way of failing
        way = (s.fault.part, s.fault.mode, s.fault.at)
        shares[way] = shares.get(way, 0.0) + s.share * s.ways / whole
    found = [
        Member(*way, share, _change_minutes(book, family.parts[way[0]])) for way, share in shares.items()
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
    """Expected minutes until the part is found and changed: in the order of the members, where it does not
    warm up under a limited current."""
    by = {m.part: m.minutes for m in members}
    if len(by) == 1:
        return next(iter(by.values()))
    left, in_order = 1.0, 0.0
    changed: set[str] = set()
    for member in members:
        if member.part not in changed:
            in_order += left * member.minutes
        changed.add(member.part)
        left -= member.share
    warms = WARMS if all(m.mode in HOLDING for m in members) else 0.0
    at_once = fsum(m.share * m.minutes for m in members)
    return LOOK_FOR + warms * at_once + (1 - warms) * in_order


def _title(family: Family, members: tuple[Member, ...], along: Mapping[str, float]) -> str:
    blown = [f"{fuse} {'blown' if share > SURELY else 'perhaps blown'}" for fuse, share in along.items()]
    return ", ".join([_called(family, members), *blown])


def _called(family: Family, members: tuple[Member, ...]) -> str:
    parts = tuple(dict.fromkeys(m.part for m in members))
    modes = tuple(dict.fromkeys(m.mode for m in members))
    nets = tuple(dict.fromkeys(m.at for m in members))
    said = " or ".join(FAULT_MODES[mode].label for mode in modes)
    if len(parts) == 1:
        at = f" at {nets[0]}" if len(nets) == 1 and nets[0] else ""
        return f"{parts[0]}, {family.parts[parts[0]].name}: {said}{at}"
    named = ", ".join(parts[:NAMED]) + (f" and {len(parts) - NAMED} more" if len(parts) > NAMED else "")
    if len(nets) == 1 and nets[0]:
        return f"{nets[0]} {said}: one of {named}"
    return f"One of {named}: {said}"


def _outside(
    family: Family,
    predictor: Predictor,
    asks: Asks,
    looks: Mapping[str, str],
    faults: tuple[Fault, ...],
) -> Iterator[Suspect]:
    """What is plugged in, each part by itself; and what no record lists as a part, the settings among it."""
    listed = [part for part in family.parts.values() if part.kind in OUTSIDE_KINDS]
    for part in listed:
        failures = circuit.suspects_of(predictor.graph, predictor.graph.parts[part.id])
        rows = mixed(predictor, asks, [(s.share, s.fault) for s in failures])
        rows |= _looks(family, part, looks, faults)
        reads = {m: _half_sound(family.measurements[m], row) for m, row in rows.items()}
        member = Member(part.id, "", "", 1.0, part.replace.minutes + CHECK)
        title = f"The {PART_KINDS[part.kind].label} itself ({part.id}: {part.name})"
        yield Suspect(
            f"{family.id}/~{part.id.lower()}",
            title,
            (member,),
            part.kind,
            fsum(s.share * s.ways for s in failures),
            frozen_map(reads),
            member.minutes,
            hot=False,
            apart=_apart(predictor, asks, failures),
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


def _apart(
    predictor: Predictor, asks: Asks, failures: tuple[circuit.Suspect, ...]
) -> tuple[tuple[float, Mapping[str, Row]], ...]:
    """The ways of failing of what is outside, by the net that each touches: a board fails in one of them."""
    by: dict[str, list[tuple[float, Way]]] = {}
    for s in failures:
        by.setdefault(s.fault.at or s.fault.mode, []).append((s.share, s.fault))
    total = fsum(s.share for s in failures)
    found: list[tuple[float, Mapping[str, Row]]] = []
    for ways in by.values():
        share = fsum(s for s, _ in ways)
        rows = mixed(predictor, asks, [(s / share, way) for s, way in ways])
        known = {m: row for m, row in rows.items() if row is not None}
        found.append((share / total, frozen_map(known)))
    return tuple(found) if any(rows != found[0][1] for _, rows in found) else ()


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
    warns of, with what cleaning and the state without power bring where it is mended by hand first; or, of
    what is plugged in, the bench states with a source.
    """
    if suspect.outside:
        states = (state for state in family.bench_states if state.sources)
        return of_family(book, family, (h for state in states for h in state.hazard))
    faults = faults_of_family(book, family.id)
    hot = [h for f in faults if is_hot(book, f) for h in hazards_of_fault(book, f)]
    if not suspect.by_hand:
        return by_severity(book, hot)
    bare = [h for state in family.bench_states if state.discharged for h in state.hazard]
    return by_severity(book, [*hot, *of_family(book, family, [SOLVENT, *bare])])


def outside_of(book: Book, fault: Fault) -> str:
    """The kind of what is plugged in that a recorded fault is of, `settings` for one that is mended by a
    setting and in which no part has failed; empty for one of the board.
    """
    part = book.families[fault.family].parts.get(fault.cause.part)
    if part is not None and part.kind in OUTSIDE_KINDS:
        return part.kind
    failed = fault.cause.mode or fault.cause.variants
    return "settings" if fault.fix.action in STORED_ACTIONS and not failed else ""
