"""One YAML reader for every record: YAML 1.2 core scalars, no anchors, aliases, tags or duplicate keys.

The text is read event by event, so depth and size are bounded and hostile input costs no recursion.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import yaml
from yaml import events

from benchlore.book.slips import slip_of
from benchlore.findings import Path

MAX_BYTES = 1_000_000
MAX_DEPTH = 32

Plain = None | bool | int | float | str
Data = Plain | list["Data"] | dict[str, "Data"]

_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]*)")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|(?:0|[1-9][0-9]*)(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_WORDS: dict[str, Plain] = {"true": True, "false": False, "null": None, "~": None, "": None}
# What older YAML reads as something else: other tools would disagree with us about these.
_AMBIGUOUS = (
    (
        re.compile(r"(?i:yes|no|on|off|y|n)|True|TRUE|False|FALSE|Null|NULL"),
        "some programs read it as true or false",
    ),
    (
        re.compile(r"[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9]*)?"),
        "some programs read it as a number of base 60",
    ),
    (
        re.compile(r"[-+]?0[0-9_]+|[-+]?0[xob][0-9a-fA-F_]+"),
        "some programs read it as an octal or hexadecimal number",
    ),
    (re.compile(r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}(?:[Tt ].*)?"), "some programs read it as a date"),
    (re.compile(r"[-+]?[0-9]+(?:_[0-9_]*)(?:\.[0-9_]*)?"), "some programs read it as a number"),
    (re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)"), "it is not a number that people write"),
)


# Control and format characters drive a terminal, turn the order of letters round, or hide in a word; line and
# paragraph separators end a line where no editor shows it; private ones look like nothing that is agreed.
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Zl", "Zp"})
# Blank to the eye, though Unicode counts them among the letters and symbols.
_BLANK = frozenset("\u115f\u1160\u2800\u3164\uffa0")
# A letter of any living script carries two marks at most, of Vietnamese or of Greek with its accents three.
_MARKS = 3


@dataclass(frozen=True, slots=True)
class Mark:
    """Line and column, both from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class TextFault:
    """Why a text is no record: rule id, place, message and mend."""

    rule: str
    mark: Mark
    message: str
    mend: str


@dataclass(frozen=True, slots=True)
class Marks:
    """Where the values and the keys of a text stand, by path; a text in a list also by what it says."""

    values: dict[Path, Mark]
    keys: dict[Path, Mark]


class _StopError(Exception):
    def __init__(self, fault: TextFault) -> None:
        super().__init__(fault.message)
        self.fault = fault


@dataclass(slots=True)
class _Open:
    """A list or mapping under construction."""

    path: Path
    items: list[Data] | dict[str, Data]
    in_braces: bool = False
    key: str | None = None


def decode(raw: bytes) -> tuple[str, list[TextFault]]:
    """Bytes of a record file to text. A byte-order mark or bytes that are not UTF-8 are faults."""
    if len(raw) > MAX_BYTES:
        return "", [_size_fault(len(raw))]
    faults = []
    if raw.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        message = "the file starts with a byte-order mark"
        faults.append(TextFault("not-utf-8", Mark(1, 1), message, "save it as UTF-8 without byte-order mark"))
        if not raw.startswith(b"\xef\xbb\xbf"):
            return "", faults
        raw = raw[3:]
    try:
        return raw.decode("utf-8"), faults
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        start = raw.rfind(b"\n", 0, error.start) + 1
        column = len(raw[start : error.start].decode("utf-8", "replace")) + 1
        message = f"the file is not saved as UTF-8 (byte 0x{raw[error.start]:02x} at this place)"
        mend = "save it again, and choose UTF-8 as its encoding"
        return "", [*faults, TextFault("not-utf-8", Mark(line, column), message, mend)]


def _size_fault(size: int) -> TextFault:
    message = f"the file has {size:,} bytes; a record has at most {MAX_BYTES:,}"
    return TextFault("file-too-large", Mark(1, 1), message, "split it or take out what is not a record")


def parse(text: str) -> tuple[Data, list[TextFault], Marks]:
    """YAML text to plain data, with the faults found and the marks of every value.

    The data are None where the text cannot be read at all. Faults that leave the rest readable (a duplicate
    key, an ambiguous scalar) do not stop the reading, so that one run finds all of them.
    """
    return _Builder().run(text)


class _Builder:
    """Builds data from YAML events. One instance reads one text."""

    def __init__(self) -> None:
        self.faults: list[TextFault] = []
        self.marks = Marks({}, {})
        self.stack: list[_Open] = []
        self.root: Data = None
        self.documents = 0
        self.cut: list[TextFault] = []  # names in braces without a colon: what a comma has cut off
        self.spans: list[tuple[int, int, int, int]] = []  # of the scalars: lines and columns from 0

    def run(self, text: str) -> tuple[Data, list[TextFault], Marks]:
        try:
            for event in _events(text):
                self._take(event)
        except _StopError as stop:
            self.faults.append(stop.fault)
            return None, self.faults, self.marks
        if commas := list(_decimal_commas(text, self.spans)):
            return None, commas, self.marks
        if self.cut:
            return None, self.cut, self.marks
        self.faults += _remarks(text, self.spans)
        self.faults += _hidden_in_remarks(text, self.spans)
        if self.root is None and not self.faults:
            self.faults.append(
                TextFault("empty-file", Mark(1, 1), "the file holds no record", "fill it or delete it")
            )
        return self.root, self.faults, self.marks

    def _take(self, event: events.Event) -> None:
        mark = _mark(event)
        match event:
            case events.DocumentStartEvent():
                self.documents += 1
                if self.documents > 1:
                    raise _StopError(
                        TextFault(
                            "not-yaml",
                            mark,
                            "a second record begins in this file",
                            "write one record a file, and take out lines of '---' or '...'",
                        )
                    )
            case events.AliasEvent():
                self.faults.append(
                    TextFault(
                        "alias-in-record",
                        mark,
                        f"a text without quotes cannot begin with '*' ('*{event.anchor}')",
                        "put the whole text in quotes, or write out the value that is meant",
                    )
                )
                self._put(None, mark)
            case events.ScalarEvent():
                if event.start_mark and event.end_mark:
                    start, end = event.start_mark, event.end_mark
                    self.spans.append((start.line, start.column, end.line, end.column))
                self._refuse_extras(event, mark)
                self._put_scalar(event, mark)
            case events.MappingStartEvent() | events.SequenceStartEvent():
                self._refuse_extras(event, mark)
                self._open(event, mark)
            case events.MappingEndEvent() | events.SequenceEndEvent():
                self.stack.pop()

    def _refuse_extras(
        self, event: events.ScalarEvent | events.MappingStartEvent | events.SequenceStartEvent, mark: Mark
    ) -> None:
        if event.anchor:
            self.faults.append(
                TextFault(
                    "alias-in-record",
                    mark,
                    f"a text without quotes cannot begin with '&' ('&{event.anchor}')",
                    "put the whole text in quotes, or take it out",
                )
            )
        if event.tag is not None:
            self.faults.append(
                TextFault(
                    "tag-on-value",
                    mark,
                    f"a text without quotes cannot begin with '!' ('{event.tag}')",
                    "put the whole text in quotes, or take it out",
                )
            )

    def _open(self, event: events.MappingStartEvent | events.SequenceStartEvent, mark: Mark) -> None:
        if len(self.stack) >= MAX_DEPTH:
            message = f"values are nested more than {MAX_DEPTH} deep"
            raise _StopError(
                TextFault("nested-too-deep", mark, message, "a record needs four or five levels")
            )
        if self._awaits_key():
            raise _StopError(
                TextFault(
                    "not-yaml",
                    mark,
                    "brackets stand where a name must",
                    "write a plain word before the colon",
                )
            )
        items: list[Data] | dict[str, Data] = {} if isinstance(event, events.MappingStartEvent) else []
        path = self._next_path()
        self._put(items, mark)
        self.stack.append(_Open(path, items, bool(event.flow_style)))

    def _awaits_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1].items, dict) and self.stack[-1].key is None

    def _next_path(self) -> Path:
        if not self.stack:
            return ()
        top = self.stack[-1]
        return (*top.path, len(top.items) if isinstance(top.items, list) else str(top.key))

    def _put_scalar(self, event: events.ScalarEvent, mark: Mark) -> None:
        value, hidden = _seen(event.value)
        if hidden:
            found = _points(hidden)
            self.faults.append(
                TextFault("hidden-character", mark, _HIDDEN + found, "write the text without them")
            )
        plain = event.implicit[0] and event.style in (None, "")
        if plain:
            for pattern, reason in _AMBIGUOUS:
                if pattern.fullmatch(value):
                    message = f"'{value}' is ambiguous: {reason}"
                    self.faults.append(TextFault("ambiguous-value", mark, message, _scalar_mend(value)))
        if self._awaits_key():
            self._key(value, mark)
        else:
            if plain and not value:
                self._look_for_cut()
            data = _resolve(value) if plain else value
            if isinstance(data, float) and math.isinf(data):
                message = f"'{value}' is larger than any number that programs hold"
                self.faults.append(
                    TextFault("ambiguous-value", mark, message, "write the number that is meant")
                )
                data = 1.0  # any field of numbers takes it: one mistake is one finding
            self._put(data, mark)

    def _look_for_cut(self) -> None:
        """A name in braces whose missing value begins where it ends has no colon."""
        top = self.stack[-1] if self.stack else None
        named, missing = self.spans[-2:-1], self.spans[-1]  # a name that is an alias has no span
        touch = bool(named) and missing[:2] == named[0][2:]
        if top and top.in_braces and isinstance(top.items, dict) and touch:
            mark = self.marks.keys[(*top.path, str(top.key))]
            self.cut.append(TextFault("not-yaml", mark, *_cut(str(top.key), bool(top.items))))

    def _key(self, key: str, mark: Mark) -> None:
        top = self.stack[-1]
        path = (*top.path, key)
        if key in top.items:
            first = self.marks.keys[path]
            message = f"'{key}' stands twice; the first is in line {first.line}"
            self.faults.append(TextFault("duplicate-key", mark, message, "keep one of them"))
        else:
            self.marks.keys[path] = mark
        top.key = key

    def _put(self, value: Data, mark: Mark) -> None:
        path = self._next_path()
        self.marks.values.setdefault(path, mark)
        if not self.stack:
            self.root = value
            return
        top = self.stack[-1]
        if isinstance(top.items, list):
            top.items.append(value)
            if isinstance(value, str):
                self.marks.values.setdefault((*top.path, value), mark)
        elif top.key is None:
            self._key("*", mark)  # an alias as key: reported, its value goes under a name no schema knows
        else:
            top.items.setdefault(top.key, value)
            top.key = None


_NO_BLANK = re.compile(r"([A-Za-z][\w-]*):([^\s/]\S*)")


def _cut(name: str, follows: bool) -> tuple[str, str]:
    """What is wrong with a name in braces that has no colon, and the mend; `follows`: it is not the first."""
    if found := _NO_BLANK.fullmatch(name):
        return f"no blank stands behind '{found[1]}:'", f"write '{found[1]}: {found[2]}'"
    if not follows:
        return f"inside braces '{name}' has no colon", f"write '{name}: ' and its value"
    message = f"inside braces a comma ends the text before it, and '{name}' has no colon"
    return message, "put the whole text in quotes"


_COMMA = re.compile(r"[{,]\s*[\w-]+:\s*([-+]?[0-9]+),([0-9]+)")


def _decimal_commas(text: str, spans: list[tuple[int, int, int, int]]) -> Iterator[TextFault]:
    """`{range: 4,70 V}`: inside braces a comma ends the value, and the rest would be names."""
    values: set[tuple[int, int, int, int]] | None = None
    for number, line in enumerate(text.split("\n") if "{" in text else ()):
        for found in _COMMA.finditer(line):
            values = values or set(spans)
            if (number, found.start(1), number, found.end(1)) in values:
                message = f"inside braces a comma ends the value: '{found[1]},{found[2]}'"
                mend = f"write a decimal point: {found[1]}.{found[2]}"
                yield TextFault("not-yaml", Mark(number + 1, found.start(1) + 1), message, mend)


_REMARK = re.compile(r"\s#")
_HEADER = re.compile(r"[|>][-+0-9]*\s+#")


def _remarks(text: str, spans: list[tuple[int, int, int, int]]) -> Iterator[TextFault]:
    """What stands behind a `#` on the line of a value: of a text without quotes, it cuts off the rest."""
    waiting = iter(spans)
    covering: list[tuple[int, int, int, int]] = []
    following = next(waiting, None)
    for number, line in enumerate(text.split("\n")):
        if not _REMARK.search(line.lstrip()) or line.lstrip().startswith("#"):
            continue
        while following and following[0] <= number:
            covering.append(following)
            following = next(waiting, None)
        covering = [span for span in covering if span[2] >= number]
        for found in _REMARK.finditer(line):
            at = found.start() + 1
            if any(_inside(line, number, at, span) for span in covering):
                continue
            # Behind the name of what follows below there is no value to be taken for a part of.
            if not line[:at].rstrip().endswith((":", "-")):
                lost = line[at:].rstrip()
                shown = lost if len(lost) <= 60 else f"{lost[:57]}..."
                message = f"this is a remark, and no part of the value before it: {shown}"
                mend = "put the whole text in quotes, or the remark on a line of its own above"
                yield TextFault("remark-behind-value", Mark(number + 1, at + 1), message, mend)
            break


def _hidden_in_remarks(text: str, spans: list[tuple[int, int, int, int]]) -> Iterator[TextFault]:
    """What nobody sees outside of the values: an editor may show another text than stands there."""
    if text.isascii():
        return
    for number, line in enumerate(text.split("\n")):
        seen, hidden = _seen(line)
        if not hidden:
            continue
        covering = [span for span in spans if span[0] <= number <= span[2]]
        at = [
            column
            for column, (there, shown) in enumerate(zip(line, seen, strict=True))
            if there != shown and not any(_inside(line, number, column, span) for span in covering)
        ]
        if at:
            found = _points("".join(line[column] for column in at))
            yield TextFault("hidden-character", Mark(number + 1, at[0] + 1), _HIDDEN + found, "take them out")


_HIDDEN = "characters stand here that nobody sees, or a pile of marks: "


def _points(hidden: str) -> str:
    return ", ".join(dict.fromkeys(f"U+{ord(char):04X}" for char in hidden))


def _inside(line: str, number: int, at: int, span: tuple[int, int, int, int]) -> bool:
    """True where a scalar covers the column of a line; behind the sign of a block of text stands a remark."""
    first, start, last, end = span
    if number == first and _HEADER.match(line[start:]):
        return False
    return (number > first or at >= start) and (number < last or at < end)


def _seen(text: str) -> tuple[str, str]:
    """The text with U+FFFD in the place of what nobody sees, and what that was."""
    if text.isascii() and text.isprintable():
        return text, ""
    kept, hidden, marks = [], [], 0
    for char in text:
        category = unicodedata.category(char)
        marks = marks + 1 if category in ("Mn", "Me") else 0
        bad = (category in _UNSEEN and char not in "\t\n") or char in _BLANK or marks > _MARKS
        kept.append("\ufffd" if bad else char)
        hidden += [char] if bad else []
    return "".join(kept), "".join(hidden)


def _scalar_mend(value: str) -> str:
    if re.fullmatch(r"(?i:yes|on|y|true)", value):
        return "write true; a number in digits; the word itself in quotes"
    if re.fullmatch(r"(?i:no|off|n|false)", value):
        return "write false; a number in digits; the word itself in quotes"
    return f"write '{value}' in quotes, or the number without leading zeros"


def _resolve(value: str) -> Plain:
    if value in _WORDS:
        return _WORDS[value]
    if len(value) <= 40:
        if _INT.fullmatch(value):
            return int(value)
        if _FLOAT.fullmatch(value):
            return float(value)
    return value


def _mark(event: events.Event) -> Mark:
    start = event.start_mark
    return Mark(start.line + 1, start.column + 1) if start else Mark(1, 1)


def _events(text: str) -> Iterator[events.Event]:
    loader: Callable[..., Iterator[events.Event]] = yaml.parse
    backend = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        yield from loader(text, Loader=backend)
    except yaml.MarkedYAMLError as error:
        raise _StopError(_syntax_fault(text, error)) from None
    except yaml.reader.ReaderError as error:
        line = text.count("\n", 0, error.position) + 1
        column = error.position - (text.rfind("\n", 0, error.position) + 1) + 1
        message = f"character {error.character!r} is not allowed in YAML"
        raise _StopError(TextFault("not-yaml", Mark(line, column), message, "take it out")) from None
    except (yaml.YAMLError, RecursionError) as error:
        raise _StopError(
            TextFault("not-yaml", Mark(1, 1), str(error).splitlines()[0], "see the line named")
        ) from None


# What has a sign at its end: a text in quotes, a list or names in brackets.
_HAS_END = re.compile("quoted scalar|flow (?:sequence|mapping)")


def _syntax_fault(text: str, error: yaml.MarkedYAMLError) -> TextFault:
    place = error.problem_mark or error.context_mark
    mark = Mark(place.line + 1, place.column + 1) if place else Mark(1, 1)
    lines = text.split("\n")
    line = lines[mark.line - 1] if mark.line <= len(lines) else ""
    problem = str(error.problem or error.context or "cannot be read as YAML")
    lead = line[: len(line) - len(line.lstrip())]
    if "\t" in lead or "\t" in line[: mark.column]:
        column = line.index("\t") + 1
        return TextFault(
            "tab-in-indent", Mark(mark.line, column), "a tab indents this line", "indent with spaces"
        )
    begun = error.context_mark
    opened = (begun.line + 1, begun.column + 1) if begun and _HAS_END.search(str(error.context)) else None
    if slip := slip_of(lines, mark.line, opened):
        return TextFault("not-yaml", Mark(slip[0], slip[1]), *slip[2:])
    if "mapping values are not allowed" in problem:
        message = "a colon with a blank behind it stands inside a text"
        return TextFault("not-yaml", mark, message, "put the whole text in quotes")
    if "exceeded max depth" in problem.lower() or "nesting" in problem.lower():
        return TextFault("nested-too-deep", mark, problem, "a record needs four or five levels")
    return TextFault("not-yaml", mark, *_plain_words(problem))


def _plain_words(problem: str) -> tuple[str, str]:
    """Message and mend for what the YAML reader says. It often stumbles a line after the mistake."""
    above = "look at this line and the one above"
    if "expected ':'" in problem:
        return "a line has no name with its colon", f"{above}: is there a blank after the colon?"
    if "'-' indicator" in problem or "block sequence entries" in problem or "block collection" in problem:
        return "this line does not go on with the list", f"{above}: is a dash missing, or a blank in front?"
    if "expected key" in problem or "block mapping" in problem:
        mend = f"{above}: a dash missing, wrong indentation, a quote inside quotes (write it twice)?"
        return "no name stands where one must", mend
    mend = f"{above}: a blank after the colon? a dash? a quote inside quotes (write it twice)?"
    return "this line cannot be read", mend
