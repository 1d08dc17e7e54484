"""Files that people save: the browser takes what the published schema takes, and nothing else."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

ROOT = Path(__file__).resolve().parents[2]
TAKEN = {"measure": "m", "meter": "d", "text": "7.92 V"}
JOB = {
    "format": "benchlore-job",
    "version": 1,
    "id": "k1",
    "label": "R-17",
    "family": "f",
    "revision": "A",
    "symptoms": ["no-power"],
    "meter": "d",
    "started": "2026-03-01",
    "entries": [
        {"kind": "reading", **TAKEN, "at": "2026-03-01"},
        {"kind": "fix", "fault": "f/x", "result": "failed", "symptom": "still", "confirm": [TAKEN], "at": ""},
        {"kind": "escalate", "at": ""},
    ],
}
CARD = {
    "reps": 1,
    "ease": 250,
    "interval": 1,
    "due": 20001,
    "last": 20000,
    "grade": 5,
    "again": False,
    "asked": 1,
    "wrong": 0,
}
CHOICE = {"state": "s", "mode": "m", "leads": "", "unplugged": ["E7"], "ceiling": "", "guards": ["static"]}
PROGRESS = {
    "format": "benchlore-study-progress",
    "version": 1,
    "trainee": "Ada",
    "saved": "2026-03-01",
    "families": {
        "f": {
            "turn": 3,
            "cards": {"reads/m": CARD},
            "jobs": [
                {
                    "day": 20000,
                    "seed": "A",
                    "symptom": "no-power",
                    "minutes": 41.5,
                    "plan": 30,
                    "missed": 1,
                    "end": "mended",
                }
            ],
            "session": {
                "exercise": "job",
                "seed": "A",
                "typed": False,
                "day": 20000,
                "cards": ["job/no-power"],
                "answers": [{"sure": "sure", "unknown": False, "faults": {"f/x": "fits"}, "choice": CHOICE}],
                "events": [
                    {"do": "measure", "measure": "m", "state": "s", "unplugged": [], "guards": []},
                    {"do": "fix", "fault": "f/x", "action": "Replace", "state": "s", "guards": []},
                    {"do": "confirm", "measure": "m"},
                    {"do": "judge", "proved": True},
                    {"do": "escalate"},
                ],
            },
        }
    },
}
# Put in the place of every value, and beside every property.
OTHERS: tuple[Any, ...] = (
    None,
    True,
    0,
    1,
    -1,
    1.5,
    2,
    1e9,
    "",
    "1",
    "x",
    "x" * 200,
    "x" * 201,
    "\U0001f50b" * 200,
    [],
    {},
    [{}],
)


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The ways to every value of a document, the whole first."""
    yield path
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, one in inside:
        yield from places(one, (*path, key))


def changed(whole: Any, path: tuple[Any, ...], change: Any) -> Any:
    """A copy with the value at a place changed by a function of its holder and its key."""
    document = [copy.deepcopy(whole)]
    holder: Any = document
    *way, last = (0, *path)
    for key in way:
        holder = holder[key]
    change(holder, last)
    return document[0] if document else None


def put(value: Any) -> Any:
    return lambda holder, key: holder.__setitem__(key, value)


def drop(holder: Any, key: Any) -> None:
    del holder[key]


def add(name: str) -> Any:
    def into(holder: Any, key: Any) -> None:
        if isinstance(holder[key], dict):
            holder[key][name] = 1

    return into


def damaged(whole: Any) -> list[Any]:
    """The document itself, and one copy for every small damage to it."""
    changes = [*map(put, OTHERS), drop, *map(add, ("unknown", "__proto__", "constructor", "n" * 201))]
    return [whole, *(changed(whole, path, change) for path in places(whole) for change in changes)]


@pytest.mark.parametrize(
    ("form", "whole", "page_path", "parse"),
    [
        ("job", JOB, "bench.html", "benchlore.jobfile.parse"),
        ("progress", PROGRESS, None, "benchlore.study.progress.parse"),
    ],
)
def test_a_file_is_taken_where_its_schema_takes_it(page, site, form, whole, page_path, parse):
    schema = json.loads((ROOT / f"schema/{form}.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    takes = jsonschema.Draft202012Validator(schema).is_valid
    study = next(one for one in sorted((site / "study").glob("*.html")) if 'id="study"' in one.read_text())
    page.goto((site / page_path if page_path else study).as_uri())
    page.wait_for_selector("#bench, #study")
    texts = sorted({json.dumps(one) for one in damaged(whole)})
    said = json.loads(
        page.evaluate(
            """([parse, texts]) => {
                const take = parse.split('.').reduce((part, name) => part[name], window);
                return JSON.stringify(JSON.parse(texts).map(text => {
                    try { take(text); return ''; } catch (error) { return error.message; }
                }));
            }""",
            [parse, json.dumps(texts)],
        )
    )
    wrong = [
        f"{text}: {why or 'taken'}"
        for text, why in zip(texts, said, strict=True)
        if takes(json.loads(text)) == bool(why)
    ]
    assert not wrong, f"{len(wrong)} of {len(texts)}\n" + "\n".join(wrong[:10])
    assert said.count("") > 20
    assert all(why.endswith(".") and "undefined" not in why for why in said if why)
