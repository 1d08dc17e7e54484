"""The path through a family: rails as they come up, then lines, then symptoms."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book.model import frozen_map
from benchlore.study.path import complaints, lines, rails
from tests.books import example

BOOK = example()


@pytest.mark.parametrize("family", BOOK.families.values(), ids=lambda family: family.id)
def test_no_net_comes_before_what_it_hangs_on(family):
    stops = [*rails(family), *lines(family)]
    order = [stop.net.id for stop in stops]
    assert sorted(order) == sorted(family.nets)
    assert {stop.net.kind for stop in rails(family)} == {"rail"}
    for stop in stops:
        rails_above = [name for name in stop.above if family.nets[name].kind == "rail"]
        assert all(order.index(name) < order.index(stop.net.id) for name in rails_above), stop.net.id


def test_rails_start_at_the_sources():
    first = [stop.net.id for stop in rails(BOOK.families["siskin-12"])][:4]
    assert first == ["ADAPTER", "PACK", "INLET", "MAIN"]


def test_a_ring_of_feeders_still_has_a_path():
    family = BOOK.families["siskin-12"]
    ring = dict(family.nets)
    ring["ADAPTER"] = replace(ring["ADAPTER"], path=(replace(ring["INLET"].path[0], from_="MAIN"),))
    turned = replace(family, nets=frozen_map(ring))
    assert len(rails(turned)) == len(rails(family))


def test_the_commonest_symptom_comes_first():
    found = complaints(BOOK, BOOK.families["siskin-12"])
    assert [one.jobs for one in found] == sorted((one.jobs for one in found), reverse=True)
    seen = {f.id: f.seen for f in BOOK.faults.values()}
    for one in found:
        assert one.jobs == sum(seen[fault.id] for fault in one.faults)
        assert all(one.symptom in fault.symptom for fault in one.faults)
