import json
from dataclasses import replace

from benchlore.book import Book
from benchlore.book.model import frozen_map
from benchlore.site.search.documents import documents
from benchlore.site.search.readings import build_readings


def rows(book: Book):
    return json.loads(json.dumps(build_readings(book, documents(book)), allow_nan=False))["measurements"]


def test_every_measurement_that_is_read_is_there_and_none_that_is_looked_at(book):
    expected = [
        (number, measurement.id, measurement.net, measurement.at)
        for number, family in enumerate(book.families.values())
        for measurement in family.measurements.values()
        if measurement.unit
    ]
    assert sorted(tuple(row[:4]) for row in rows(book)) == sorted(expected)


def test_what_reads_the_rail_that_feeds_others_comes_first(book):
    """Of several rails of one voltage people mean that: the search keeps this order."""
    nets = [row[2] for row in rows(book) if row[0] == list(book.families).index("siskin-12")]
    first = [nets.index(net) for net in ("ADAPTER", "INLET", "MAIN", "STANDBY", "LOGIC_3V3", "CORE")]
    assert first == sorted(first)
    assert nets != [m.net for m in book.families["siskin-12"].measurements.values() if m.unit]


def test_outcomes_carry_their_ends_and_the_faults_that_expect_them(book):
    found = documents(book)
    families = tuple(book.families.values())
    for number, id_, *_, outcomes, _ in rows(book):
        family = families[number]
        for name, low, high, normal, _, pairs in outcomes:
            outcome = family.measurements[id_].outcomes[name]
            assert outcome.range is not None
            ends = outcome.range
            if ends.is_open:
                assert (low, high) == ("open", None)
            else:
                assert low == (ends.low if ends.low > float("-inf") else None)
                assert high == (ends.high if ends.high < float("inf") else None)
            assert normal == int(outcome.normal)
            expected = {
                (fault.name, fault.reads[id_][name])
                for fault in book.faults.values()
                if fault.family == family.id and name in fault.reads.get(id_, {})
            }
            assert {(found[n].key, p) for n, p in zip(pairs[::2], pairs[1::2], strict=True)} == expected


def test_a_rail_says_its_volts_and_a_line_does_not(book):
    volts = {row[2]: row[9] for row in rows(book) if row[0] == 0}
    family = next(iter(book.families.values()))
    assert volts["MAIN"] == family.nets["MAIN"].nominal.middle
    assert volts["PACK_DATA"] is None


def test_a_fault_that_is_seen_more_often_comes_first(book):
    faults = {id_: replace(fault, seen=0) for id_, fault in book.faults.items()}
    row = next(row for row in rows(book) if any(len(o[5]) > 4 for o in row[8]))
    outcome = next(o for o in row[8] if len(o[5]) > 4)
    last = documents(book)[outcome[5][-2]]
    often = f"{last.family}/{last.key}"
    faults[often] = replace(faults[often], seen=1000)
    changed = replace(book, faults=frozen_map(faults))
    again = next(r for r in rows(changed) if r[:2] == row[:2])
    first = next(o for o in again[8] if o[0] == outcome[0])[5][0]
    assert documents(changed)[first].key == last.key


def test_an_outcome_that_stops_says_so(book):
    outcomes = next(row[8] for row in rows(book) if row[1] == "pack-data-volts")
    said = {name: means for name, _, _, _, means, _ in outcomes}
    assert said["high"].endswith("Stop: unplug every source.")
    assert "Stop" not in said["low"]
