"""What the records of two books say otherwise. Prose is passed over: it changes no meaning to count."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from benchlore.book import Loaded
from benchlore.book.ids import BOOK_FOLDER, COMMON, file_of, folder_of
from benchlore.book.links import hazards_of_fault, hazards_of_measurement, parts_of_fault, techniques_of_fault
from benchlore.book.merge import family_data, fault_like
from benchlore.book.model import Book, Family, Fault
from benchlore.book.yaml_reader import parse
from benchlore.difference.kinds import Change
from benchlore.vocabulary import SIGNALS

# Words for people, and what is told in a way of its own.
_PROSE = frozenset(
    {"title", "summary", "note", "how", "say", "means", "asks", "for", "tell", "name", "where", "shows"}
)
_TOLD = frozenset(
    {"symptom", "test_points", "techniques", "hazard", "seen", "waive", "worked_example", "outcomes"}
)
_COMMON_PROSE = frozenset({"said", "said_in", "avoid", "signal", "signs", "source", "harm", "short"})
_ENTRIES = {"nets": "net", "parts": "part", "test_points": "test point", "measurements": "measurement"}
# A share of boards below this is nothing to a reviewer.
_LEAST = 0.01
_COMMON = ("symptoms", "hazards", "states", "techniques", "meters", "words")
_CALLED = {"symptoms": "symptom", "states": "bench state", "techniques": "technique", "meters": "meter"}


def renamed(old: Book, new: Book) -> Mapping[str, str]:
    """The new id of every fault that was moved since."""
    return {
        id_: gone.moved_to
        for id_, gone in new.retired.items()
        if gone.moved_to and id_ in old.faults and gone.moved_to in new.faults
    }


def hazards(old: Book, new: Book, moved: Mapping[str, str]) -> Iterator[Change]:
    """Hazards that are not warned of any more, and those that are warned of less."""
    for before, after, called in (
        (old.symptoms, new.symptoms, "symptom"),
        (old.states, new.states, "bench state"),
        (old.techniques, new.techniques, "technique"),
    ):
        for id_, record in before.items():
            if id_ in after:
                yield from _dropped(f"{called} {id_}", record.hazard, after[id_].hazard)
    for id_, fault in old.faults.items():
        now = new.faults.get(moved.get(id_, id_))
        if now:
            yield from _dropped(now.id, hazards_of_fault(old, fault), hazards_of_fault(new, now))
    for id_, family in old.families.items():
        if id_ in new.families:
            yield from _dropped_in(old, family, new, new.families[id_])
    yield from _weaker(old, new)


def _weaker(old: Book, new: Book) -> Iterator[Change]:
    """Hazards that are gone, warned of by a weaker word, or with a control less."""
    signals = tuple(SIGNALS)
    for id_, hazard in old.hazards.items():
        kept = new.hazards.get(id_)
        if kept is None:
            yield Change("hazard-dropped", f"hazard {id_}", hazard.title)
            continue
        if signals.index(kept.signal) > signals.index(hazard.signal):
            yield Change("hazard-weaker", id_, hazard.signal, kept.signal)
        for line in hazard.avoid:
            if line not in kept.avoid:
                yield Change("hazard-weaker", id_, line)


def _dropped_in(old: Book, family: Family, new: Book, now: Family) -> Iterator[Change]:
    """Of the bench states that are the family's own; and of single measurements, which lose what their state
    or their technique warns of when they get another one."""
    states = {state.id: state for state in now.own_states}
    for state in family.own_states:
        if state.id in states:
            subject = f"{family.id}: bench state {state.id}"
            yield from _dropped(subject, state.hazard, states[state.id].hazard)
    for name, one in family.measurements.items():
        other = now.measurements.get(name)
        if other and (one.state, one.technique) != (other.state, other.technique):
            had, has = hazards_of_measurement(old, family, one), hazards_of_measurement(new, now, other)
            yield from _dropped(f"{family.id}: measurement {name}", had, has)


def _dropped(subject: str, before: tuple[str, ...], after: tuple[str, ...]) -> Iterator[Change]:
    return (Change("hazard-dropped", subject, name) for name in before if name not in after)


def faults(old: Book, new: Book, moved: Mapping[str, str]) -> Iterator[Change]:
    """Faults that came, went, or changed their name."""
    came = set(new.faults) - set(old.faults) - set(moved.values())
    yield from (Change("fault-added", id_, "", new.faults[id_].title) for id_ in came)
    for id_, fault in old.faults.items():
        if id_ in moved:
            yield Change("fault-renamed", id_, "", moved[id_])
        elif id_ not in new.faults:
            gone = new.retired.get(id_)
            kind = "fault-retired" if gone else "fault-vanished"
            yield Change(kind, id_, fault.title, gone.retired or gone.moved_to or "" if gone else "")


def links(old: Book, new: Book, moved: Mapping[str, str]) -> Iterator[Change]:
    """What a fault leads to: symptoms, measurements, parts, techniques; and what it reads."""
    for id_, fault in old.faults.items():
        now = new.faults.get(moved.get(id_, id_))
        if now is None:
            continue
        before, after = _led_to(old, fault), _led_to(new, now)
        yield from (Change("link-lost", now.id, name) for name in before - after)
        yield from (Change("link-gained", now.id, "", name) for name in after - before)
        had = hazards_of_fault(old, fault)
        more = (name for name in hazards_of_fault(new, now) if name not in had)
        yield from (Change("link-gained", now.id, "", f"hazard {name}") for name in more)
        for symptom, often in fault.symptom.items():
            if now.symptom.get(symptom, often) != often:
                yield Change("link-moved", f"{now.id}: {symptom}", often, now.symptom[symptom])
        for measure, reads in fault.reads.items():
            if now.reads.get(measure, reads) != reads:
                yield Change(
                    "reading-moved", f"{now.id}: {measure}", _shares(reads), _shares(now.reads[measure])
                )
        if fault.seen != now.seen:
            yield Change("seen-moved", now.id, str(fault.seen), str(now.seen))


def _led_to(book: Book, fault: Fault) -> set[str]:
    found = {f"symptom {name}" for name in fault.symptom}
    found |= {f"measurement {one.measure}" for one in fault.readings}
    found |= {f"part {name}" for name in parts_of_fault(fault)}
    return found | {f"technique {name}" for name in techniques_of_fault(book, fault)}


def _shares(expected: Mapping[str, float]) -> str:
    """`absent`, or `absent 0.7, low 0.3`; what rounds to nothing is left out."""
    shown = {name: f"{share:.2g}" for name, share in expected.items() if share >= _LEAST}
    return (
        next(iter(shown))
        if len(shown) == 1
        else ", ".join(f"{name} {share}" for name, share in shown.items())
    )


def entries(old: Book, new: Book) -> Iterator[Change]:
    """What families and the common records have that they had not, and the other way round."""
    for kind, called in _CALLED.items():
        yield from _came_and_went("common", called, getattr(old, kind), getattr(new, kind))
    yield from _came_and_went("book", "family", old.families, new.families)
    for id_, family in old.families.items():
        now = new.families.get(id_)
        for kind, called in _ENTRIES.items() if now else ():
            yield from _came_and_went(id_, called, getattr(family, kind), getattr(now, kind))


def _came_and_went(
    where: str, called: str, before: Mapping[str, Any], after: Mapping[str, Any]
) -> Iterator[Change]:
    for name, record in before.items():
        if name not in after:
            yield Change("entry-lost", f"{where}: {called} {name}", _words(record))
    for name, record in after.items():
        if name not in before:
            yield Change("entry-gained", f"{where}: {called} {name}", "", _words(record))


def _words(record: Any) -> str:
    """What a record is called, for people."""
    said = (str(getattr(record, name, "") or "") for name in ("title", "name", "asks", "for_", "net"))
    return next(filter(None, said), "")


def outcomes(old: Book, new: Book) -> Iterator[Change]:
    """The ranges of outcomes, and which of them stop the work or bar a source."""
    for id_, family in old.families.items():
        now = new.families.get(id_)
        for name, measurement in family.measurements.items() if now else ():
            theirs = now.measurements.get(name) if now else None
            for outcome in measurement.outcomes.values() if theirs else ():
                other = theirs.outcomes.get(outcome.id) if theirs else None
                subject = f"{id_}: {name}: {outcome.id}"
                before = outcome.range.text if outcome.range else "seen"
                if other is None:
                    yield Change("range-moved", subject, before)
                    continue
                after = other.range.text if other.range else "seen"
                if before != after:
                    yield Change("range-moved", subject, before, after)
                if outcome.stop and not other.stop:
                    yield Change("stop-dropped", subject, "stop", ", ".join(other.bars))
                for source in outcome.bars:
                    if source not in other.bars and not other.stop:
                        yield Change("stop-dropped", subject, f"bars {source}")
            for outcome in theirs.outcomes.values() if theirs else ():
                if outcome.id not in measurement.outcomes:
                    after = outcome.range.text if outcome.range else "seen"
                    yield Change("range-moved", f"{id_}: {name}: {outcome.id}", "", after)


def facts(old: Loaded, new: Loaded, moved: Mapping[str, str]) -> Iterator[Change]:
    """Every other field that is no prose, as written: of families' entries, faults, common records."""
    for id_ in old.book.families:
        if id_ in new.book.families:
            before, after = (family_data(one.sources.texts, id_) for one in (old, new))
            yield from _family_facts(id_, before, after)
    for file, picture in old.book.pictures.items():
        kept = new.book.pictures.get(file)
        if kept is None or kept.digest != picture.digest:
            yield Change("fact-moved", file, "picture", "another picture" if kept else "")
    for id_ in old.book.faults:
        now = moved.get(id_, id_)
        if now in new.book.faults:
            before, after = (_fault_data(book, one) for book, one in ((old, id_), (new, now)))
            yield from _steps(now, before, after)
            yield from _moved("fact-moved", now, before, after)
    for kind in _COMMON:
        files = (
            {f"common/{kind}/{name}" for name in old.book.techniques}
            if kind == "techniques"
            else {f"common/{kind}"}
        )
        for file in files:
            both = ({id_: _facts_of(one) for id_, one in _data(book, file).items()} for book in (old, new))
            yield from _moved("fact-moved", file, *both)
    yield from _moved("fact-moved", "common/shop", _data(old, "common/shop"), _data(new, "common/shop"))


def _facts_of(record: Any) -> Any:
    """A common record without the words that only it has."""
    if not isinstance(record, Mapping):
        return record
    return {key: value for key, value in record.items() if key not in _COMMON_PROSE}


def _family_facts(id_: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Change]:
    for kind, called in _ENTRIES.items():
        for name, entry in before.get(kind, {}).items():
            other = after.get(kind, {}).get(name)
            if other is not None:
                told = "range-moved" if kind == "nets" else "fact-moved"
                yield from _moved(told, f"{id_}: {called} {name}", entry, other)
    rest = ({key: value for key, value in one.items() if key not in _ENTRIES} for one in (before, after))
    yield from _moved("fact-moved", id_, *rest)


def _steps(fault: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Change]:
    had, has = ([_line(step) for step in one.get("fix", {}).get("steps", [])] for one in (before, after))
    yield from (Change("step-lost", fault, line) for line in had if line not in has)
    yield from (Change("step-gained", fault, "", line) for line in has if line not in had)


def _moved(kind: str, subject: str, before: Any, after: Any) -> Iterator[Change]:
    had, has = dict(_leaves(before)), dict(_leaves(after))
    for path in {*had, *has}:
        if had.get(path) != has.get(path):
            yield Change(kind, f"{subject}: {path}", had.get(path, ""), has.get(path, ""))


def _leaves(data: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every value that is no prose, as (path, text)."""
    if isinstance(data, Mapping):
        for key, value in data.items():
            if key not in _PROSE and key not in _TOLD and not (key == "steps" and path == "fix"):
                yield from _leaves(value, f"{path}.{key}" if path else str(key))
    elif isinstance(data, list) and any(isinstance(item, Mapping | list) for item in data):
        for place, item in enumerate(data):
            yield from _leaves(item, f"{path}.{place + 1}")
    elif path:
        yield path, _line(data)


def _line(data: Any) -> str:
    if isinstance(data, Mapping):
        return ", ".join(f"{key}: {_line(value)}" for key, value in data.items())
    if isinstance(data, list):
        return ", ".join(map(_line, data))
    return {True: "true", False: "false"}.get(data, "") if isinstance(data, bool) else str(data)


def _fault_data(loaded: Loaded, id_: str) -> Mapping[str, Any]:
    """A fault pattern's data, with what it leaves to the one that it is like."""
    return fault_like(file_of("fault", id_), _data(loaded, id_), lambda one: _data(loaded, one), ()).data


def _data(loaded: Loaded, file: str) -> Mapping[str, Any]:
    read = parse(loaded.sources.texts.get(f"{BOOK_FOLDER}/{file}.yaml", ""))[0]
    return read if isinstance(read, Mapping) else {}


def waivers(old: Book, new: Book) -> Iterator[Change]:
    """Findings that are silenced now and were not before."""
    known = dict(_waived(old))
    for subject, reason in _waived(new):
        if known.get(subject) != reason:
            yield Change("waiver-new", subject, known.get(subject, ""), reason)


def _waived(book: Book) -> Iterator[tuple[str, str]]:
    for fault in book.faults.values():
        yield from ((f"{fault.id}: {rule}", reason) for rule, reason in fault.waive.items())
    for family in book.families.values():
        yield from ((f"{family.id}: {rule}", reason) for rule, reason in family.waive.items())
        for measurement in family.measurements.values():
            where = f"{family.id}: {measurement.id}"
            yield from ((f"{where}: {rule}", reason) for rule, reason in measurement.waive.items())


def outside(old: Loaded, new: Loaded, family: str | None) -> Iterator[Change]:
    """Files of other families and of the common records.

    The contributor's family is `family`, or else the one most of whose files are others now.
    """
    names = {*old.sources.texts, *new.sources.texts}
    other = {name for name in names if old.sources.texts.get(name) != new.sources.texts.get(name)}
    counts = Counter(folder_of(name) for name in other if folder_of(name) != COMMON)
    own = family or min(counts, key=lambda name: (-counts[name], name), default="")
    for name in other:
        if folder_of(name) != own:
            word = "changed" if name in old.sources.texts and name in new.sources.texts else ""
            word = word or ("new" if name in new.sources.texts else "gone")
            yield Change("outside-family", name, "", word)
