"""Direct-current networks over tolerances: by hand, by all corners, and random ladders in `ngspice`."""

import math
import random
import re
import subprocess
from collections.abc import Iterator
from dataclasses import fields, replace
from itertools import product
from typing import Any

import pytest

from benchlore.circuit.graph.network import (
    GROUND,
    Diode,
    Draw,
    Element,
    Feed,
    Network,
    Resistor,
    at_middle,
    bounds,
    resistance,
)
from benchlore.circuit.interval import Interval
from tests.parts import NGSPICE

LADDERS = 500
A_RUN = 250
# A diode of IS = 1e-13 A drops this much from 0.2 nA to 100 A: kT/q ln(I/IS) at 27 degC.
SILICON = Interval(0.2, 0.9)


def exact(value: float) -> Interval:
    return Interval(value, value)


def around(value: float, share: float) -> Interval:
    return Interval(value * (1 - share), value * (1 + share))


def network(*elements: Element) -> Network:
    return Network(elements)


def test_divider_by_hand():
    """12 V over 1 k and 2 k, 1 %: 8 V; at the corners 12 x 1.98/(1.98 + 1.01) and 12 x 2.02/(2.02 + 0.99)."""
    found = network(
        Feed("in", exact(12)),
        Resistor("in", "out", around(1e3, 0.01)),
        Resistor("out", GROUND, around(2e3, 0.01)),
    )
    assert at_middle(found, "out") == pytest.approx(8.0, rel=1e-8)
    assert bounds(found, "out").low == pytest.approx(12 * 1.98 / 2.99, rel=1e-8)
    assert bounds(found, "out").high == pytest.approx(12 * 2.02 / 3.01, rel=1e-8)
    assert bounds(found, "in", "out").low == pytest.approx(12 - 12 * 2.02 / 3.01, rel=1e-8)


def test_of_two_feeds_through_diodes_the_higher_one_carries():
    found = network(
        Feed("a", exact(5)),
        Feed("b", exact(3)),
        Diode("a", "out", exact(0.3)),
        Diode("b", "out", exact(0.3)),
        Resistor("out", GROUND, exact(1e3)),
    )
    assert at_middle(found, "out") == pytest.approx(4.7, abs=1e-4)


def test_a_feed_takes_no_current():
    """A 3.3 V feed on a node that 9 V lift through 10 ohm beside 1 k lets go: 9 x 1000/1010."""
    found = network(
        Feed("high", exact(9)),
        Feed("low", exact(3.3)),
        Resistor("high", "low", exact(10)),
        Resistor("low", GROUND, exact(1e3)),
    )
    assert at_middle(found, "low") == pytest.approx(9e3 / 1010, rel=1e-8)


def test_resistance_of_a_bridge():
    """1, 2, 3, 4 ohm round a bridge of 5 ohm, by star and triangle; infinite where nothing conducts."""
    arms = ((1, "a", "l"), (2, "a", "r"), (3, "l", GROUND), (4, "r", GROUND), (5, "l", "r"))
    found = network(*(Resistor(x, y, exact(ohms)) for ohms, x, y in arms))
    # Star of the triangle a, l, r (1, 2, 5 ohm): 2/8, 5/8, 10/8 ohm.
    by_star = 2 / 8 + 1 / (1 / (5 / 8 + 3) + 1 / (10 / 8 + 4))
    assert resistance(found, "a").middle == pytest.approx(by_star, rel=1e-8)
    assert resistance(found, "nowhere").low == math.inf


def random_ladder(draw: random.Random, name: str) -> tuple[Element, ...]:
    """A source, then two to five rungs: paths, loads, pulls, diodes, a short or an open somewhere."""
    volts = draw.choice([3.3, 5.0, 8.4, 12.0, 19.0])
    elements: list[Element] = [Feed(f"{name}0", around(volts, 0.05))]
    rungs = draw.randint(2, 5)
    for i in range(rungs):
        here, there = f"{name}{i}", f"{name}{i + 1}"
        tolerance = draw.choice([0.01, 0.05, 0.2])
        kind = draw.choice(["path", "pull", "diode", "open", "path", "pull"])
        match kind:
            case "path":
                elements.append(Resistor(here, there, around(draw.uniform(0.02, 5), tolerance)))
            case "pull":
                elements.append(Resistor(here, there, around(draw.choice([1e3, 2.2e3, 10e3]), tolerance)))
            case "diode":
                elements.append(Diode(here, there, SILICON))
            case "open":
                elements.append(Feed(there, around(volts * draw.uniform(0.3, 0.8), 0.02), exact(0.5)))
        elements.append(Resistor(there, GROUND, around(10 ** draw.uniform(2.5, 5.5), tolerance)))
        if kind == "path" and draw.random() < 0.3:
            elements.append(Draw(there, Interval(0.0, 1e-4 * draw.random())))
    if draw.random() < 0.3:
        elements.append(Resistor(f"{name}{rungs}", GROUND, around(draw.uniform(0.5, 5), 0.2)))
    return tuple(elements)


def one_of(draw: random.Random, value: Interval) -> Interval:
    return exact(draw.uniform(value.low, value.high))


def drawn(draw: random.Random, element: Element) -> Element:
    match element:
        case Resistor(a, b, ohms):
            return Resistor(a, b, one_of(draw, ohms))
        case Feed(node, volts, ohms):
            return Feed(node, one_of(draw, volts), ohms)
        case Draw(node, amps):
            return Draw(node, one_of(draw, amps))
    return element


def spice_lines(ladder: tuple[Element, ...], prefix: str) -> list[str]:
    """The elements for ngspice; a feed with a resistance gives through an almost ideal diode."""
    lines = []
    for i, e in enumerate(ladder):
        tag = f"{prefix}_{i}"
        match e:
            case Resistor(a, b, ohms):
                lines.append(f"R{tag} {a or 0} {b or 0} {ohms.middle:.9g}")
            case Feed(node, volts, ohms) if ohms.high == 0:
                lines.append(f"V{tag} {node} 0 {volts.middle:.9g}")
            case Feed(node, volts, ohms):
                lines.append(f"V{tag} {tag}x 0 {volts.middle:.9g}")
                lines.append(f"D{tag} {tag}x {tag}y IDEAL")
                lines.append(f"R{tag} {tag}y {node} {ohms.middle:.9g}")
            case Diode(a, b):
                lines.append(f"D{tag} {a} {b} SILICON")
            case Draw(node, amps):
                lines.append(f"I{tag} {node} 0 {amps.middle:.9g}")
    return lines


def spice(tmp_path, ladders: list[tuple[Element, ...]]) -> dict[str, float]:
    netlist = tmp_path / "ladders.cir"
    lines = ["ladders", ".model SILICON D(IS=1e-13)", ".model IDEAL D(IS=1e-13 N=0.02)"]
    for i, ladder in enumerate(ladders):
        lines += spice_lines(ladder, f"q{i}")
    lines += [".options temp=27 tnom=27 gmin=1e-15 reltol=1e-7 abstol=1e-14 itl1=2000 numdgt=9"]
    lines += [".control", "op", "print all", ".endc", ".end", ""]
    netlist.write_text("\n".join(lines), encoding="utf-8")
    ran = subprocess.run(["ngspice", "-b", netlist], capture_output=True, text=True, check=False, timeout=300)
    found = {m[1]: float(m[2]) for m in re.finditer(r"^(\w+) = (\S+)$", ran.stdout, re.M)}
    assert found, ran.stdout[-2000:] + ran.stderr[-2000:]
    return found


def nodes_of(ladder: tuple[Element, ...]) -> set[str]:
    return {
        n
        for e in ladder
        for n in ((e.a, e.b) if isinstance(e, Resistor | Diode) else (e.node,))
        if n != GROUND
    }


@NGSPICE
@pytest.mark.parametrize("start", range(0, LADDERS, A_RUN))
def test_random_ladders_against_ngspice(tmp_path, start):
    """A board with values drawn from the tolerances reads within the bounds; its middle, as the middle."""
    draw = random.Random(start)
    ladders = [random_ladder(draw, f"n{start + i}v") for i in range(A_RUN)]
    sampled = [tuple(drawn(draw, e) for e in ladder) for ladder in ladders]
    found = spice(tmp_path, sampled)
    plain = 0
    for ladder, sample in zip(ladders, sampled, strict=True):
        # The drop of an "ideal" diode is kT/q x 0.02 ln(I/IS), 17 mV at 100 A at most.
        slack = 0.02 if any(isinstance(e, Feed) and e.ohms.high > 0 for e in ladder) else 1e-4
        bends = slack > 1e-3 or any(isinstance(e, Diode) for e in ladder)
        for node in nodes_of(ladder):
            limits, volts = bounds(Network(ladder), node), found[node]
            assert limits.low - slack <= volts <= limits.high + slack, (ladder, node, volts, limits)
            if not bends:
                assert at_middle(Network(sample), node) == pytest.approx(volts, rel=1e-5, abs=1e-6)
                plain += 1
    assert plain > A_RUN / 4


def test_bounds_are_the_extremes_of_all_corners():
    draw = random.Random(1)
    tried = 0
    while tried < 60:
        ladder = tuple(e for e in random_ladder(draw, "n") if not isinstance(e, Draw))
        values = [
            e.ohms if isinstance(e, Resistor) else e.drop if isinstance(e, Diode) else e.volts for e in ladder
        ]
        if len(values) > 8:
            continue
        tried += 1
        node = draw.choice(sorted(nodes_of(ladder)))
        corners = []
        for ends in product(*({v.low, v.high} for v in values)):
            corner = [
                Resistor(e.a, e.b, exact(end))
                if isinstance(e, Resistor)
                else Diode(e.a, e.b, exact(end))
                if isinstance(e, Diode)
                else Feed(e.node, exact(end), e.ohms)
                for e, end in zip(ladder, ends, strict=True)
            ]
            corners.append(at_middle(Network(tuple(corner)), node))
        limits = bounds(Network(ladder), node)
        assert limits.low == pytest.approx(min(corners), rel=1e-6, abs=1e-9)
        assert limits.high == pytest.approx(max(corners), rel=1e-6, abs=1e-9)


def at_corner(element: Element, ends: Iterator[float]) -> Element:
    """An element with the next of some ends for each of its values."""
    values = [getattr(element, field.name) for field in fields(element)]
    given: list[Any] = [exact(next(ends)) if isinstance(v, Interval) else v for v in values]
    return type(element)(*given)


def test_bounds_between_two_nodes_are_the_extremes_of_all_corners():
    """With draws, and with feeds behind a resistance that is not known exactly."""
    draw, tried, fed, drawing = random.Random(4), 0, 0, 0
    while tried < 40:
        ladder = tuple(
            replace(e, ohms=around(draw.uniform(0.1, 20), 0.2))
            if isinstance(e, Feed) and draw.random() < 0.5
            else e
            for e in random_ladder(draw, "n")
        )
        values = [
            v for e in ladder for v in (getattr(e, f.name) for f in fields(e)) if isinstance(v, Interval)
        ]
        if math.prod(len({v.low, v.high}) for v in values) > 256:
            continue
        tried += 1
        fed += any(isinstance(e, Feed) and e.ohms.low < e.ohms.high for e in ladder)
        drawing += any(isinstance(e, Draw) for e in ladder)
        plus, minus = draw.sample(sorted(nodes_of(ladder)), 2)
        corners = []
        for ends in product(*({v.low, v.high} for v in values)):
            left = iter(ends)
            corner = tuple(at_corner(e, left) for e in ladder)
            corners.append(at_middle(Network(corner), plus) - at_middle(Network(corner), minus))
        limits = bounds(Network(ladder), plus, minus)
        assert limits.low == pytest.approx(min(corners), rel=1e-6, abs=1e-9), (ladder, plus, minus)
        assert limits.high == pytest.approx(max(corners), rel=1e-6, abs=1e-9), (ladder, plus, minus)
    assert fed > 8
    assert drawing > 2


def test_a_draw_behind_a_resistance_lowers_a_node():
    """5 V behind 10 ohm, 20 to 30 mA drawn: 4.7 to 4.8 V; the 9 V beside it push back where they are let."""
    feed, drawn_here = Feed("in", exact(5)), Draw("out", Interval(0.02, 0.03))
    found = bounds(network(feed, Resistor("in", "out", exact(10)), drawn_here), "out")
    assert (found.low, found.high) == pytest.approx((4.7, 4.8), rel=1e-6)
    # At the feed itself the draw is the feed's: nothing moves.
    held = network(feed, Draw("in", exact(2)), Resistor("in", GROUND, exact(10)))
    assert at_middle(held, "in") == pytest.approx(5.0)
    # A current that comes in takes a feed's place once the node passes on no more: 1 A in 10 ohm.
    lifted = network(feed, Draw("in", exact(-1)), Resistor("in", GROUND, exact(10)))
    assert at_middle(lifted, "in") == pytest.approx(10.0)
    kept = network(feed, Draw("in", exact(-0.4)), Resistor("in", GROUND, exact(10)))
    assert at_middle(kept, "in") == pytest.approx(5.0)


def test_a_feed_behind_a_resistance_takes_no_current_either():
    """5 V behind 10 ohm into 90 ohm: 4.5 V. Beside 9 V it gives nothing, and the node stands at 9 V."""
    weak = Feed("out", exact(5), exact(10))
    load = Resistor("out", GROUND, exact(90))
    assert at_middle(network(weak, load), "out") == pytest.approx(4.5)
    assert at_middle(network(weak, load, Feed("out", exact(9))), "out") == pytest.approx(9.0)
    assert at_middle(network(weak, load, Feed("out", exact(9), exact(10))), "out") == pytest.approx(8.1)
    # 6 V behind 10 ohm alone make 5.4 V of it, so 5 V give nothing; of 30 ohm 4.5 V, so both give.
    six = Feed("out", exact(6), exact(10))
    assert at_middle(network(weak, load, six), "out") == pytest.approx(5.4)
    both = network(weak, six, Resistor("out", GROUND, exact(30)))
    assert at_middle(both, "out") == pytest.approx(1.1 / (1 / 10 + 1 / 10 + 1 / 30))


def test_a_joint_has_a_milliohm_and_what_hardly_conducts_is_open():
    joint = network(Resistor("a", "b", exact(0)), Resistor("b", GROUND, exact(1)))
    assert resistance(joint, "a").high == pytest.approx(1.001, rel=1e-6)
    assert resistance(network(Resistor("a", GROUND, exact(9e9))), "a").high < math.inf
    assert resistance(network(Resistor("a", GROUND, exact(2e10))), "a").high == math.inf
    # Between two nodes, whatever stands at ground: 2 ohm beside 1 + 3.
    ring = network(*(Resistor(a, b, exact(r)) for a, b, r in (("a", "b", 2), ("a", "", 1), ("b", "", 3))))
    assert resistance(ring, "a", "b").middle == pytest.approx(1 / (1 / 2 + 1 / 4), rel=1e-6)
