"""What the work on a fault takes and brings, as its steps say: sources to unplug, techniques, hazards.

The hazards of heat, solvent, pack and high voltage have fixed ids here; a book names them in
`common/hazards.yaml`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import zip_longest

from benchlore.book.model import Book, Family, Fault, Measurement, Part, Step
from benchlore.quantity import Quantity
from benchlore.vocabulary import EVERYTHING

LITHIUM, SHOCK, BURN, FUMES, SOLVENT = "lithium-pack", "shock", "burn", "fumes", "solvent"
PACK = "pack"
ADAPTER = "adapter"
# IEC 62368-1, energy source class 1.
SAFE_DC, SAFE_RMS = 60.0, 30.0
HOT_WORDS = re.compile(r"\b(hot[- ]air|iron|nozzle|(de)?solder\w*|reflow\w*|reball\w*)\b", re.IGNORECASE)
_PACK_WORDS = re.compile(r"\b(pack|battery|cell)s?\b", re.IGNORECASE)
_WET_WORDS = re.compile(r"\b(alcohol|solvent|cleaner|adhesive remover)\b", re.IGNORECASE)


def sources_of(family: Family) -> tuple[str, ...]:
    """The sources that the family's bench states have in; the pack comes last, as it is unplugged last."""
    found = dict.fromkeys(source for state in family.bench_states for source in state.sources)
    return (*(source for source in found if source != PACK), *(source for source in found if source == PACK))


def spared(family: Family) -> frozenset[str]:
    """The hazards that common records name and a board does not have: that of a pack, where none is.

    A source may have any name, so a bench state with a source in that names the hazard says that one is.
    """
    powered = any(LITHIUM in state.hazard for state in family.bench_states if state.sources)
    packs = PACK in sources_of(family) or any(part.kind == PACK for part in family.parts.values())
    return frozenset() if powered or packs else frozenset({LITHIUM})


def opened(fault: Fault, family: Family | None) -> Fault:
    """The fault with the steps that every work without power begins with, as its family says: everything
    unplugged, and the power key held. A fix that says itself when everything is unplugged begins as it says;
    the key is held there, too, unless its next step says how long. A step with a condition says nothing for
    the case without. Where an adapter alone is handled, nobody touches the board, and its charge may stay;
    also where a pack comes out with everything: a hand holds its plug by the shell and meets no contact."""
    steps, held = fault.fix.steps, family.discharge if family else None
    if family is None or held is None:
        return fault
    said = any((step.discharge or EVERYTHING in step.unplug) and not step.if_ for step in steps)
    if not said and any(_takes_power_out(family, step) for step in steps):
        steps = (Step(origin=fault.origin.at("fix", "steps"), unplug=(EVERYTHING,)), *steps)
    if not _of_adapter_alone(family, steps):
        steps = tuple(_emptied(steps, held))
    return replace(fault, fix=replace(fault.fix, steps=steps))


def is_bare(fault: Fault, family: Family) -> bool:
    """True for a fix that takes everything out at some step, whether or not it says so; false for one that is
    done with the device on, as a setting is, or with an adapter alone."""
    said = any(step.discharge or EVERYTHING in step.unplug for step in fault.fix.steps)
    steps = [step for step in fault.fix.steps if not of_adapter(family, step)]
    return said or any(_takes_power_out(family, step) for step in steps)


def _emptied(steps: tuple[Step, ...], held: Quantity) -> Iterator[Step]:
    """The steps, with the charge let out wherever everything is unplugged, and on the same condition."""
    for step, after in zip_longest(steps, steps[1:]):
        yield step
        said = after and after.discharge and after.if_ in ("", step.if_)
        if EVERYTHING in step.unplug and not said:
            yield Step(origin=step.origin, discharge=held, if_=step.if_)


def _takes_power_out(family: Family, step: Step) -> bool:
    """True for a step that takes a board without power: it handles, wets, unplugs or plugs in a part, reads
    so, or its words name heat or what wets."""
    if step.verb and (step.verb.handles or step.verb.wet):
        return True
    if _hot_or_wet(step.say):
        return True
    read = (family.measurements[name] for name in step.measure if name in family.measurements)
    moved = {*step.unplug, *step.plug} & family.parts.keys()
    return bool(moved) or any(m.without_power for m in read)


def _hot_or_wet(say: str) -> bool:
    return bool(HOT_WORDS.search(say) or _WET_WORDS.search(say))


def _of_adapter_alone(family: Family, steps: tuple[Step, ...]) -> bool:
    """True where the power goes out for an adapter, and for nothing else."""
    found = [step for step in steps if of_adapter(family, step)]
    return bool(found) and not any(_takes_power_out(family, step) for step in steps if step not in found)


def of_adapter(family: Family, step: Step) -> bool:
    """True for a step that handles adapters and no other part, and whose words name neither heat nor what
    wets: both may mean the board."""
    if _hot_or_wet(step.say):
        return False
    moved = {*step.handled, *step.clean, *step.unplug, *step.plug} & family.parts.keys()
    return bool(moved) and all(family.parts[name].kind == ADAPTER for name in moved)


def soldered(family: Family, step: Step) -> tuple[Part, ...]:
    """The parts that a step solders or takes off with heat."""
    parts = (family.parts[name] for name in step.handled if name in family.parts)
    return tuple(part for part in parts if part.replace.skill != "none" or part.id in step.reflow)


def techniques_of_steps(book: Book, fault: Fault) -> Iterator[str]:
    """The techniques of the skills that the steps take, of washing and of injecting."""
    family = book.families.get(fault.family)
    for step in fault.fix.steps if family else ():
        if family:
            yield from techniques_of_step(book, family, step)


def techniques_of_step(book: Book, family: Family, step: Step) -> Iterator[str]:
    """The techniques of the skills that one step takes."""
    skills = {part.replace.skill for part in soldered(family, step)}
    for technique in book.techniques.values():
        does = (step.wash and technique.wash) or (step.inject and technique.inject)
        if does or technique.skill in skills:
            yield technique.id


def technique_of_opening(fault: Fault, family: Family | None) -> str:
    """The technique by which the device is opened for a fix: it solders, or takes off, puts on, unplugs,
    plugs in or cleans a part that is not reached without. Empty where nothing asks for it."""
    opening = family.opening if family else None
    if family is None or opening is None:
        return ""
    inside = family.parts.keys() - set(opening.without)
    for step in fault.fix.steps:
        touched = {*step.handled, *step.unplug, *step.plug, *step.clean}
        if step.wash or soldered(family, step) or touched & inside:
            return opening.technique
    return ""


def brought_by_step(book: Book, family: Family, step: Step) -> Iterator[str]:
    """The hazards that one step of a fix brings by itself; also those that the book does not have."""
    yield from (hazard for hazard in _of_step(book, family, step) if hazard not in spared(family))


def _of_step(book: Book, family: Family, step: Step) -> Iterator[str]:
    if _handles_pack(family, step):
        yield LITHIUM
    if soldered(family, step) or HOT_WORDS.search(step.say):
        yield from (BURN, FUMES)
    elif step.inject:
        yield BURN
    if _wet(step):
        yield SOLVENT
    for name in techniques_of_step(book, family, step):
        yield from book.techniques[name].hazard


def brought(
    book: Book, fault: Fault, measured: Iterable[Measurement], techniques: Iterable[str]
) -> dict[str, str]:
    """The hazards of the work on a fault, each with the reason; also those that the book does not have.

    `measured`: what the record measures. `techniques`: those that it needs. What a bench state brings besides
    comes with the state.
    """
    family = book.families.get(fault.family)
    found: dict[str, str] = {}
    own = tuple(measured)
    if reason := _pack_reason(fault, family, own):
        found[LITHIUM] = reason
    if family and (reason := _shock_reason(fault, family, own)):
        found[SHOCK] = reason
    if reason := _heat_reason(fault, family):
        found |= {BURN: reason, FUMES: reason}
    elif reason := _injection_reason(fault, own):
        found[BURN] = reason
    if reason := _wet_reason(fault):
        found[SOLVENT] = reason
    for name in techniques:
        technique = book.techniques.get(name)
        for hazard in technique.hazard if technique else ():
            found.setdefault(hazard, f"the technique '{name}'")
    without = spared(family) if family else frozenset()
    return {hazard: reason for hazard, reason in found.items() if hazard not in without}


def _all_measured(fault: Fault, family: Family, own: tuple[Measurement, ...]) -> tuple[Measurement, ...]:
    """The fault's measurements and those that prove the fix."""
    proof = (family.measurements[name] for name in fault.fix.confirm if name in family.measurements)
    return (*own, *proof)


def _pack_reason(fault: Fault, family: Family | None, own: tuple[Measurement, ...]) -> str:
    if family is None:
        return ""
    for measurement in _all_measured(fault, family, own):
        state = family.states.get(measurement.state)
        if state and PACK in state.sources:
            return f"'{measurement.id}' is measured with the pack in"
    for part in handled(fault, family):
        if any(n in family.nets and PACK in family.nets[n].enters for n in part.nets):
            return f"{part.id} sits on the pack's own net"
    if any(_handles_pack(family, step) for step in fault.fix.steps):
        return "a step of the fix handles the pack"
    return ""


def _handles_pack(family: Family, step: Step) -> bool:
    moved = {*step.unplug, *step.plug}
    everything = EVERYTHING in moved and PACK in sources_of(family)
    return PACK in moved or everything or _PACK_WORDS.search(step.say) is not None


def handled(fault: Fault, family: Family) -> list[Part]:
    """The part at fault and the parts of the fix, as far as the family has them."""
    names = dict.fromkeys((fault.cause.part, *(use.part for use in fault.fix.parts)))
    return [family.parts[name] for name in names if name in family.parts]


def _shock_reason(fault: Fault, family: Family, own: tuple[Measurement, ...]) -> str:
    named = (net for part in handled(fault, family) for net in part.nets)
    nets = [family.nets[name] for name in named if name in family.nets]
    for measurement in _all_measured(fault, family, own):
        nets += [net] if (net := family.nets.get(measurement.net)) else []
        for outcome in measurement.outcomes.values():
            if outcome.range and beyond_safe(measurement.mode, outcome.range):
                return f"'{measurement.id}' may read {outcome.range}"
        if measurement.inject and measurement.inject.volts.high > SAFE_DC:
            return f"'{measurement.id}' injects {measurement.inject.volts}"
    for net in nets:
        if net.nominal and beyond_safe("dc-volts", net.nominal):
            return f"{net.id} carries {net.nominal}"
    return ""


def beyond_safe(mode: str, volts: Quantity) -> bool:
    """True for a voltage beyond energy source class 1."""
    limit = {"dc-volts": SAFE_DC, "ac-ripple": SAFE_RMS}.get(mode, math.inf)
    return any(math.isfinite(end) and abs(end) > limit for end in (volts.low, volts.high))


def _heat_reason(fault: Fault, family: Family | None) -> str:
    if fault.fix.action == "jumper":
        return "the fix is to jumper"
    for step in fault.fix.steps:
        for part in soldered(family, step) if family else ():
            return f"a step solders {part.id}"
        if HOT_WORDS.search(step.say):
            return "a step of the fix names hot air or the iron"
    return ""


def _injection_reason(fault: Fault, own: tuple[Measurement, ...]) -> str:
    if any(step.inject for step in fault.fix.steps):
        return "a step injects current"
    measured = next((m.id for m in own if m.inject), "")
    return f"'{measured}' heats the short" if measured else ""


def _wet_reason(fault: Fault) -> str:
    return "a step of the fix is wet" if any(map(_wet, fault.fix.steps)) else ""


def _wet(step: Step) -> bool:
    wet = step.wash or (step.clean and step.with_ != "brush") or _WET_WORDS.search(step.say)
    return bool(wet)
