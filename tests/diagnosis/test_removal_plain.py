"""The parts that hold each net of the tests' books, beside the definition carried out word by word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book.model import Book, Family, Fault, Measurement, Net, frozen_map
from benchlore.circuit.graph.causes import fault_of
from benchlore.diagnosis.hypotheses import hypotheses_of
from benchlore.diagnosis.removal import Candidate, removal_order
from benchlore.diagnosis.suspects import Suspect
from tests.books import example
from tests.circuit.books import good

NETS = [(f.id, n) for book in (example(), good()) for f in book.families.values() for n in f.nets]


def low(measurement: Measurement) -> list[int]:
    """The places of the outcomes that end where the lowest healthy one begins, or below."""
    outcomes = list(measurement.outcomes.values())
    floor = min([o.range.low for o in outcomes if o.normal and o.range] or [0.0])
    return [i for i, o in enumerate(outcomes) if o.range and o.range.high <= floor]


def asked(family: Family, net: Net) -> Measurement | None:
    """Its ohms to ground, else its drop in diode mode; with the fewest parts unplugged, by name."""
    for mode in ("ohms", "junction"):
        found = [
            m
            for m in family.measurements.values()
            if m.net == net.id and m.mode == mode and not m.between and low(m)
        ]
        if found:
            return sorted(found, key=lambda m: (len(m.unplugged), m.id))[0]
    return None


def ways(book: Book, family: Family, net: Net) -> list[tuple[str, float, Fault | None, str]]:
    """Part, weight, the recorded fault, or else the mode."""
    known, measured = hypotheses_of(book, family), asked(family, net)
    found: list[tuple[str, float, Fault | None, str]] = []
    everything: tuple[Fault | Suspect, ...] = (*known.faults, *known.suspects)
    for place, one in enumerate(everything):
        prior = known.prior[place]
        if measured is not None:
            share = sum(known.rows[measured.id][place][i] for i in low(measured))
            if place not in known.says[measured.id] or share <= 0.25:
                continue
            weighed = [(m.part, m.mode, m.share * share) for m in members(one)]
        else:
            weighed = [
                (m.part, m.mode, m.share)
                for m in members(one)
                if m.mode in ("shorted-to-ground", "leaks", "stuck") and m.at == net.id
            ]
        if isinstance(one, Fault):
            weight = prior * sum(share for _, _, share in weighed)
            found += [(one.cause.part, weight, one, "")] if weight else []
        else:
            found += [(part, prior * share, None, mode) for part, mode, share in weighed]
    return found


class Way:
    """A way of failing, with its share of its hypothesis."""

    def __init__(self, part: str, mode: str, at: str, share: float) -> None:
        self.part, self.mode, self.at, self.share = part, mode, at, share


def members(one: Fault | Suspect) -> list[Way]:
    if isinstance(one, Suspect):
        return [Way(m.part, m.mode, m.at, m.share) for m in one.members]
    known = [Way(way.part, way.mode, way.at, share) for share, way in fault_of(one)]
    return known or [Way(one.cause.part, "", "", 1.0)]


@pytest.mark.parametrize(("of", "name"), NETS)
def test_what_holds_a_net_by_definition(of: str, name: str) -> None:
    book = next(b for b in (example(), good()) if of in b.families)
    family = book.families[of]
    net = family.nets[name]
    known = ways(book, family, net)
    total = sum(weight for _, weight, _, _ in known)
    expected = []
    for part in family.parts.values():
        mine = [one for one in known if one[0] == part.id]
        weight = sum(one[1] for one in mine)
        here = name in part.nets
        if not here and not any(one[1] >= 1e-4 * total for one in mine):
            continue
        faults = list(dict.fromkeys(one[2].id for one in mine if one[2]))
        expected.append(
            Candidate(
                part,
                weight / total if total else 0.0,
                book.shop.unplug_minutes if part.unplugs else part.replace.minutes,
                sum(book.faults[f].seen for f in faults),
                tuple(faults),
                tuple(dict.fromkeys(one[3] for one in mine if one[2] is None)),
                here,
            )
        )
    expected.sort(key=lambda c: (-c.probability / c.minutes, c.minutes, c.part.id))
    found = removal_order(book, family, net)
    assert [c.part.id for c in found] == [c.part.id for c in expected]
    for one, other in zip(found, expected, strict=True):
        assert one.probability == pytest.approx(other.probability)
        assert (one.minutes, one.seen, one.recorded, one.modes, one.here) == (
            *(other.minutes, other.seen, other.recorded, other.modes, other.here),
        )


@pytest.mark.parametrize(("seen", "named"), [(0, False), (400, True)])
def test_a_part_elsewhere_is_named_from_one_in_ten_thousand(seen: int, named: bool) -> None:
    """The fuse is not on MAIN; of a million jobs half a one, or four hundred, blame it for the short."""
    book = good()
    short = book.faults["wren-5/rail-short"]
    faults = {short.id: replace(short, seen=1_000_000)}
    for place, part in enumerate(("F1", "nowhere")):
        cause = replace(short.cause, part=part, mode=None)
        name = f"wren-5/other-{place}"
        faults[name] = replace(short, id=name, cause=cause, seen=seen)
    book = replace(book, faults=frozen_map({**book.faults, **faults}))
    family = book.families["wren-5"]
    found = {c.part.id: c for c in removal_order(book, family, family.nets["MAIN"])}
    assert ("F1" in found) == named
    assert found["C1"].here
    assert not named or not found["F1"].here
