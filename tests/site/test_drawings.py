"""The drawings say what the records say."""

from __future__ import annotations

import itertools
import json
import math
import re
from xml.etree import ElementTree

import pytest

from benchlore.site.drawings import marks
from benchlore.site.drawings.locator import WIDE, WIDTH, Probe, locator, sides
from benchlore.site.drawings.strip import pieces, strip
from benchlore.site.drawings.svg import element, number, text_width, wrap


def all_measurements(book):
    return [m for family in book.families.values() for m in family.measurements.values()]


def parse(svg):
    return ElementTree.fromstring(str(svg))


def test_every_strip_is_well_formed_and_says_its_outcomes_in_words(book):
    for measurement in all_measurements(book):
        drawn = strip(measurement)
        ranged = [o for o in measurement.outcomes.values() if o.range]
        if not ranged:
            assert drawn == ""
            continue
        root = parse(drawn)
        words = root.find("desc").text
        for outcome in ranged:
            assert outcome.id.replace("-", " ") in words, measurement.id
        assert root.find("title").text == f"Outcomes: {measurement.asks}"


def test_the_line_falls_from_the_highest_reading_without_overlap(book):
    for measurement in all_measurements(book):
        line = pieces(measurement)
        for upper, lower in itertools.pairwise(line):
            assert upper.bottom == lower.top
            assert upper.low >= lower.high or math.isclose(upper.low, lower.high)
        if line:
            scale = json.loads(parse(strip(measurement)).get("data-scale"))
            values, heights = [v for v, _ in scale], [y for _, y in scale]
            assert values == sorted(values)
            assert heights == sorted(heights, reverse=True)


def test_the_fault_has_shape_and_word_beside_its_colour(book):
    family = book.families["petrel-13"]
    fault = book.faults["petrel-13/gauge-board-holds-pack-data-low"]
    first = fault.test_points[0]
    drawn = str(strip(family.measurements[first.measure], first.outcomes))
    assert "default, this fault" in drawn
    assert drawn.count("<polygon") == 1  # the triangle
    assert "commanded, normal" in drawn
    assert drawn.count("<circle") == 1


def test_labels_stay_inside_the_strip(book):
    for fault in book.faults.values():
        for expected in fault.test_points:
            measurement = book.families[fault.family].measurements[expected.measure]
            drawn = strip(measurement, expected.outcomes)
            for text in parse(drawn).iter("text") if drawn else ():
                right = float(text.get("x")) + text_width(text.text, 14)
                assert right <= 360 * 1.06, (measurement.id, text.text)  # the estimate is for the widest face


@pytest.mark.parametrize("width", [WIDTH, WIDE])
def test_a_point_lies_where_its_millimetres_say(book, width):
    for family in book.families.values():
        scale = width / family.board.width
        for point in family.test_points.values():
            for revision, (across, up) in point.place.at.items():
                drawn = locator(family, revision, point.place.side, (Probe(point, "X"),), width)
                root = parse(drawn)
                ring = next(c for c in root.iter("circle") if c.get("class") == "probe-ring")
                assert float(ring.get("cx")) == pytest.approx(across * scale, abs=0.06)
                assert float(ring.get("cy")) == pytest.approx((family.board.height - up) * scale, abs=0.06)
                words = root.find("desc").text
                assert f"{across:g} mm from the left edge, {up:g} mm from the lower edge" in words
                assert point.where[revision] in words


def test_a_point_of_the_other_side_or_of_another_revision_is_left_out(book):
    family = book.families["petrel-13"]
    probes = tuple(Probe(point, point.id) for point in family.test_points.values())
    assert sides(probes) == ("top", "bottom")
    for side in sides(probes):
        names = {t.text for t in parse(locator(family, "A", side, probes)).iter("text")}
        for probe in probes:
            there = probe.point.place.side == side and "A" in probe.point.place.at
            assert (probe.label in names) == there


def test_names_of_points_stay_on_the_sketch(book):
    for family in book.families.values():
        probes = tuple(Probe(point, point.id) for point in family.test_points.values())
        for revision, side in itertools.product(family.revisions, sides(probes)):
            root = parse(locator(family, revision, side, probes, WIDE))
            _, _, _, height = map(float, root.get("viewBox").split())
            for text in root.iter("text"):
                half = text_width(text.text, 15) / 2
                assert float(text.get("x")) - half >= -5, text.text
                assert float(text.get("x")) + half <= WIDE + 5, text.text
                assert 0 <= float(text.get("y")) <= height, text.text


def test_marks_have_four_shapes():
    drawn = {status: str(marks.shape(status, 0, 0, 10)) for status in marks.STATUSES}
    assert len({re.sub(r'class="[^"]*"', "", svg) for svg in drawn.values()}) == 4
    with pytest.raises(KeyError):
        marks.shape("unknown", 0, 0, 10)


def test_svg_helpers():
    assert (
        element("text", "<&>", class_="a", font_size=1.25)
        == '<text class="a" font-size="1.2">&lt;&amp;&gt;</text>'
    )
    assert element("path", d=None) == "<path/>"
    assert [number(v) for v in (1.0, -0.04, 2.25, 1234.56)] == ["1", "0", "2.2", "1234.6"]
    assert wrap("8.35 to 8.45\u00a0V", 70, 14) == ["8.35 to", "8.45\u00a0V"]
