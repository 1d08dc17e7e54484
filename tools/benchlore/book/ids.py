"""What records are called, and which file holds each: `petrel-13/x` stands in `faults/petrel-13/x.yaml`."""

from __future__ import annotations

import re

BOOK_FOLDER = "faults"
COMMON = "common"  # the folder of what all families share
# Its files; each is a kind, and its id, too. A book may do without the others.
COMMON_KINDS = ("shop", "symptoms", "hazards", "meters", "states")
OTHER_KINDS = ("words",)
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def fault_id(family: str, name: str) -> str:
    """The id of a fault pattern."""
    return f"{family}/{name}"


def family_of(key: str) -> str:
    """The family of a fault's id; a family's own id is that family."""
    return key.partition("/")[0]


def name_of(key: str) -> str:
    """A fault's id without the family; any other id as it is."""
    return key.partition("/")[2] or key


def file_of(kind: str, key: str) -> str:
    """The file of a record, relative to the parent of the book's folder."""
    match kind:
        case "fault":
            return f"{BOOK_FOLDER}/{key}.yaml"
        case "family":
            return f"{BOOK_FOLDER}/{key}/family.yaml"
        case "subsystem":
            return f"{BOOK_FOLDER}/{family_of(key)}/family/{name_of(key)}.yaml"
        case "technique":
            return f"{BOOK_FOLDER}/{COMMON}/techniques/{key}.yaml"
    return f"{BOOK_FOLDER}/{COMMON}/{key}.yaml"


def kind_of(file: str) -> tuple[str, str] | None:
    """Record kind and id by path (`faults/petrel-13/x.yaml` -> fault, `petrel-13/x`), or None."""
    match file.removesuffix(".yaml").split("/"):
        case [folder, *_] if folder != BOOK_FOLDER:
            return None
        case [_, folder, name] if folder == COMMON and name in (*COMMON_KINDS, *OTHER_KINDS):
            return name, name
        case [_, folder, "techniques", name] if folder == COMMON and _SLUG.fullmatch(name):
            return "technique", name
        case [_, family, *names] if family != COMMON and all(map(_SLUG.fullmatch, (family, *names))):
            return _of_family(family, names)
    return None


def _of_family(family: str, names: list[str]) -> tuple[str, str] | None:
    match names:
        case ["family"]:
            return "family", family
        case ["family", name]:
            return "subsystem", f"{family}/{name}"
        case [name]:
            return "fault", fault_id(family, name)
    return None


def folder_of(file: str) -> str:
    """The family whose file this is, or `common`; anything that is neither goes with `common`."""
    steps = file.split("/")
    return steps[1] if len(steps) > 2 else COMMON
