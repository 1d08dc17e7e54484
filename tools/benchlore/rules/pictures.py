"""Pictures: each is there, can be shown, and stands beside something."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book, Family, Picture
from benchlore.book.pictures import SVG, picture_file
from benchlore.findings import Origin, Problem, nearest
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAMILY


def _pictures(family: Family) -> Iterator[Picture]:
    for part in family.parts.values():
        yield from part.pictures
    for point in family.probe_points:
        yield from point.pictures


def _known(book: Book, family: Family) -> dict[str, str]:
    """The picture files of a family, by their names in its folder."""
    folder = picture_file(family.id, "")
    return {file.removeprefix(folder): file for file in book.pictures if file.startswith(folder)}


@rule(each=FAMILY, waivable=False)
def unknown_picture(book: Book, family: Family) -> Iterator[Problem]:
    """A picture that a record names lies in the folder `pictures` of its family.

    Bad:
        # faults/wren-5/family.yaml
        parts:
          F1:
            pictures: [{file: fuse-opn.png, shows: The open link of the fuse under the lens.}]

    Good:
        # faults/wren-5/family.yaml
        parts:
          F1:
            pictures: [{file: fuse-open.png, shows: The open link of the fuse under the lens.}]
    """
    known = _known(book, family)
    for picture in _pictures(family):
        if picture.file not in known and not picture.file.endswith(".svg"):
            message = f"'{picture.file}' is not among the pictures of {family.id}"
            mend = nearest(picture.file, known) or f"put it into {picture_file(family.id, picture.file)}"
            yield Problem(picture.origin.at("file"), message, mend)


@rule(each=FAMILY, waivable=False)
def unusable_picture(book: Book, family: Family) -> Iterator[Problem]:
    """A picture is whole, a PNG, JPEG or WebP that does not move, with at most 5 MB and 40 million pixels.

    It is decoded before it counts, whatever its name ends in. SVG is refused: it can hold scripts and links.
    Pages show a copy that is made anew from the pixels, without what a camera writes beside them.

    Bad:
        # faults/wren-5/family.yaml
        parts:
          F1:
            pictures: [{file: fuse-open.svg, shows: The open link of the fuse under the lens.}]

    Good:
        # faults/wren-5/family.yaml
        parts:
          F1:
            pictures: [{file: fuse-open.png, shows: The open link of the fuse under the lens.}]
    """
    known = _known(book, family)
    for picture in _pictures(family):
        found = book.pictures[known[picture.file]] if picture.file in known else None
        trouble, mend = (found.trouble, found.mend) if found else ("", "")
        if picture.file.endswith(".svg"):
            trouble, mend = SVG
        if trouble:
            yield Problem(picture.origin.at("file"), f"'{picture.file}' {trouble}", mend)


@rule("warning", each=FAMILY)
def unused_picture(book: Book, family: Family) -> Iterator[Problem]:
    """Every file in the folder `pictures` of a family stands beside one of its parts or test points.

    Bad:
        # faults/wren-5/family.yaml
        parts:
          C1:
            pictures:

    Good:
        # faults/wren-5/family.yaml
        parts:
          C1:
            pictures: [{file: capacitor.png, shows: The cracked capacitor from above.}]
    """
    used = {picture.file for picture in _pictures(family)}
    for name, file in _known(book, family).items():
        if name not in used:
            mend = "name it at the part or the point that it shows, or delete it"
            yield Problem(Origin(file), f"no part and no test point of {family.id} shows it", mend)
