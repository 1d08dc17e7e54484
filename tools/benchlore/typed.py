"""Values as people type them: `7,92`, `.514 V`, `2k2`, `1.2 Meg`, `mV AC`, `22 100`, `3 to 8 V`, `2.2k 5%`.

The lenient counterpart of `quantity`, which is for records. `assets/js/typed.js` does the same in the
browser, value for value; `tests/typed/` holds both to the same answers. Grammar, spaces free::

    typed  = ["about" | "~"] (span | value [tolerance] | time)
    span   = value ("to" | "and" | "-" | "..") value
    value  = number [unit] | digits letter digits [unit]        2k2, 4R7, 3V3, R47 (IEC 60062)
    number = [sign] digits, point or comma, groups of three by blank, point, comma or apostrophe, exponent
    unit   = [prefix] [base] ["AC" | "DC"], by sign or by word, in any case
    time   = 1:30 | 1 min 30 s

What has two meanings is asked back, never guessed: `25 mhz`, `7.92 MV`, `1,234`. Texts are bounded and the
patterns linear, so that no text takes long.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from benchlore.quantity import scaled
from benchlore.vocabulary import OVER_RANGE, PREFIX_WORDS, PREFIXES, UNITS

LONGEST = 60  # characters

_LOOKALIKES = str.maketrans(
    {
        **dict.fromkeys("\u03a9\u2126", "ohm"),
        **dict.fromkeys("\u00b5\u03bc", "u"),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
        **dict.fromkeys("\u00a0\u2007\u2008\u2009\u200a\u202f\t", " "),
        "\u2019": "'",
        "\u00ba": "\u00b0",
        "\u2103": "\u00b0C",
        "\u2109": "\u00b0F",
        "\u00b1": "+-",
        "\u2026": "...",
    }
)
_EXPONENT = r"(?:[eE][-+]?[0-9]{1,2}(?![0-9.,]))?"
_GROUPED = r"[0-9]{1,3}(?:[ '][0-9]{3})+(?![0-9])(?:[.,][0-9]*)?"
_NUMBER = rf"[-+]? ?(?:{_GROUPED}|[.,]?[0-9][0-9.,]*){_EXPONENT}"
_UNIT = r"(?:[A-Za-z\u00b0%][A-Za-z\u00b0%. ]*(?:p-p)?)?~?"
_TOLERANCE = r"(?: ?\+- ?| )([0-9]+(?:[.,][0-9]*)?) ?%"
_VALUE = re.compile(rf"({_NUMBER}) ?({_UNIT})", re.ASCII)
_CODED = re.compile(rf"([-+]?) ?([0-9]*)([A-Za-z])([0-9]+) ?({_UNIT})", re.ASCII)
_WITH_TOLERANCE = re.compile(rf"([^%]*[A-Za-z0-9.])(?:{_TOLERANCE})", re.ASCII)
_SEPARATOR = re.compile(
    r" to | and |\.{2,3}|(?<=[0-9A-Za-z.%])(?<![0-9.][eE]) ?-+ ?(?=[-+]?[.,]?[0-9])", re.ASCII
)
_ABOUT = re.compile(
    r"\A(?:(?:about|approximately|approx\.?|around|roughly|circa|ca\.?|c\.) |[~\u2248] ?)", re.I | re.ASCII
)
_OR_SO = re.compile(r" (?:or so|approx\.?|approximately|about)\Z", re.I | re.ASCII)
_CLOCK = re.compile(r"(?:([0-9]{1,2}):)?([0-9]{1,3}):([0-5][0-9](?:[.,][0-9]+)?)", re.ASCII)
_MINUTES = re.compile(
    r"([0-9]{1,3}) ?(?:m|mins?|minutes?|') ?([0-5]?[0-9](?:[.,][0-9]+)?) ?(?:s|secs?|seconds?|\"|'')?",
    re.I | re.ASCII,
)
_PLAIN = re.compile(r"[0-9]+", re.ASCII)
_DECIMAL = re.compile(r"[0-9]*[.,][0-9]*", re.ASCII)
_TWO_WAYS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}", re.ASCII)
_COMMAS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?", re.ASCII)
_POINTS = re.compile(r"[0-9]{1,3}(?:\.[0-9]{3})+(?:,[0-9]*)?", re.ASCII)
_CURRENT = re.compile(r"(.*?)(dc|ac|rms|~|pp|p-p)", re.I | re.ASCII)
_SEVERAL = re.compile(r"[^0-9]*[0-9][0-9.,]*[^0-9.,]+[0-9].*", re.ASCII)
# Units that are never read in millions on a bench.
_SMALL = frozenset({"V", "A", "s", "W", "F", "H"})
_WITH_CURRENT = frozenset({"V", "A"})
_SLACK_LETTERS = {"K": "k", "U": "u", "N": "n", "P": "p", "g": "G"}


class TypedError(ValueError):
    """A typed text is no value, or has two meanings. `choices`: what may be meant, to be typed instead."""

    def __init__(self, reason: str, mend: str, choices: tuple[str, ...] = ()) -> None:
        super().__init__(f"{reason}; {mend}")
        self.reason = reason
        self.mend = mend
        self.choices = choices


@dataclass(frozen=True, slots=True)
class Typed:
    """A typed value, from `low` to `high` in the base unit; `nominal` is None where two ends were typed.

    `number`, `prefix`: as typed, the number with a decimal point. `bare`: neither unit nor prefix was typed.
    `current`: `ac` or `dc`, where that was typed.
    """

    low: float
    high: float
    nominal: float | None
    unit: str
    number: str
    prefix: str
    bare: bool
    current: str

    @property
    def decimals(self) -> int:
        """Digits after the point, as typed."""
        return len(self.number.partition(".")[2])


@dataclass(frozen=True, slots=True)
class _Unit:
    """A typed unit; the base is `factor` x (value - `offset`)."""

    prefix: str
    base: str
    current: str = ""
    factor: float = 1.0
    offset: float = 0.0


def clean(text: str) -> str:
    """A typed text with its look-alike signs replaced and its blanks single."""
    return re.sub(" +", " ", text.translate(_LOOKALIKES)).strip(" ")


def typed(text: str, unit: str = "") -> Typed:
    """The value that a text stands for, in `unit` where none is typed; any unit where `unit` is empty.

    Raises TypedError.
    """
    said = clean(text)
    if not said:
        raise TypedError("nothing was typed", _example(unit))
    if len(said) > LONGEST:
        raise TypedError(f"a value is at most {LONGEST} characters long", _example(unit))
    said = _OR_SO.sub("", _ABOUT.sub("", said))
    if unit in ("", "s") and (seconds := _seconds(said)) is not None:
        return Typed(seconds, seconds, seconds, "s", said, "", False, "")
    if found := _WITH_TOLERANCE.fullmatch(said):
        middle = _value(found[1], unit)
        percent = float(found[2].replace(",", "."))
        if percent >= 100:
            raise TypedError(f"a tolerance of {found[2]} %", "type a tolerance below 100 %")
        spread = abs(middle.low) * percent / 100
        return _spread(middle, middle.low - spread, middle.low + spread, middle.low)
    if found := _SEPARATOR.search(said.removeprefix("between ")):
        said = said.removeprefix("between ")
        if found.start() > 0:
            return _span(said[: found.start()], said[found.end() :], unit)
    return _value(said, unit)


def _seconds(text: str) -> float | None:
    """A time with its minutes, `1:30` or `1 min 30 s`; None where it is none."""
    if found := _CLOCK.fullmatch(text):
        return 3600 * int(found[1] or 0) + 60 * int(found[2]) + float(found[3].replace(",", "."))
    if found := _MINUTES.fullmatch(text):
        return 60 * int(found[1]) + float(found[2].replace(",", "."))
    return None


def is_over_range(text: str, unit: str = "") -> bool:
    """True for what a meter shows where no number comes: `OL`, `0.L`, `OL Mohm`, `open`, or infinity."""
    word, _, rest = re.sub("[.-]", "", clean(text).lower()).partition(" ")
    if word in OVER_RANGE and rest and unit:
        try:
            return _unit(rest, unit).base == unit
        except TypedError:
            pass
    return (word + rest).replace(" ", "") in OVER_RANGE


def _span(low_text: str, high_text: str, unit: str) -> Typed:
    high = _value(high_text.strip(" "), unit)
    first = low_text.strip(" ")
    low = _value(first, unit)
    if low.bare and not high.bare:
        # The unit stands once, behind both: `3 to 8 mV`.
        low = _value(f"{first} {_unit_text(high)}", unit)
    if low.unit != high.unit:
        raise TypedError(f"'{low_text} ... {high_text}' has two units", "type both ends in one unit")
    if low.low == high.low:
        raise TypedError("both ends are the same", "type one value, or both ends")
    if low.low > high.low:
        turned = f"{high_text} to {low_text}" if low_text[-1:].isalpha() or (low.bare and high.bare) else ""
        turned = turned or f"{high.number} to {low_text} {_unit_text(high)}"
        raise TypedError("the range does not rise", f"type {turned}", (turned,))
    return _spread(high, low.low, high.low, None)


def _unit_text(value: Typed) -> str:
    return f"{value.prefix}{value.unit}"


def _spread(of: Typed, low: float, high: float, nominal: float | None) -> Typed:
    return Typed(low, high, nominal, of.unit, of.number, of.prefix, of.bare, of.current)


def _value(text: str, unit: str) -> Typed:
    if found := _VALUE.fullmatch(text):
        number, written = found.groups()
        return _numbered(text, number, written, unit)
    if found := _CODED.fullmatch(text):
        sign, whole, letter, part, written = found.groups()
        return _coded(text, f"{sign}{whole or '0'}.{part}", letter, written, unit)
    raise _no_value(text, unit)


def _coded(text: str, number: str, letter: str, written: str, unit: str) -> Typed:
    """`4k7`: the letter stands for the decimal point, and is a unit, or the prefix of one."""
    try:
        said = _unit(letter, unit or ("ohm" if _letter(letter) else None))
        if written and (_unit(written, said.base).prefix or not _letter(letter)):
            raise _no_value(text, unit)
    except _TwoUnitsError as error:
        choices = tuple(f"{_shifted(number, power)} {one}" for power, one in error.units)
        raise TypedError(error.reason, f"type {' or '.join(choices)}", choices) from error
    return _made(number, said, False)


def _numbered(text: str, number: str, written: str, unit: str) -> Typed:
    meanings = _numbers(number)
    if not meanings:
        raise _no_value(text, unit)
    try:
        said = _unit(written, unit or None)
    except _TwoUnitsError as error:
        choices = tuple(f"{_shifted(meanings[0], power)} {one}" for power, one in error.units)
        raise TypedError(error.reason, f"type {' or '.join(choices)}", choices) from error
    # Nobody writes thousands of a kilo: with such a prefix, the comma is the decimal one.
    if len(meanings) > 1 and PREFIXES[said.prefix] <= 0:
        choices = tuple(f"{one} {said.prefix}{said.base}".rstrip() for one in meanings)
        raise TypedError(
            f"'{number.strip(' ')}' can be read in two ways", f"type {' or '.join(choices)}", choices
        )
    return _made(meanings[0], said, not written)


def _made(number: str, said: _Unit, bare: bool) -> Typed:
    value = (scaled(number, PREFIXES[said.prefix]) - said.offset) * said.factor
    return Typed(value, value, value, said.base, number, said.prefix, bare, said.current)


def _numbers(text: str) -> list[str]:
    """What a typed number may mean, each with a decimal point and no exponent: none, one or two."""
    digits, _, exponent = re.sub("[ ']", "", text).lower().partition("e")
    sign, digits = ("-" if digits.startswith("-") else ""), digits.lstrip("+-")
    if _PLAIN.fullmatch(digits):
        meanings = [digits]
    elif _TWO_WAYS.fullmatch(digits):
        meanings = [digits.replace(",", "."), digits.replace(",", "")]
    elif _DECIMAL.fullmatch(digits):
        meanings = [digits.replace(",", ".")]
    elif _COMMAS.fullmatch(digits):
        meanings = [digits.replace(",", "")]
    elif _POINTS.fullmatch(digits):
        meanings = [digits.replace(".", "").replace(",", ".")]
    else:
        meanings = []
    return [_shifted(sign + one, int(exponent or 0)) for one in meanings]


def _shifted(number: str, power: int) -> str:
    """A decimal text x 10^power, with its digits as they are: `25`, -3 -> `0.025`."""
    if power == 0:
        return number
    sign, digits = ("-", number[1:]) if number.startswith("-") else ("", number)
    whole, _, part = digits.partition(".")
    place = len(whole) + power
    padded = "0" * max(1 - place, 0) + whole + part + "0" * max(place - len(whole + part), 0)
    place = max(place, 1)
    return sign + padded[:place] + ("." + padded[place:] if padded[place:] else "")


class _TwoUnitsError(TypedError):
    """A typed unit that can be two, or none that a bench has.

    `units`: those that may be meant, each with the power of ten that the number takes for it.
    """

    def __init__(self, reason: str, *units: tuple[int, str]) -> None:
        super().__init__(reason, f"type {' or '.join(unit for _, unit in units)}")
        self.units = units


def _unit(text: str, base: str | None) -> _Unit:
    """What a typed unit says; where it is empty, `base`. Raises TypedError."""
    short = re.sub("[. ]", "", text)
    if not short:
        return _Unit("", base or "")
    if base and (other := UNITS[base].others.get(short.lower())):
        return _Unit("", base, "", *other)
    found = _plain_unit(short, base)
    if found is None and (current := _CURRENT.fullmatch(short)):
        rest, kind = current[1], current[2].lower()
        said = _plain_unit(rest, base) if rest else _Unit("", base or "")
        if said and said.base in _WITH_CURRENT:
            if kind in ("pp", "p-p"):
                raise _TwoUnitsError(
                    "a meter shows r.m.s., not peak to peak", (0, f"{said.prefix}{said.base} AC")
                )
            found = _Unit(said.prefix, said.base, "dc" if kind == "dc" else "ac")
    if found is None:
        raise TypedError(f"'{text.strip(' ')}' is not a unit", _example(base or ""))
    if base is None or found.base == base:
        return found
    given, wanted = UNITS[found.base], UNITS[base]
    reason = f"this is {given.measures}, in {given.sign}; {wanted.words[-1]} belong here"
    raise TypedError(reason, f"check the dial, or {_example(base)}")


def _plain_unit(text: str, base: str | None) -> _Unit | None:
    """Prefix and base of a unit without AC or DC; None where it is none. Raises _TwoUnitsError."""
    if text in UNITS:
        return _Unit("", text)
    if text[1:] in UNITS and UNITS[text[1:]].prefixed and text[:1] in PREFIXES:
        return _prefixed(text[:1], text[1:], exact=True)
    if (lone := _letter(text)) is not None:
        return _lone(text, lone, base)
    lower = text.lower()
    matches = [
        found
        for unit in UNITS.values()
        for word in (unit.id.lower(), *unit.words)
        if lower.endswith(word)
        and (found := _worded(text[: len(text) - len(word)], unit.id, unit.prefixed)) is not None
    ]
    fitting = [one for one in matches if one.base == base] or matches
    return fitting[0] if fitting else None


def _letter(text: str) -> str | None:
    """The prefix that a text is, by letter or word, `m` and `M` as written; None where it is none."""
    if text in PREFIXES:
        return text
    return _SLACK_LETTERS.get(text) or PREFIX_WORDS.get(text.lower())


def _lone(text: str, prefix: str, base: str | None) -> _Unit | None:
    """A prefix without its unit: `22k`. Of `470 m` alone nobody knows what it is."""
    if base is None:
        return _Unit(prefix, "ohm") if prefix in ("k", "M") else None
    if base == "degC" and text == "K":
        raise _TwoUnitsError("a probe shows degrees Celsius, not kelvin", (0, "degC"))
    if not UNITS[base].prefixed:
        return None
    if base == "s" and text == "m":
        raise _TwoUnitsError("'m' can be minutes or milliseconds", (0, "min"), (0, "ms"))
    return _prefixed(prefix, base, exact=True)


def _worded(head: str, base: str, prefixed: bool) -> _Unit | None:
    if not head:
        return _Unit("", base)
    letter = _letter(head)
    if not prefixed or letter is None:
        return None
    return _prefixed(letter, base, exact=len(head) > 1)


def _prefixed(prefix: str, base: str, exact: bool) -> _Unit:
    """A prefix of a unit; asked where `m` may be meant for `M`, or `M` for `m`. `exact`: written as in SI."""
    if prefix == "M" and base in _SMALL:
        raise _TwoUnitsError(f"M{base} is a million {base}", (0, f"m{base}"), (0, base))
    if base == "Hz" and (prefix == "m" or (prefix == "M" and not exact)):
        raise _TwoUnitsError("'m' before Hz can be read in two ways", (0, "MHz"), (-3, "Hz"))
    return _Unit(prefix, base)


def _no_value(text: str, unit: str) -> TypedError:
    if re.match(r"[<>~\u2264\u2265\u2248]", text):
        return TypedError(f"'{text}' is not a reading", "type what the meter shows")
    if _SEVERAL.fullmatch(text):
        return TypedError(f"'{text}' holds more than one number", "type one value")
    return TypedError(f"'{text}' is no value", _example(unit))


_EXAMPLES = {
    "V": "3.05 V",
    "ohm": "2.2 kohm",
    "A": "500 mA",
    "Hz": "32.768 kHz",
    "s": "1.5 s",
    "degC": "45 degC",
}


def _example(unit: str) -> str:
    return f"type a value, such as {_EXAMPLES.get(unit, f'50 {unit}') if unit else '7.92 V'}"
