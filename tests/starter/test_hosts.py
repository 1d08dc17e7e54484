"""What `init` writes for code hosts and editors can be read by them and asks for what is there."""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from benchlore.book.schemas import KINDS, schema
from benchlore.cli import main, parser
from benchlore.findings import Finding
from benchlore.reporters import FORMATS, Report
from benchlore.shipped import version
from benchlore.starter.book import first_files

TEXTS = first_files("my-shop", "Ask at the counter.")
HOSTS = (".github/workflows/book.yml", ".gitlab-ci.yml", ".pre-commit-config.yaml")


def commands() -> Iterator[tuple[str, str]]:
    """Every benchlore command line of the files, with the file."""
    for name, text in TEXTS.items():
        if name in HOSTS:
            yield from (
                (name, line) for line in re.findall(r"(?<=[ :])benchlore (?:check|build|diff)[^\n]*", text)
            )
        elif name.endswith(".md"):
            blocks = "\n".join(re.findall(r"```\n(.*?)```", text, re.DOTALL))
            yield from ((name, line) for line in re.findall(r"^benchlore [^#\n]*", blocks, re.MULTILINE))


@pytest.mark.parametrize(("name", "line"), list(commands()))
def test_every_command_is_one_that_is_there(name, line):
    words = shlex.split(line.split(">")[0])
    parser().parse_args(words[1:])


def test_both_hosts_check_build_and_tell_what_a_change_means():
    for name in HOSTS[:2]:
        text = TEXTS[name]
        assert "benchlore check --strict --format" in text
        assert "benchlore build --strict" in text
        assert "benchlore diff" in text
        assert f'"benchlore=={version()}"' in text
        assert {"site", "change.html"} <= set(re.findall(r"[\w.]+", text[text.index("artifact") :]))


@pytest.mark.parametrize("name", HOSTS)
def test_files_for_hosts_are_yaml_that_a_plain_reader_takes(name):
    assert isinstance(yaml.safe_load(TEXTS[name]), dict)


def test_templates_ask_the_same_on_both_hosts():
    for name in ("new-fault", "wrong-reading", "unsafe-advice"):
        one, other = TEXTS[f".github/ISSUE_TEMPLATE/{name}.md"], TEXTS[f".gitlab/issue_templates/{name}.md"]
        head, body = one.split("---\n", 2)[1:]
        assert set(yaml.safe_load(head)) == {"name", "about"}
        assert body.strip() == other.strip()
    assert TEXTS[".github/pull_request_template.md"] == TEXTS[".gitlab/merge_request_templates/Default.md"]


def test_contact_is_named_and_nothing_is_left_to_fill_in():
    assert "Contact: Ask at the counter." in TEXTS["SECURITY.md"]
    for name, text in TEXTS.items():
        assert not re.search(r"\{(title|version|contact)\}", text), name


def test_editors_find_a_schema_for_every_record():
    settings = json.loads(TEXTS[".vscode/settings.json"])["yaml.schemas"]
    assert {file.removeprefix("./") for file in settings} <= set(TEXTS)
    for name, text in TEXTS.items():
        found = re.match(r"# yaml-language-server: \$schema=(\S+)\n", text)
        if name.startswith("faults/") and found:
            path = Path("/book", name).parent / found[1]
            assert str(path.resolve().relative_to("/book")) in TEXTS
        else:
            assert not name.startswith("faults/"), name


@pytest.mark.parametrize("kind", KINDS)
def test_schema_in_the_book_is_whole_and_means_the_same(kind):
    made: dict[str, Any] = json.loads(TEXTS[f"schema/{kind}.schema.json"])
    Draft202012Validator.check_schema(made)
    assert made == schema(kind)
    assert ".schema.json" not in json.dumps(made)


def test_migrate_brings_the_editors_schemas_along(tmp_path, capsys):
    root = tmp_path / "shop"
    assert main(["init", str(root)]) == 0
    file = root / "schema" / "fault.schema.json"
    fresh = file.read_text(encoding="utf-8")
    file.write_text("{}", encoding="utf-8")
    assert main(["migrate", "--root", str(root)]) == 0
    assert "schema/fault.schema.json" in capsys.readouterr().out
    assert file.read_text(encoding="utf-8") == fresh


ONE = Finding("faults/a/b.yaml", 3, 5, "some-rule", "error", "wrong", "mend it", "    bad: value")


def test_code_quality_report_names_a_finding_alike_wherever_its_line_is():
    def told(*findings: Finding) -> list[dict[str, Any]]:
        answer: list[dict[str, Any]] = json.loads(FORMATS["code-quality"](Report(findings, 1)))
        return answer

    (first,), (moved,) = told(ONE), told(replace(ONE, line=9))
    assert first["location"] == {"path": "faults/a/b.yaml", "lines": {"begin": 3}}
    assert (first["severity"], first["check_name"]) == ("major", "some-rule")
    assert first["fingerprint"] == moved["fingerprint"]
    twice = told(ONE, replace(ONE, line=9))
    assert len({one["fingerprint"] for one in twice}) == 2
