"""What a symptom is about, by its words: by hand on a few symptoms and parts."""

from __future__ import annotations

from dataclasses import replace

from benchlore.book.model import frozen_map
from benchlore.diagnosis.hypotheses import hypotheses_of
from benchlore.diagnosis.naming import named_in, words_of
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
