"""What a symptom is about, by its words: by hand on a few symptoms and parts."""

from __future__ import annotations

from dataclasses import replace

from benchlore.book.model import frozen_map
from benchlore.diagnosis.hypotheses import _of_settings, _told, hypotheses_of
from benchlore.diagnosis.naming import TOLD_APART, named_in, told_apart, words_of
from benchlore.vocabulary import FREQUENCIES
from tests.books import example

BOOK = example()
FAMILY = BOOK.families["siskin-12"]


def symptom(title: str, *said: str):
    return replace(next(iter(BOOK.symptoms.values())), title=title, said=said)


def test_words_are_taken_in_the_singular_and_short_ones_left_out() -> None:
    assert words_of("The lamps of an LED: no lamp, gas") == {"the", "lamp", "led", "gas"}
    assert words_of("CLOCK_32K") == {"clock"}


def test_a_symptom_is_about_the_words_that_few_others_have() -> None:
    book = replace(
        BOOK,
        symptoms=frozen_map(
            {
                "one": symptom("Clock loses time", "screen is blank", "wheel squeaks"),
                "two": symptom("Wheel stands", "screen flickers"),
                "three": symptom("Wheel turns", "screen is green"),
                **{f"light-{n}": symptom("Light is dark", "lamp") for n in range(5)},
            }
        ),
    )
    about = named_in(book, FAMILY)
    assert {"clock", "time", "blank"} <= about["one"]
    assert "screen" not in about["one"], "three symptoms are said so"
    assert "wheel" not in about["one"], "two have it in their title, and it is only said of this one"
    assert "wheel" in about["two"]
    assert "light" not in about["light-0"], "five symptoms have it in their title"


def test_what_many_parts_are_called_names_no_symptom() -> None:
    parts = {id_: replace(part, name="clock part") for id_, part in FAMILY.parts.items()}
    family = replace(FAMILY, parts=frozen_map(parts))
    book = replace(BOOK, symptoms=frozen_map({"clock-lost": symptom("Clock loses time")}))
    assert "clock" in named_in(book, FAMILY)["clock-lost"]
    assert named_in(book, family)["clock-lost"] == {"lost", "lose", "time"}


def test_a_suspect_that_is_named_shows_the_symptom_sometimes_at_least() -> None:
    """A part with a word of its own, and a symptom that no record of the family shows."""
    suspect = next(s for s in hypotheses_of(BOOK, FAMILY).suspects if not s.outside and len(s.members) == 1)
    name = suspect.members[0].part
    parts = {**FAMILY.parts, name: replace(FAMILY.parts[name], name="quux resistor")}
    family = replace(FAMILY, parts=frozen_map(parts))
    shares = []
    for title in ("The quux is lost", "The other is lost"):
        symptoms = {**BOOK.symptoms, "quaint": symptom(title)}
        book = replace(
            BOOK,
            families=frozen_map({**BOOK.families, family.id: family}),
            symptoms=frozen_map(symptoms),
        )
        known = hypotheses_of(book, family)
        place = len(known.faults) + [s.id for s in known.suspects].index(suspect.id)
        shares.append(known.shows["quaint"][place])
    assert shares[0] == FREQUENCIES["sometimes"].share
    assert shares[1] < shares[0] / 5


def look(*wrong: str):
    """A look of the family, with these outcomes beside the healthy one."""
    one = next(m for m in FAMILY.measurements.values() if m.unit is None and m.inject is None)
    healthy = one.outcomes[one.normal[0]]
    others = {name: replace(healthy, id=name, normal=False) for name in wrong}
    return replace(one, id="look", outcomes=frozen_map({healthy.id: healthy, **others}))


def with_names(**names: str):
    parts = [
        replace(part, name=name) for part, name in zip(FAMILY.parts.values(), names.values(), strict=False)
    ]
    return replace(FAMILY, parts=frozen_map({part.id: part for part in parts}))


NAMES = {"a": "jack", "b": "motor cable", "c": "pack blades", "d": "red lamp", "e": "key", "f": "horn"}


def test_a_look_whose_outcomes_bear_names_tells_parts_apart() -> None:
    """Three at least, of parts or nets; a word of two outcomes tells nothing, nor does one that is read with
    settings."""
    family = with_names(**NAMES)
    assert TOLD_APART == 3
    told = told_apart(family, [look("jack", "motor-dead", "pack", "all-over")], ())
    assert told == {"look": {"jack": {"jack"}, "motor-dead": {"motor"}, "pack": {"pack"}}}
    assert told_apart(family, [look("jack", "pack", "all-over")], ()) == {}, "two alone"
    assert told_apart(family, [look("jack", "pack", "motor-dead")], {("look", "pack")}) == {}
    both = told_apart(family, [look("jack", "motor-dead", "motor-slow", "pack", "lamp")], ())
    assert set(both["look"]) == {"jack", "pack", "lamp"}
    assert told_apart(family, [replace(look("jack", "motor", "pack"), mode="dc-volts")], ()) == {}


def test_what_is_named_is_read_in_six_of_ten() -> None:
    one = look("jack", "motor", "pack")
    of_outcome = {"jack": frozenset({"jack"}), "motor": frozenset({"motor"})}
    row = (0.7, 0.1, 0.1, 0.1)
    assert _told(one, row, of_outcome, frozenset({"pack"})) == row
    assert _told(one, row, of_outcome, frozenset({"jack"})) == (0.28, 0.64, 0.04, 0.04)
    assert _told(one, row, of_outcome, frozenset({"jack", "motor"})) == (0.28, 0.34, 0.34, 0.04)


def test_what_settings_read_names_no_part() -> None:
    fault = next(f for f in BOOK.faults.values() if f.test_points)
    setting = replace(
        fault,
        cause=replace(fault.cause, part="", mode=None, variants=()),
        fix=replace(fault.fix, action="set"),
    )
    read = {(e.measure, o) for e in fault.test_points for o, p in e.expected_reading.items() if p > 0}
    assert _of_settings(BOOK, [setting]) == read
    assert _of_settings(BOOK, [fault]) == set()
