"""Every text of the book that people read, with its place."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book, Family, Fault, State, Step
from benchlore.findings import Origin

Text = tuple[Origin, str]


def texts_of_common(book: Book) -> Iterator[Text]:
    """All texts of the common records that people read, as written. Empty ones are left out."""
    yield from ((origin, text) for origin, text in _common(book) if text)


def texts_of_families(book: Book) -> Iterator[Text]:
    """All texts of the families and their faults, as written: titles, prose, steps, notes."""
    yield from ((origin, text) for origin, text in _families(book) if text)


def _common(book: Book) -> Iterator[Text]:
    for symptom in book.symptoms.values():
        yield symptom.origin.at("title"), symptom.title
        yield symptom.origin.at("note"), symptom.note
        yield from _list(symptom.origin.at("said"), symptom.said)
        for language, said in symptom.said_in.items():
            yield from _list(symptom.origin.at("said_in", language), said)
    for hazard in book.hazards.values():
        yield hazard.origin.at("title"), hazard.title
        yield hazard.origin.at("harm"), hazard.harm
        yield hazard.origin.at("source"), hazard.source
        yield from _list(hazard.origin.at("said"), hazard.said)
        yield from _list(hazard.origin.at("avoid"), hazard.avoid)
    for word in book.words.values():
        yield from _list(word.origin.at("said"), word.said)
        yield from _list(word.origin.at("means"), word.means)
    for meter in book.meters.values():
        yield meter.origin.at("title"), meter.title
        yield meter.origin.at("note"), meter.note
    for state in book.states.values():
        yield from _state(state)
    for technique in book.techniques.values():
        yield technique.origin.at("title"), technique.title
        yield technique.origin.at("summary"), technique.summary
        yield technique.origin.at("source"), technique.source
        yield from _list(technique.origin.at("needs"), technique.needs)
        yield from _steps(technique.steps)
    yield book.shop.origin.at("title"), book.shop.title
    yield book.shop.origin.at("escalate", "to"), book.shop.escalate.to


def _families(book: Book) -> Iterator[Text]:
    for family in book.families.values():
        yield from _family(family)
    for fault in book.faults.values():
        yield from _fault(fault)
    for retired in book.retired.values():
        yield retired.origin.at("retired"), retired.retired


def _list(origin: Origin, texts: tuple[str, ...]) -> Iterator[Text]:
    for i, text in enumerate(texts):
        yield origin.at(i), text


def _state(state: State) -> Iterator[Text]:
    yield state.origin.at("title"), state.title
    yield state.origin.at("short"), state.short
    yield from _list(state.origin.at("how"), state.how)


def _steps(steps: tuple[Step, ...]) -> Iterator[Text]:
    for step in steps:
        yield step.origin.at("say"), step.say
        yield step.origin.at("if"), step.if_
        for verb, uses in (("fit", step.fit), ("replace", step.replace)):
            for i, use in enumerate(uses):
                yield step.origin.at(verb, i, "donor"), use.donor


def _family(family: Family) -> Iterator[Text]:
    yield family.origin.at("title"), family.title
    yield family.origin.at("summary"), family.summary
    for landmark in family.board.landmarks:
        yield family.origin.at("board", "landmarks", landmark), landmark
    for revision in family.revisions.values():
        yield family.origin.at("revisions", revision.id, "tell"), revision.tell
    for state in family.own_states:
        yield from _state(state)
    for net in family.nets.values():
        yield net.origin.at("for"), net.for_
    for part in family.parts.values():
        yield part.origin.at("name"), part.name
        yield part.origin.at("package"), part.package
        yield part.origin.at("replace", "donor"), part.replace.donor
        yield from ((picture.origin.at("shows"), picture.shows) for picture in part.pictures)
    for point in family.probe_points:
        for name, where in point.where.items():
            yield point.origin.at("where", name), where
        yield from ((picture.origin.at("shows"), picture.shows) for picture in point.pictures)
    yield from ((family.origin.at("thin", name), reason) for name, reason in family.thin.items())
    for measurement in family.measurements.values():
        yield measurement.origin.at("asks"), measurement.asks
        yield measurement.origin.at("leads"), measurement.leads
        yield measurement.origin.at("note"), measurement.note
        for outcome in measurement.outcomes.values():
            yield measurement.origin.at("outcomes", outcome.id, "means"), outcome.means


def _fault(fault: Fault) -> Iterator[Text]:
    yield fault.origin.at("title"), fault.title
    yield fault.origin.at("summary"), fault.summary
    yield fault.origin.at("cause", "how"), fault.cause.how
    for expectation in fault.test_points:
        yield expectation.origin.at("note"), expectation.note
    yield from _steps(fault.fix.steps)
    for rule, reason in fault.waive.items():
        yield fault.origin.at("waive", rule), reason
