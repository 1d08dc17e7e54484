"""Measurements: what is unplugged, how the leads go, what must not stay powered; and no two are the same."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations

from benchlore.book.model import Family, Measurement
from benchlore.findings import Problem
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAMILY, MEASUREMENT

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


@rule("warning", each=MEASUREMENT)
def junction_without_leads(measurement: Measurement) -> Iterator[Problem]:
    """A measurement in diode mode says which lead goes where: turned round, it reads another junction.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          sda-junction:
            at: TP3
            mode: junction
            state: all-off
            technique: junction-test
            minutes: 2
            asks: Is the data line shorted?
            outcomes:
              healthy: {range: 0.35 to 0.70 V, normal: true, means: No short.}
              shorted: {range: under 0.10 V, means: The line is shorted.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-junction: {leads: "red on ground, black on the point"}
    """
    if measurement.mode == "junction" and not measurement.leads:
        message = f"'{measurement.id}' does not say which lead goes where"
        mend = "add 'leads: red on ground, black on the point'"
        yield Problem(measurement.origin.at("mode"), message, mend)


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
    """Two measurements differ in point, mode, bench state, what is unplugged, leads or injection.

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
    return measurement.at, measurement.mode, measurement.state, unplugged, measurement.leads, injected
