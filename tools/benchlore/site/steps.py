"""Steps of the work in words: a verb with what it is done to becomes a sentence, with inline marks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from benchlore.book.model import Book, Family, Fault, Measurement, PartUse, Step, Technique
from benchlore.book.work import PACK, sources_of
from benchlore.circuit.injection import FIRST_VOLTS
from benchlore.site import words
from benchlore.vocabulary import CLEANERS, EVERYTHING, FUNCTIONS

SOURCES: Mapping[str, str] = MappingProxyType(
    {
        "adapter": "the adapter",
        "charger": "the charger",
        "bench-supply": "the bench supply",
        PACK: "the pack",
        "usb-c": "the USB-C cable",
    }
)
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")  # as of a measurement
# Of a family that is not known: nobody forgets the adapter, and the pack is what burns.
_ANYWHERE = "every source, the pack too"


def of_fix(book: Book, fault: Fault) -> tuple[str, ...]:
    """The steps of a fix."""
    family = book.families.get(fault.family)
    return tuple(_Speaker(family).sentence(step) for step in fault.fix.steps)


def of_technique(technique: Technique) -> tuple[str, ...]:
    """The steps of a technique, which knows no family."""
    return tuple(_Speaker(None).sentence(step) for step in technique.steps)


class _Speaker:
    """Says steps with the names of a family."""

    def __init__(self, family: Family | None) -> None:
        self.family = family

    def sentence(self, step: Step) -> str:
        """The step in words, and the record's own after them; first when it is done, unless always."""
        verb = step.verb
        said = step.say
        if verb is not None:
            said = f"{_SAID[verb.id](self, step)}. {step.say}".rstrip()
        return f"If {self.condition(step.if_)}: {said[:1].lower()}{said[1:]}" if step.if_ else said

    def condition(self, text: str) -> str:
        """When a step is done, a measurement in it by its meter function and place."""
        known = self.family.measurements if self.family else {}
        return _ID.sub(lambda id_: self.reading(known[id_[0]]) if id_[0] in known else id_[0], text)

    def named(self, name: str) -> str:
        """A part, source, point or landmark by its name in the record."""
        if name in SOURCES:
            return SOURCES[name]
        part = self.family.parts.get(name) if self.family else None
        if part:
            return f"{part.id} ({part.name})"
        if self.family and name in sources_of(self.family):
            return f"the {name.replace('-', ' ')}"
        return f"the {name}" if self.family and name in self.family.board.landmarks else name

    def names(self, names: Iterable[str]) -> str:
        """Several of them."""
        return words.listing([self.named(name) for name in names])

    def out(self, step: Step) -> str:
        """Unplug in order."""
        found: list[str] = []
        for name in step.unplug:
            if name == EVERYTHING and self.family:
                found += sources_of(self.family)
            else:
                found.append(name)
        said = [self.named(name) if name != EVERYTHING else _ANYWHERE for name in found]
        return f"Unplug {', then '.join(said)}"

    def discharged(self, step: Step) -> str:
        """How the charge goes: by the power key, or as the family's own state without charge has it."""
        lasts = words.quantity(step.discharge or 0.0)
        own = next((s for s in self.family.own_states if s.discharged), None) if self.family else None
        return f"Wait for {lasts}, as *{own.title}* has it" if own else f"Hold the power key for {lasts}"

    def uses(self, verb: str, uses: tuple[PartUse, ...]) -> str:
        """Parts that are fitted or replaced, with what they must be."""
        said = []
        for use in uses:
            new = "a new " if verb == "Fit" and not use.donor else ""
            value = f" with {words.quantity(use.value)}" if use.value is not None else ""
            said.append(f"{new}{self.named(use.part)}{value}")
        return f"{verb} {words.listing(said)}"

    def measured(self, step: Step) -> str:
        """Where to measure, with what, and what lets one go on."""
        known = self.family.measurements if self.family else {}
        found = [known[name] for name in step.measure if name in known]
        said = [self.reading(m) for m in found] or step.measure
        besides = dict.fromkeys(text.removesuffix(".") for m in found for text in words.besides(m))
        asked = f"{words.listing(said)}{self.wanted(found, step.reads)}"
        verb_itself = found and all(m.mode in _SENSES for m in found)
        sentences = [asked[:1].upper() + asked[1:] if verb_itself else f"Measure {asked}"]
        return ". ".join([*sentences, *(text[:1].upper() + text[1:] for text in besides)])

    def reading(self, measurement: Measurement) -> str:
        """A measurement within a sentence. The bench state is what the steps before it have made."""
        to = " at" if measurement.to_ground else ","
        said = f"{FUNCTIONS[measurement.mode].phrase}{to} {words.probed(measurement)}"
        out = words.listing(measurement.unplugged)
        return f"{said}, {out} unplugged" if out else said

    def wanted(self, found: list[Measurement], reads: str | None) -> str:
        """The outcome that lets one go on, with its range."""
        if reads is None:
            return ""
        ranges = [m.outcomes[reads].range for m in found if reads in m.outcomes]
        values = list(dict.fromkeys(words.quantity(one) for one in ranges if one is not None))
        said = words.outcome(reads)
        return f": it must read {words.listing(values)} ({said})" if values else f": it must be {said}"

    def injected(self, step: Step) -> str:
        """The settings of the supply, and how they are raised."""
        limit = f", limit {words.quantity(step.limit)}" if step.limit else ""
        most = f", to {words.quantity(step.up_to)} at most" if step.up_to else ""
        return (
            f"Inject {words.signs(f'{FIRST_VOLTS:g} V')} into {step.inject}{limit}, and look for heat. While "
            f"nothing warms up, raise the voltage in small steps{most}"
        )


_SENSES = frozenset({"look", "listen"})  # meter functions whose name is what one does

_SAID: Mapping[str, Callable[[_Speaker, Step], str]] = MappingProxyType(
    {
        "unplug": _Speaker.out,
        "plug": lambda to, step: f"Plug in {to.names(step.plug)}",
        "discharge": _Speaker.discharged,
        "wait": lambda _, step: f"Wait for {words.quantity(step.wait or 0.0)}",
        "look": lambda to, step: f"Look at {to.names(step.look)}",
        "press": lambda to, step: f"Press on {to.names(step.press)}",
        "measure": _Speaker.measured,
        "inject": _Speaker.injected,
        "remove": lambda to, step: f"Take {to.names(step.remove)} off",
        "fit": lambda to, step: to.uses("Fit", step.fit),
        "replace": lambda to, step: to.uses("Replace", step.replace),
        "reflow": lambda to, step: f"Reflow the joints of {to.names(step.reflow)}",
        "clean": lambda to, step: f"Clean {to.names(step.clean)} with {CLEANERS[step.with_ or 'brush']}",
        "wash": lambda *_: "Wash the board",
        "dry": lambda _, step: f"Let it dry for {words.quantity(step.dry or 0.0)}",
        "program": lambda to, step: f"Write the program of {to.names(step.program)}",
        "set": lambda to, step: f"Change a setting of {to.names(step.set_)}",
        "try": lambda to, step: f"Try a known good {to.names(step.try_)}",
    }
)
