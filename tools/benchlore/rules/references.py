"""Names lead somewhere. A name of a kind that could not be read at all is not reported again here."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from benchlore.book.links import names_of
from benchlore.book.model import Book, Family, Fault, TestPoint
from benchlore.findings import Origin, Problem, nearest
from benchlore.rules.engine import BookRule, Rule


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
    start = f"faults/{folder}/"
    return {file.removeprefix(start).removesuffix(".yaml") for file in book.files if file.startswith(start)}


def unknown_symptom(book: Book) -> Iterator[Problem]:
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
    for fault in book.faults.values():
        for name in fault.symptoms:
            yield from _unknown(
                fault.origin.at("symptom", name), name, book.symptoms, "a symptom", on_key=True
            )


def unknown_measurement(book: Book) -> Iterator[Problem]:
    """Test points, proof and worked example of a fault name measurements of its family.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - measure: fused-rails
            expected_reading: absent
          - measure: main-rail-on-pack
            expected_reading: healthy

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - measure: fused-rail
            expected_reading: absent
          - measure: main-rail-on-pack
            expected_reading: healthy
    """
    for fault in book.faults.values():
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
    return [m.id for m in family.measurements.values() if m.test_point == point]


def _measure_names(fault: Fault) -> Iterator[tuple[Origin, str, bool]]:
    for expectation in fault.test_points:
        yield expectation.origin.at("measure"), expectation.measure, False
    for name in fault.fix.confirm:
        yield fault.origin.at("fix", "confirm", name), name, True
    for name in fault.worked_example:
        yield fault.origin.at("worked_example", name), name, True


def unknown_outcome(book: Book) -> Iterator[Problem]:
    """An expected reading, a proof and what was seen in the worked example are outcomes of their measurement.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - measure: fused-rail
            expected_reading: dead
          - measure: main-rail-on-pack
            expected_reading: healthy

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - measure: fused-rail
            expected_reading: absent
          - measure: main-rail-on-pack
            expected_reading: healthy
    """
    for fault in book.faults.values():
        names = names_of(book, fault.family)
        outcomes = names.outcomes if names else {}
        for origin, measure, name, on_key in _outcome_names(book, fault):
            known = outcomes.get(measure, ())
            yield from _unknown(origin, name, known, f"an outcome of '{measure}'", on_key=on_key)


def _outcome_names(book: Book, fault: Fault) -> Iterator[tuple[Origin, str, str, bool]]:
    for expectation in fault.test_points:
        for name in expectation.outcomes:
            several = len(expectation.outcomes) > 1
            origin = expectation.origin.at("expected_reading", *([name] if several else []))
            yield origin, expectation.measure, name, several
    for measure, name in fault.fix.confirm.items():
        yield fault.origin.at("fix", "confirm", measure), measure, name, False
    family = book.families.get(fault.family)
    for measure, name in fault.worked_example.items():
        measurement = family.measurements.get(measure) if family else None
        if measurement and measurement.unit is None:
            yield fault.origin.at("worked_example", measure), measure, name, False


def unknown_part(book: Book) -> Iterator[Problem]:
    """The part at fault, the parts that a fix takes and what is unplugged are parts of the family.

    Bad:
        # faults/wren-5/fuse-open.yaml
        common_cause:
          part: F7

    Good:
        # faults/wren-5/fuse-open.yaml
        common_cause:
          part: F1
    """
    for fault in book.faults.values():
        names = names_of(book, fault.family)
        if names:
            what = f"a part of {fault.family}"
            yield from _unknown(fault.origin.at("common_cause", "part"), fault.cause_part, names.parts, what)
            for i, use in enumerate(fault.fix.parts):
                origin = fault.origin.at("fix", "parts", i, *(["part"] if use.donor else []))
                yield from _unknown(origin, use.part, names.parts, what)
    for family in book.families.values():
        for measurement in family.measurements.values():
            origin = measurement.origin.at("unplugged")
            yield from _listed(origin, measurement.unplugged, family.parts, f"a part of {family.id}")


def unknown_net(book: Book) -> Iterator[Problem]:
    """Parts and test points sit on nets of the family; a net is fed by one, and its circuit facts name some.

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
    for family in book.families.values():
        what = f"a net of {family.id}"
        for net in family.nets.values():
            if net.fed_by is not None:
                yield from _unknown(net.origin.at("fed_by"), net.fed_by, family.nets, what)
            for fact in net.facts:
                for key, name in fact.names.items():
                    yield from _unknown(fact.origin.at(key), name, family.nets, what)
        for part in family.parts.values():
            yield from _listed(part.origin.at("nets"), part.nets, family.nets, what)
        for point in family.test_points.values():
            yield from _unknown(point.origin.at("net"), point.net, family.nets, what)


def unknown_test_point(book: Book) -> Iterator[Problem]:
    """A measurement is taken at a test point of the family; a net is not a place.

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
    for family in book.families.values():
        for measurement in family.measurements.values():
            name = measurement.test_point
            there = [p.id for p in family.test_points.values() if p.net == name]
            mend = f"'{name}' is a net; its test points: {', '.join(there)}" if there else ""
            what = f"a test point of {family.id}"
            yield from _unknown(measurement.origin.at("at"), name, family.test_points, what, mend=mend)


def unknown_state(book: Book) -> Iterator[Problem]:
    """Bench states of measurements, nets and circuit facts stand in `common/states.yaml`.

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
    what = "a bench state"
    for family in book.families.values():
        for net in family.nets.values():
            yield from _listed(net.origin.at("up_in"), net.up_in, book.states, what)
            for fact in net.facts:
                yield from _listed(fact.origin.at("in"), fact.states, book.states, what)
        for measurement in family.measurements.values():
            yield from _unknown(measurement.origin.at("state"), measurement.state, book.states, what)


def unknown_source(book: Book) -> Iterator[Problem]:
    """The source that enters at a net is plugged in by a bench state, under the same name.

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
    known = {source for state in book.states.values() for source in state.sources}
    for family in book.families.values():
        for net in family.nets.values():
            if net.source is not None:
                yield from _unknown(net.origin.at("source"), net.source, known, "a source of any bench state")


def unknown_hazard(book: Book) -> Iterator[Problem]:
    """Hazards of faults, techniques, bench states and symptoms stand in `common/hazards.yaml`.

    Bad:
        # faults/wren-5/fuse-open.yaml
        hazard: [lithium]

    Good:
        # faults/wren-5/fuse-open.yaml
        hazard: [lithium-pack, burn, fumes]
    """
    for fault in book.faults.values():
        yield from _listed(fault.origin.at("hazard"), fault.hazards, book.hazards, "a hazard")
    for technique in book.techniques.values():
        yield from _listed(technique.origin.at("hazard"), technique.hazards, book.hazards, "a hazard")
    for state in book.states.values():
        yield from _listed(state.origin.at("hazard"), state.hazards, book.hazards, "a hazard")
    for symptom in book.symptoms.values():
        yield from _listed(symptom.origin.at("hazard"), symptom.hazards, book.hazards, "a hazard")


def unknown_technique(book: Book) -> Iterator[Problem]:
    """A technique that a fault or a measurement needs is a file in `common/techniques/`.

    Bad:
        # faults/wren-5/rail-short.yaml
        techniques: [junction-tests, hot-air-rework]

    Good:
        # faults/wren-5/rail-short.yaml
        techniques: [junction-test, current-injection, hot-air-rework]
    """
    known = {*book.techniques, *_named(book, "common/techniques")}
    for fault in book.faults.values():
        yield from _listed(fault.origin.at("techniques"), fault.techniques, known, "a technique")
    for family in book.families.values():
        for measurement in family.measurements.values():
            if measurement.technique is not None:
                origin = measurement.origin.at("technique")
                yield from _unknown(origin, measurement.technique, known, "a technique")


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


def unknown_revision(book: Book) -> Iterator[Problem]:
    """Revisions of faults and of places are revisions of the family.

    Bad:
        # faults/wren-5/fuse-open.yaml
        revisions: [C]

    Good:
        # faults/wren-5/fuse-open.yaml
        revisions: [B]
    """
    for fault in book.faults.values():
        names = names_of(book, fault.family)
        if names:
            what = f"a revision of {fault.family}"
            yield from _listed(fault.origin.at("revisions"), fault.revisions, names.revisions, what)
    for family in book.families.values():
        what = f"a revision of {family.id}"
        for origin, revision in _placed(list(family.test_points.values())):
            yield from _unknown(origin, revision, family.revisions, what, on_key=True)
        for name, landmark in family.board.landmarks.items():
            for revision in landmark.at:
                origin = family.origin.at("board", "landmarks", name, "at", revision)
                yield from _unknown(origin, revision, family.revisions, what, on_key=True)


def _placed(points: list[TestPoint]) -> Iterator[tuple[Origin, str]]:
    for point in points:
        for revision in point.place.at:
            yield point.origin.at("at", revision), revision
        for revision in point.where:
            yield point.origin.at("where", revision), revision


def unknown_fault(book: Book) -> Iterator[Problem]:
    """A renamed record leads, by `moved_to`, to a fault pattern that exists.

    Bad:
        # faults/wren-5/old-name.yaml
        moved_to: wren-5/fuse-opened

    Good:
        # faults/wren-5/old-name.yaml
        moved_to: wren-5/fuse-open
    """
    for record in book.retired.values():
        if record.moved_to is not None:
            family = record.moved_to.split("/")[0]
            there = {f"{family}/{name}" for name in _named(book, family)} - {f"{family}/family"}
            known = {*book.faults, *book.retired, *there}
            mend = nearest(record.moved_to, known - {record.id})  # never "did you mean this record itself?"
            mend = mend or "name the fault pattern that it is now"
            yield from _unknown(
                record.origin.at("moved_to"), record.moved_to, known, "a fault pattern", mend=mend
            )


RULES: tuple[BookRule, ...] = tuple(
    Rule(check, waivable=False)
    for check in (
        unknown_symptom,
        unknown_measurement,
        unknown_outcome,
        unknown_part,
        unknown_net,
        unknown_test_point,
        unknown_state,
        unknown_source,
        unknown_hazard,
        unknown_technique,
        unknown_meter,
        unknown_revision,
        unknown_fault,
    )
)
