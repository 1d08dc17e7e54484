"""Study pages: a family's path and exercises, the data that they work on, and the family's handout."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from benchlore.book import links
from benchlore.book.model import Book, Family, Measurement, Outcome
from benchlore.diagnosis.case import Case, make_case
from benchlore.quantity import Quantity
from benchlore.site import data, paths, vocabulary_data, words
from benchlore.site.drawings.locator import Probe
from benchlore.site.page import SiteFile, SitePage, base
from benchlore.site.prose import inline, keep_units
from benchlore.study import path, setups
from benchlore.study.cards import ASKED, Card, cards, rivals
from benchlore.study.working import Working, working
from benchlore.vocabulary import ACTIONS

FORMAT = 1

# The bench page's arithmetic, then the study's own; in the order in which they build on each other.
BENCH_SCRIPTS = (
    "quantity",
    "meter",
    "reading",
    "likelihood",
    "interlock",
    "case",
    "posterior",
    "lookahead",
    "verdict",
    "job",
    "assess",
    "dom",
    "parts",
)
STUDY_SCRIPTS = (
    "random",
    "schedule",
    "progress",
    "deck",
    "seed",
    "setup",
    "simulate",
    "view-parts",
    "questions",
    *(f"exercises/{kind}" for kind in ASKED),
    "job",
    "debrief",
    "keep",
    "view-home",
    "view-card",
    "view-debrief",
    "view-job",
    "sheet",
    "page",
)


def of_family(book: Book, family: Family) -> Iterator[SitePage | SiteFile]:
    """The study page, its data, the handout."""
    yield _study(family)
    yield SiteFile(script(family.id), data_script(book, family))
    yield _handout(book, family)


def script(family_id: str) -> str:
    """Where the data of a family's cards lie."""
    return f"data/study/{family_id}.js"


def _study(family: Family) -> SitePage:
    scripts = (
        vocabulary_data.PATH,
        "assets/js/typed.js",
        data.COMMON,
        data.path(family.id),
        script(family.id),
        "assets/js/form.js",
        "assets/js/records.js",
        *(f"assets/js/bench/{name}.js" for name in BENCH_SCRIPTS),
        *(f"assets/js/study/{name}.js" for name in STUDY_SCRIPTS),
    )
    return SitePage(
        paths.study(family.id),
        f"Study {family.title}",
        "study.html",
        {"family": family},
        family=family.id,
        section="learn",
        scripts=scripts,
        styles=("assets/css/bench.css", "assets/css/study.css"),
    )


def _handout(book: Book, family: Family) -> SitePage:
    faults = sorted(links.faults_of_family(book, family.id), key=lambda fault: (-fault.seen, fault.id))
    context = {
        "family": family,
        "rails": [(stop, _reads(family, stop.net.id)) for stop in path.rails(family)],
        "lines": [(stop, _reads(family, stop.net.id)) for stop in path.lines(family)],
        "faults": faults,
        "hazards": _hazards(book, family),
        "probes": tuple(Probe(point, point.id) for point in family.test_points.values()),
        "leads": setups.leads_of,
    }
    return SitePage(
        paths.handout(family.id),
        f"{family.title}: handout",
        "study-handout.html",
        context,
        family=family.id,
        section="learn",
        styles=("assets/css/study.css",),
    )


def _reads(family: Family, net: str) -> tuple[Measurement, ...]:
    return links.measurements_of_net(family, net)


def data_script(book: Book, family: Family) -> str:
    """The cards as a classic script that sets `benchlore.studyFamily`."""
    value = json.dumps(deck(book, family), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return f"window.benchlore=window.benchlore||{{}};\nbenchlore.studyFamily={value};\n"


def deck(book: Book, family: Family) -> dict[str, Any]:
    """What the study page needs beside the bench's data of the family: path, cards, working, choices.

    HTML in it leads from the study page.
    """
    case = make_case(book, family.id, suspects=False)
    asked = cards(book, family, case)
    chosen = setups.choices(family)
    measures = [m for m in family.measurements.values() if any(card.measure == m.id for card in asked)]
    return {
        "format": FORMAT,
        "family": family.id,
        "meter": case.meter,
        "rails": [_stop(family, stop) for stop in path.rails(family)],
        "lines": [_stop(family, stop) for stop in path.lines(family)],
        "symptoms": [
            {"id": c.symptom, "jobs": c.jobs, "faults": [fault.id for fault in c.faults]}
            for c in path.complaints(book, family)
        ],
        "cards": [_card(card) for card in asked],
        "measures": {m.id: _measure(book, family, m, case) for m in measures},
        "states": chosen.states,
        "modes": chosen.modes,
        "leads": [keep_units(text) for text in chosen.leads],
        "lead_kinds": {keep_units(text): setups.lead_kind(family, text) for text in chosen.leads},
        "parts": chosen.parts,
        "part_nets": {part: family.parts[part].nets for part in chosen.parts},
        "hazards": _hazards(book, family),
        "actions": sorted({ACTIONS[f.fix.action] for f in _faults(book, family)}),
    }


def _faults(book: Book, family: Family) -> tuple[Any, ...]:
    return links.faults_of_family(book, family.id)


def _hazards(book: Book, family: Family) -> tuple[str, ...]:
    """The hazards of the family's work, most serious first."""
    met = [h for m in family.measurements.values() for h in links.hazards_of_measurement(book, family, m)]
    return links.by_severity(
        book, [*met, *(h for f in _faults(book, family) for h in links.hazards_of_fault(book, f))]
    )


def _stop(family: Family, stop: path.Stop) -> dict[str, Any]:
    net = stop.net
    return {
        "net": net.id,
        "level": stop.level,
        "above": stop.above,
        "nominal": None if net.nominal is None else words.quantity(net.nominal),
        "for": inline(net.for_, base(paths.study(family.id))),
    }


def _card(card: Card) -> dict[str, Any]:
    found: dict[str, Any] = {"id": card.id, "kind": card.kind, "subject": card.subject}
    if card.measure:
        found["measure"] = card.measure
    if card.outcome:
        found["outcome"] = card.outcome
    if card.between:
        found |= {"between": card.between, "span": card.span}
    return found


def _measure(book: Book, family: Family, m: Measurement, case: Case) -> dict[str, Any]:
    nominal = setups.net_nominal(family, m)
    scale = case.scales[m.id]
    return {
        "page": paths.measurement(family.id, m.net, m.id),
        "rivals": [
            {"text": _text(r.outcome), "measure": r.measure, "outcome": r.outcome.id}
            for r in rivals(family, m)
        ],
        "working": _working(working(book, family, m)),
        "leads": keep_units(setups.leads_of(m)),
        "ceilings": [
            {"text": words.quantity(volts), "volts": volts.high} for volts in setups.ceilings(family, m)
        ],
        "nominal": _nominal(nominal),
        "steps": [r.resolution.middle for r in scale.ranges],
    }


def _nominal(quantity: Quantity | None) -> dict[str, Any] | None:
    return None if quantity is None else {"text": words.quantity(quantity), "volts": quantity.high}


def _text(outcome: Outcome) -> str:
    return words.outcome(outcome.id) if outcome.range is None else words.quantity(outcome.range)


def _working(found: Working | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "steps": [
            {
                "net": step.net,
                "formula": _signs(step.formula),
                "filled": _signs(step.filled),
                "worst": _signs(step.worst),
                "given": [[name, _signs(text)] for name, text in step.given],
                "source": step.source,
            }
            for step in found.steps
        ]
    }


def _signs(text: str) -> str:
    """Units as the bench reads them."""
    return keep_units(text).replace("ohm", "Ω").replace("degC", "°C")
