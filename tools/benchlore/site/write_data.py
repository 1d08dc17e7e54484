"""What the form for a fault pattern knows beside the bench's data: the schema with its words, what is done in
a fix, which parts fail how, and what each way of failing reads by the circuit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, TypedDict

from benchlore.book import links
from benchlore.book.forms import declarations, schema_of
from benchlore.book.ids import fault_id, file_of
from benchlore.book.model import Book, Family, Measurement, Part
from benchlore.book.projection import Projection
from benchlore.book.schemas import schema
from benchlore.book.short import schema_in_full
from benchlore.book.work import PACK, beyond_safe, sources_of, spared
from benchlore.cache import code_of, key_of, like, remembered
from benchlore.circuit.foretold import asks_of, mixed, predictor_of
from benchlore.circuit.graph.change import Fault as Way
from benchlore.circuit.graph.change import tells
from benchlore.circuit.graph.mode_shares import mode_shares, modes_of
from benchlore.circuit.healthy import is_sound
from benchlore.circuit.injection import FIRST_VOLTS
from benchlore.diagnosis.hypotheses import LEAST_UNKNOWN, MOST_UNKNOWN, NOT_LISTED, QUIET
from benchlore.rules import all_docs
from benchlore.site import paths
from benchlore.site.page import SiteFile
from benchlore.site.serialise import to_script
from benchlore.site.steps import SOURCES
from benchlore.site.words import besides
from benchlore.vocabulary import (
    ACTIONS,
    CLEANERS,
    CONDITIONS,
    EVERYTHING,
    FAULT_MODES,
    FREQUENCIES,
    HOT_ACTIONS,
    PART_KINDS,
    SKILLS,
    VERBS,
)

_AT_A_NET = frozenset({"shorted-to-ground", "leaks", "stuck"})
_DIGITS = 4


def _is_row(value: Any) -> bool:
    return value is None or like(value, {str: float})


_FORM = ([{str: _is_row}], [(str, str, str, str, int)])


class _Mode(TypedDict):
    label: str
    says: Annotated[list[str], "The fields of a cause that belong to it."]
    at: Annotated[bool, "It sits at a net."]


class _Kind(TypedDict):
    label: str
    modes: Annotated[list[str], "The likeliest first."]


class _Verb(TypedDict):
    takes: list[str]
    action: Annotated[str, "The fix that it makes."]
    handles: Annotated[bool, "It is done with every source out and the charge gone."]
    wet: bool


class _Technique(TypedDict):
    title: str
    hazard: list[str]
    skill: str
    wash: bool
    inject: bool


class _Rule(TypedDict):
    id: str
    says: str


class _Constants(TypedDict):
    """Of the ranking, as `diagnosis/hypotheses.py` has them."""

    not_listed: float
    least_unknown: float
    most_unknown: float
    quiet: float
    always: Annotated[dict[str, float], "The share of the jobs, by how often."]


class _Listed(TypedDict):
    id: str
    title: str
    script: str
    records: str


class _Book(TypedDict):
    families: list[_Listed]
    modes: dict[str, _Mode]
    kinds: dict[str, _Kind]
    actions: dict[str, str]
    hot: list[str]
    verbs: dict[str, _Verb]
    everything: str
    sources: Annotated[dict[str, str], "Within a sentence."]
    first_volts: Annotated[str, "At which an injection begins."]
    cleaners: dict[str, str]
    conditions: dict[str, str]
    skills: dict[str, str]
    techniques: dict[str, _Technique]
    risk: dict[str, float]
    rules: Annotated[list[_Rule], "What `check` demands of a fault pattern."]
    constants: _Constants


class _Part(TypedDict):
    name: str
    kind: str
    nets: list[str]
    plugs: bool
    skill: str
    minutes: float
    pack: Annotated[bool, "It sits on the pack's own net."]


class _Measured(TypedDict):
    healthy: Annotated[dict[str, float], "Shares of the outcomes of a healthy board."]
    asked: Annotated[bool, "The circuit can speak of it."]
    shock: Annotated[bool, "It meets a voltage that can hurt."]
    besides: Annotated[list[str], "What it asks for besides point, function and bench state."]


class _Way(TypedDict):
    part: str
    mode: str
    at: str
    to: str
    reads: Annotated[int, "Its place among the tables."]


class _Family(TypedDict):
    id: str
    sources: Annotated[list[str], "The pack last."]
    folder: str
    landmarks: list[str]
    parts: dict[str, _Part]
    shock: Annotated[list[str], "Nets that carry a voltage that can hurt."]
    measured: dict[str, _Measured]
    opening: Annotated[str, "The technique by which the device is opened; empty where the family says none."]
    without: Annotated[list[str], "The parts that are reached without it."]
    discharge: Annotated[str, "How long the power key is held; empty where the family does not say it."]
    empties: Annotated[str, "The family's own way to be rid of its charge, where it has one."]
    discharged: Annotated[list[str], "Hazards of the bench states without charge."]
    taken: Annotated[list[str], "Names of faults that are or were in use."]
    seen: Annotated[dict[str, int], "By the id of the fault."]
    tables: Annotated[
        list[dict[str, dict[str, float] | None]],
        "Shares of outcomes by measurement; null: not known; left out: as on a healthy board.",
    ]
    ways: list[_Way]


def types() -> str:
    """The types of these data for the check of the scripts: `WriteBook`, `WriteFamily` and what they hold."""
    form = Projection()
    # Scripts look these up by ids that they have from the data themselves.
    there = frozenset({"Measured", "Mode", "Kind", "Verb", "Technique", "Part"})
    return declarations(schema_of(form, _Book, _Family), "Write", there)


def common_file(book: Book) -> SiteFile:
    """The script `data/write/book.js`."""
    made = to_script("writeBook", common(book)) + to_script("writeForm", schema_in_full(schema("fault")))
    return SiteFile(paths.WRITE_DATA, made)


def family_file(book: Book, record: Family) -> SiteFile:
    """The script `data/write/<family>.js`."""
    return SiteFile(paths.write_data(record.id), to_script("writeFamilies", family(book, record), record.id))


def records_file(family_id: str, texts: Mapping[str, str]) -> SiteFile:
    """The script with the texts of a family's fault patterns, by name. `texts`: by file."""
    own = {name: texts[file] for file in texts if (name := _name_of(family_id, file))}
    return SiteFile(paths.write_records(family_id), to_script("writeRecords", own, family_id))


def _name_of(family_id: str, file: str) -> str:
    name = file.rpartition("/")[2].removesuffix(".yaml")
    return name if file == file_of("fault", fault_id(family_id, name)) else ""


def common(book: Book) -> _Book:
    """What the form knows of every family."""
    return {
        "families": [
            {
                "id": one.id,
                "title": one.title,
                "script": paths.write_data(one.id),
                "records": paths.write_records(one.id),
            }
            for _, one in sorted(book.families.items())
        ],
        "modes": {
            mode.id: {"label": mode.label, "says": list(mode.says), "at": mode.id in _AT_A_NET}
            for mode in FAULT_MODES.values()
        },
        "kinds": {
            kind.id: {"label": kind.label, "modes": _likeliest_first(kind.id)} for kind in PART_KINDS.values()
        },
        "actions": dict(ACTIONS),
        "hot": sorted(HOT_ACTIONS),
        "verbs": {
            verb.id: {
                "takes": list(verb.takes),
                "action": verb.action,
                "handles": verb.handles,
                "wet": verb.wet,
            }
            for verb in VERBS.values()
        },
        "everything": EVERYTHING,
        "sources": dict(SOURCES),
        "first_volts": f"{FIRST_VOLTS:g} V",
        "cleaners": dict(CLEANERS),
        "conditions": {one.id: one.label for one in CONDITIONS.values()},
        "skills": dict(SKILLS),
        "techniques": {
            id_: {
                "title": one.title,
                "hazard": list(one.hazard),
                "skill": one.skill or "",
                "wash": bool(one.wash),
                "inject": bool(one.inject),
            }
            for id_, one in sorted(book.techniques.items())
        },
        "risk": dict(book.shop.risk),
        "rules": [
            {"id": doc.id, "says": doc.summary} for doc in all_docs() if doc.bad and _of_a_fault(doc.bad)
        ],
        "constants": {
            "not_listed": NOT_LISTED,
            "least_unknown": LEAST_UNKNOWN,
            "most_unknown": MOST_UNKNOWN,
            "quiet": QUIET,
            "always": {one.id: one.share for one in FREQUENCIES.values()},
        },
    }


def _of_a_fault(bad: str) -> bool:
    """Whether the record that breaks a rule is a fault pattern; the first line of it names its file."""
    file = bad.partition("\n")[0]
    return "/common/" not in file and "family.yaml" not in file


def _likeliest_first(kind: str) -> list[str]:
    shares = mode_shares(kind)
    return sorted(modes_of(kind), key=lambda mode: -shares.get(mode, 0.0))


def family(book: Book, record: Family) -> _Family:
    """What the form knows of one family."""
    tables, ways = _foretold(book, record)
    asked = {measurement.id for measurement, _ in asks_of(record)} if ways else set()
    discharged = [
        name for s in record.bench_states if s.discharged for name in s.hazard if name not in spared(record)
    ]
    gone = [one for one in (*book.faults, *book.retired) if one.startswith(f"{record.id}/")]
    return {
        "id": record.id,
        "sources": list(sources_of(record)),
        "folder": file_of("fault", fault_id(record.id, "x")).rpartition("/")[0],
        "landmarks": list(record.board.landmarks),
        "parts": {part.id: _part(record, part) for part in record.parts.values()},
        "shock": [
            net.id for net in record.nets.values() if net.nominal and beyond_safe("dc-volts", net.nominal)
        ],
        "measured": {
            m.id: {
                "healthy": dict(m.reads_healthy),
                "asked": m.id in asked,
                "shock": _shocks(m),
                "besides": list(besides(m)),
            }
            for m in record.measurements.values()
        },
        "opening": record.opening.technique if record.opening else "",
        "without": list(record.opening.without) if record.opening else [],
        "discharge": record.discharge.text if record.discharge else "",
        "empties": next((s.title for s in record.own_states if s.discharged), ""),
        "discharged": list(links.by_severity(book, discharged)),
        "taken": sorted(one.partition("/")[2] for one in gone),
        "seen": {one.id: one.seen for one in links.faults_of_family(book, record.id)},
        "tables": tables,
        "ways": [
            {"part": part, "mode": mode, "at": at, "to": to, "reads": reads}
            for part, mode, at, to, reads in ways
        ],
    }


def _part(record: Family, part: Part) -> _Part:
    return {
        "name": part.name,
        "kind": part.kind,
        "nets": list(part.nets),
        "plugs": part.unplugs,
        "skill": part.replace.skill,
        "minutes": part.replace.minutes,
        "pack": any(net in record.nets and PACK in record.nets[net].enters for net in part.nets),
    }


def _shocks(measurement: Measurement) -> bool:
    ranges = [one.range for one in measurement.outcomes.values() if one.range]
    injected = [measurement.inject.volts] if measurement.inject else []
    return any(beyond_safe(measurement.mode, one) for one in ranges) or any(
        beyond_safe("dc-volts", one) for one in injected
    )


def _foretold(
    book: Book, record: Family
) -> tuple[list[dict[str, dict[str, float] | None]], list[tuple[str, str, str, str, int]]]:
    """What each way of failing reads: the different tables, and each way with the place of its own."""
    key = key_of(code_of("book", "circuit", "quantity.py", "vocabulary.py", "site"), record)
    made = remembered(f"ways/{record.id}", key, lambda: _worked_out(book, record), _FORM)
    tables, ways = made
    return list(tables), [tuple(way) for way in ways]


def prepare(book: Book) -> None:
    """Work out what each way of failing reads in the families of a book, and keep it."""
    for record in book.families.values():
        _foretold(book, record)


def _worked_out(book: Book, record: Family) -> Any:
    if not is_sound(record):
        return [], []
    predictor, asks = predictor_of(book, record), asks_of(record)
    tables: list[dict[str, dict[str, float] | None]] = []
    places: dict[str, int] = {}
    ways = []
    for way in _ways(record):
        if not tells(predictor.graph, way):
            continue
        table: dict[str, dict[str, float] | None] = {
            measure: None
            if row is None
            else {outcome: round(share, _DIGITS) for outcome, share in row.items()}
            for measure, row in mixed(predictor, asks, [(1.0, way)]).items()
            if row is None or dict(row) != dict(record.measurements[measure].reads_healthy)
        }
        place = places.setdefault(repr(table), len(tables))
        if place == len(tables):
            tables.append(table)
        ways.append([way.part, way.mode, way.at, way.to, place])
    return tables, ways


def _ways(record: Family) -> Iterator[Way]:
    """Every part with every mode that its kind can have, at each net where that makes a difference."""
    for part in record.parts.values():
        nets = [net for net in part.nets if net in record.nets]
        for mode in modes_of(part.kind):
            if mode not in _AT_A_NET or not nets:
                yield Way(part.id, mode)
            if mode in _AT_A_NET or (mode == "open" and len(nets) > 1):
                yield from (Way(part.id, mode, net) for net in nets)
            if mode == "shorted-across" and len(nets) > 2:
                yield from (Way(part.id, mode, a, b) for a in nets for b in nets if a < b)
