"""The page of what a book covers, held to counts made in another way."""

from __future__ import annotations

import re
from dataclasses import replace

from benchlore.book.model import frozen_map
from benchlore.site.coverage import area_of, coverage
from benchlore.site.pages import coverage as page
from benchlore.site.render import environment, render
from benchlore.vocabulary import AREAS, FEW_FAULTS
from tests.site.conftest import TEMPLATES


def test_each_fault_is_counted_once_by_area_and_once_by_part(each_book):
    found = coverage(each_book)
    for at, family in enumerate(found.families):
        own = [fault for fault in each_book.faults.values() if fault.id.startswith(f"{family.id}/")]
        assert sum(row.counts[at] for row in found.areas) == len(own)
        assert sum(row.counts[at] for row in found.parts) == len(own)
        assert found.depths[at].faults == len(own)
        assert found.depths[at].jobs == sum(fault.seen for fault in own)


def test_an_area_is_that_of_the_first_symptom(book):
    fault = book.faults["siskin-12/pen-bay-holds-pack-data-low"]
    first = next(iter(fault.symptom))
    named = replace(
        book, symptoms=frozen_map({**book.symptoms, first: replace(book.symptoms[first], area="pack")})
    )
    assert area_of(named, fault) == "pack"
    rows = {row.name: row.counts for row in coverage(named).areas}
    shown = [f for f in book.faults.values() if next(iter(f.symptom)) == first]
    assert sum(rows[AREAS["pack"]]) == len(shown)


def test_thin_corners_are_the_symptoms_with_few_faults(each_book):
    found = coverage(each_book)
    thin = {(one.family.id, one.symptom.id): len(one.faults) for one in found.thin}
    for family in found.families:
        for symptom in each_book.symptoms:
            count = sum(f.family == family.id and symptom in f.symptom for f in each_book.faults.values())
            assert thin.get((family.id, symptom), 0) == (count if 0 < count < FEW_FAULTS else 0)


def test_the_page_says_why_a_corner_is_thin(book):
    few = coverage(book).thin[0]
    family, name = few.family, few.symptom.id
    absent = next(iter(coverage(book).absent[family.id])).id
    said = replace(family, thin=frozen_map({name: "It has but one coil.", absent: "It has no such lamp."}))
    named = replace(book, families=frozen_map({**book.families, family.id: said}))
    (made,) = page.pages(named)
    html = render(environment(TEMPLATES, named), made)
    assert "It has but one coil." in html
    assert "It has no such lamp." in html
    reasons = [one.reason for one in coverage(named).thin]
    assert sorted(reasons) == [""] * (len(reasons) - 1) + ["It has but one coil."]


def test_the_shipped_book_says_why_each_of_its_corners_is_thin(shipped_book):
    assert [one for one in coverage(shipped_book).thin if not one.reason] == []


def test_a_symptom_is_shown_by_a_fault_of_a_family_or_named_as_absent(each_book):
    counted = coverage(each_book)
    for family in counted.families:
        shown = {s for f in each_book.faults.values() if f.family == family.id for s in f.symptom}
        absent = {symptom.id for symptom in counted.absent[family.id]}
        assert absent == set(each_book.symptoms) - shown


def test_what_the_circuit_gives_is_part_of_what_reads_a_number(each_book):
    for depth in coverage(each_book).depths:
        assert 0 < depth.derived <= depth.numbers <= depth.measurements
        assert depth.unrecorded > 0


def test_an_area_that_only_another_family_has_is_named_as_empty(shipped_book):
    found = coverage(shipped_book)
    for at, family in enumerate(found.families):
        none = {row.name for row in found.areas if not row.counts[at] and row.name in AREAS.values()}
        assert set(found.empty[family.id]) == none


def test_the_page_shows_what_was_counted(book):
    (made,) = page.pages(book)
    html = render(environment(TEMPLATES, book), made)
    found = coverage(book)
    text = re.sub(r"<[^>]+>", " ", html)
    for depth in found.depths:
        rows = [row for row in re.findall(r"<tr>.*?</tr>", html, re.S) if 'data-label="Suspects' in row]
        row = next(row for row in rows if f"{depth.family.id}/" in row)
        cells = [re.sub(r"<[^>]+>", "", cell) for cell in re.findall(r"<td.*?</td>", row, re.S)]
        assert cells[:2] == [str(depth.faults), str(depth.symptoms)]
    assert all(one.symptom.title in text for one in found.thin)


def test_every_symptom_of_the_shipped_book_has_an_area(shipped_book):
    assert all(symptom.area in AREAS for symptom in shipped_book.symptoms.values())
