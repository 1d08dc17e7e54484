"""What every record file is held to before the rules see it: its name, its bytes, its YAML, its fields.

The loader makes these findings; here stands what they mean. None of them can be waived.
"""

from __future__ import annotations

from collections.abc import Mapping

from benchlore.findings import Severity
from benchlore.rules.docs import RuleDoc, rule_doc

_TEXTS = {
    "file-misnamed": """
        A record's path says what it is: `faults/FAMILY/NAME.yaml` for a fault pattern,
        `faults/FAMILY/family.yaml`, `faults/FAMILY/family/SUBSYSTEM.yaml` for entries that it leaves to a
        file of their own, or one of the files of `faults/common/`. Names are lower-case words
        joined by hyphens, at most 80 characters long, and no two differ only in case.

        Bad:
            faults/wren-5/Fuse Open.yml

        Good:
            faults/wren-5/fuse-open.yaml
        """,
    "file-unreadable": """
        A record is a file of its own that can be read: a link that leaves the book, a linked folder, and a
        file or folder that is closed to this user are not.

        Bad:
            faults/wren-5/fuse-open.yaml -> /home/me/fuse-open.yaml

        Good:
            faults/wren-5/fuse-open.yaml
        """,
    "file-too-large": """
        A record file has at most 1,000,000 bytes.

        Bad:
            faults/wren-5/fuse-open.yaml, 50 MB: a photograph was saved under this name

        Good:
            faults/wren-5/fuse-open.yaml, 2 kB
        """,
    "missing-file": """
        The five shared files are there, and each folder with fault patterns has its `family.yaml`.

        Bad:
            faults/common/ without hazards.yaml

        Good:
            faults/common/hazards.yaml
        """,
    "family-unread": """
        A family fits its schema, so that its fault patterns can be held to its ranges and its circuit. Until
        then they are held to their own schema, and to the revisions, parts and measurements that the family
        names; this note says so once.

        Bad:
            # faults/wren-5/family.yaml
            kind: gadget

        Good:
            # faults/wren-5/family.yaml
            kind: console
        """,
    "entry-said-twice": """
        A net, a part, a test point or a measurement stands once: in `family.yaml`, or in one of the files of
        the folder `family/` beside it.

        Bad:
            # faults/wren-5/family/power.yaml
            nets:
              MAIN: {for: Feeds the processor.}

        Good:
            # faults/wren-5/family/power.yaml
            nets:
              CORE: {for: The processor's core.}
        """,
    "unknown-like": """
        `like` names what is there: another revision, another entry of the same section, or another fault
        pattern of the same family that is in use.

        Bad:
            # faults/wren-5/family.yaml
            measurements:
              main-rail-on-pack:
                like: main-rial

        Good:
            # faults/wren-5/family.yaml
            measurements:
              main-rail-on-pack:
                like: main-rail
        """,
    "like-in-circle": """
        Following `like` from record to record ends at one that states all of itself.

        Bad:
            # faults/wren-5/family.yaml
            measurements:
              main-rail: {like: main-rail-on-pack}
              main-rail-on-pack: {like: main-rail}

        Good:
            # faults/wren-5/family.yaml
            measurements:
              main-rail-on-pack: {like: main-rail}
        """,
    "id-vanished": """
        An id is never lost and never used again: a fault pattern that is not there any more left a file with
        `moved_to` or `retired`, and a family keeps its name. `check --against BASE` looks for what BASE had.

        Bad:
            mv faults/wren-5/fuse-open.yaml faults/wren-5/input-fuse-open.yaml

        Good:
            # faults/wren-5/fuse-open.yaml
            moved_to: wren-5/input-fuse-open
        """,
    "entry-vanished": """
        What a family or the common records had is still there: kept jobs name measurements, and links lead to
        nets and parts. It is a warning, for sometimes one has to go. `check --against BASE` looks for it.

        Bad:
            a measurement that was renamed: jobs in browsers hold readings under its old name

        Good:
            the old name, with other words in `asks`
        """,
    "findings-left-out": """
        A file has a hundred findings at most; this one counts the rest, which are often the same again.

        Bad:
            a record in which a thousand values are lists, where each must be a text

        Good:
            a record in which they are texts
        """,
    "not-utf-8": """
        A record is UTF-8 text without byte-order mark. An editor's "Save as" offers this.

        Bad:
            the resistor value 2.2 k\u03a9, saved as Windows-1253

        Good:
            the same text, saved as UTF-8
        """,
    "empty-file": """
        A file holds a record; an empty one is filled or deleted.

        Bad:
            # to do

        Good:
            title: Input fuse open
        """,
    "not-yaml": """
        The text can be read as YAML: blanks indent it, a colon and a blank follow each name, and a text
        that holds such a colon, or begins with one of `[ ] { } " ' & * ! | > % @ #`, is put in quotes.

        Bad:
            title: Input fuse: open

        Good:
            title: "Input fuse: open"
        """,
    "tab-in-indent": """
        Blanks indent a line, never a tab.

        Bad:
            fix:
            \taction: replace

        Good:
            fix:
              action: replace
        """,
    "duplicate-key": """
        A name stands once in its mapping; of two, one would be lost.

        Bad:
            seen: 4
            title: Input fuse open
            seen: 14

        Good:
            seen: 14
            title: Input fuse open
        """,
    "ambiguous-value": """
        No value that some programs read as something else: `yes`, `no`, `on`, `off`, `1:30`, `012`, a date.
        Write true or false, write the number plainly, or put the text in quotes. And no number that is larger
        than any that programs hold, such as `1e999`.

        Bad:
            normal: yes

        Good:
            normal: true
        """,
    "remark-behind-value": """
        A remark (`#` and what follows) stands on a line of its own. Behind a value it would be a part of the
        text that is lost: of `Undo screw #3 first` only `Undo screw` would be read.

        Bad:
            title: Undo screw #3 first

        Good:
            title: "Undo screw #3 first"
        """,
    "hidden-character": """
        No characters that nobody sees: control characters, marks that turn the order of letters round, soft
        hyphens, blanks without width, tags, and no pile of more than three marks on a letter. In remarks
        neither.

        Bad:
            title: "Input fuse\\x1b[2J open"

        Good:
            title: "Input fuse open"
        """,
    "alias-in-record": """
        Values are written out where they are used: no anchors (`&name`) and no aliases (`*name`).

        Bad:
            low: &low 0 to 1 V
            absent: *low

        Good:
            low: 0 to 1 V
            absent: 0 to 1 V
        """,
    "tag-on-value": """
        Values carry no tags (`!name`).

        Bad:
            seen: !!int 14

        Good:
            seen: 14
        """,
    "nested-too-deep": """
        Values nest at most 32 deep; a record needs five.

        Bad:
            title: [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[a]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]

        Good:
            title: [a]
        """,
    "unknown-field": """
        Every field is one that this kind of record has.

        Bad:
            # faults/wren-5/fuse-open.yaml
            hazards: [lithium-pack]

        Good:
            # faults/wren-5/fuse-open.yaml
            hazard: [lithium-pack, burn, fumes]
        """,
    "missing-field": """
        Every mandatory field is there. A fault pattern always has symptom, test_points with their
        expected_reading, cause, fix and hazard.

        Bad:
            # faults/wren-5/fuse-open.yaml
            test_points:
              - measure: fused-rail

        Good:
            # faults/wren-5/fuse-open.yaml
            test_points:
              - fused-rail: absent
              - main-rail-on-pack: healthy
        """,
    "wrong-type": """
        Every field holds what it is for: a text, a number, a list (lines with `-`) or a mapping (lines with
        `name:`).

        Bad:
            # faults/wren-5/fuse-open.yaml
            hazard: lithium-pack

        Good:
            # faults/wren-5/fuse-open.yaml
            hazard: [lithium-pack, burn, fumes]
        """,
    "wrong-value": """
        Every field holds one of the values that it can have; its description lists them.

        Bad:
            # faults/wren-5/fuse-open.yaml
            fix:
              action: swap

        Good:
            # faults/wren-5/fuse-open.yaml
            fix:
              action: replace
        """,
    "malformed-quantity": """
        A quantity is written `8.40 V`, `2.2 kohm 5%`, `8.35 to 8.45 V`, `under 1 V` or `open`: a decimal
        point, a unit, the smaller value first. A length is one value in mm.

        Bad:
            # faults/wren-5/family.yaml
            measurements:
              main-rail:
                outcomes:
                  healthy:
                    range: 3,24 - 3,42V

        Good:
            # faults/wren-5/family.yaml
            measurements:
              main-rail:
                outcomes:
                  healthy:
                    range: 3.24 to 3.42 V
        """,
}

_MILDER: Mapping[str, Severity] = {"family-unread": "note", "entry-vanished": "warning"}
_GROUP = "What every record file is held to"
IDS = tuple(_TEXTS)
DOCS: tuple[RuleDoc, ...] = tuple(
    rule_doc(name, _GROUP, _MILDER.get(name, "error"), False, text) for name, text in _TEXTS.items()
)
