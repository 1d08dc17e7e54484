"""Symptoms that few faults of a family show, and why. These count only when every file could be read."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.links import faults_of_symptom
from benchlore.book.model import Book, Family
from benchlore.findings import Problem, nearest
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAMILY
from benchlore.vocabulary import FEW_FAULTS


@rule("warning", each=FAMILY, whole=True)
def thin_without_reason(book: Book, family: Family) -> Iterator[Problem]:
    """A family that says of one symptom why fewer than three faults show it says so of each.

    A family without `thin` is young, and nothing is asked of it.

    Bad:
        # faults/wren-5/family.yaml
        thin: {no-picture: A board of three parts has no more that can fail.}

    Good:
        # faults/wren-5/family.yaml
        thin:
          no-picture: A board of three parts has no more that can fail.
          dead-on-adapter: Neither has its input.
    """
    if not family.thin:
        return
    for symptom in book.symptoms.values():
        faults = faults_of_symptom(book, symptom.id, family.id)
        if 0 < len(faults) < FEW_FAULTS and symptom.id not in family.thin:
            few = ", ".join(f"'{fault.id}'" for fault in faults)
            message = f"'{symptom.id}' is shown by {few} alone, and nobody says why"
            mend = "write its next record, or why there is none"
            yield Problem(family.origin.at("thin"), message, mend, on_key=True)


@rule("error", each=FAMILY, whole=True)
def reason_without_thin(book: Book, family: Family) -> Iterator[Problem]:
    """Why few faults show a symptom is said of those alone that few show.

    Bad:
        # faults/wren-5/family.yaml
        thin:
          no-picture: A board of three parts has no more that can fail.
          dead-on-adapter: Neither has its input.
          dark-screen: It has no light.

    Good:
        # faults/wren-5/family.yaml
        thin:
          no-picture: A board of three parts has no more that can fail.
          dead-on-adapter: Neither has its input.
    """
    for name in family.thin:
        origin = family.origin.at("thin", name)
        if name not in book.symptoms:
            mend = nearest(name, book.symptoms) or "write it as it stands in common/symptoms.yaml"
            yield Problem(origin, f"'{name}' is not a symptom", mend, on_key=True)
        elif (count := len(faults_of_symptom(book, name, family.id))) >= FEW_FAULTS:
            yield Problem(origin, f"{count} faults show '{name}' by now", "take the reason out", on_key=True)
