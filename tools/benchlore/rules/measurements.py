"""Measurements: what is unplugged, how the leads go, what must not stay powered; and no two are the same."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import combinations, pairwise

from benchlore.book.model import Family, Measurement
from benchlore.findings import Problem
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAMILY, MEASUREMENT
from benchlore.vocabulary import BLACK_ON_GROUND, CONDITIONS, RED_ON_GROUND

_UNPLUG = re.compile(
    r"\b(unplug|disconnect|(pull|take)( out)? the ([\w-]+ )?(plug|supply|cable|adapter|pack|battery|cell))\b",
    re.IGNORECASE,
)


@rule(each=MEASUREMENT)
def cannot_unplug(family: Family, measurement: Measurement) -> Iterator[Problem]:
    """What a measurement unplugs is a part that has `unplugs: true`.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          sda-level-unplugged: {unplugged: [U1]}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          sda-level-unplugged: {unplugged: [J1]}
    """
    for i, name in enumerate(measurement.unplugged):
        part = family.parts.get(name)
        if part and not part.unplugs:
            message = f"'{name}' ({part.name}) cannot be unplugged"
            mend = f"name a connector, or add 'unplugs: true' to {name}"
            yield Problem(measurement.origin.at("unplugged", i), message, mend)


@rule(each=MEASUREMENT)
def leads_said_again(measurement: Measurement) -> Iterator[Problem]:
    """`leads` does not say again which lead goes where: function, points and `polarity` say it, and two
    sayings can differ.

    As a rule red is on the point and black on ground; in diode mode red is on ground. The other way is
    `polarity: reversed`; two points are `between: [RED, BLACK]`.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-junction: {leads: "red on ground, black on the point"}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-junction: {mode: junction}
    """
    if sum(measurement.leads.count(text) for text in (BLACK_ON_GROUND, RED_ON_GROUND)) > 1:
        mend = "take it out; where the leads go the other way, write 'polarity: reversed'"
        yield Problem(measurement.origin.at("leads"), "which lead goes where is said elsewhere", mend)


@rule(each=MEASUREMENT)
def leads_misstated(measurement: Measurement) -> Iterator[Problem]:
    """`between` and `polarity` belong to what is probed with two leads; a reading between two points has no
    `at` and no `polarity`, since its first point is the red lead's, and nothing is injected meanwhile.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          socket-look: {polarity: reversed}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-junction: {polarity: reversed}
    """
    between, polarity = measurement.between, measurement.polarity
    field = "between" if between else "polarity"
    at = measurement.origin.at(field)
    if (between or polarity) and not measurement.function.leads:
        message = f"{measurement.mode} has no two leads on a net"
        yield Problem(at, message, f"take '{field}' out", on_key=True)
    elif between and measurement.at != between[0]:
        yield Problem(measurement.origin.at("at"), "'at' stands beside 'between'", "keep one", on_key=True)
    elif between and polarity:
        mend = "name the red lead's point first, and take 'polarity' out"
        yield Problem(measurement.origin.at("polarity"), "the order of 'between' says it", mend, on_key=True)
    elif between and measurement.inject:
        mend = "measure 'at' a point, to ground"
        yield Problem(at, "current is injected into a net, not between two points", mend, on_key=True)


@rule(each=MEASUREMENT)
def condition_without_power(family: Family, measurement: Measurement) -> Iterator[Problem]:
    """What is read under load is read with a source in, and by a function that the board is on for.

    Ohms and diode mode on a board at work read nonsense, and hurt the meter. Source: common practice, no
    source.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-junction: {under: load}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail: {under: load}
    """
    state = family.states.get(measurement.state)
    off = measurement.function.power == "off" or (state is not None and not state.sources)
    for name in measurement.under:
        if CONDITIONS[name].powered and off:
            message = f"nothing is {CONDITIONS[name].label} while no power is on"
            mend = "take 'under' out, or measure under power: volts, amps, in a state with a source"
            yield Problem(measurement.origin.at("under"), message, mend)


@rule(each=MEASUREMENT)
def comparison_tells_nothing(family: Family, measurement: Measurement) -> Iterator[Problem]:
    """What is compared is read by a meter on two nets that read alike on a healthy board, and something fails
    it: less than 100 % apart.

    Two points of one net always read alike; two rails of different volts never do.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-junction:
            compare: {with: TP2, within: 10%}
            outcomes:

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-junction: {at: TP2, mode: junction}
    """
    compare = measurement.compare
    if compare is None:
        return
    origin = measurement.origin.at("compare")
    known = [family.test_points[name] for name in measurement.points if name in family.test_points]
    nets = [family.nets[point.net] for point in known if point.net in family.nets]
    volts = [net.nominal.middle for net in nets if net.nominal and measurement.mode == "dc-volts"]
    if not measurement.function.leads or measurement.between or measurement.steps or measurement.inject:
        mend = "compare two readings of a meter, each to ground, with nothing injected"
        yield Problem(origin, "two readings are compared, and this is not one of them", mend, on_key=True)
    elif len(known) == 2 and known[0].net == known[1].net:
        message = f"'{known[0].id}' and '{known[1].id}' are both on {known[0].net}"
        yield Problem(origin, message, "name a point on the net that should read alike", on_key=True)
    elif len(volts) == 2 and abs(volts[0] / volts[1] - 1) * 100 > compare.within:
        message = f"{nets[0].id} stands at {nets[0].nominal}, {nets[1].id} at {nets[1].nominal}"
        yield Problem(origin, message, "compare what reads alike on a healthy board", on_key=True)
    elif compare.within >= 100:
        mend = "write less, such as 10%"
        yield Problem(origin.at("within"), "no reading lies 100 % below another", mend)


@rule(each=MEASUREMENT)
def steps_out_of_order(measurement: Measurement) -> Iterator[Problem]:
    """The steps of a current climb: each begins where the one before has ended, or higher. Only amps have
    steps.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            steps: {standby: 20 to 40 mA, runs: 0.4 to 0.9 A}
            outcomes:

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail: {mode: dc-volts}
    """
    if measurement.steps and measurement.mode != "amps":
        mend = "state 'healthy' or 'outcomes'"
        yield Problem(measurement.origin.at("steps"), "only a current has steps", mend, on_key=True)
        return
    for (_, below), (name, step) in pairwise(measurement.steps.items()):
        if step.low < below.high:
            message = f"the step '{name}' ({step}) does not lie above the one before ({below})"
            yield Problem(measurement.origin.at("steps", name), message, "write the steps as they come")


@rule("warning", each=MEASUREMENT)
def unplug_without_stop(measurement: Measurement) -> Iterator[Problem]:
    """An outcome after which the board must not stay powered says `stop: true`; its words leave it at that.

    The pages and the plan act on `stop`: every source comes out before anything else is done. Words alone
    are read by people only. Source: common practice, no source.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          fused-rail:
            outcomes:
              low: {means: The adapter gives way. Unplug it at once.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          fused-rail:
            outcomes:
              low: {means: The adapter gives way., stop: true}
    """
    for outcome in measurement.outcomes.values():
        if not outcome.stop and (found := _UNPLUG.search(outcome.means)):
            message = f"'{outcome.id}' tells to {found[0].lower()}, and lacks 'stop: true'"
            origin = measurement.origin.at("outcomes", outcome.id, "means")
            mend = "write 'stop: true' and leave the words out: the pages say it"
            yield Problem(origin, message, mend)


@rule(each=MEASUREMENT)
def over_range_without_stop(family: Family, measurement: Measurement) -> Iterator[Problem]:
    """Above the healthy range a rail is over its voltage and a part over its temperature: the board must not
    stay powered, and the outcome says `stop: true`.

    Of a rail where more does no harm the measurement waives it, with the reason. Source: common practice, no
    source.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              high: {range: over 3.42 V, means: The feedback is open.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              high: {range: over 3.42 V, means: The feedback is open., stop: true}
    """
    net, state = family.nets.get(measurement.net), family.states.get(measurement.state)
    on_rail = measurement.mode == "dc-volts" and measurement.to_ground and net and net.kind == "rail"
    normal = [o.range for o in measurement.outcomes.values() if o.normal and o.range]
    if not (on_rail or measurement.mode == "celsius") or not (state and state.sources) or not normal:
        return
    if math.isinf(min(one.low for one in normal)):
        return  # what may be nothing at all is no supply
    most = max(one.high for one in normal)
    for outcome in measurement.outcomes.values():
        if (
            outcome.range
            and outcome.range.low >= most
            and not (outcome.normal or outcome.stop or outcome.bars)
        ):
            message = f"'{outcome.id}' lies above what is healthy, and lacks 'stop: true'"
            mend = "add 'stop: true', or waive it with the reason why more does no harm here"
            yield Problem(measurement.origin.at("outcomes", outcome.id), message, mend, on_key=True)


@rule(each=MEASUREMENT, waivable=False)
def stop_on_normal(measurement: Measurement) -> Iterator[Problem]:
    """A healthy outcome does not say `stop: true` or `bars`: a healthy board may have power.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          fused-rail:
            outcomes:
              healthy: {stop: true}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          fused-rail:
            outcomes:
              low: {stop: true}
    """
    for outcome in measurement.outcomes.values():
        if outcome.normal and (outcome.stop or outcome.bars):
            message = f"'{outcome.id}' is normal, and the board must not stay powered after it"
            origin = measurement.origin.at("outcomes", outcome.id, "stop")
            yield Problem(origin, message, "take out 'stop', or 'normal'", on_key=True)


@rule(each=FAMILY)
def same_measurement(family: Family) -> Iterator[Problem]:
    """Two measurements differ in point, mode, bench state, what is unplugged, leads or injection; what is
    looked at, heard or felt, in its question.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail-on-pack: {state: adapter-only}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail-on-pack: {state: pack-only}
    """
    for one, other in combinations(family.measurements.values(), 2):
        if _set_up(one) == _set_up(other):
            message = f"'{other.id}' is the same measurement as '{one.id}'"
            yield Problem(other.origin, message, "keep one of them, or say in what they differ", on_key=True)


def _set_up(measurement: Measurement) -> tuple[object, ...]:
    inject = measurement.inject
    injected = (inject.volts.text, inject.limit.text) if inject else None
    unplugged = frozenset(measurement.unplugged)
    how = (unplugged, frozenset(measurement.under), measurement.leads, injected, measurement.compare is None)
    asks = measurement.asks if measurement.function.feels else ""
    return measurement.points, measurement.mode, measurement.state, *how, asks
