"""What people read: titles that fit, no blanks left to fill, links that work, the worst hazard first."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from typing import Any

from benchlore.book.links import by_severity, faults_of_family
from benchlore.book.model import Book, Family, Fault, Symptom
from benchlore.findings import Origin, Problem
from benchlore.personal import personal
from benchlore.rules.rule import Kind, Seen, across, rule
from benchlore.rules.subjects import FAMILY, FAULT, HAZARDS, SYMPTOM, TEXT, listed
from benchlore.rules.texts import texts_of_common, texts_of_families

_PLACEHOLDER = re.compile(r"\b(?:TODO|FIXME|TBD|XXX)\b|\?\?\?|\bto be done\b", re.IGNORECASE)
_TITLE_WORDS = 8
_LINK = re.compile(r"\]\(\s*<?([^)\s>]*)")
_SCHEME = re.compile(r"[a-z][a-z0-9+.-]*:", re.IGNORECASE)
_PART_NUMBER = re.compile(r"\b[A-Z]{2,}[0-9]{3,}[A-Z0-9]*\b")
_WORD = re.compile(r"[^\W\d_]+")
# Greek letters that the trade writes as signs, and the micro sign.
_SIGNS = frozenset("\u03a9\u2126\u03bc\u00b5\u0394\u2206\u03c0")
# Scripts that one language writes together.
_TOGETHER = ("CJK", "HIRAGANA", "KATAKANA", "KATAKANA-HIRAGANA")
_TAG = re.compile(r"</?[a-zA-Z][^<>]*>|<!--")


@rule(each=TEXT)
def placeholder_left(origin: Origin, text: str) -> Iterator[Problem]:
    """No text still says TODO, TBD or ???. In another language (`said_in`) only capitals count: `todo` is a
    word of Spanish.

    Bad:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: TODO

    Good:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: An adapter of the wrong voltage.
    """
    found = _PLACEHOLDER.search(text)
    if found and not ("said_in" in origin.path and found[0].islower()):
        yield Problem(origin, f"'{found[0]}' still waits to be written", "write it, or take the field out")


@rule("note", each=FAMILY)
def no_tell(book: Book, family: Family) -> Iterator[Problem]:
    """Where one fault of a family says its tell, each does: the note of one reading begins with *The tell*,
    and a colon, and says by what this fault is known from those that look like it.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
            note: "The tell: nothing behind the fuse."
          - {main-rail: absent, note: The adapter never reaches the converter.}
          - {main-rail-on-pack: healthy, note: The pack has a way of its own.}

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
            note: The fuse carries nothing.
          - {main-rail: absent, note: The adapter never reaches the converter.}
          - {main-rail-on-pack: healthy, note: The pack has a way of its own.}
    """
    without = [fault for fault in faults_of_family(book, family.id) if not _tells(fault)]
    if len(without) < len(faults_of_family(book, family.id)):
        for fault in without:
            message = "no reading is said to be the tell of this fault"
            mend = "begin the note of the reading that gives it away with 'The tell: ' and what is seen"
            yield Problem(fault.origin, message, mend)


def _tells(fault: Fault) -> bool:
    return any(point.note.startswith("The tell: ") for point in fault.test_points)


# A word whose second half follows: `single- and two-cell packs`.
_SHARED = frozenset({"and", "or", "to", "und", "oder", "bis", "y", "o", "et", "ou"})
_BROKEN = re.compile(r"(\w+-)\s+(\w+)")


@rule("note", each=TEXT)
def broken_hyphen(origin: Origin, text: str) -> Iterator[Problem]:
    """A word with a hyphen is not broken there: a text on several lines is put together with a blank.

    Two small letters or more stand before it: the D- line and the V- pin are whole.

    Bad:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: An adapter of the wrong volt- age.

    Good:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: An adapter of the wrong voltage.
    """
    for first, second in _BROKEN.findall(text):
        if _ends_small(first) and second not in _SHARED:
            message = f"'{first} {second}' has a blank in the middle of a word"
            yield Problem(origin, message, f"write '{first}{second}', or one word, on one line")


def _ends_small(first: str) -> bool:
    end = first[-3:-1]
    return len(end) == 2 and end.isalpha() and end.islower()


@rule("warning", each=SYMPTOM)
def long_title(symptom: Symptom) -> Iterator[Problem]:
    """The title of a symptom has at most eight words; what customers say goes under `said`.

    Bad:
        # faults/common/symptoms.yaml
        no-picture:
          title: The screen stays black although it beeps and the lights are on

    Good:
        # faults/common/symptoms.yaml
        no-picture:
          title: Runs without a picture
    """
    count = len(symptom.title.split())
    if count > _TITLE_WORDS:
        message = f"the title has {count} words; at most {_TITLE_WORDS} fit"
        yield Problem(symptom.origin.at("title"), message, "shorten it, and move the rest to 'said'")


@rule("warning", each=FAULT)
def title_without_part(book: Book, fault: Fault) -> Iterator[Problem]:
    """The title of a fault says which part it is: it shares a word with the name of the part, of one of its
    nets or of a landmark.

    Bad:
        # faults/wren-5/fuse-open.yaml
        title: Does not work

    Good:
        # faults/wren-5/fuse-open.yaml
        title: Input fuse open
    """
    family = book.families.get(fault.family)
    part = family.parts.get(fault.cause.part) if family else None
    if part is None or family is None:
        return
    named = " ".join((part.name, part.id, part.kind, *family.board.landmarks, *part.nets)).replace("_", " ")
    stems = {word[:_STEM].lower() for word in _WORD.findall(named) if len(word) >= _SHORTEST}
    words = {word[:_STEM].lower() for word in _WORD.findall(fault.title)}
    if not stems & words and part.id not in fault.title:
        message = f"the title does not say that it is the {part.name}"
        yield Problem(fault.origin.at("title"), message, "name the part, and what is wrong with it")


# Words are compared by their first letters: converter and converters, cell and cells.
_SHORTEST, _STEM = 3, 5


@rule("warning", each=TEXT)
def link_not_https(origin: Origin, text: str) -> Iterator[Problem]:
    """A link in a text leads to an https page or to a page of this site; any other is shown as it is typed.

    Bad:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: An adapter of [the wrong voltage](http://example.org/adapters).

    Good:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: An adapter of [the wrong voltage](https://example.org/adapters).
    """
    for target in _LINK.findall(text):
        secure = target.lower().startswith("https://")
        if not secure and (_SCHEME.match(target) or target.startswith(("/", "\\", "#", "?"))):
            yield Problem(origin, f"'{target}' is no link that the site makes", "write https://...")


@rule("warning", each=TEXT)
def tag_in_text(origin: Origin, text: str) -> Iterator[Problem]:
    """A text holds no HTML: tags are shown as they are typed. Write *emphasis* or `code`.

    Bad:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: An adapter of the <b>wrong</b> voltage.

    Good:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: An adapter of the *wrong* voltage.
    """
    if found := _TAG.search(text):
        yield Problem(origin, f"'{found[0]}' is shown as it is typed", "write *emphasis* or `code`")


# Names, and words with file and path, whose steps are names and numbers.
_PART_NUMBER_NOTES = ([str], [(str, str, [lambda step: isinstance(step, str | int)])])


def _like_part_numbers(book: Book) -> list[Any]:
    """The names of parts, nets and test points, and the other words that look like part numbers: each with
    file and path."""
    names = {
        name
        for family in book.families.values()
        for names in (family.parts, family.nets, family.test_points)
        for name in names
    }
    words = [
        [word, origin.file, list(origin.path)]
        for origin, text in (*texts_of_common(book), *texts_of_families(book))
        if origin.path[-1:] != ("source",)  # standards are named there
        for word in _PART_NUMBER.findall(text)
        if word not in names
    ]
    return [sorted(names), words]


@across("note", visit=_like_part_numbers, notes=_PART_NUMBER_NOTES)
def part_number_named(seen: Seen) -> Iterator[Problem]:
    """No maker's part number in a text: say what the part is, so that any maker's part fits.

    Looked for are capitals and then digits, as one word, that are no part, net or test point of the book.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps: [{unplug: everything}, {discharge: 10 s}, {replace: F1, say: Take an AB12345.}]

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps: [{unplug: everything}, {discharge: 10 s}, {replace: F1, say: Take one for 5 A.}]
    """
    names = {name for known, _ in seen for name in known}
    for word, file, path in (one for _, words in seen for one in words):
        if word not in names:
            message = f"'{word}' looks like a maker's part number"
            mend = "say what it is, such as 'buck controller, QFN-28'"
            yield Problem(Origin(file, tuple(path)), message, mend)


@rule("note", each=TEXT)
def person_named(origin: Origin, text: str) -> Iterator[Problem]:
    """No text tells whose device it was: no name behind a title, no e-mail address, no phone number, no
    serial number.

    Bad:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: Mrs Example plugged in a wrong adapter.

    Good:
        # faults/wren-5/fuse-open.yaml
        cause:
          how: An adapter of the wrong voltage.
    """
    if found := personal(text):
        message = f"'{found.text}' looks like {found.looks_like}: it may tell whose device it was"
        yield Problem(origin, message, "take it out; say how it came about, never who did it")


@rule("warning", each=TEXT)
def mixed_scripts(origin: Origin, text: str) -> Iterator[Problem]:
    """The letters of a word are of one script: a search does not find one of another script that looks alike.

    The signs of units and sums (ohm, micro, delta, pi) may stand beside any letter.

    Bad:
        # faults/wren-5/fuse-open.yaml
        title: Input fuse оpen

    Good:
        # faults/wren-5/fuse-open.yaml
        title: Input fuse open
    """
    if text.isascii():
        return
    for word in _WORD.findall(text):
        scripts: dict[str, str] = {}
        for char in word:
            if char.isalpha() and char not in _SIGNS:
                script = unicodedata.name(char, "").split(" ")[0]
                scripts.setdefault("CJK" if script in _TOGETHER else script, char)
        if len(scripts) > 1:
            odd = ", ".join(f"U+{ord(char):04X} ({script.lower()})" for script, char in scripts.items())
            message = f"the letters of '{word}' are of more than one script: {odd}"
            yield Problem(origin, message, "type the word again")
            return


# A symptom's hazards are few, and stand in no order.
_ORDERED = Kind(
    HAZARDS.told, HAZARDS.own, lambda book: listed(*book.techniques.values(), *book.states.values())
)


@rule("warning", each=_ORDERED)
def hazards_out_of_order(book: Book, origin: Origin, names: tuple[str, ...]) -> Iterator[Problem]:
    """Hazards stand by signal word, the most serious first: danger, warning, caution, notice.

    Bad:
        # faults/wren-5/line-held-low.yaml
        hazard: [static, lithium-pack]

    Good:
        # faults/wren-5/line-held-low.yaml
        hazard: [lithium-pack, static]
    """
    known = [name for name in names if name in book.hazards]
    ordered = by_severity(book, known)
    if list(ordered) != known:
        yield _disorder(book, origin, known, ordered)


def _disorder(book: Book, origin: Origin, known: list[str], ordered: tuple[str, ...]) -> Problem:
    first = next(name for name, right in zip(known, ordered, strict=True) if name != right)
    message = f"'{first}' ({book.hazards[first].signal}) stands before a more serious hazard"
    return Problem(origin.at("hazard"), message, f"write [{', '.join(ordered)}]", on_key=True)
