"""Names lead somewhere. A name of a kind that could not be read at all is not reported again here."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from benchlore.book.elements import names_of as names_of_element
from benchlore.book.ids import BOOK_FOLDER, family_of, fault_id
from benchlore.book.links import names_of
from benchlore.book.model import Book, Family, Fault, Measurement, Step
from benchlore.cache import like
from benchlore.findings import Origin, Problem, nearest
from benchlore.rules.rule import COMMON, Kind, Seen, across, rule
from benchlore.rules.subjects import FAMILY, FAULT, HAZARDS, MEASUREMENT


def _unknown(
    origin: Origin, name: str, known: Collection[str], what: str, *, on_key: bool = False, mend: str = ""
) -> Iterator[Problem]:
    if known and name.lower() == "todo" and name not in known:
        yield Problem(
            origin, f"'{name}' still waits to be written", f"write {what.replace(' is', '')}", on_key
        )
    elif known and name not in known:
        yield Problem(origin, f"'{name}' is not {what}", mend or nearest(name, known), on_key)


def _listed(origin: Origin, names: Collection[str], known: Collection[str], what: str) -> Iterator[Problem]:
    for i, name in enumerate(names):
        yield from _unknown(origin.at(i), name, known, what)


def _named(book: Book, folder: str) -> set[str]:
    """Names of the records in a folder of the book, also of those that could not be read."""
    start = f"{BOOK_FOLDER}/{folder}/"
    return {file.removeprefix(start).removesuffix(".yaml") for file in book.files if file.startswith(start)}


def _part_uses(book: Book) -> Iterator[tuple[str, Origin, str]]:
    for fault in book.faults.values():
        for failure in fault.cause.failures:
            yield fault.family, failure.origin.at("part"), failure.part
        for step in fault.fix.steps:
            for origin, name in _parts_of_step(step):
                yield fault.family, origin, name
    for family in book.families.values():
        for i, name in enumerate(family.opening.without if family.opening else ()):
            yield family.id, family.origin.at("opening", "without", i), name
        for measurement in family.measurements.values():
            for i, name in enumerate(measurement.unplugged):
                yield family.id, measurement.origin.at("unplugged", i), name
        for origin, name in _named_by_elements(family, "part"):
            yield family.id, origin, name


def _parts_of_step(step: Step) -> Iterator[tuple[Origin, str]]:
    """The parts that a step names where nothing but a part can stand."""
    for verb in ("remove", "reflow", "program", "set", "try"):
        for i, name in enumerate(step.of(verb)):
            yield step.origin.at(verb, i), name
    for verb, uses in (("fit", step.fit), ("replace", step.replace)):
        for i, use in enumerate(uses):
            yield step.origin.at(verb, i, "part"), use.part


def _net_uses(book: Book) -> Iterator[tuple[str, Origin, str]]:
    for family in book.families.values():
        for net in family.nets.values():
            for after in net.after:
                yield family.id, net.origin.at("after"), after.net
            if net.good is not None:
                yield family.id, net.origin.at("good"), net.good
        for origin, name in _named_by_elements(family, "net"):
            yield family.id, origin, name
        for part in family.parts.values():
            for i, name in enumerate(part.nets):
                yield family.id, part.origin.at("nets", i), name
        for point in family.probe_points:
            yield family.id, point.origin.at("net"), point.net


def _named_by_elements(family: Family, what: str) -> Iterator[tuple[Origin, str]]:
    for net in family.nets.values():
        for element in net.elements:
            for kind, origin, name in names_of_element(element):
                if kind == what:
                    yield origin, name


def _fault_nets(book: Book) -> Iterator[tuple[str, Origin, str]]:
    for fault in book.faults.values():
        for failure in fault.cause.failures:
            for name, net in (("at", failure.at), ("to", failure.to)):
                if net is not None:
                    yield fault.family, failure.origin.at(name), net
        for step in fault.fix.steps:
            if step.inject is not None:
                yield fault.family, step.origin.at("inject"), step.inject


def _state_uses(family: Family) -> Iterator[tuple[Origin, str]]:
    for net in family.nets.values():
        for holder in (net, *net.elements):
            for i, name in enumerate(getattr(holder, "in_", ())):
                yield holder.origin.at("in", i), name
        for name in net.draw:
            yield net.origin.at("draw", name), name
    for measurement in family.measurements.values():
        yield measurement.origin.at("state"), measurement.state


def _technique_uses(book: Book) -> Iterator[tuple[Origin, str]]:
    for fault in book.faults.values():
        for i, name in enumerate(fault.techniques):
            yield fault.origin.at("techniques", i), name
    for family in book.families.values():
        if family.opening is not None:
            yield family.origin.at("opening", "technique"), family.opening.technique
        for measurement in family.measurements.values():
            if measurement.technique is not None:
                yield measurement.origin.at("technique"), measurement.technique


def _revision_uses(book: Book) -> Iterator[tuple[str, Origin, str, bool]]:
    for fault in book.faults.values():
        for i, name in enumerate(fault.revisions):
            yield fault.family, fault.origin.at("revisions", i), name, False
    for family in book.families.values():
        for point in family.probe_points:
            for name in point.at:
                yield family.id, point.origin.at("at", name), name, True
            for name in point.where:
                yield family.id, point.origin.at("where", name), name, True
        for title, landmark in family.board.landmarks.items():
            for name in landmark.at:
                yield family.id, family.origin.at("board", "landmarks", title, "at", name), name, True


_PART_USES = Kind({"family": "str", "origin": "Origin", "part": "str"}, _part_uses)
_NET_USES = Kind(
    {"family": "str", "origin": "Origin", "net": "str"}, lambda book: (*_net_uses(book), *_fault_nets(book))
)
_TECHNIQUE_USES = Kind({"origin": "Origin", "technique": "str"}, _technique_uses)
_REVISION_USES = Kind(
    {"family": "str", "origin": "Origin", "revision": "str", "on_key": "bool"}, _revision_uses
)


@rule(each=FAULT, waivable=False)
def unknown_symptom(book: Book, fault: Fault) -> Iterator[Problem]:
    """Every symptom of a fault stands in `common/symptoms.yaml`.

    Bad:
        # faults/wren-5/fuse-open.yaml
        symptom:
          dead-on-adaptor: always

    Good:
        # faults/wren-5/fuse-open.yaml
        symptom:
          dead-on-adapter: always
    """
    for name in fault.symptom:
        yield from _unknown(fault.origin.at("symptom", name), name, book.symptoms, "a symptom", on_key=True)


@rule(each=FAULT, waivable=False)
def unknown_measurement(book: Book, fault: Fault) -> Iterator[Problem]:
    """Test points, steps, proof and worked example of a fault name measurements of its family.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rails: absent
          - main-rail-on-pack: healthy

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
          - main-rail-on-pack: healthy
    """
    names, family = names_of(book, fault.family), book.families.get(fault.family)
    what = f"a measurement of {fault.family}"
    known = names.outcomes if names else {}
    for origin, name, on_key in _measure_names(fault):
        there = _measured_at(family, name) if family else []
        mend = f"'{name}' is a test point; measured there: {', '.join(there)}" if there else ""
        yield from _unknown(origin, name, known, what, on_key=on_key, mend=mend)


def _measured_at(family: Family, point: str) -> list[str]:
    if point not in family.test_points:
        return []
    return [m.id for m in family.measurements.values() if point in m.points]


def _measure_names(fault: Fault) -> Iterator[tuple[Origin, str, bool]]:
    for expectation in fault.test_points:
        yield expectation.origin.at("measure"), expectation.measure, False
    for name in fault.fix.confirm:
        yield fault.origin.at("fix", "confirm", name), name, True
    for name in fault.worked_example:
        yield fault.origin.at("worked_example", name), name, True
    for step in fault.fix.steps:
        for i, name in enumerate(step.measure):
            yield step.origin.at("measure", i), name, False


@rule(each=FAULT, waivable=False)
def unknown_outcome(book: Book, fault: Fault) -> Iterator[Problem]:
    """An expected reading, a proof and what was seen in the worked example are outcomes of their measurement.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: dead
          - main-rail-on-pack: healthy

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
          - main-rail-on-pack: healthy
    """
    names = names_of(book, fault.family)
    outcomes = names.outcomes if names else {}
    for origin, measure, name, on_key in _outcome_names(book, fault):
        known = outcomes.get(measure, ())
        yield from _unknown(origin, name, known, f"an outcome of '{measure}'", on_key=on_key)


def _outcome_names(book: Book, fault: Fault) -> Iterator[tuple[Origin, str, str, bool]]:
    for expectation in fault.test_points:
        for name in expectation.expected_reading:
            several = len(expectation.expected_reading) > 1
            origin = expectation.origin.at("expected_reading", *([name] if several else []))
            yield origin, expectation.measure, name, several
    for measure, name in fault.fix.confirm.items():
        if name:  # a proof that only names its measurement
            yield fault.origin.at("fix", "confirm", measure), measure, name, False
    for step in fault.fix.steps:
        for measure in step.measure if step.reads else ():
            yield step.origin.at("reads"), measure, step.reads or "", False
    family = book.families.get(fault.family)
    for measure, name in fault.worked_example.items():
        measurement = family.measurements.get(measure) if family else None
        if measurement and measurement.unit is None:
            yield fault.origin.at("worked_example", measure), measure, name, False


@rule(each=_PART_USES, waivable=False)
def unknown_part(book: Book, family: str, origin: Origin, part: str) -> Iterator[Problem]:
    """The parts at fault, those that a fix takes, what is unplugged and what the circuit names are parts of
    the family.

    Bad:
        # faults/wren-5/fuse-open.yaml
        cause:
          part: F7

    Good:
        # faults/wren-5/fuse-open.yaml
        cause:
          part: F1
    """
    names = names_of(book, family)
    if names:
        yield from _unknown(origin, part, names.parts, f"a part of {family}")


@rule(each=_NET_USES, waivable=False)
def unknown_net(book: Book, family: str, origin: Origin, net: str) -> Iterator[Problem]:
    """Parts, test points and causes sit on nets of the family, and the circuit leads from one to the next.

    Bad:
        # faults/wren-5/family.yaml
        test_points:
          TP1:
            net: FUSE

    Good:
        # faults/wren-5/family.yaml
        test_points:
          TP1:
            net: FUSED
    """
    if family in book.families:
        yield from _unknown(origin, net, book.families[family].nets, f"a net of {family}")


@rule(each=MEASUREMENT, waivable=False)
def unknown_test_point(family: Family, measurement: Measurement) -> Iterator[Problem]:
    """A measurement is taken at a test point of the family; a net is not a place, and a part is one only for
    what is looked at, listened to or felt, where the book says where the part is.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            at: MAIN

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            at: TP2
    """
    what = f"a test point of {family.id}"
    for i, name in enumerate(measurement.points):
        there = [p.id for p in family.probe_points if p.net == name]
        mend = f"'{name}' is a net; its test points: {', '.join(there)}" if there else ""
        if part := family.parts.get(name):
            on_part = [p.id for p in family.probe_points if p.net in part.nets]
            mend = f"'{name}' is a part, and a probe needs a point: {', '.join(on_part) or 'add one'}"
        origin = measurement.origin.at("between", i) if measurement.between else measurement.origin.at("at")
        if i and measurement.compare:
            origin = measurement.origin.at("compare", "with")
        yield from _unknown(origin, name, family.test_points, what, mend=mend)


@rule(each=FAMILY, waivable=False)
def unknown_state(book: Book, family: Family) -> Iterator[Problem]:
    """A family's `states` stand in `common/states.yaml` or are written out there, and its measurements and
    its circuit name no others. A name that is missing is found once, with all its places.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            state: adaptor-only

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            state: adapter-only
    """
    for i, (name, state) in enumerate(family.states.items()):
        if state is None:
            mend = nearest(name, book.states) or "write it out here, with its sources and its steps"
            where = family.origin.at("states", i)
            yield from _unknown(where, name, book.states, "a common bench state", mend=mend)
    if None in family.states.values():
        return  # what is said of the others may follow from that
    used: dict[str, list[Origin]] = {}
    for origin, name in _state_uses(family):
        if name not in family.states:
            used.setdefault(name, []).append(origin)
    for name, (origin, *others) in used.items():
        also = f", here and in {', '.join(map(_place, others))}" if others else ""
        message = f"'{name}' is not among the bench states of {family.id}{also}"
        mend = "add it to 'states'" if name in book.states else nearest(name, family.states)
        yield Problem(origin, message, mend or "write it out in 'states'")


def _place(origin: Origin) -> str:
    return ".".join(map(str, origin.path))


@rule(each=FAMILY, waivable=False)
def unknown_source(family: Family) -> Iterator[Problem]:
    """The source that enters at a net, or that an outcome bars, is plugged in by a bench state of the
    family, under the same name.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            source: adaptor

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            source: adapter
    """
    if None in family.states.values():
        return
    known = {source for state in family.bench_states for source in state.sources}
    for net in family.nets.values():
        for source in (one for one in net.source if not one.built_in):
            yield from _unknown(
                source.origin.at("from"), source.from_, known, "a source of any of its bench states"
            )
    for measurement in family.measurements.values():
        for outcome in measurement.outcomes.values():
            origin = measurement.origin.at("outcomes", outcome.id, "bars")
            yield from _listed(origin, outcome.bars, known, "a source of its bench states")


@rule(each=HAZARDS, waivable=False)
def unknown_hazard(book: Book, origin: Origin, names: tuple[str, ...]) -> Iterator[Problem]:
    """Hazards of faults, techniques, bench states and symptoms stand in `common/hazards.yaml`.

    Bad:
        # faults/wren-5/fuse-open.yaml
        hazard: [lithium]

    Good:
        # faults/wren-5/fuse-open.yaml
        hazard: [lithium-pack, burn, fumes]
    """
    yield from _listed(origin.at("hazard"), names, book.hazards, "a hazard")


@rule(each=_TECHNIQUE_USES, waivable=False)
def unknown_technique(book: Book, origin: Origin, technique: str) -> Iterator[Problem]:
    """A technique that a fault or a measurement needs is a file in `common/techniques/`.

    Bad:
        # faults/wren-5/rail-short.yaml
        techniques: [junction-tests, hot-air-rework]

    Good:
        # faults/wren-5/rail-short.yaml
        techniques: [junction-test, current-injection, hot-air-rework]
    """
    if technique not in book.techniques:
        known = {*book.techniques, *_named(book, "common/techniques")}
        yield from _unknown(origin, technique, known, "a technique")


@rule(each=COMMON, waivable=False)
def unknown_meter(book: Book) -> Iterator[Problem]:
    """The shop's default meter stands in `common/meters.yaml`.

    Bad:
        # faults/common/shop.yaml
        default_meter: handeld

    Good:
        # faults/common/shop.yaml
        default_meter: handheld
    """
    if book.shop.title:
        yield from _unknown(
            book.shop.origin.at("default_meter"), book.shop.default_meter, book.meters, "a meter"
        )


@rule(each=_REVISION_USES, waivable=False)
def unknown_revision(
    book: Book, family: str, origin: Origin, revision: str, on_key: bool
) -> Iterator[Problem]:
    """Revisions of faults and of places are revisions of the family.

    Bad:
        # faults/wren-5/fuse-open.yaml
        revisions: [C]

    Good:
        # faults/wren-5/fuse-open.yaml
        revisions: [B]
    """
    names = names_of(book, family)
    if names:
        yield from _unknown(origin, revision, names.revisions, f"a revision of {family}", on_key=on_key)


def _is_id(noted: object) -> bool:
    return noted == [] or like(noted, (str, str)) or like(noted, (str, None))


def _ids(book: Book) -> dict[str, list[str | None]]:
    """The fault patterns, and where those that are retired went, by id."""
    moved: dict[str, list[str | None]] = {name: [] for name in book.faults}
    return moved | {record.id: [record.origin.file, record.moved_to] for record in book.retired.values()}


@across(visit=_ids, notes={str: _is_id}, waivable=False)
def unknown_fault(book: Book, seen: Seen) -> Iterator[Problem]:
    """A renamed record leads, by `moved_to`, to a fault pattern that exists.

    Bad:
        # faults/wren-5/old-name.yaml
        moved_to: wren-5/fuse-opened

    Good:
        # faults/wren-5/old-name.yaml
        moved_to: wren-5/fuse-open
    """
    ids: dict[str, list[str | None]] = {name: moved for noted in seen for name, moved in noted.items()}
    for name, moved in ids.items():
        file, to = moved or (None, None)
        if file is not None and to is not None:
            family = family_of(to)
            there = {fault_id(family, one) for one in _named(book, family) - {"family"}}
            known = {*ids, *there}
            mend = nearest(to, known - {name})  # never "did you mean this record itself?"
            mend = mend or "name the fault pattern that it is now"
            yield from _unknown(Origin(file, ("moved_to",)), to, known, "a fault pattern", mend=mend)
