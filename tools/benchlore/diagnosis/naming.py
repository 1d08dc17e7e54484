"""What a symptom or an outcome is about, by the words that people have for it: parts and nets with one in
their name."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache

from benchlore.book.model import Book, Family, Measurement, frozen_map
from benchlore.book.same import Same

IN_TITLES = 4  # symptoms with a word in their title, at most, that tell by it what they are about
IN_SAID = 2  # the same, of a word that is only said of them
OF_PARTS = 5  # a word in the names of more than one of so many parts of a family tells nothing there
TOLD_APART = 3  # outcomes that bear the name of a part or net, at least, where a look tells these apart
LOCAL = 3  # nets: a fault with which more read abnormally is about none of them


def words_of(text: str) -> frozenset[str]:
    """The words of a text, in the singular, without those of one or two letters."""
    found = re.findall(r"[a-z]{3,}", text.lower())
    return frozenset(word[:-1] if word.endswith("s") and len(word) > 3 else word for word in found)


def named_in(book: Book, family: Family) -> Mapping[str, frozenset[str]]:
    """For each symptom the words of its title, and of what people say of it, that few other symptoms have and
    few parts of the family.
    """
    return _named_in(Same(book), Same(family))


@lru_cache(maxsize=8)
def _named_in(of_book: Same[Book], of_family: Same[Family]) -> Mapping[str, frozenset[str]]:
    symptoms, family = of_book.record.symptoms, of_family.record
    titles = {name: words_of(f"{name} {one.title}") for name, one in symptoms.items()}
    said = {name: words_of(" ".join(one.said)) for name, one in symptoms.items()}
    common = _common(family)
    in_titles, in_said = _counted(titles.values()), _counted(said.values())
    return frozen_map(
        {
            name: frozenset(
                {word for word in titles[name] if in_titles[word] <= IN_TITLES}
                | {word for word in said[name] if in_said[word] + in_titles[word] <= IN_SAID}
            )
            - common
            for name in symptoms
        }
    )


def _common(family: Family) -> set[str]:
    """The words in the names of too many parts."""
    of_parts = _counted(words_of(part.name) for part in family.parts.values())
    return {word for word, count in of_parts.items() if count * OF_PARTS > len(family.parts)}


def told_apart(
    family: Family, measures: Iterable[Measurement], settings: Collection[tuple[str, str]]
) -> Mapping[str, Mapping[str, frozenset[str]]]:
    """What the device itself says, or the eye finds, of several parts or nets: by measurement and abnormal
    outcome the words of its name that a part or a net bears, too, and no other outcome.

    `settings`: the measurements and outcomes that are read with settings; these name no part."""
    names = {word for part in family.parts.values() for word in words_of(part.name)} - _common(family)
    names |= {word for net in family.nets for word in words_of(net)}
    found = {}
    for m in measures:
        if m.unit is not None or m.inject is not None:
            continue
        wrong = [o for o in m.outcomes if o not in m.normal and (m.id, o) not in settings]
        words = {o: words_of(o) & names for o in wrong}
        counted = _counted(words.values())
        named = {o: frozenset(w for w in own if counted[w] == 1) for o, own in words.items()}
        if sum(bool(own) for own in named.values()) >= TOLD_APART:
            found[m.id] = frozen_map({o: own for o, own in named.items() if own})
    return frozen_map(found)


def _counted(texts: Iterable[frozenset[str]]) -> Counter[str]:
    return Counter(word for words in texts for word in words)
