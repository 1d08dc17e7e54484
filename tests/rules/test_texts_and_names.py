"""Every text that people read is read by the rules, and every name that leads nowhere, or to which nothing
leads, is told: on changes of the good book."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.model import Book, Part, Picture, TestPoint, frozen_map
from benchlore.findings import Origin, Problem
from benchlore.rules import references, unused
from benchlore.rules.safety import DEMANDED
from benchlore.rules.texts import texts_of_common, texts_of_families
from tests.rules.asked import BOOK, FAMILY, said
from tests.rules.test_boundaries import FUSE, HERE, step

VOLTS = FAMILY.measurements["main-rail"]
OWN = replace(BOOK.states["all-off"], id="own", origin=FAMILY.origin)  # a bench state of the family alone


def marked(texts: Iterable[tuple[Origin, str]]) -> list[str]:
    """The texts that are marks, `t1` and so on, in the order of their numbers."""
    found = [text for _, text in texts if text[:1] == "t" and text[1:].isdigit()]
    return sorted(found, key=lambda text: int(text[1:]))


def marks(count: int) -> list[str]:
    return [f"t{n}" for n in range(1, count + 1)]


def test_the_texts_of_a_fault() -> None:
    use = FUSE.fix.parts[0]
    work = step(
        say="t4",
        if_="t5",
        fit=(replace(use, donor="t6"), replace(use, donor="t7")),
        replace=(replace(use, donor="t8"),),
    )
    fault = replace(
        FUSE,
        title="t1",
        summary="t2",
        cause=replace(FUSE.cause, how="t3"),
        fix=replace(FUSE.fix, steps=(work,)),
        test_points=(replace(FUSE.test_points[0], note="t9"), replace(FUSE.test_points[1], note="")),
        waive=frozen_map({"a": "t10", "b": "t11"}),
    )
    book = replace(BOOK, families=frozen_map(), faults=frozen_map({FUSE.id: fault}))
    assert marked(texts_of_families(book)) == marks(11)
    assert all(text for _, text in texts_of_families(book))


def test_the_texts_of_a_family() -> None:
    jack = FAMILY.board.landmarks["barrel jack"]
    picture = Picture(origin=HERE, file="a.png", shows="t10")
    part = FAMILY.parts["C1"]
    part = replace(
        part, name="t7", package="t8", replace=replace(part.replace, donor="t9"), pictures=(picture,)
    )
    point = FAMILY.test_points["TP1"]
    point = replace(
        point, where=frozen_map({"A": "t11", "B": "t12"}), pictures=(replace(picture, shows="t13"),)
    )
    outcome = next(iter(VOLTS.outcomes.values()))
    measurement = replace(
        VOLTS,
        asks="t14",
        leads="t15",
        note="t16",
        outcomes=frozen_map({outcome.id: replace(outcome, means="t17")}),
    )
    state = replace(OWN, title="t18", short="t19", how=("t20", "t21"))
    family = replace(
        FAMILY,
        title="t1",
        summary="t2",
        board=replace(FAMILY.board, landmarks=frozen_map({"t3": jack})),
        revisions=frozen_map(
            {"A": replace(FAMILY.revisions["A"], tell="t4"), "B": replace(FAMILY.revisions["B"], tell="t5")}
        ),
        nets=frozen_map({"MAIN": replace(FAMILY.nets["MAIN"], for_="t6")}),
        parts=frozen_map({"C1": part}),
        test_points=frozen_map({"TP1": point}),
        measurements=frozen_map({VOLTS.id: measurement}),
        states=frozen_map({state.id: state}),
    )
    book = replace(BOOK, families=frozen_map({family.id: family}), faults=frozen_map())
    assert marked(texts_of_families(book)) == marks(21)


def test_the_texts_of_the_common_records() -> None:
    first: dict[str, Any] = {
        kind: next(iter(getattr(BOOK, kind).values()))
        for kind in ("symptoms", "hazards", "meters", "states", "techniques")
    }
    changed = {
        "symptoms": replace(
            first["symptoms"], title="t1", note="t2", said=("t3", "t4"), said_in=frozen_map({"de": ("t5",)})
        ),
        "hazards": replace(
            first["hazards"], title="t6", harm="t7", source="t8", said=("t9",), avoid=("t10", "t11")
        ),
        "meters": replace(first["meters"], title="t12", note="t13"),
        "states": replace(first["states"], title="t14", short="t15", how=("t16",)),
        "techniques": replace(
            first["techniques"],
            title="t17",
            summary="t18",
            source="t19",
            needs=("t20", "t21"),
            steps=(step(say="t22"), step(if_="t23")),
        ),
    }
    shop = replace(BOOK.shop, title="t24", escalate=replace(BOOK.shop.escalate, to="t25"))
    records: dict[str, Any] = {kind: frozen_map({one.id: one}) for kind, one in changed.items()}
    book = replace(BOOK, shop=shop, words=frozen_map(), **records)
    assert marked(texts_of_common(book)) == marks(25)


# Names that lead nowhere.


@pytest.mark.parametrize(
    ("name", "known", "message"),
    [
        ("fuse", ("fuse", "pack"), ""),
        ("fuze", ("fuse", "pack"), "'fuze' is not a part"),
        ("todo", ("fuse",), "'todo' still waits to be written"),
        ("TODO", ("fuse",), "'TODO' still waits to be written"),
        ("todo", ("todo",), ""),
        ("fuze", (), ""),  # what could not be read at all is told once
        ("todo", (), ""),
    ],
)
def test_a_name_is_one_that_is_known(name, known, message) -> None:
    found = list(references._unknown(HERE, name, known, "a part"))
    assert [one.message for one in found] == ([message] if message else [])


def test_what_of_a_record_is_a_name() -> None:
    """By its place: parts, nets, bench states, techniques, revisions and measurements."""
    use = FUSE.fix.parts[0]
    work = step(
        **{verb: (f"{verb}-{n}",) for n, verb in enumerate(("remove", "reflow", "program"))},
        fit=(replace(use, part="fit-1"), replace(use, part="fit-2")),
        replace=(replace(use, part="replace-1"),),
        try_=("try-1",),
    )
    named = [name for _, name in references._parts_of_step(work)]
    assert named == ["remove-0", "reflow-1", "program-2", "try-1", "fit-1", "fit-2", "replace-1"]
    fault = replace(
        FUSE,
        revisions=("A", "Z"),
        techniques=("a", "b"),
        cause=replace(FUSE.cause, at="AT", to="TO"),
        fix=replace(
            FUSE.fix, steps=(step(inject="IN", measure=("m1", "m2")),), confirm=frozen_map({"m3": "x"})
        ),
        worked_example=frozen_map({"m4": "x"}),
    )
    book = replace(BOOK, families=frozen_map(), faults=frozen_map({FUSE.id: fault}))
    assert [net for _, _, net in references._fault_nets(book)] == ["AT", "TO", "IN"]
    assert [name for _, name in references._technique_uses(book)] == ["a", "b"]
    assert [name for _, _, name, _ in references._revision_uses(book)] == ["A", "Z"]
    measures = [(name, on_key) for _, name, on_key in references._measure_names(fault)]
    assert measures[-4:] == [("m3", True), ("m4", True), ("m1", False), ("m2", False)]


def test_the_names_of_a_family() -> None:
    main = FAMILY.nets["MAIN"]
    after = replace(main, good="GOOD", in_=("state-1",), draw=frozen_map({"state-2": None}))  # type: ignore[dict-item]
    family = replace(FAMILY, nets=frozen_map({"MAIN": after}))
    book = replace(BOOK, families=frozen_map({"f": family}), faults=frozen_map())
    nets = [net for _, _, net in references._net_uses(book)]
    assert "GOOD" in nets
    assert {"MAIN", "SDA"} <= set(nets), "of parts and points"
    states = [name for _, name in references._state_uses(family)]
    assert states[:1] == ["state-1"]
    assert "state-2" in states
    assert states[-len(FAMILY.measurements) :] == [m.state for m in FAMILY.measurements.values()]
    revisions = [name for _, _, name, on_key in references._revision_uses(book) if on_key]
    points = sum(len(p.at) + len(p.where) for p in FAMILY.probe_points)
    assert len(revisions) == points + sum(len(one.at) for one in FAMILY.board.landmarks.values())


@pytest.mark.parametrize(
    ("noted", "whole"),
    [
        ([], True),
        (["f.yaml", "a/b"], True),
        (["f.yaml", None], True),
        (["f.yaml"], False),
        ([1, None], False),
        ("", False),
    ],
)
def test_what_is_kept_of_an_id(noted, whole) -> None:
    assert references._is_id(noted) is whole


# Records to which nothing leads.


def unused_of(rule: Any, **told: Any) -> set[str]:
    return {problem.split("'")[1] for problem in said(rule, **told)}


@pytest.mark.parametrize(
    ("changes", "used"),
    [
        ({"test_points": ("main-rail",)}, True),
        ({"foretold": {"main-rail": {}}}, True),
        ({"confirm": {"main-rail": "healthy"}}, True),
        ({}, False),
        ({"family": "other", "test_points": ("main-rail",)}, False),
    ],
)
def test_a_measurement_tells_of_a_fault(changes, used) -> None:
    points = tuple(replace(FUSE.test_points[0], measure=m) for m in changes.get("test_points", ()))
    fault = replace(
        FUSE,
        id=f"{changes.get('family', FUSE.family)}/one",
        test_points=points,
        foretold=frozen_map(changes.get("foretold", {})),
        fix=replace(FUSE.fix, confirm=frozen_map(changes.get("confirm", {}))),
    )
    book = replace(BOOK, faults=frozen_map({fault.id: fault}))
    found = unused_of(unused.unused_measurement, book=book)
    assert found == set(FAMILY.measurements) - ({"main-rail"} if used else set())


def test_at_every_point_and_in_every_state_something_is_measured() -> None:
    one = FAMILY.test_points["TP1"]
    more: dict[str, TestPoint] = {**FAMILY.test_points, "TP9": replace(one, id="TP9")}
    assert unused_of(unused.unused_test_point) == set()
    assert unused_of(unused.unused_test_point, family=replace(FAMILY, test_points=frozen_map(more))) == {
        "TP9"
    }
    family = replace(FAMILY, states=frozen_map({**FAMILY.states, "own": OWN}))
    assert unused_of(unused.unused_own_state, family=family) == {"own"}
    measured = {**FAMILY.measurements, "x": replace(VOLTS, id="x", state="own")}
    assert (
        unused_of(unused.unused_own_state, family=replace(family, measurements=frozen_map(measured))) == set()
    )


def test_on_every_net_there_is_something() -> None:
    bare = replace(FAMILY.nets["SDA"], id="BARE", pull=(), junction=(), load=())
    part: Part = replace(FAMILY.parts["C1"], nets=("BARE",))
    alone = replace(FAMILY, nets=frozen_map({**FAMILY.nets, "BARE": bare}))
    assert unused_of(unused.unused_net, family=alone, net=bare) == {"BARE"}
    parted = replace(alone, parts=frozen_map({"C1": part}))
    assert unused_of(unused.unused_net, family=parted, net=bare) == set()
    point = replace(FAMILY.test_points["TP1"], id="TP9", net="BARE")
    measured = replace(alone, test_points=frozen_map({"TP9": point}), measurements=frozen_map())
    assert unused_of(unused.unused_net, family=measured, net=bare) == {"BARE"}
    read = replace(measured, measurements=frozen_map({"x": replace(VOLTS, id="x", at="TP9")}))
    assert unused_of(unused.unused_net, family=read, net=bare) == set()
    assert unused_of(unused.unused_net, family=FAMILY, net=FAMILY.nets["MAIN"]) == set()


def told_of(rule: Any, book: Book, *seen: Any) -> list[Problem]:
    return list(rule.check(book=book, seen=list(seen)))


def test_the_common_records_are_used() -> None:
    for rule, kind in (
        (unused.unused_symptom, "symptoms"),
        (unused.unused_technique, "techniques"),
        (unused.unused_state, "states"),
    ):
        names = list(getattr(BOOK, kind))
        assert len(told_of(rule, BOOK, names[:1], names[1:])) == 0
        assert len(told_of(rule, BOOK, names[1:])) == 1
        assert len(told_of(rule, BOOK)) == len(names)


def test_a_hazard_that_the_safety_rules_demand_stands_ready() -> None:
    names = set(BOOK.hazards)
    assert len(told_of(unused.unused_hazard, BOOK)) == len(names - set(DEMANDED))
    assert told_of(unused.unused_hazard, BOOK, sorted(names)) == []


def test_a_source_of_a_bench_state_enters_somewhere() -> None:
    known = sorted({name for state in BOOK.states.values() for name in state.sources})
    assert {"adapter", "pack"} <= set(known)
    assert told_of(unused.unused_source, BOOK, known) == []
    without = [name for name in known if name != "pack"]
    uses = sum("pack" in state.sources for state in BOOK.states.values())
    assert len(told_of(unused.unused_source, BOOK, without)) == uses
    assert told_of(unused.unused_source, BOOK, [*without, "pakc"]) == [], "one may be the other misspelled"
