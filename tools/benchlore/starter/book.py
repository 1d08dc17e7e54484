"""The first files of a book: what `benchlore init` writes."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from benchlore.book.ids import BOOK_FOLDER, file_of
from benchlore.book.schemas import KINDS, schema
from benchlore.shipped import version
from benchlore.starter import common

# The version of a book's form that this package writes. 2 names it, and the site's id, in common/shop.yaml.
FORMAT = 2

_BOOK = Path(__file__).resolve().parent / "book"
_ISSUES = _BOOK.with_name("issues")
_NOBODY = "(write here who is told, and how)"
# What the sample needs, and no more: a record that nothing uses is a finding. Where nothing is named, all.
_NEEDED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "symptoms": ("no-power",),
        "states": ("nothing-connected", "adapter-only"),
        "meters": (),
        "hazards": (
            "mains-adapter",
            "lithium-pack",
            "shock",
            "burn",
            "fumes",
            "eye",
            "solvent",
            "stored-charge",
            "static",
            "probe-slip",
        ),
    }
)
_TECHNIQUES = ("current-limited-injection", "ground-resistance", "hot-air-replacement", "iron-rework")
# What lies in a new book under a name with a dot in front has none among the files of the package.
_DOTTED = "dot-"


def first_files(name: str, contact: str = "") -> Mapping[str, str]:
    """The text of every file of a new book, by path from its folder, which is called `name`.

    `contact`: who is told of advice that can hurt, and how.
    """
    texts = {file_of(kind, kind): _some(kind, ids) for kind, ids in _NEEDED.items()}
    texts[file_of("words", "words")] = _some("words", ())
    for id_ in _TECHNIQUES:
        texts[file_of("technique", id_)] = common.technique(id_) or ""
    texts[file_of("shop", "shop")] = _shop_of(name)
    for path in sorted(_BOOK.rglob("*")):
        if path.is_file():
            place = path.relative_to(_BOOK).as_posix().replace(_DOTTED, ".")
            texts[place] = path.read_text(encoding="utf-8")
    texts |= _for_hosts()
    said = {"{title}": title_of(name), "{version}": version(), "{contact}": contact or _NOBODY}
    for mark, words in said.items():
        texts = {
            place: text if place.startswith(f"{BOOK_FOLDER}/") else text.replace(mark, words)
            for place, text in texts.items()
        }
    return {**texts, **schema_texts()}


def schema_texts() -> Mapping[str, str]:
    """The schemas that a book keeps for editors, whole, by path."""
    return {
        f"schema/{kind}.schema.json": json.dumps(schema(kind), indent=2, ensure_ascii=False) + "\n"
        for kind in KINDS
    }


def _for_hosts() -> Mapping[str, str]:
    """Templates of issues and of proposed changes, the same words for both kinds of host."""
    texts = {}
    for path in sorted(_ISSUES.glob("*.md")):
        text = path.read_text(encoding="utf-8")
        if path.stem == "review":
            texts[".github/pull_request_template.md"] = text
            texts[".gitlab/merge_request_templates/Default.md"] = text
            continue
        title, about, body = text.split("\n\n", 2)
        head = f"---\nname: {title.removeprefix('# ')}\nabout: {about}\n---\n"
        texts[f".github/ISSUE_TEMPLATE/{path.name}"] = f"{head}{about}\n\n{body}"
        texts[f".gitlab/issue_templates/{path.name}"] = f"{about}\n\n{body}"
    return texts


def slug(name: str) -> str:
    """A name as an id: `Müllers Werkstatt 2` -> `mullers-werkstatt-2`. Never empty."""
    plain = _plain(name).lower()
    return "-".join(re.findall(r"[a-z0-9]+", plain))[:80].strip("-") or "my-book"


def title_of(name: str) -> str:
    """A folder's name as a title: `my-shop` -> `My shop`."""
    words = " ".join(re.split(r"[-_\s]+", name)).strip() or "My book"
    return (words[:1].upper() + words[1:])[:120]


def _shop_of(name: str) -> str:
    """The package's own file of a shop, with this one's title and id."""
    title, bare = title_of(name), re.sub(r"^site:.*\n", "", common.shop(), flags=re.MULTILINE)
    quoted = '"' + title.replace("\\", "\\\\").replace('"', '\\"') + '"'
    named = re.sub(r"^title:.*$", lambda _: f"title: {quoted}", bare, count=1, flags=re.MULTILINE)
    return with_settings(named, slug(name))


def with_settings(shop: str, site: str) -> str:
    """The shop's file with the version of the book's form and, where it has none, the site's id."""
    added = [f"format: {FORMAT}"]
    if not re.search(r"^site:", shop, re.MULTILINE):
        added.append(f'site: "{site}"')  # a shop may be called No, or 12
    bare = re.sub(r"^format:.*\n", "", shop, flags=re.MULTILINE)
    return re.sub(r"^(?=title:)", "".join(f"{line}\n" for line in added), bare, count=1, flags=re.MULTILINE)


def _plain(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
    return "".join(char for char in apart if not unicodedata.combining(char))


def _some(kind: str, ids: tuple[str, ...]) -> str:
    known = common.entries(kind)
    return common.heading(kind) + "".join(known[id_] for id_ in ids or known).rstrip() + "\n"
