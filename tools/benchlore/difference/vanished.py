"""Ids of an earlier state of a book that are gone without a word: pages, links and kept jobs name them."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from typing import Any

from benchlore.book import Loaded
from benchlore.book.ids import family_of, file_of
from benchlore.findings import Finding

# Two records as alike as this are one that was moved.
_ALIKE = 0.6
_COMMON = {"symptoms": "symptom", "hazards": "hazard", "meters": "meter", "states": "bench state"}
_ENTRIES = {"nets": "net", "parts": "part", "test_points": "test point", "measurements": "measurement"}


def vanished(old: Loaded, new: Loaded) -> tuple[Finding, ...]:
    """What `new` lacks of the ids of `old`: fault patterns that were neither moved nor retired as errors,
    all else as warnings."""
    unread = {finding.file for finding in new.findings if finding.severity == "error"}
    found = (*_faults(old, new), *_entries(old, new))
    return tuple(sorted(one for one in found if one.file not in unread))


def _faults(old: Loaded, new: Loaded) -> Iterator[Finding]:
    gone = {family_of(id_) for id_ in old.book.faults} - {family_of(id_) for id_ in _live(new)}
    for id_ in (*old.book.faults, *old.book.retired):
        file = file_of("fault", id_)
        if id_ in old.book.retired and id_ in new.book.faults:
            message = f"'{id_}' was retired, and its id is used again"
            yield Finding(file, 1, 1, "id-vanished", "error", message, "choose another name for this one")
        elif id_ not in _live(new) and family_of(id_) not in gone - set(new.book.families):
            yield Finding(file, 1, 1, "id-vanished", "error", f"'{id_}' is gone", _mend(old, new, id_))


def _live(loaded: Loaded) -> Mapping[str, Any]:
    return {**loaded.book.faults, **loaded.book.retired}


def _mend(old: Loaded, new: Loaded, id_: str) -> str:
    """The record of which it became another one, or why there is none."""
    text = old.sources.texts.get(file_of("fault", id_), "")
    came = [one for one in new.book.faults if one not in _live(old)]
    alike = {one: _likeness(text, new.sources.texts.get(file_of("fault", one), "")) for one in came}
    best = max(alike, key=lambda one: (alike[one], one), default="")
    if best and alike[best] >= _ALIKE:
        return f"put the file back with one line in it: 'moved_to: {best}'"
    return "put the file back with one line in it: 'retired:' and why, or 'moved_to:' and its new id"


def _likeness(one: str, other: str) -> float:
    return difflib.SequenceMatcher(None, one.splitlines(), other.splitlines(), autojunk=False).ratio()


def _entries(old: Loaded, new: Loaded) -> Iterator[Finding]:
    mend = "put it back, or leave a word where it was: kept jobs, links and addresses of pages name it"
    for kind, called in _COMMON.items():
        for id_ in getattr(old.book, kind).keys() - getattr(new.book, kind).keys():
            yield _entry(file_of(kind, kind), f"the {called} '{id_}' is gone", mend)
    for id_ in old.book.techniques.keys() - new.book.techniques.keys():
        yield _entry(file_of("technique", id_), f"the technique '{id_}' is gone", mend)
    for id_, family in old.book.families.items():
        file, now = file_of("family", id_), new.book.families.get(id_)
        if now is None:
            count = sum(family_of(fault) == id_ for fault in old.book.faults)
            message = f"the family '{id_}' is gone, with {count} fault pattern{'s' if count != 1 else ''}"
            yield Finding(file, 1, 1, "id-vanished", "error", message, "put the folder back: its name stays")
            continue
        for kind, called in _ENTRIES.items():
            for name in getattr(family, kind).keys() - getattr(now, kind).keys():
                yield _entry(file, f"the {called} '{name}' is gone", mend)


def _entry(file: str, message: str, mend: str) -> Finding:
    return Finding(file, 1, 1, "entry-vanished", "warning", message, mend)
