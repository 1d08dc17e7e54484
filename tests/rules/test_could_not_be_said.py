"""What a record could not say once: each is said now, and works, or is found where it is wrong."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.book.model import Book, Family
from benchlore.circuit.foretold import foretold, in_full
from benchlore.circuit.graph.change import Fault as Way
from benchlore.circuit.graph.elements import Order
from benchlore.circuit.graph.family import ask_of, graph_of
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Predictor
from benchlore.circuit.healthy import Derived, healthy
from benchlore.circuit.interval import Interval
from benchlore.diagnosis.likelihood import class_of, scale_of
from benchlore.diagnosis.meter import range_for, ratio_uncertainty, standard_uncertainty
from benchlore.diagnosis.reading import Reading, ReadingError, read
from benchlore.rules import check
from benchlore.site import words
from benchlore.site.sections.circuit import start_order
from tests.books import example
from tests.rules.fixtures import QUIET, merged

FAMILY = "wren-5"


def book_with(folder: Path, piece: str, file: str = "family") -> Book:
    """The rules' good book with a piece of a record more, which no rule has anything to say about."""
    merged(f"# faults/{FAMILY}/{file}.yaml\n{piece}", folder)
    loaded = load_book(folder)
    assert [f"{f.rule}: {f.message}" for f in check(loaded) if f.rule not in QUIET] == []
    return loaded.book


def family_with(folder: Path, piece: str) -> Family:
    return book_with(folder, piece).families[FAMILY]


def found(folder: Path, piece: str, file: str = "family") -> set[str]:
    merged(f"# faults/{FAMILY}/{file}.yaml\n{piece}", folder)
    return {f.rule for f in check(load_book(folder))}


def end(interval: Interval | None, *, low: bool = False) -> float:
    assert interval is not None
    return interval.low if low else interval.high


def ends(derived: Derived | None) -> tuple[float, float]:
    assert derived is not None
    return derived.worst.low, derived.worst.high


def book_using(folder: Path, measurement: str, name: str, outcome: str) -> Book:
    """The good book with a measurement more, which its fault `fuse-open` reads."""
    merged(f"# faults/{FAMILY}/family.yaml\nmeasurements:\n  {name}: {measurement}", folder)
    file = folder / f"faults/{FAMILY}/fuse-open.yaml"
    text = file.read_text(encoding="utf-8")
    line = f"  - {{measure: {name}, expected_reading: {outcome}, note: It says so.}}\n"
    file.write_text(text.replace("cause:\n", f"{line}cause:\n", 1), encoding="utf-8")
    loaded = load_book(folder)
    quiet = {*QUIET, "proof-without-function"}  # the measurement is in no proof
    assert [f"{f.rule}: {f.message}" for f in check(loaded) if f.rule not in quiet] == []
    return in_full(loaded.book)


def on_adapter(fields: str) -> str:
    return f"{{state: adapter-only, {fields}}}"


def test_a_reading_between_two_points(tmp_path):
    one = on_adapter("between: [TP1, TP2], mode: dc-volts, asks: Does it drop?, healthy: 1.2 to 2.1 V")
    book = book_using(tmp_path, one, "drop", "absent")
    assert words.probed(book.families[FAMILY].measurements["drop"]) == "red on TP1, black on TP2"


def test_reversed_polarity(tmp_path):
    family = family_with(tmp_path, "measurements: {main-junction: {polarity: reversed}}")
    assert family.measurements["main-junction"].leads == "black on ground, red on the point"


LOADED = on_adapter("at: TP2, mode: dc-volts, under: load, asks: Does it hold?, healthy: 3.24 to 3.42 V")


def test_a_reading_under_load_says_so_and_takes_its_minutes(tmp_path):
    book = book_using(tmp_path, LOADED, "main-rail-loaded", "absent")
    family = book.families[FAMILY]
    one = family.measurements["main-rail-loaded"]
    assert one.under == ("load",)
    assert one.minutes == 2
    assert "under load: let it do its heaviest work meanwhile" in words.asked(family, one)


def test_a_fault_that_shows_only_under_load_reads_healthy_without(tmp_path):
    book = book_using(tmp_path, LOADED, "main-rail-loaded", "absent")
    family = book.families[FAMILY]
    predictor = Predictor(graph_of(book, family))
    tired = Way("F1", "open", when=frozenset({"load"}))
    with_load, without = (ask_of(family.measurements[m]) for m in ("main-rail-loaded", "main-rail"))
    assert with_load is not None
    assert without is not None
    read = predictor.predict([with_load, without], tired)
    assert read[without].healthy
    assert not read[with_load].healthy
    assert end(read[with_load].reading) < 0.1


@pytest.mark.parametrize("name", ["warm", "cold", "pressed"])
def test_a_reading_warm_cold_or_pressed(tmp_path, name):
    outcomes = "{whole: {normal: true, means: It holds.}, parted: {means: A joint opens.}}"
    one = f"{{at: TP3, mode: look, state: all-off, under: {name}, asks: Does it part?, outcomes: {outcomes}}}"
    family = book_using(tmp_path, one, "seen-again", "whole").families[FAMILY]
    assert family.measurements["seen-again"].leads.startswith(name)


SEEN = on_adapter(
    "at: J1, mode: look, asks: What stands on the display?, "
    "outcomes: {picture: {normal: true, means: It works.}, dark: {means: It has no power.}}"
)


def test_a_look_needs_a_part_and_no_point(tmp_path):
    book = book_using(tmp_path, SEEN, "display-look", "dark")
    family = book.families[FAMILY]
    one = family.measurements["display-look"]
    assert one.net == "MAIN"
    assert family.test_points["J1"].where == {"A": "display board", "B": "display board"}
    assert family.test_points["J1"].at == {}, "what is plugged in lies beside the board"
    assert [point.id for point in family.probe_points] == ["TP1", "TP2", "TP3"]


def test_a_look_at_a_part_goes_where_the_part_is(tmp_path):
    place = "{side: bottom, at: {A: [20 mm, 34 mm], B: [25 mm, 34 mm]}, size: [12 mm, 4 mm]}"
    piece = f"parts: {{J1: {place}}}\nmeasurements: {{display-look: {SEEN}}}"
    merged(f"# faults/{FAMILY}/family.yaml\n{piece}", tmp_path)
    family = load_book(tmp_path).book.families[FAMILY]
    assert (family.test_points["J1"].side, family.test_points["J1"].at["B"]) == ("bottom", (25.0, 34.0))


def test_volts_are_not_measured_at_a_part(tmp_path):
    assert "unknown-test-point" in found(tmp_path, "measurements: {main-rail: {at: U1}}")


GOOD_LINE = """
nets:
  MAIN: {good: MAIN_GOOD}
  MAIN_GOOD:
    kind: control
    for: Tells that the main rail stands.
    nominal: 3.3 V
    pull: {to: MAIN, ohms: 100 kohm 5%}
  LATE:
    for: Starts last.
    nominal: 1.8 V
    converter: {from: MAIN, volts: 1.8 V 2%}
    after: {MAIN_GOOD: 0 to 20 ms}
"""


def test_a_start_order_with_power_good(tmp_path):
    merged(f"# faults/{FAMILY}/family.yaml{GOOD_LINE}", tmp_path)
    book = load_book(tmp_path).book
    family = book.families[FAMILY]
    board = healthy(book, family)
    assert board.up_in("MAIN_GOOD") == board.up_in("LATE") == ("adapter-only", "pack-only")
    order = next(e for e in graph_of(book, family).elements if isinstance(e, Order))
    assert (order.net, order.after, end(order.within)) == ("LATE", "MAIN_GOOD", 0.02)
    said = [(way.by, way.net) for net in family.nets.values() for way in start_order(family, net)]
    assert said == [
        ("power-good on", "MAIN_GOOD"),
        ("held low until it stands:", "MAIN"),
        ("starts within 0 to 20\u00a0ms of", "MAIN_GOOD"),
    ]


def test_a_dead_rail_holds_its_power_good_and_what_waits_for_it(tmp_path):
    piece = GOOD_LINE.replace("pull: {to: MAIN,", "pull: {to: FUSED,").replace(
        "{from: MAIN, volts", "{from: FUSED, volts"
    )
    merged(f"# faults/{FAMILY}/family.yaml{piece}", tmp_path)
    book = load_book(tmp_path).book
    predictor = Predictor(graph_of(book, book.families[FAMILY]))
    plain, dead = (predictor.power(Setup("adapter-only"), fault) for fault in (None, Way("U1", "open")))
    assert plain.is_up("LATE") is True
    assert end(plain.level("MAIN_GOOD"), low=True) > 4
    assert end(dead.level("MAIN_GOOD")) < 0.01
    assert dead.is_up("LATE") is False


def test_two_feeds_of_one_net(tmp_path):
    diode = "drop: 0.3 to 0.4 V"
    paths = f"[{{from: FUSED, {diode}}}, {{from: PACK, {diode}}}]"
    merged(
        f"# faults/{FAMILY}/family.yaml\nnets: {{SHARED: {{for: Both feed it., path: {paths}}}}}", tmp_path
    )
    book = load_book(tmp_path).book
    board = healthy(book, book.families[FAMILY])
    on_adapter, on_pack = (board.reading("SHARED", "dc-volts", s) for s in ("adapter-only", "pack-only"))
    assert ends(on_adapter) == pytest.approx((4.35, 4.95), abs=0.03)
    assert ends(on_pack) == pytest.approx((2.6, 3.9))


def test_five_volts_or_nine_on_one_net(tmp_path):
    merged(
        f"""# faults/{FAMILY}/family.yaml
states:
  - adapter-only
  - pack-only
  - all-off
  - adapter-fast:
      title: On the fast adapter
      short: Fast adapter
      sources: [adapter]
      minutes: 1
      how: [Plug the fast adapter in.]
      hazard: [static]
nets:
  VIN:
    nominal: null
    source:
      - {{from: adapter, volts: 5.0 V 5%, in: [adapter-only]}}
      - {{from: adapter, volts: 9.0 V 5%, in: [adapter-fast]}}
""",
        tmp_path,
    )
    book = load_book(tmp_path).book
    board = healthy(book, book.families[FAMILY])
    slow, fast = (board.reading("VIN", "dc-volts", state) for state in ("adapter-only", "adapter-fast"))
    assert ends(slow) == pytest.approx((4.75, 5.25))
    assert ends(fast) == pytest.approx((8.55, 9.45))


CELL = "source: {from: clock-cell, volts: 3.0 V 5%, built_in: true}"


def test_a_soldered_cell_holds_its_net_up_in_every_bench_state(tmp_path):
    merged(f"# faults/{FAMILY}/family.yaml\nnets: {{CLOCK: {{for: Keeps the time., {CELL}}}}}", tmp_path)
    book = load_book(tmp_path).book
    level = Predictor(graph_of(book, book.families[FAMILY])).power(Setup("pack-only")).level("CLOCK")
    assert end(level, low=True) == pytest.approx(2.85)


def test_ohms_on_what_a_soldered_cell_drives_are_found(tmp_path):
    piece = f"""
nets:
  CLOCK: {{for: Keeps the time., {CELL}}}
  CLOCK_32K: {{kind: clock, for: The clock., signal: {{by: U1, needs: CLOCK, hertz: 32.768 kHz 0.02%}}}}
test_points:
  TP3: {{net: CLOCK_32K}}
measurements:
  clock-ohms: {{at: TP3, mode: ohms, state: all-off, asks: Is it shorted?, healthy: 10 to 20 kohm}}
"""
    assert "measured-on-live-cell" in found(tmp_path, piece)


def test_a_fault_that_takes_a_fuse_along(tmp_path):
    piece = """
cause:
  then: [{part: F1, mode: open}]
fix:
  steps:
    - unplug: everything
    - discharge: 10 s
    - replace: [C1, F1]
"""
    merged(f"# faults/{FAMILY}/rail-short.yaml{piece}", tmp_path)
    book = load_book(tmp_path).book
    reads = foretold(book, book.families[FAMILY])[f"{FAMILY}/rail-short"]
    assert reads["fused-rail"] == {"absent": 1.0}


def test_a_fault_that_comes_and_goes(tmp_path):
    merged(
        f"# faults/{FAMILY}/fuse-open.yaml\ncause: {{mode: loose, share_of_time: 0.3}}",
        tmp_path,
    )
    book = load_book(tmp_path).book
    reads = foretold(book, book.families[FAMILY])[f"{FAMILY}/fuse-open"]["fused-rail"]
    assert reads == pytest.approx({"absent": 0.3, "healthy": 0.7})


def test_where_a_part_is(tmp_path):
    place = "{side: top, at: {A: [85 mm, 50 mm], B: [85 mm, 300 mm]}, size: [3 mm, 2 mm]}"
    assert found(tmp_path, f"parts: {{F1: {place}}}") - QUIET == {"off-board"}


def reading(folder: Path, measurement: str, text: str) -> tuple[Reading, str]:
    """What a typed text is as a reading of a measurement more, and the outcome that it is taken for."""
    merged(f"# faults/{FAMILY}/family.yaml\nmeasurements: {{one: {measurement}}}", folder)
    book = load_book(folder).book
    one, meter = book.families[FAMILY].measurements["one"], example().meters["hand-held-3-half"]
    scale, found = scale_of(one, meter), read(one, meter, text)
    return found, scale.bands[class_of(scale, found)].outcome


PAIR = (
    "{at: TP3, mode: junction, state: all-off, compare: {with: TP2, within: 10%}, asks: Do both read alike?}"
)


def test_two_readings_are_compared(tmp_path):
    found, outcome = reading(tmp_path, PAIR, "0.462 V / 0.440 V")
    assert found.value == pytest.approx(5)
    assert outcome == "normal"
    assert reading(tmp_path, PAIR, "0.300 and 0.440")[1] == "low"
    assert reading(tmp_path, PAIR, "OL / 0.440")[1] == "high"
    assert reading(tmp_path, PAIR, "0.440 / OL")[1] == "low"
    for text in ("0.44", "OL / OL", "0 / 0", "0.4 / 0.4 / 0.4"):
        with pytest.raises(ReadingError):
            reading(tmp_path, PAIR, text)


def test_the_gain_of_the_meter_cancels_where_two_readings_are_compared():
    """JCGM 100:2008, F.1.2.3: the error that two readings have in common drops out of their ratio."""
    meter = example().meters["hand-held-3-half"]
    ranges = meter.accuracy["junction"]
    apart = 100 * math.hypot(*(standard_uncertainty(ranges, v) / v for v in (0.46, 0.44)))
    together = ratio_uncertainty(ranges, 0.46, 0.44)
    chosen = range_for(ranges, 0.46)
    counts = chosen.counts * chosen.resolution.middle / math.sqrt(3)
    assert together == pytest.approx(100 * 0.46 / 0.44 * math.hypot(counts / 0.46, counts / 0.44))
    assert together < apart


def test_a_comparison_says_how_it_is_done(tmp_path):
    merged(f"# faults/{FAMILY}/family.yaml\nmeasurements: {{one: {PAIR}}}", tmp_path)
    family = load_book(tmp_path).book.families[FAMILY]
    one = family.measurements["one"]
    assert "measure TP2 the same way, on the same range, and compare" in words.asked(family, one)
    assert words.probed(one) == "TP3 on SDA, then TP2 on MAIN"
    normal = one.outcomes["normal"].range
    assert normal is not None
    assert words.quantity(normal) == "-10 to 10 %"
    assert (one.unit, one.nets, one.minutes) == ("%", ("SDA", "MAIN"), 2)


@pytest.mark.parametrize(
    ("mode", "healthy", "text", "outcome"),
    [
        ("amplitude", "3.0 to 3.5 V", "1.2 V", "low"),
        ("ripple", "under 40 mV", "120 mV", "high"),
        ("period", "9.8 to 10.2 us", "12 us", "high"),
        ("duty", "40 to 60 %", "85 %", "high"),
        ("delay", "0 to 20 ms", "35 ms", "high"),
    ],
)
def test_a_scope_reads_numbers(tmp_path, mode, healthy, text, outcome):
    one = on_adapter(f"at: TP3, mode: {mode}, asks: Is it so?, healthy: {healthy}")
    assert reading(tmp_path, one, text)[1] == outcome


STEPS = on_adapter(
    "at: TP1, mode: amps, asks: How far does it start?, leads: ammeter in line with the adapter, "
    "steps: {standby: 20 to 40 mA, rails: 0.10 to 0.20 A, runs: 0.40 to 0.90 A}, "
    "outcomes: {rails: No program runs.}"
)


@pytest.mark.parametrize(
    ("text", "outcome"),
    [("5 mA", "low"), ("30 mA", "standby"), ("0.15 A", "rails"), ("0.6 A", "runs"), ("2 A", "high")],
)
def test_a_current_climbs_in_steps(tmp_path, text, outcome):
    assert reading(tmp_path, STEPS, text)[1] == outcome


def test_the_last_step_is_healthy_and_the_others_say_where_it_stops(tmp_path):
    merged(f"# faults/{FAMILY}/family.yaml\nmeasurements: {{one: {STEPS}}}", tmp_path)
    one = load_book(tmp_path).book.families[FAMILY].measurements["one"]
    assert one.normal == ("runs",)
    assert one.outcomes["standby"].means == "It stops at the step 'standby'."
    assert one.outcomes["rails"].means == "No program runs."
    assert one.outcomes["high"].stop
    assert one.range_at("runs").path[-2:] == ("steps", "runs")


def test_a_first_step_from_nothing_has_nothing_below(tmp_path):
    steps = STEPS.replace("20 to 40 mA", "under 40 mA")
    merged(f"# faults/{FAMILY}/family.yaml\nmeasurements: {{one: {steps}}}", tmp_path)
    one = load_book(tmp_path).book.families[FAMILY].measurements["one"]
    assert set(one.outcomes) == {"standby", "rails", "runs", "high"}
