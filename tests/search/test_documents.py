from dataclasses import replace
from pathlib import Path

import pytest

from benchlore.book.model import Retired, frozen_map
from benchlore.site import paths
from benchlore.site.search.documents import documents, plain, short
from tests.books import example_pages

ROOT = Path(__file__).resolve().parents[2]


def test_every_record_can_be_found_at_its_page(book):
    expected = {
        *map(paths.symptom, book.symptoms),
        *map(paths.fault, book.faults),
        *map(paths.technique, book.techniques),
        *map(paths.hazard, book.hazards),
        *map(paths.meter, book.meters),
        *map(paths.state, book.states.values()),
        *map(paths.family, book.families),
    }
    for family in book.families.values():
        expected |= {paths.net(family.id, net) for net in family.nets}
        expected |= {paths.part(family.id, part) for part in family.parts}
        expected |= {paths.test_point(family.id, p.net, p.id) for p in family.test_points.values()}
    assert {document.path for document in documents(book)} == expected


@pytest.mark.slow
def test_every_document_leads_to_a_page_of_the_site(book):
    pages, _ = example_pages()
    made = {page.path for page in pages}
    assert {document.path.partition("#")[0] for document in documents(book)} <= made


def test_a_rail_behind_another_of_its_voltage_is_not_called_by_it(book):
    """`The 19 V rail` is the adapter's, not what its fuse hands on."""
    called = {d.key: d.voltage for d in documents(book) if d.kind == "net" and d.family == "siskin-12"}
    assert called["ADAPTER"].startswith("19V")
    assert called["INLET"] == ""
    assert called["LOGIC_3V3"].startswith("3.3V 3V3")


def test_a_part_is_found_by_what_its_nets_say_of_it(book):
    """Of the keyboard where it is, not its name once more; of the controller on the same net nothing."""
    family = book.families["siskin-12"]
    told = replace(family.nets["POWER_KEY"], for_="The keyboard at the front edge pulls it to ground.")
    nets = frozen_map({**family.nets, "POWER_KEY": told})
    changed = replace(book, families=frozen_map({family.id: replace(family, nets=nets)}))
    said = {d.key: [text for _, text in d.fields] for d in documents(changed) if d.kind == "part"}
    (about,) = (text for text in said["K1"] if "front" in text)
    assert "keyboard" not in about
    assert not any("front" in text for text in said["U30"])


def test_each_way_to_say_a_symptom_stands_for_itself(book):
    symptom = book.symptoms["pack-not-seen"]
    said = [d.detail for d in documents(book) if d.key == symptom.id]
    others = [(language, phrase) for language, said in symptom.said_in.items() for phrase in said]
    assert others
    assert said == [symptom.said[0], *symptom.said, *(phrase for _, phrase in others)]
    assert [(d.language, d.detail) for d in documents(book) if d.key == symptom.id and d.language] == others


def test_a_fault_is_found_by_the_name_that_it_had(book):
    fault = next(iter(book.faults.values()))
    old = Retired(id=f"{fault.family}/quondam-name", origin=fault.origin, moved_to=fault.id)
    moved = replace(book, retired=frozen_map({old.id: old}))
    found = [d for d in documents(moved) if any("quondam" in text for _, text in d.fields)]
    assert [d.path for d in found] == [paths.fault(fault.id)]


def test_prose_loses_its_marks_and_the_addresses_of_links():
    prose = "Hold *still*, run `x` and read [the sheet](https://example.org/a).\n\n- next"
    assert plain(prose) == "Hold still, run x and read the sheet. - next"


def test_a_long_text_is_cut_between_words():
    assert short("one two three, four", 14) == "one two …"
    assert short("one two three, four", 16) == "one two three …"
    assert short("one two", 7) == "one two"
