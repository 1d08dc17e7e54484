"""Rules of what a fault reads, of what proves its fix, and of two faults at a time: each condition alone,
values at the very end of what is allowed, and where a finding stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from benchlore.book.model import Family, Fault, Variant, frozen_map
from benchlore.quantity import parse_quantity
from benchlore.rules import diagnosis, duplicates, proof
from tests.rules.asked import BOOK, FAMILY, problems, said
from tests.rules.test_beside_the_circuit import book_of, expecting, with_measurements
from tests.rules.test_boundaries import FUSE, HERE, VOLTS, measuring, step
from tests.rules.test_branches import SHORT, with_net

Q = parse_quantity
METER = BOOK.meters[BOOK.shop.default_meter]
NOBODY = replace(BOOK, shop=replace(BOOK.shop, default_meter="nobody"))
NO_FAMILY = replace(BOOK, families=frozen_map())
UNSOUND = with_net("SDA", pull=(replace(FAMILY.nets["SDA"].pull[0], to="NOWHERE"),))  # a name leads nowhere


# Worked examples.


def test_an_example_is_read_with_the_shop_s_meter_where_both_are_known() -> None:
    fault = replace(FUSE, worked_example=frozen_map({"main-rail": "3.3 A"}))
    (found,) = problems(diagnosis.example_not_readable, fault=fault)
    assert found.origin == FUSE.origin.at("worked_example", "main-rail")
    assert said(diagnosis.example_not_readable, book=NOBODY, fault=fault) == []
    assert said(diagnosis.example_not_readable, book=NO_FAMILY, fault=fault) == []
    other = {"nowhere": "3.3 A", "socket-look": "3.3 A"}
    assert said(diagnosis.example_not_readable, fault=replace(fault, worked_example=frozen_map(other))) == []


def fault_named(name: str, **changed: Any) -> Fault:
    return replace(FUSE, **{"id": f"wren-5/{name}", "symptom": frozen_map({name: "always"}), **changed})


A, B, C = (fault_named(name) for name in "abc")
Table = dict[str, tuple[float, ...]]


def case_of(revision: str, *faults: Fault) -> Any:
    names = tuple(fault.id for fault in faults)
    return SimpleNamespace(revision=revision, faults=names, recorded=len(names), suspects={})


@pytest.fixture
def misled(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    """What is said of the examples of A, B and C, given what each makes of all, by revision: of A, B, C and
    of what is in no book. An example that makes nothing of them cannot be read."""

    def told(**tables: Table) -> list[str]:
        cases = tuple(case_of(revision, A, B, C) for revision in tables)

        def read(_book: Any, _family: Any, case: Any, fault: Fault) -> list[Any] | None:
            return [] if fault.name in tables[case.revision] else None

        monkeypatch.setattr(diagnosis, "_readings", read)
        monkeypatch.setattr(diagnosis, "evidence", lambda _case, seen, _readings: seen[0])
        monkeypatch.setattr(diagnosis, "posterior", lambda case, known: tables[case.revision][known])
        monkeypatch.setattr(diagnosis, "on_board", lambda _case, found: found)
        book = book_of(FAMILY, A, B, C)
        found = list(diagnosis.example_misleads.check(book=book, family=FAMILY, cases=cases))
        assert all(one.origin.path == ("worked_example",) for one in found)
        return [one.message for one in found]

    return told


B_FINE = (0.1, 0.8, 0.05, 0.05)
C_FINE = (0.1, 0.05, 0.8, 0.05)


@pytest.mark.parametrize(
    ("likely", "own", "rival"),
    [
        ((0.51, 0.29, 0.1, 0.1), "", ""),
        ((0.5, 0.2, 0.2, 0.1), "50", "b' 20"),  # not more than a half; of equals the first
        ((0.45, 0.15, 0.3, 0.1), "45", "c' 30"),
        ((0.45, 0.15, 0.15, 0.25), "45", "a fault that is not in the book' 25"),
        ((0.2, 0.1, 0.1, 0.6), "20", "a fault that is not in the book' 60"),
        ((0.2, 0.6, 0.1, 0.1), "20", "b' 60"),
        ((0.4, 0.4, 0.1, 0.1), "40", "b' 40"),
    ],
)
def test_an_example_makes_its_fault_likelier_than_a_half(likely, own, rival, misled) -> None:
    found = misled(A={"a": likely, "b": B_FINE, "c": C_FINE})
    said_ = f"on revision A the worked example makes this fault {own} % likely, and '{rival} %"
    assert found == ([said_] if own else [])


BAD = (0.1, 0.1, 0.1, 0.7)


@pytest.mark.parametrize(
    ("tables", "told"),
    [
        ({"A": {"a": BAD, "b": BAD, "c": C_FINE}}, ["A", "A"]),
        ({"A": {"b": BAD, "c": BAD}}, ["A", "A"]),  # that of A cannot be read
        ({"A": {"a": BAD, "b": B_FINE, "c": C_FINE}, "B": {"a": BAD, "b": BAD, "c": C_FINE}}, ["A", "B"]),
        ({"A": {}, "B": {"a": BAD}}, ["B"]),
        ({"A": {"a": BAD}, "B": {"a": BAD}}, ["A"]),
    ],
)
def test_an_example_is_told_once_over_all_revisions(tables, told, misled) -> None:
    assert [message.split(" ")[2] for message in misled(**tables)] == told


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ({"absent": 0.98, "low": 0.02}, ""),  # one job in fifty
        ({"absent": 0.981, "low": 0.019}, "absent"),
        ({"absent": 1.0}, "absent"),
        ({"absent": 0.97, "healthy": 0.02, "low": 0.01}, "absent or healthy"),
        ({"absent": 0.971, "healthy": 0.019, "low": 0.01}, "absent"),
        ({"low": 1.0}, ""),
        (None, ""),  # nothing is known of it
    ],
)
def test_an_example_reads_what_its_fault_reads(row, told, monkeypatch) -> None:
    fault = expecting({"fused-rail": row} if row else {})
    reading = SimpleNamespace(measure="fused-rail")
    monkeypatch.setattr(diagnosis, "_readings", lambda *_: [reading])
    monkeypatch.setattr(diagnosis, "taken_for", lambda *_: "low")
    cases = (case_of("A", fault), case_of("B", fault))
    told_of = {"book": book_of(FAMILY, fault), "family": FAMILY, "cases": cases}
    found = problems(diagnosis.example_reads_otherwise, **told_of)
    said_ = f"this is 'low', and the fault reads '{told}' there"
    assert [one.message for one in found] == ([said_] if told else [])
    monkeypatch.setattr(diagnosis, "_readings", lambda *_: None)
    assert said(diagnosis.example_reads_otherwise, **told_of) == []


def test_what_is_outside_the_board_and_has_no_record_is_left_out() -> None:
    suspects = {"cable": SimpleNamespace(outside="cable"), "chip": SimpleNamespace(outside="")}
    case: Any = SimpleNamespace(faults=("a", "b", "cable", "chip"), suspects=suspects)
    found = diagnosis.on_board(case, (0.3, 0.1, 0.5, 0.05, 0.05))
    assert found == pytest.approx((0.6, 0.2, 0.0, 0.1, 0.1))


@pytest.mark.parametrize(
    ("changed", "known"),
    [
        ({}, True),
        ({"symptom": {"never-heard-of": "always"}}, False),
        ({"worked_example": {"nowhere": "1 V"}}, False),
        ({"worked_example": {"main-rail": "1 A"}}, False),
        ({"worked_example": {}}, True),
    ],
)
def test_the_readings_of_an_example_are_there_where_all_its_names_are(changed, known) -> None:
    ((_, (case, *_)),) = diagnosis._cases(BOOK)
    maps: dict[str, Any] = {key: frozen_map(value) for key, value in changed.items()}
    fault = replace(FUSE, **maps)
    found = diagnosis._readings(BOOK, FAMILY, case, fault)
    assert (found is not None) == known
    assert found is None or [one.measure for one in found] == list(fault.worked_example)
    assert diagnosis._readings(BOOK, UNSOUND, case, FUSE) is None


@pytest.mark.parametrize(
    ("reads", "part", "family", "clear"),
    [
        ({"main-rail": {"absent": 1.0}}, "F1", FAMILY, True),
        ({}, "F1", FAMILY, True),
        ({"main-rail": {"absent": 1.0}, "nowhere": {"absent": 1.0}}, "F1", FAMILY, False),
        ({"main-rail": {"absent": 0.5, "gone": 0.5}}, "F1", FAMILY, False),
        ({"main-rail": {"absent": 1.0}}, "F9", FAMILY, False),
        ({"main-rail": {"absent": 1.0}}, "F1", UNSOUND, False),
    ],
)
def test_where_a_name_leads_nowhere_a_fault_is_compared_with_no_other(reads, part, family, clear) -> None:
    fault = expecting(reads)
    fault = replace(fault, cause=replace(fault.cause, part=part))
    assert diagnosis._clear(family, fault) is clear


# Two faults at a time.


def silent(name: str, part: str, reads: dict[str, str], **changed: Any) -> Fault:
    """A fault of which the circuit foretells nothing, with the outcomes that it reads."""
    fault = expecting({measure: {outcome: 1.0} for measure, outcome in reads.items()})
    cause = replace(FUSE.cause, part=part, mode=None)
    known = {"id": f"wren-5/{name}", "cause": cause, "worked_example": frozen_map()}
    return replace(fault, **{**known, **changed})


DEAD = {"fused-rail": "absent"}
FAULTS = (
    silent("a", "F1", DEAD),
    silent("b", "C1", DEAD),
    silent("c", "F1", DEAD, title="As the first, and mended in the same way"),
    silent("d", "U1", DEAD, symptom=frozen_map({"no-picture": "always"})),
    silent("e", "U1", {"fused-rail": "healthy"}),
    silent("f", "J1", DEAD, revisions=("A",)),
    silent("g", "J1", DEAD, fix=replace(FUSE.fix, action="reflow"), revisions=("B",)),
    silent("h", "U1", {"main-rail": "absent"}),
    silent("i", "NOBODY", DEAD),
)
# All show the same symptom but `d`; `a` and `c` have one fix, and so have `e` and `h`; `e` reads otherwise;
# `f` and `g` are never on one board; of `h` nothing is known that is known of the others; the part of `i` is
# none.
ALIKE = {"ab", "af", "ag", "ah", "bc", "bf", "bg", "bh", "cf", "cg", "ch", "fh", "gh"}


def test_two_faults_that_no_measurement_tells_apart() -> None:
    book = book_of(FAMILY, *FAULTS)
    ((family, cases),) = diagnosis._cases(book)
    whole = diagnosis.pairs_not_told_apart(book, family)
    assert {one[-1] + other[-1] for one, other, _ in whole} == ALIKE
    assert {symptom for *_, symptom in whole} == {"dead-on-adapter"}
    found = said(diagnosis.not_told_apart, book=book, family=family, cases=cases)
    named = {"".join(one.split("'")[1::2][:2]) for one in found if not one.startswith("...")}
    assert named <= ALIKE
    counted = [one for one in found if one.startswith("...")]
    more = sum(int(one.split("with ")[1].split(" ")[0]) for one in counted)
    assert len(named) + more == len(ALIKE)


FOUR = "'fused-rail' of 'b', 'main-junction' of 'b', 'main-rail' of 'b', 'sda-level' of 'b'"


@pytest.mark.parametrize(
    ("blank", "mend"),
    [
        (0, "add a measurement that reads otherwise with one of them"),
        (1, "fill a blank cell: 'fused-rail' of 'b'"),
        (4, f"fill a blank cell: {FOUR}"),
        (5, f"fill a blank cell: {FOUR} and 1 others"),
    ],
)
def test_the_blank_cells_that_would_tell_two_apart(blank, mend) -> None:
    names = ("fused-rail", "main-junction", "main-rail", "sda-level", "socket-look")[:blank]
    one = silent("a", "F1", {**dict.fromkeys(names, "x"), "main-heat": "x"})
    other = silent("b", "C1", {"main-heat": "x"})
    case: Any = SimpleNamespace(scales=dict.fromkeys(FAMILY.measurements))
    assert diagnosis._alike(case, one, other, "s").mend == mend
    turned = diagnosis._alike(case, other, one, "s")
    assert turned.mend == mend, "whichever of the two lacks them"
    assert turned.origin == one.origin.at("test_points")
    unread: Any = SimpleNamespace(scales={})
    assert diagnosis._alike(unread, one, other, "s").mend.startswith("add a measurement")


# At 8.035 V the meter errs by 0.5 % + 3 counts of 10 mV: 70.175 mV, where the gap is as wide.
@pytest.mark.parametrize(
    ("upper", "gap"),
    [
        ("8.0701754386 to 9 V", None),  # the very limit, but for rounding
        ("8.0701754 to 9 V", None),
        ("8.0701750 to 9 V", 0.070175),
        ("8.0 to 9 V", 0.0),
        ("7.9 to 9 V", 0.0),  # they overlap, which another rule says
    ],
)
def test_a_gap_as_wide_as_the_error_of_the_meter_is_enough(upper, gap) -> None:
    found = list(diagnosis._too_close(measuring(a="7 to 8 V", b=upper), METER, {"a": {"f"}, "b": {"g"}}))
    assert [one[2] for one in found] == ([] if gap is None else [pytest.approx(gap, abs=1e-9)])


def titled(name: str, title: str, **changed: Any) -> Fault:
    return replace(silent(name, "F1", DEAD), title=title, **changed)


@pytest.mark.parametrize(
    ("one", "other", "near", "same"),
    [
        ({}, {}, "", "'a' has the same part and the same readings"),
        (
            {},
            {"title": "open, INPUT fuse!"},
            "the title says the same as that of 'a'",
            "'a' has the same part",
        ),
        ({}, {"test_points": {"fused-rail": {"absent": 0.5, "low": 0.5}}}, "'a' has the same part, fix", ""),
        ({}, {"test_points": {"fused-rail": {"low": 1.0}}}, "", ""),
        ({}, {"symptom": frozen_map({"no-picture": "always"})}, "", "'a' has the same part"),
        ({"revisions": ("A",)}, {"revisions": ("B",)}, "", ""),
        (
            {"revisions": ("A",)},
            {"title": "Open input fuse", "revisions": ("B",)},
            "the title says the same",
            "",
        ),
    ],
)
def test_what_two_faults_have_in_common(one, other, near, same) -> None:
    """What is the same in all that is read is one fault, seen twice; what cannot be told apart is near."""

    def made(name: str, changes: dict[str, Any]) -> Fault:
        fault = titled(name, "Input fuse open" if name == "a" else "Blown by a wrong adapter")
        if "test_points" in changes:
            changes = {**changes, "test_points": expecting(changes["test_points"]).test_points}
        return replace(fault, **changes)

    book = book_of(FAMILY, made("a", one), made("b", other))
    for rule, begins in ((duplicates.near_duplicate, near), (duplicates.same_fault, same)):
        found = said(rule, book=book)
        assert len(found) == bool(begins), found
        assert not begins or found[0].startswith(begins)


# What a fault states, and what proves its fix.


@pytest.mark.parametrize(
    ("shares", "no"),
    [
        ((), False),
        ((1.0,), False),
        ((0.7, 0.3), False),
        ((0.7, 0.300001), False),
        ((0.7, 0.3001), True),
        ((0.7, 0.2), True),
    ],
)
def test_the_shares_of_variants_add_up_to_one(shares, no) -> None:
    ways = tuple(
        Variant(origin=HERE.at("variants", i), part="C1", mode="open", share=share)
        for i, share in enumerate(shares)
    )
    found = problems(proof.shares_not_one, fault=replace(SHORT, cause=replace(SHORT.cause, variants=ways)))
    assert [one.origin for one in found] == ([ways[-1].origin.at("share")] if no else [])


NORMAL = {"fused-rail": {"healthy": 1.0}}


@pytest.mark.parametrize(
    ("reads", "changed", "no"),
    [
        (NORMAL, {}, True),
        ({**NORMAL, "main-rail": {"healthy": 1.0}}, {}, True),
        ({**NORMAL, "main-rail": {"healthy": 0.9, "low": 0.1}}, {}, False),
        ({"main-rail": {"low": 1.0}, **NORMAL}, {}, False),
        ({**NORMAL, "nowhere": {"healthy": 1.0}}, {}, False),
        ({"fused-rail": {"healthy": 0.5, "gone": 0.5}}, {}, False),
        (NORMAL, {"family": UNSOUND}, False),
        (NORMAL, {"part": "F9"}, False),
        (NORMAL, {"family": None}, False),
        ({}, {}, True),
    ],
)
def test_a_fault_reads_something_that_is_not_healthy(reads, changed, no) -> None:
    fault = expecting(reads)
    fault = replace(fault, cause=replace(fault.cause, part=changed.get("part", "F1")))
    family: Family | None = changed.get("family", FAMILY)
    book = book_of(family, fault) if family else NO_FAMILY
    found = problems(proof.nothing_abnormal, book=book, fault=fault)
    assert [one.origin for one in found] == ([fault.origin.at("test_points")] if no else [])


def confirming(fault: Fault, **confirm: str) -> Fault:
    named = frozen_map({name.replace("_", "-"): outcome for name, outcome in confirm.items()})
    return replace(fault, fix=replace(fault.fix, confirm=named))


@pytest.mark.parametrize(
    ("reads", "confirm", "no"),
    [
        ({"fused-rail": {"absent": 1.0}}, {"fused_rail": "healthy"}, False),
        ({"fused-rail": {"healthy": 1.0}}, {"fused_rail": "healthy"}, True),
        ({"fused-rail": {"absent": 1.0}}, {"main_rail": "healthy"}, True),  # of that nothing is known
        ({"fused-rail": {"absent": 1.0}}, {"main_rail": "healthy", "fused_rail": "healthy"}, False),
        ({"fused-rail": {"absent": 1.0}}, {"fused_rail": "healthy", "main_rail": "healthy"}, False),
        ({"fused-rail": {"healthy": 1.0}}, {"fused_rail": "healthy", "nowhere": "healthy"}, False),
        ({"fused-rail": {"healthy": 1.0}}, {"fused_rail": "gone"}, False),
        ({"fused-rail": {"healthy": 1.0}, "nowhere": {"low": 1.0}}, {"fused_rail": "healthy"}, False),
        ({"fused-rail": {"healthy": 1.0}}, {}, True),
    ],
)
def test_what_proves_a_fix(reads, confirm, no) -> None:
    fault = confirming(expecting(reads), **confirm)
    assert bool(said(proof.confirm_proves_nothing, fault=fault)) == no
    for book in (NO_FAMILY, book_of(UNSOUND, fault)):
        assert said(proof.confirm_proves_nothing, book=book, fault=fault) == []


def test_the_proof_is_a_normal_outcome() -> None:
    assert said(proof.confirm_not_normal, fault=confirming(FUSE, fused_rail="healthy")) == []
    (found,) = problems(proof.confirm_not_normal, fault=confirming(FUSE, fused_rail="low"))
    assert found.mend == "write a normal outcome: healthy"
    assert said(proof.confirm_not_normal, fault=confirming(FUSE, fused_rail="gone", nowhere="low")) == []
    assert said(proof.confirm_not_normal, book=NO_FAMILY, fault=confirming(FUSE, fused_rail="low")) == []
    none = with_measurements(replace(measuring(a="1 to 2 V"), id="fused-rail"))
    (found,) = problems(proof.confirm_not_normal, book=book_of(none), fault=confirming(FUSE, fused_rail="a"))
    assert found.mend == ""


def test_the_first_net_of_a_part_is_the_one_that_it_shorts() -> None:
    """Where the cause does not say which; and the least of the names is told first."""
    for nets, no in ((("MAIN", "FUSED"), True), (("FUSED", "MAIN"), False)):
        part = replace(FAMILY.parts["C1"], nets=nets)
        ohms = replace(FAMILY.measurements["main-junction"], id="main-diode")
        family = with_measurements(ohms, family=replace(FAMILY, parts=frozen_map({"C1": part})))
        fault = confirming(SHORT, main_rail="healthy")
        found = problems(proof.power_before_ohms, book=book_of(family), fault=fault)
        assert bool(found) == no
        assert not no or found[0].mend == "add a step, or confirm first, with 'main-diode'"


@pytest.mark.parametrize(
    ("example", "reads", "changed", "no"),
    [
        ("main-rail", {"main-rail": {"absent": 1.0}}, {}, False),
        ("main-rail", {"fused-rail": {"absent": 1.0}}, {}, True),
        ("nowhere", {"fused-rail": {"absent": 1.0}}, {}, False),
        ("main-rail", {"fused-rail": {"absent": 1.0}, "nowhere": {"low": 1.0}}, {}, False),
        ("main-rail", {"fused-rail": {"absent": 1.0}}, {"part": "F9"}, False),
        ("main-rail", {"fused-rail": {"absent": 1.0}}, {"at": "TP9"}, False),
        ("main-rail", {}, {"family": None}, False),
        ("main-rail", {"fused-rail": {"absent": 1.0}}, {"family": UNSOUND}, False),
    ],
)
def test_an_example_reads_what_is_known_of_the_fault(example, reads, changed, no) -> None:
    fault = expecting(reads)
    cause = replace(fault.cause, part=changed.get("part", "F1"))
    fault = replace(fault, worked_example=frozen_map({example: "1 V"}), cause=cause)
    family: Family | None = changed.get("family", FAMILY)
    if "at" in changed:
        family = with_measurements(replace(VOLTS, at=changed["at"]))
    book = book_of(family, fault) if family else NO_FAMILY
    found = problems(proof.example_not_stated, book=book, fault=fault)
    assert [one.origin for one in found] == ([fault.origin.at("worked_example", example)] if no else [])


@pytest.mark.parametrize(
    ("minutes", "message"), [(30, ""), (29.5, "the fix takes 29.5 minutes, and replacing U1 alone 30")]
)
def test_a_fix_takes_as_long_as_its_slowest_part(minutes, message) -> None:
    use = FUSE.fix.parts[0]
    for order in (("F1", "U1"), ("U1", "F1"), ("NOBODY", "U1")):
        done = tuple(step(fit=(replace(use, part=name),)) for name in order)
        fault = replace(FUSE, fix=replace(FUSE.fix, minutes=minutes, steps=done))
        assert said(proof.fix_faster_than_part, fault=fault) == ([message] if message else [])
        assert said(proof.fix_faster_than_part, book=NO_FAMILY, fault=fault) == []


def told_twice(*measures: str) -> list[str]:
    points = tuple(replace(FUSE.test_points[0], measure=name) for name in measures)
    return said(proof.repeated_measurement, fault=replace(FUSE, test_points=points))


def test_a_measurement_stands_once() -> None:
    assert told_twice("a", "b", "c") == []
    assert told_twice("a", "b", "a", "b", "a") == [f"'{n}' stands twice among the test points" for n in "aba"]
