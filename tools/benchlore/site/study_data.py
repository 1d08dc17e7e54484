"""A family's cards as data for the study page: path, cards, working, choices, beside the bench's data.

HTML in it leads from the study page.
"""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired, TypedDict, get_args

from benchlore.book import links
from benchlore.book.forms import declarations, schema_of
from benchlore.book.model import Book, Family, Measurement, Outcome
from benchlore.book.projection import Projection
from benchlore.book.schemas import as_written
from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.plan import Plan
from benchlore.quantity import Quantity
from benchlore.site import paths, words
from benchlore.site.page import SiteFile, base
from benchlore.site.plans import plans_of
from benchlore.site.prose import inline, keep_units
from benchlore.site.serialise import to_script
from benchlore.study import path, setups
from benchlore.study.cards import Card, cards, rivals
from benchlore.study.working import Working, working
from benchlore.vocabulary import ACTIONS

LeadKind = Literal["usual", "turned", "ammeter", "plugged", "other"]


class _Card(TypedDict):
    id: str
    kind: str
    subject: Annotated[str, "The net, or the symptom of a job."]
    measure: NotRequired[str]
    outcome: NotRequired[str]
    between: NotRequired[tuple[str, ...]]
    span: NotRequired[tuple[float, ...]]


_Stop = TypedDict(
    "_Stop",
    {"net": str, "above": tuple[str, ...], "nominal": str | None, "for": str},
)


class _WorkingStep(TypedDict):
    net: str
    formula: str
    filled: str
    worst: str
    given: list[tuple[str, str]]
    source: str


class _Working(TypedDict):
    steps: list[_WorkingStep]


class _Rival(TypedDict):
    text: str
    measure: str
    outcome: str


class _Ceiling(TypedDict):
    text: str
    volts: float


class _Measure(TypedDict):
    page: Annotated[str, "Where its record stands, from the site's root."]
    rivals: list[_Rival]
    working: _Working | None
    leads: str
    ceilings: Annotated[list[_Ceiling], "The right ceiling of an injection first, then wrong ones."]
    nominal: _Ceiling | None


class _Complaint(TypedDict):
    id: str
    jobs: int
    faults: list[str]
    expected: Annotated[float, "Minutes of the plan on the average over all boards with the symptom."]
    guess: Annotated[float, "The same, fixing by guess."]


class _Deck(TypedDict):
    family: str
    meter: str
    rails: list[_Stop]
    lines: list[_Stop]
    symptoms: list[_Complaint]
    cards: list[_Card]
    measures: dict[str, _Measure]
    states: tuple[str, ...]
    modes: tuple[str, ...]
    leads: list[str]
    lead_kinds: Annotated[
        dict[str, LeadKind],
        'What leads make of the meter; "ammeter": its current input, "plugged": it goes into a cable.',
    ]
    parts: tuple[str, ...]
    part_nets: Annotated[dict[str, tuple[str, ...]], "The nets of each of them."]
    hazards: tuple[str, ...]
    actions: list[str]


def types() -> str:
    """The types of the cards and of saved progress, for the check of the scripts."""
    # Scripts look these up by ids that they have from the cards or from the progress itself.
    kinds = " | ".join(f'"{one}"' for one in get_args(LeadKind))
    there = frozenset({"Measure", kinds, "readonly string[]"})
    deck = declarations(schema_of(Projection(), _Deck), "Study", there)
    progress = {**as_written("progress"), "title": "file"}
    return deck + "\n" + declarations(progress, "Study", frozenset({"State", "Progress"}))


def family_file(book: Book, family: Family) -> SiteFile:
    """The script that sets `benchlore.studyFamily`."""
    return SiteFile(paths.study_data(family.id), to_script("studyFamily", deck(book, family)))


def deck(book: Book, family: Family) -> _Deck:
    """What the study page needs beside the bench's data of the family."""
    case = make_case(book, family.id)
    known = plans_of(book, family)
    plans = known.plans if known else {}
    asked = cards(book, family, case)
    chosen = setups.choices(family)
    measures = [m for m in family.measurements.values() if any(card.measure == m.id for card in asked)]
    return {
        "family": family.id,
        "meter": case.meter,
        "rails": [_stop(family, stop) for stop in path.rails(family)],
        "lines": [_stop(family, stop) for stop in path.lines(family)],
        "symptoms": [
            _complaint(c, plans[c.symptom]) for c in path.complaints(book, family) if c.symptom in plans
        ],
        "cards": [_card(card) for card in asked],
        "measures": {m.id: _measure(book, family, m) for m in measures},
        "states": chosen.states,
        "modes": chosen.modes,
        "leads": [keep_units(text) for text in chosen.leads],
        "lead_kinds": {keep_units(text): setups.lead_kind(family, text) for text in chosen.leads},
        "parts": chosen.parts,
        "part_nets": {part: family.parts[part].nets for part in chosen.parts},
        "hazards": links.hazards_of_family(book, family),
        "actions": sorted({ACTIONS[f.fix.action] for f in links.faults_of_family(book, family.id)}),
    }


def _stop(family: Family, stop: path.Stop) -> _Stop:
    net = stop.net
    return {
        "net": net.id,
        "above": stop.above,
        "nominal": None if net.nominal is None else words.quantity(net.nominal),
        "for": inline(net.for_, base(paths.study(family.id))),
    }


def _complaint(complaint: path.Complaint, plan: Plan) -> _Complaint:
    return {
        "id": complaint.symptom,
        "jobs": complaint.jobs,
        "faults": [fault.id for fault in complaint.faults],
        "expected": plan.expected,
        "guess": plan.guess.expected,
    }


def _card(card: Card) -> _Card:
    found: _Card = {"id": card.id, "kind": card.kind, "subject": card.subject}
    if card.measure:
        found["measure"] = card.measure
    if card.outcome:
        found["outcome"] = card.outcome
    if card.between:
        found["between"], found["span"] = card.between, card.span
    return found


def _measure(book: Book, family: Family, m: Measurement) -> _Measure:
    nominal = setups.net_nominal(family, m)
    return {
        "page": paths.measurement(family.id, m),
        "rivals": [
            {"text": _text(r.outcome), "measure": r.measure, "outcome": r.outcome.id}
            for r in rivals(family, m)
        ],
        "working": _working(working(book, family, m)),
        "leads": keep_units(setups.leads_of(m)),
        "ceilings": [_ceiling(volts) for volts in setups.ceilings(family, m)],
        "nominal": None if nominal is None else _ceiling(nominal),
    }


def _ceiling(volts: Quantity) -> _Ceiling:
    return {"text": words.quantity(volts), "volts": volts.high}


def _text(outcome: Outcome) -> str:
    return words.outcome(outcome.id) if outcome.range is None else words.quantity(outcome.range)


def _working(found: Working | None) -> _Working | None:
    if found is None:
        return None
    return {
        "steps": [
            {
                "net": step.net,
                "formula": _signs(step.formula),
                "filled": _signs(step.filled),
                "worst": _signs(step.worst),
                "given": [(name, _signs(text)) for name, text in step.given],
                "source": step.source,
            }
            for step in found.steps
        ]
    }


def _signs(text: str) -> str:
    """Units as the bench reads them."""
    return keep_units(text).replace("ohm", "Ω").replace("degC", "°C")
