"""Steps of the work: one verb each, in an order that hurts nobody, with parts that are meant."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from benchlore.book.model import Book, Family, Fault, Part, Step
from benchlore.book.work import ADAPTER, PACK, of_adapter, soldered, sources_of, technique_of_opening
from benchlore.circuit.graph.below import made_below
from benchlore.circuit.graph.change import CHIPS
from benchlore.circuit.graph.family import graph_of
from benchlore.circuit.injection import ceiling
from benchlore.findings import Origin, Problem, nearest
from benchlore.rules.rule import Kind, rule
from benchlore.rules.safety import MOST_INJECTED
from benchlore.rules.subjects import FAULT
from benchlore.vocabulary import ACTIONS, EVERYTHING, VERBS

# A reading below this share of the jobs is not what the fault reads.
_SELDOM = 0.02
# Skills that leave joints which the eye does not reach, and the kinds of part that have such joints.
_UNSEEN = ("hot-air", "bga")
_MANY_LEGS = (*CHIPS, "mosfet", "connector")
_WITHOUT_POWER = ("ohms", "junction")
_USUAL_DISCHARGE = "10 s"  # where a family does not say how long its charge takes


@dataclass(frozen=True, slots=True)
class Bench:
    """The board before a step: the sources that are in, whether it holds charge, is wet, and which parts are
    off it."""

    sources: frozenset[str]
    charged: bool = True
    wet: bool = False
    off: frozenset[str] = frozenset()


def walked(fault: Fault, family: Family) -> tuple[tuple[tuple[Step, Bench], ...], Bench]:
    """Each step of a fix with the board before it, and the board at the end.

    A device comes in with all its sources, and a step that only some jobs take counts as done.
    """
    everything = frozenset(sources_of(family))
    bench, found = Bench(everything), []
    for step in fault.fix.steps:
        found.append((step, bench))
        bench = _after(family, everything, step, bench)
    return tuple(found), bench


def _after(family: Family, everything: frozenset[str], step: Step, bench: Bench) -> Bench:
    packs = {part.id for part in family.parts.values() if part.kind == PACK}
    out = set(step.unplug)
    sources = frozenset() if EVERYTHING in out else bench.sources - out
    if out & packs:
        sources -= {PACK}
    off = bench.off | out | set(step.remove) | (packs if out & {EVERYTHING, PACK} else set())
    off -= {use.part for use in step.fit} | set(step.plug)
    sources |= everything & set(step.plug)
    if step.try_ or packs & set(step.plug):
        sources |= everything
    for name in step.measure:
        measurement = family.measurements.get(name)
        state = family.states.get(measurement.state) if measurement else None
        if measurement and measurement.function.power != "off" and state and state.sources:
            sources = frozenset(state.sources)
    charged = bool(sources) or (bench.charged and step.discharge is None)
    wet = (bench.wet or _wets(step)) and step.dry is None
    return Bench(sources, charged, wet, frozenset(off))


def _wets(step: Step) -> bool:
    return bool(step.wash or (step.clean and step.with_ != "brush"))


def _verb_at(step: Step) -> Origin:
    return step.origin.at(step.verb.id) if step.verb else step.origin


def _without_power(family: Family, step: Step) -> str:
    """What of a step is done without power and charge; empty where nothing is."""
    if step.verb and step.verb.handles:
        return f"'{step.verb.id}'"
    for name in step.measure:
        measurement = family.measurements.get(name)
        if measurement and measurement.without_power:
            return f"'{name}' ({measurement.mode})"
    return ""


def _of_family(book: Book) -> Iterator[tuple[Family, Fault]]:
    for fault in book.faults.values():
        if family := book.families.get(fault.family):
            yield family, fault


WORK = Kind({"family": "Family", "fault": "Fault"}, _of_family)


def _all_steps(book: Book) -> Iterator[tuple[Step]]:
    for fault in book.faults.values():
        for step in fault.fix.steps:
            yield (step,)


def _of_techniques(book: Book) -> Iterator[tuple[Step]]:
    for technique in book.techniques.values():
        for step in technique.steps:
            yield (step,)


_STEPS = Kind({"step": "Step"}, _all_steps, _of_techniques)


@rule(each=_STEPS, waivable=False)
def step_not_one_action(step: Step) -> Iterator[Problem]:
    """A step is one action: it has one verb at most, and what stands beside it belongs to that verb.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - {unplug: everything, remove: F1}
            - {fit: F1, with: alcohol}

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - remove: F1
            - fit: F1
    """
    if len(step.verbs) > 1:
        named = " and ".join(f"'{verb.id}'" for verb in step.verbs)
        origin = step.origin.at(step.verbs[1].id)
        yield Problem(origin, f"{named} in one step", "make a step of each", on_key=True)
    owners = {name: verb.id for verb in VERBS.values() for name in verb.takes}
    for name, owner in owners.items():
        if step.of(name) and (step.verb is None or name not in step.verb.takes):
            message = f"'{name}' belongs to '{owner}'"
            yield Problem(step.origin.at(name), message, "put it where it belongs", on_key=True)
    if step.verb is None and not step.say:
        yield Problem(step.origin, "the step does nothing", "add a verb, or 'say' with words")


@rule(each=WORK, waivable=False)
def work_under_power(family: Family, fault: Fault) -> Iterator[Problem]:
    """Every source that the family can be fed by is unplugged, and the charge gone, before a step takes a
    part off, puts one on, solders, injects current, or measures ohms or in diode mode. Whoever changes
    an adapter need not wait for the charge of the board.

    A pack that stays in feeds the short under the nozzle and can catch fire; charge in a capacitor destroys
    the part, the meter or the reading. Source: common practice, no source; the warnings of meter manuals.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: adapter
            - discharge: 10 s
            - remove: F1
            - fit: F1

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - remove: F1
            - fit: F1
    """
    held = f"'discharge: {family.discharge or _USUAL_DISCHARGE}'"
    for step, bench in walked(fault, family)[0]:
        what = _without_power(family, step)
        if what and bench.sources:
            message = f"{what} with {' and '.join(sorted(bench.sources))} still in"
            yield Problem(
                _verb_at(step), message, f"put 'unplug: everything' and {held} before it", on_key=True
            )
        elif what and bench.charged and not of_adapter(family, step):
            message = f"{what} on a board that holds charge"
            yield Problem(_verb_at(step), message, f"put {held} before it", on_key=True)


@rule(each=WORK, waivable=False)
def wet_at_heat_or_power(family: Family, fault: Fault) -> Iterator[Problem]:
    """A board is cleaned and washed with every source out, and dry before heat and before power; the proof of
    a fix is power.

    Alcohol catches fire at a spark, and water under a chip conducts. Source: common practice, no source.

    Bad:
        # faults/wren-5/line-held-low.yaml
        fix:
          steps:
            - unplug: [everything, J1]
            - discharge: 10 s
            - {clean: J1, with: alcohol}
            - fit: J1

    Good:
        # faults/wren-5/line-held-low.yaml
        fix:
          steps:
            - unplug: [everything, J1]
            - discharge: 10 s
            - {clean: J1, with: alcohol}
            - dry: 5 min
            - fit: J1
    """
    steps, end = walked(fault, family)
    wet: Step | None = None
    for step, bench in steps:
        if _wets(step):
            wet = step
            if bench.sources:
                message = f"'{step.verbs[0].id}' with {' and '.join(sorted(bench.sources))} still in"
                yield Problem(_verb_at(step), message, "put 'unplug: everything' before it", on_key=True)
        if bench.wet and (soldered(family, step) or step.plug or step.try_):
            message = f"'{step.verbs[0].id}' on a board that is still wet"
            yield Problem(
                _verb_at(step), message, "put 'dry: 5 min' (or as long as it takes) before it", True
            )
    if end.wet and wet:
        message = "the board is never dried, and the proof puts power on it"
        yield Problem(_verb_at(wet), message, "add 'dry: 5 min', or as long as it takes", on_key=True)


@rule(each=WORK, waivable=False)
def unsafe_injection_step(book: Book, family: Family, fault: Fault) -> Iterator[Problem]:
    """A step that injects current names a rail, its current limit (at most 5 A) and the highest voltage, and
    that is at most the rail's normal one.

    A line is no rail: its clamps would feed a chip that should stay dark. Where lower rails are made from the
    injected one, the lowest is measured in ohms before: through a switch that is shorted it gets all that is
    injected. Source: common practice, no source.

    Bad:
        # faults/wren-5/rail-short.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - {inject: MAIN, limit: 1 A, up_to: 12 V}
            - remove: C1
            - fit: C1

    Good:
        # faults/wren-5/rail-short.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - {inject: MAIN, limit: 1 A, up_to: 3.3 V}
            - remove: C1
            - fit: C1
    """
    for step in fault.fix.steps:
        net = family.nets.get(step.inject or "")
        if not step.inject:
            continue
        origin = step.origin.at("inject")
        if step.limit is None or step.up_to is None:
            missing = " and ".join(f"'{n}'" for n in ("limit", "up_to") if step.of(n) is None)
            yield Problem(origin, f"current is injected without {missing}", f"add {missing}", on_key=True)
        if step.limit and step.limit.unit == "A" and step.limit.high > MOST_INJECTED:
            message = f"a limit of {step.limit}; leads, vias and traces carry {MOST_INJECTED:g} A at most"
            yield Problem(step.origin.at("limit"), message, "start with 1 A or less")
        if net and net.kind != "rail":
            message = f"current is injected into {net.id}, which is no rail: its clamps feed the chips on it"
            yield Problem(origin, message, "inject into the rail, or measure it in diode mode")
        elif net and step.up_to and (net.nominal is None or step.up_to.high > ceiling(net.nominal)):
            normal = f"whose normal voltage is {net.nominal}" if net.nominal else "which states no 'nominal'"
            message = f"{step.up_to} into {net.id}, {normal}"
            yield Problem(
                step.origin.at("up_to"), message, "never inject more than the rail's normal voltage"
            )
    yield from _unchecked_core(book, family, fault)


def _unchecked_core(book: Book, family: Family, fault: Fault) -> Iterator[Problem]:
    seen: set[str] = set()
    for step in fault.fix.steps:
        measured = (family.measurements[name] for name in step.measure if name in family.measurements)
        seen |= {m.net for m in measured if m.mode == "ohms"}
        if not step.inject or not step.up_to:
            continue
        made = made_below(graph_of(book, family), step.inject, step.up_to.high)
        lowest = next(iter(made), "")
        if lowest and lowest not in seen:
            message = f"{step.up_to} into {step.inject}, from which {lowest} ({made[lowest]:.3g} V) is made"
            mend = f"measure {lowest} in ohms before, with 'reads: normal'"
            yield Problem(step.origin.at("up_to"), message, mend)


@rule(each=WORK)
def fit_not_cause(family: Family, fault: Fault) -> Iterator[Problem]:
    """What a fix replaces is the part at fault or what it takes along; of another part a step says why.

    Bad:
        # faults/wren-5/rail-short.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - replace: U1

    Good:
        # faults/wren-5/rail-short.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - replace: C1
            - {replace: F1, say: The short has blown it as well.}
    """
    blamed = {failure.part for failure in fault.cause.failures}
    if not blamed <= set(family.parts):
        return  # a misspelt part may be the one
    for step in fault.fix.steps:
        for verb, uses in (("fit", step.fit), ("replace", step.replace)):
            for i, use in enumerate(uses):
                if use.part in family.parts and use.part not in blamed and not (step.say or step.if_):
                    message = f"'{use.part}' is not at fault; the cause is {', '.join(sorted(blamed))}"
                    mend = "name the part at fault, or add 'say' with the reason"
                    yield Problem(step.origin.at(verb, i, "part"), message, mend)


@rule(each=WORK)
def part_left_off(family: Family, fault: Fault) -> Iterator[Problem]:
    """A part that a step takes off is fitted again, unless the fix is to remove it; and only what is off is
    fitted.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - remove: F1

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - replace: F1
    """
    steps, end = walked(fault, family)
    for step, bench in steps:
        for i, use in enumerate(step.fit):
            if use.part in family.parts and use.part not in bench.off:
                message = f"'{use.part}' is fitted, and no step has taken it off"
                yield Problem(
                    step.origin.at("fit", i, "part"), message, "write 'replace', or remove it first"
                )
        for i, name in enumerate(step.remove):
            if name in end.off and fault.fix.action != "remove":
                message = f"'{name}' is taken off and never fitted again"
                yield Problem(step.origin.at("remove", i), message, f"add 'fit: {name}'")
        for i, name in enumerate(step.program):
            if name in bench.off:
                message = f"'{name}' is programmed while it is off the board"
                yield Problem(step.origin.at("program", i), message, "fit it first")


@rule(each=WORK)
def left_unplugged(family: Family, fault: Fault) -> Iterator[Problem]:
    """What a step unplugs is plugged in again, fitted or replaced before the proof, unless the fix is to
    remove it. What only some jobs take leaves it out in the others, unless some plug it in and others get a
    new one.

    Packs and adapters are sources, and come back with the bench state of the proof.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: [everything, J1]
            - discharge: 10 s
            - replace: F1

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: [everything, J1]
            - discharge: 10 s
            - replace: F1
            - plug: J1
    """
    if fault.fix.action == "remove":
        return
    out: dict[str, tuple[Step, Origin]] = {}
    some: dict[str, dict[bool, str]] = {}  # when a part is plugged in (True), and when a new one is put on
    for step in fault.fix.steps:
        back = {use.part: False for use in (*step.fit, *step.replace)} | dict.fromkeys(step.plug, True)
        for name in back.keys() & out.keys():
            ways = some.setdefault(name, {})
            ways[back[name]] = step.if_
            either = len(ways) == 2 and ways[True] != ways[False]
            if either or step.if_ in ("", out[name][0].if_):
                del out[name], some[name]
        for i, name in enumerate(step.unplug):
            if name in family.parts and _comes_back_by_hand(family.parts[name]):
                out[name] = step, step.origin.at("unplug", i)
                some.pop(name, None)
    for name, (_, origin) in out.items():
        message = f"'{name}' is unplugged and never plugged in again"
        yield Problem(origin, message, f"add 'plug: {name}' before the proof")


def _comes_back_by_hand(part: Part) -> bool:
    return part.unplugs and part.kind not in (PACK, ADAPTER)


@rule("warning", each=WORK)
def soldered_unread(family: Family, fault: Fault) -> Iterator[Problem]:
    """A part with many legs that hot air or BGA rework puts on is measured after that, in ohms or diode mode,
    by the steps or by the proof, at one of its nets where the family has such a reading. A reading that only
    some jobs take leaves it out in the others.

    A bridge under it is not seen, and dies at the first power. Source: common practice, no source.

    Bad:
        # faults/wren-5/line-held-low.yaml
        fix:
          minutes: 40
          steps:
            - unplug: everything
            - discharge: 10 s
            - {replace: U1, say: What holds the line has killed it.}
            - unplug: J1
            - fit: {part: J1, donor: same revision}

    Good:
        # faults/wren-5/line-held-low.yaml
        fix:
          minutes: 40
          steps:
            - unplug: everything
            - discharge: 10 s
            - {replace: U1, say: What holds the line has killed it.}
            - {measure: main-junction, reads: healthy}
            - unplug: J1
            - fit: {part: J1, donor: same revision}
    """
    unread: dict[tuple[str, str], Origin] = {}  # by part, and by when it is soldered
    for step in fault.fix.steps:
        for part in soldered(family, step):
            if not step.remove and read_after_heat(family, part):
                unread[part.id, step.if_] = _verb_at(step)
        for name, when in [*unread]:
            shown = set(read_after_heat(family, family.parts[name])) & set(step.measure)
            if shown and step.if_ in ("", when):
                del unread[name, when]
    for (name, _), origin in unread.items():
        readings = read_after_heat(family, family.parts[name])
        if not fault.fix.confirm.keys() & set(readings):
            message = f"'{name}' is soldered, and no net of it is measured in ohms or diode mode after that"
            mend = f"measure {' or '.join(sorted(readings))} before power"
            yield Problem(origin, message, mend, on_key=True)


def read_after_heat(family: Family, part: Part) -> tuple[str, ...]:
    """The measurements that show a bridge under a part once it was soldered, in the order of the family; none
    where the eye reaches its joints."""
    if part.kind not in _MANY_LEGS or part.replace.skill not in _UNSEEN:
        return ()
    found = (m for m in family.measurements.values() if m.mode in _WITHOUT_POWER)
    return tuple(m.id for m in found if set(m.nets) & set(part.nets))


@rule(each=FAULT)
def action_without_step(fault: Fault) -> Iterator[Problem]:
    """The steps do what the fix says: a fix that replaces has a step that replaces or fits.

    A setting may be words alone: how it is made is the device's own.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          action: reflow

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          action: replace
    """
    ways = [verb.id for verb in VERBS.values() if verb.action == fault.fix.action]
    done = {verb.id for step in fault.fix.steps for verb in step.verbs}
    in_words = fault.fix.action == "set" and not all(step.verbs for step in fault.fix.steps)
    if ways and not done & set(ways) and not in_words:
        ways_said = "' or '".join(ways)
        label = ACTIONS[fault.fix.action].lower()
        message = f"the fix is to {label}, and no step does"
        mend = f"add a step with '{ways_said}', or mend the action"
        yield Problem(fault.origin.at("fix", "action"), message, mend)


@rule("note", each=WORK)
def opening_said_again(family: Family, fault: Fault) -> Iterator[Problem]:
    """How a device is opened stands once, in its family: a fix that has to open it takes it from there, and
    names it only where its steps do not show that.

    Bad:
        # faults/wren-5/family.yaml
        opening: {technique: hot-air-rework}

    Good:
        # faults/wren-5/fuse-open.yaml
        techniques: [hot-air-rework]
    """
    opening = technique_of_opening(fault, family)
    for i, name in enumerate(fault.techniques):
        if name == opening:
            message = f"the fix opens the device, and {family.id} says that '{name}' is how"
            yield Problem(fault.origin.at("techniques", i), message, "take it out")


@rule(each=WORK, waivable=False)
def unknown_operand(family: Family, fault: Fault) -> Iterator[Problem]:
    """What a step unplugs is a source of the family's bench states, a part that unplugs, or everything; what
    it looks at, presses or cleans is a part, a test point or a landmark.

    Bad:
        # faults/wren-5/line-held-low.yaml
        fix:
          steps:
            - unplug: [everything, J15]
            - discharge: 10 s
            - fit: J1

    Good:
        # faults/wren-5/line-held-low.yaml
        fix:
          steps:
            - unplug: [everything, J1]
            - discharge: 10 s
            - fit: J1
    """
    plugs = {part.id for part in family.parts.values() if part.unplugs}
    plugs |= {EVERYTHING, *sources_of(family)}
    places = {*family.parts, *family.test_points, *family.board.landmarks}
    for step in fault.fix.steps:
        for verb in ("unplug", "plug", "look", "press", "clean"):
            known = plugs if verb in ("unplug", "plug") else places
            for i, name in enumerate(step.of(verb)):
                if name not in known:
                    what = (
                        "a source of this family or a part that unplugs" if known is plugs else "a place here"
                    )
                    yield Problem(step.origin.at(verb, i), f"'{name}' is not {what}", nearest(name, known))


@rule(each=WORK)
def step_reads_otherwise(family: Family, fault: Fault) -> Iterator[Problem]:
    """The outcome with which a step goes on is a healthy one, or one that the fault reads.

    Where a part is off the board, other readings are right.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - {measure: main-rail-on-pack, reads: absent}
            - unplug: everything
            - discharge: 10 s
            - replace: F1

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - {measure: main-rail-on-pack, reads: healthy}
            - unplug: everything
            - discharge: 10 s
            - replace: F1
    """
    reads = fault.reads
    sources = {part.id for part in family.parts.values() if part.kind == PACK} | {
        EVERYTHING,
        *sources_of(family),
    }
    for step, bench in walked(fault, family)[0]:
        for name in step.measure if step.reads and not bench.off - sources else ():
            measurement = family.measurements.get(name) if name in reads else None
            outcome = measurement.outcomes.get(step.reads or "") if measurement else None
            if outcome and not outcome.normal and reads[name].get(outcome.id, 0.0) < _SELDOM:
                said = " or ".join(one for one, share in reads[name].items() if share >= _SELDOM)
                message = f"'{name}' does not read '{outcome.id}' with this fault, but '{said}'"
                yield Problem(
                    step.origin.at("reads"), message, "name the outcome with which the work goes on"
                )
