"""Grows plans by the arithmetic of an earlier revision, whose `tools/` come first on the path.

    PYTHONPATH=<tools of fd17a55> python tools/benchmarks/first_edition.py < asked.json > trees.json

For `off_model.py`, which writes what is asked: the recorded faults of a family, and what the earlier revision
needs to know of its measurements. What it made of these (priors, what a silent record reads, the share of
what is not in the book) it makes itself; the share of readings that a meter takes for each outcome is given.
"""

from __future__ import annotations

import json
import sys
from importlib import import_module
from types import SimpleNamespace
from typing import Any


def trees(asked: dict[str, Any]) -> dict[str, Any]:
    """The tree of each symptom's plan."""
    case, plan = import_module("benchlore.diagnosis.case"), import_module("benchlore.diagnosis.plan")
    faults = tuple(
        SimpleNamespace(
            symptoms=fault["symptoms"],
            test_points=[SimpleNamespace(measure=m, outcomes=row) for m, row in fault["reads"].items()],
        )
        for fault in asked["faults"]
    )
    prior = case.priors([fault["seen"] for fault in asked["faults"]])
    measures, tables, stated = asked["measures"], [], []
    for measure in measures:
        bands = [SimpleNamespace(outcome=outcome) for outcome in measure["outcomes"]]
        scale = SimpleNamespace(bands=bands, size=len(bands))
        says, rows = case._expectations(faults, prior, measure["id"], scale)
        stated.append(bool(says))
        tables.append(_table(case.BLUNDER, rows, measure["confusion"], measure["chance"]))
    kept = [i for i, says in enumerate(stated) if says]
    bench = case.Bench(
        tuple(fault["id"] for fault in asked["faults"]),
        tuple(fault["minutes"] for fault in asked["faults"]),
        tuple(fault["setup"] for fault in asked["faults"]),
        tuple(measures[i]["id"] for i in kept),
        tuple(tuple(measures[i]["outcomes"]) for i in kept),
        tuple(tables[i] for i in kept),
        tuple(measures[i]["minutes"] for i in kept),
        tuple(measures[i]["setup"] for i in kept),
        tuple(map(tuple, asked["change"])),
        asked["escalate"],
        frozenset(n for n, i in enumerate(kept) if measures[i]["live"]),
        frozenset((n, o) for n, i in enumerate(kept) for o in measures[i]["stops"]),
    )
    return {
        symptom: _plain(plan.grow(bench, _after(prior, case._shows(faults, prior, symptom))))
        for symptom in asked["symptoms"]
    }


def _table(blunder: float, rows: Any, confusion: Any, chance: Any) -> tuple[tuple[float, ...], ...]:
    return tuple(
        (
            *(
                (1 - blunder) * sum(p * confusion[i][o] for i, p in enumerate(row)) + blunder * chance[o]
                for row in rows
            ),
            chance[o],
        )
        for o in range(len(chance))
    )


def _after(prior: Any, shows: Any) -> tuple[float, ...]:
    joint = [p * s for p, s in zip(prior, shows, strict=True)]
    return tuple(p / sum(joint) for p in joint)


def _plain(node: Any) -> list[Any]:
    """Kind, id, minutes, expected, branches by outcome, and what follows a fix that failed."""
    branches = [[branch.outcome, _plain(branch.then)] for branch in node.branches]
    failed = None if node.failed is None else _plain(node.failed)
    return [node.kind, node.id, node.minutes, node.expected, branches, failed]


if __name__ == "__main__":
    sys.setrecursionlimit(10_000)
    json.dump(trees(json.load(sys.stdin)), sys.stdout)
