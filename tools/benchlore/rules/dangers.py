"""Words that would hurt whoever does what they say."""

from __future__ import annotations

import re
from collections.abc import Iterator

from benchlore.book.model import Book
from benchlore.findings import Origin, Problem
from benchlore.rules.rule import Kind, rule


def _orders(book: Book) -> Iterator[tuple[Origin, str]]:
    """Texts that tell somebody what to do."""
    for fault in book.faults.values():
        for step in fault.fix.steps:
            yield step.origin.at("say"), step.say
            yield step.origin.at("if"), step.if_
    for family in book.families.values():
        for measurement in family.measurements.values():
            yield measurement.origin.at("leads"), measurement.leads
            yield measurement.origin.at("note"), measurement.note


def _common_orders(book: Book) -> Iterator[tuple[Origin, str]]:
    for technique in book.techniques.values():
        for step in technique.steps:
            yield step.origin.at("say"), step.say
            yield step.origin.at("if"), step.if_
    for state in book.states.values():
        for i, line in enumerate(state.how):
            yield state.origin.at("how", i), line


_ORDERS = Kind({"origin": "Origin", "text": "str"}, _orders, _common_orders)
_SENTENCE = re.compile(r"[^.;!?]+")
_FORBIDS = re.compile(r"\b(never|not|no|don't|without)\b", re.IGNORECASE)
_ENERGY = r"(?:adapter|charger brick|power supply|pack|battery|cell)s?"
_METAL = r"(?:screwdriver|metal|knife|blade|scalpel|steel|tweezers)"
# What hurts whoever does it, and what it does: common practice, no source.
DANGERS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), why)
    for pattern, why in (
        (
            r"\b(?:bridge|short|jumper|bypass|link)\w*\b.*\bfuse|\bfuse\b.*\b(?:wire|foil|coin|bridged|bypassed)\b",
            "a fuse that is bridged lets the short burn the board, the pack or the house",
        ),
        (
            rf"\b(?:lever|pry|prise|prize)\w*\b.*\b{_METAL}\b|\b{_METAL}\b.*\b(?:lever|pry|prise|prize)\b",
            "metal pierces a pack, shorts a rail and tears pads; a plastic tool does not",
        ),
        (
            rf"\b(?:open|cut|split|saw|crack|strip)\b(?: up)?(?: (?:the|an|a|its|your|this))? {_ENERGY}\b"
            rf"|\binside (?:of )?(?:the|an) {_ENERGY}\b|\bmains side\b",
            "adapters hold mains voltage, and cells catch fire: neither is opened",
        ),
        (
            rf"\b(?:pierce|puncture|crush|squeeze|short|bridge|bend)\w*\b.*\b(?:{_ENERGY}|balance wires?)\b"
            rf"|\b(?:remove|take out|swap|replace)\b[^.]*\bcells?\b[^.]*\b(?:pack|battery)",
            "a cell that is shorted or pierced can vent flame",
        ),
        (
            r"\b(?:larger|bigger|higher|stronger)\b.*\b(?:rating|rated|fuse)\b"
            r"|\b(?:rating|fuse)\b.*\b(?:larger|bigger|higher|stronger)\b",
            "a larger fuse lets the next short burn the board; it takes one of the same rating",
        ),
        (
            r"\b(?:piece of|a|some|thin|copper) wire\b.*\b(?:in (?:its|the) place|instead of)\b",
            "a wire in place of a part carries what the part would have stopped",
        ),
        (
            r"\b(?:ammeter|amps? (?:input|socket|range)|current input)\b[^,]*\b(?:across|in parallel)\b",
            "an ammeter is a short: across a supply it blows up; it goes in line",
        ),
        (
            r"\bbath\b.*\b(?:alcohol|isopropyl|petrol|thinner)|\b(?:alcohol|isopropyl|petrol|thinner)\b.*\bbath\b",
            "a bath of alcohol catches fire; it takes a cleaner made with water",
        ),
        (
            r"\b(?:short|bridge|empty)\w*\b.*\bcapacitors?\b.*\b(?:screwdriver|tweezers|wire|metal|finger)",
            "a capacitor that is shorted throws metal; hold the power key and wait",
        ),
        (
            r"\bdischarge\w*\b.*\b(?:screwdriver|tweezers|wire|finger)",
            "a capacitor that is shorted throws metal; hold the power key and wait",
        ),
        (
            r"\b(?:swollen|bulging)\b.*\b(?:heat|hot air|iron|charge|use)\b"
            r"|\b(?:heat|hot air|iron|charge)\b.*\b(?:swollen|bulging)\b",
            "a swollen pack can catch fire by heat, current or pressure",
        ),
        (
            r"\b(?:touch|feel)\w*\b.*\b(?:hot|warm)\b.*\bfinger|\bfinger\w*\b.*\b(?:hot|warm)",
            "a shorted part burns the skin; look with a camera or alcohol",
        ),
    )
)


@rule(each=_ORDERS, waivable=False)
def dangerous_order(origin: Origin, text: str) -> Iterator[Problem]:
    """No step, note or bench state tells anybody to bridge a fuse, to lever with metal, to open an adapter or
    a pack, or to short a cell. A sentence that forbids it may stand.

    Source: common practice, no source.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - replace: F1
            - Bridge the fuse with solder for a test.

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - replace: F1
            - Never bridge the fuse.
    """
    for sentence in _SENTENCE.findall(text):
        if _FORBIDS.search(sentence):
            continue
        for pattern, why in DANGERS:
            if found := pattern.search(sentence):
                said = " ".join(found[0].split())
                yield Problem(origin, f"'{said}': {why}", "take it out, or say that it must not be done")
                break
