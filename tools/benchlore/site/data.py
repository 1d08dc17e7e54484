"""The book as data for the bench: one script for what all families share, one for each family.

Records have the form of the export, with what a person reads ready beside it: prose as HTML that is safe to
insert (`html`), values and leads as the bench writes them (`words`), drawings, and the pages that they stand
on. What no script uses is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Any, TypedDict

from benchlore.book import links
from benchlore.book.elements import ELEMENTS
from benchlore.book.forms import declarations, schema_of
from benchlore.book.model import (
    Action,
    Book,
    Cause,
    Expectation,
    Family,
    Fault,
    Fix,
    Hazard,
    Injection,
    Line,
    Measurement,
    Meter,
    Net,
    Outcome,
    Part,
    PartUse,
    Prose,
    Replace,
    Revision,
    Shop,
    Skill,
    Symptom,
    Technique,
    TestPoint,
    Title,
    Words,
)
from benchlore.book.projection import Dressed, Json, Projection
from benchlore.book.schemas import schema
from benchlore.book.work import is_bare, spared
from benchlore.diagnosis.case import down_the_rails
from benchlore.diagnosis.hypotheses import Hypotheses, hypotheses_of
from benchlore.diagnosis.interlock import checks_of, interlock
from benchlore.diagnosis.likelihood import NOT_THE_PART
from benchlore.diagnosis.minutes import part_minutes, risk_minutes
from benchlore.diagnosis.ohms_law import held_together
from benchlore.diagnosis.suspects import Suspect, hazards_of_suspect, outside_of, suspects_of
from benchlore.quantity import Quantity
from benchlore.site import paths, steps, words
from benchlore.site.drawings.locator import Probe, locator, sides
from benchlore.site.drawings.strip import strip
from benchlore.site.page import SiteFile
from benchlore.site.probe_table import check_first, price_of, rows
from benchlore.site.prose import inline, keep_units, prose
from benchlore.site.serialise import to_script
from benchlore.vocabulary import ACTIONS, FAULT_MODES, SKILLS

FORMAT = 2


def common_file(book: Book) -> SiteFile:
    """The script `data/bench/book.js`, which brings the forms of saved files, too."""
    forms = {name: demands(schema(name)) for name in ("job", "progress")}
    return SiteFile(paths.BENCH_DATA, to_script("benchBook", common(book)) + to_script("forms", forms))


def family_file(book: Book, record: Family) -> SiteFile:
    """The script `data/bench/<family>.js`."""
    return SiteFile(paths.bench_data(record.id), to_script("benchFamilies", family(book, record), record.id))


def demands(form: Any) -> Any:
    """A schema without its words for people."""
    if isinstance(form, list):
        return [demands(one) for one in form]
    if not isinstance(form, Mapping):
        return form
    return {
        key: demands(one)
        for key, one in form.items()
        if not (key in ("description", "$comment") and isinstance(one, str))
    }


def common(book: Book) -> Json:
    """What all families share."""
    return BENCH.of(book, book)


def family(book: Book, record: Family) -> Json:
    """One family with its faults: everything that the bench needs once the family is known."""
    return BENCH.of(book, record)


def types() -> str:
    """The types of these data for the check of the scripts: `BenchBook`, `BenchFamily` and what they hold."""
    # Scripts look these up by ids that they have from the data themselves.
    there = frozenset({"Measurement", "Fault", "Outcome"})
    return declarations(schema_of(BENCH, Book, Family, Fault), "Bench", there)


class _ListedRevision(TypedDict):
    tell: str
    picture: str


class _ListedFamily(TypedDict):
    """A family in the choice of families."""

    id: str
    title: str
    kind: str
    script: str
    symptoms: list[str]
    spared: Annotated[list[str], "Hazards that common records name and this board does not have."]
    revisions: dict[str, _ListedRevision]


class _Book(TypedDict):
    families: list[_ListedFamily]


class _OnPage(TypedDict):
    page: str


class _PartLinks(TypedDict):
    minutes: Annotated[float, "What it costs, in bench minutes."]


class _Part(_OnPage):
    links: _PartLinks


class _Rows(TypedDict):
    """P(outcome | hypothesis) of a measurement: its different rows, which one each hypothesis has, and each
    way of failing of those that have several. `stray`: of what something else reads abnormally, the share
    here.
    """

    rows: list[list[float]]
    of: list[int]
    ways: list[int]
    says: list[int]
    stray: float


class _Hypotheses(TypedDict):
    """What could be at fault on a revision: see `diagnosis/hypotheses.py`."""

    names: list[str]
    recorded: int
    prior: list[float]
    shows: dict[str, list[float]]
    split: list[tuple[int, float]]
    reads: dict[str, _Rows]
    minutes: list[float]
    hot: list[bool]
    mends: dict[str, list[int]]


class _Member(TypedDict):
    part: str
    mode: str
    at: str
    share: float
    minutes: float


class _Suspect(TypedDict):
    title: str
    outside: str
    by_hand: bool
    reflowed: bool
    hazards: list[str]
    members: list[_Member]
    along: list[str]


class _Family(TypedDict):
    format: int
    page: str
    spared: list[str]
    faults: dict[str, Fault]
    down: list[str]
    first: Annotated[dict[str, list[str]], "By symptom, what is measured before a source goes in."]
    hypotheses: dict[str, _Hypotheses]
    suspects: dict[str, _Suspect]


class _TestPoint(TypedDict):
    locator: dict[str, str]


class _Interlock(TypedDict):
    states: list[str]
    why: str
    clears: list[str]


class _MeasurementLinks(TypedDict):
    net: str
    unit: str | None
    hazards: list[str]
    interlocks: dict[str, _Interlock]
    amps: Annotated[
        dict[str, float],
        "The current that the volts of a rail and these measurements of its ohms must not come to.",
    ]


class _Measurement(TypedDict):
    strip: str
    links: _MeasurementLinks


class _Outcome(TypedDict):
    name: str


class _FixText(TypedDict):
    steps: list[str]


class _Fix(TypedDict):
    """`hazards`: for each step those that it brings by itself. `first`: what is read with the part in place,
    before the iron. `price`: of the parts, in words; empty where one is not known."""

    html: _FixText
    hazards: list[list[str]]
    first: list[str]
    price: str
    parts: list[PartUse]


class _Cause(TypedDict):
    says: str


class _FaultLinks(TypedDict):
    outside: str
    risk: float
    checks: Annotated[list[str], "The ohms that are read before it injects current."]
    hazards: list[str]
    techniques: list[str]
    bare: Annotated[bool, "Whether its work takes everything out."]


class _Expectation(TypedDict):
    predicted: bool


class _Fault(TypedDict):
    """`test_points`: with what is worth measuring of what the circuit foretells."""

    page: str
    test_points: list[Expectation]
    links: _FaultLinks


def _book(book: Book, _: object, __: object) -> _Book:
    return {
        "families": [_listed(book, record) for _, record in sorted(book.families.items())],
    }


def _listed(book: Book, record: Family) -> _ListedFamily:
    return {
        "id": record.id,
        "title": keep_units(record.title),
        "kind": record.kind,
        "script": paths.bench_data(record.id),
        "symptoms": list(links.symptoms_of_family(book, record.id)),
        "spared": sorted(spared(record)),
        "revisions": {
            name: {"tell": inline(r.tell), "picture": locator(record, name, "top", ())}
            for name, r in record.revisions.items()
        },
    }


def _symptom(_: Book, __: object, record: Symptom) -> _OnPage:
    return {"page": paths.symptom(record.id)}


def _hazard(_: Book, __: object, record: Hazard) -> _OnPage:
    return {"page": paths.hazard(record.id)}


def _technique(_: Book, __: object, record: Technique) -> _OnPage:
    return {"page": paths.technique(record.id)}


def _family(book: Book, _: object, record: Family) -> _Family:
    faults = links.faults_of_family(book, record.id)
    return {
        "format": FORMAT,
        "page": paths.family(record.id),
        "spared": sorted(spared(record)),
        "faults": {fault.id: BENCH.of(book, fault) for fault in faults},  # type: ignore[misc]
        "down": list(down_the_rails(record)),
        "first": {name: list(one.first) for name, one in record.symptoms.items() if one.first},
        "hypotheses": {r or "": _hypotheses(book, record, r) for r in (None, *record.revisions)},
        "suspects": {one.id: _suspect(book, record, one) for one in suspects_of(book, record)},
    }


def _hypotheses(book: Book, record: Family, revision: str | None) -> _Hypotheses:
    known = hypotheses_of(book, record, revision)
    return {
        "names": list(known.names),
        "recorded": len(known.faults),
        "prior": list(known.prior),
        "shows": {symptom: list(row) for symptom, row in known.shows.items()},
        "split": list(known.split),
        "reads": {m: _rows(known, m) for m in known.rows},
        "minutes": list(known.minutes),
        "hot": list(known.hot),
        "mends": {str(i): list(mended) for i, mended in known.mends.items()},
    }


def _rows(known: Hypotheses, measure: str) -> _Rows:
    found, ways = known.rows[measure], known.ways[measure]
    different = tuple(dict.fromkeys((*found, *ways)))
    return {
        "rows": [list(row) for row in different],
        "of": [different.index(row) for row in found],
        "ways": [different.index(row) for row in ways],
        "says": sorted(known.says[measure]),
        "stray": NOT_THE_PART if measure in known.looks else 1.0,
    }


def _suspect(book: Book, record: Family, suspect: Suspect) -> _Suspect:
    return {
        "title": keep_units(suspect.title),
        "outside": suspect.outside,
        "by_hand": suspect.by_hand,
        "reflowed": suspect.reflowed,
        "hazards": list(hazards_of_suspect(book, record, suspect)),
        "members": [
            {
                "part": m.part,
                "mode": FAULT_MODES[m.mode].label if m.mode else "",
                "at": m.at,
                "share": m.share,
                "minutes": m.minutes,
            }
            for m in suspect.members
        ],
        "along": list(suspect.along),
    }


def _net(_: Book, family: Family, net: Net) -> _OnPage:
    return {"page": paths.net(family.id, net.id)}


def _part(book: Book, family: Family, part: Part) -> _Part:
    return {
        "page": paths.part(family.id, part.id),
        "links": {"minutes": part_minutes(book.shop, part)},
    }


def _test_point(_: Book, family: Family, point: TestPoint) -> _TestPoint:
    probes = (Probe(point, point.id),)
    (side,) = sides(probes)
    return {"locator": {revision: locator(family, revision, side, probes) for revision in point.at}}


def _measurement(book: Book, family: Family, measurement: Measurement) -> _Measurement:
    found = ((o.id, interlock(family, measurement, o)) for o in measurement.outcomes.values())
    return {
        "strip": strip(measurement, live=True),
        "links": {
            "net": measurement.net,
            "unit": measurement.unit,
            "hazards": list(links.hazards_of_measurement(book, family, measurement)),
            "interlocks": {
                name: {"states": list(lock.states), "why": keep_units(lock.why), "clears": list(lock.clears)}
                for name, lock in found
                if lock is not None
            },
            "amps": {ohms: amps for (volts, ohms), amps in held_together(family) if volts == measurement.id},
        },
    }


def _outcome(_: Book, __: object, outcome: Outcome) -> _Outcome:
    return {"name": words.outcome(outcome.id)}


def _fix(book: Book, fault: Fault, record: Fix) -> _Fix:
    return {
        "html": {"steps": [inline(step) for step in steps.of_fix(book, fault)]},
        "hazards": [list(ids) for ids in links.hazards_by_step(book, fault)],
        "first": [
            row.measurement.id for row in check_first(book.families[fault.family], fault, rows(book, fault))
        ],
        "price": price_of(book, fault),
        "parts": [BENCH.of(book, use) for use in record.parts],  # type: ignore[misc]
    }


def _cause(_: Book, __: object, record: Cause) -> _Cause:
    return {"says": words.cause(record)}


def _expectation(_: Book, __: object, record: Expectation) -> _Expectation:
    return {"predicted": record.predicted}


def _fault(book: Book, _: object, fault: Fault) -> _Fault:
    return {
        "page": paths.fault(fault.id),
        "test_points": [BENCH.of(book, one) for one in fault.readings],  # type: ignore[misc]
        "links": {
            "outside": outside_of(book, fault),
            "risk": risk_minutes(book, fault),
            "checks": list(checks_of(book, book.families[fault.family], fault)),
            "hazards": list(links.hazards_of_fault(book, fault)),
            "techniques": list(links.techniques_of_fault(book, fault)),
            "bare": is_bare(fault, book.families[fault.family]),
        },
    }


BENCH = Projection(
    adds=MappingProxyType(
        {
            Book: _book,
            Symptom: _symptom,
            Hazard: _hazard,
            Technique: _technique,
            Family: _family,
            Net: _net,
            Part: _part,
            TestPoint: _test_point,
            Measurement: _measurement,
            Outcome: _outcome,
            Fault: _fault,
            Expectation: _expectation,
            Fix: _fix,
            Cause: _cause,
        }
    ),
    leaves_out=MappingProxyType(
        {
            Book: frozenset({"families", "faults", "states", "files", "unread", "pictures"}),
            Shop: frozenset({"format", "title", "site", "currency", "labour_rate", "risk"}),
            Symptom: frozenset({"seen_by", "said_in", "outside", "area"}),
            Hazard: frozenset({"signs", "source"}),
            Meter: frozenset({"input_resistance", "test_current", "open_voltage"}),
            Technique: frozenset(
                {"summary", "needs", "mode", "skill", "wash", "inject", "heat", "steps", "hazard", "source"}
            ),
            Family: frozenset(
                {"summary", "board", "waive", "discharge", "opening", "usual_state", "thin", "symptoms"}
            ),
            Revision: frozenset({"tell"}),
            Net: frozenset({"for", "nominal", "bus", *ELEMENTS, "draw", "after", "good", "in"}),
            Part: frozenset({"nets", "kind", "unplugs", "side", "at", "size", "pictures"}),
            Replace: frozenset({"minutes", "price"}),
            TestPoint: frozenset({"at", "pictures"}),
            Measurement: frozenset({"waive", "healthy", "under"}),
            Outcome: frozenset({"bars"}),
            Expectation: frozenset({"expected_reading"}),
            Cause: frozenset(
                {"mode", "at", "to", "ohms", "volts", "share_of_time", "when", "then", "variants", "how"}
            ),
            Fix: frozenset({"steps"}),
            PartUse: frozenset({"value"}),
            Fault: frozenset(
                {
                    "revisions",
                    "seen",
                    "hazard",
                    "techniques",
                    "test_points",
                    "reads_normal",
                    "worked_example",
                    "waive",
                }
            ),
        }
    ),
    dresses=(
        Dressed("html", frozenset({Line}), inline),
        Dressed("html", frozenset({Prose}), prose),
        Dressed("words", frozenset({Words}), keep_units),
        Dressed("", frozenset({Title}), keep_units),
        Dressed("words", frozenset({Action}), ACTIONS.__getitem__),
        Dressed("words", frozenset({Skill}), SKILLS.__getitem__),
        Dressed("words", frozenset({Quantity}), words.quantity, False, frozenset({Outcome})),
        Dressed("words", frozenset({Quantity}), words.quantity, True, frozenset({Injection})),
    ),
)
