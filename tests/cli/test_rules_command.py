"""`benchlore rules` says what the checks demand."""

import json

from benchlore.cli import main
from benchlore.rules import all_docs


def test_every_rule_is_listed_with_its_records(capsys):
    assert main(["rules"]) == 0
    shown = capsys.readouterr().out
    for doc in all_docs():
        assert f"\n{doc.id} ({doc.severity}" in f"\n{shown}"
    assert shown.count("  Bad:\n") == shown.count("  Good:\n") == len(all_docs())


def test_json_has_the_same_rules(capsys):
    assert main(["rules", "--format", "json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert [rule["id"] for rule in shown] == [doc.id for doc in all_docs()]
    assert set(shown[0]) == {"id", "group", "severity", "waivable", "demand", "bad", "good"}


def test_one_rule_can_be_asked_for(capsys):
    assert main(["rules", "confirm-proves-nothing"]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("confirm-proves-nothing (error)\n")
    assert "unknown-part" not in shown


def test_unknown_rule_is_refused_with_the_nearest(capsys):
    assert main(["rules", "confirm-prove-nothing"]) == 2
    assert "did you mean 'confirm-proves-nothing'?" in capsys.readouterr().err
