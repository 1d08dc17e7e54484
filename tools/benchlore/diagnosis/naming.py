"""What a symptom is about, by the words that people have for it: parts and nets with one in their name."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from functools import lru_cache

from benchlore.book.model import Book, Family, frozen_map
from benchlore.book.same import Same

IN_TITLES = 4  # symptoms with a word in their title, at most, that tell by it what they are about
IN_SAID = 2  # the same, of a word that is only said of them
OF_PARTS = 5  # a word in the names of more than one of so many parts of a family tells nothing there
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
    of_parts = _counted(words_of(part.name) for part in family.parts.values())
    common = {word for word, count in of_parts.items() if count * OF_PARTS > len(family.parts)}
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


def _counted(texts: Iterable[frozenset[str]]) -> Counter[str]:
    return Counter(word for words in texts for word in words)
