"""What is proposed for a record that leads nowhere is never the record itself."""

import shutil

from benchlore.book import load_book
from benchlore.rules import check
from tests.rules.fixtures import GOOD


def test_record_is_not_led_to_itself(tmp_path):
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    (tmp_path / "faults/wren-5/familie.yaml").write_text("moved_to: wren-5/family\n", encoding="utf-8")
    (finding,) = check(load_book(tmp_path))
    assert finding.rule == "unknown-fault"
    assert finding.mend
    assert "familie" not in finding.mend
