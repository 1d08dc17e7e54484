"""The drawings say what the records say."""

from __future__ import annotations

import itertools
import json
import math
import re
from xml.etree import ElementTree

import pytest

from benchlore.book import links
from benchlore.site import paths
from benchlore.site.drawings import marks
from benchlore.site.drawings.kept import drawings_kept
from benchlore.site.drawings.locator import WIDE, WIDTH, Probe, locator, sides
from benchlore.site.drawings.placing import FAR, Box, Places
from benchlore.site.drawings.strip import pieces, strip
from benchlore.site.drawings.svg import element, number, text_width, wrap
from benchlore.site.probe_table import probes, rows

SKETCH = re.compile(r'(?s)<svg class="locator".*?</svg>')


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
            scale = json.loads(parse(strip(measurement, live=True)).get("data-scale"))
            values, heights = [v for v, _ in scale], [y for _, y in scale]
            assert values == sorted(values)
            assert heights == sorted(heights, reverse=True)


def test_the_fault_has_shape_and_word_beside_its_colour(book):
    family = book.families["siskin-12"]
    fault = book.faults["siskin-12/pen-bay-holds-pack-data-low"]
    first = fault.test_points[0]
    drawn = str(strip(family.measurements[first.measure], first.expected_reading))
    said = " ".join(text.text for text in parse(drawn).iter("text"))
    assert "default, this fault" in said
    assert drawn.count("<polygon") == 1  # the triangle
    assert "commanded, normal" in said
    assert drawn.count("<circle") == 1


def test_labels_stay_inside_the_strip(book):
    for fault in book.faults.values():
        for expected in fault.test_points:
            measurement = book.families[fault.family].measurements[expected.measure]
            drawn = strip(measurement, expected.expected_reading)
            for text in parse(drawn).iter("text") if drawn else ():
                right = float(text.get("x")) + text_width(text.text, 14)
                assert right <= 360 * 1.06, (measurement.id, text.text)  # the estimate is for the widest face


@pytest.mark.parametrize("width", [WIDTH, WIDE])
def test_a_point_lies_where_its_millimetres_say(book, width):
    for family in book.families.values():
        scale = width / family.board.width
        for point in family.test_points.values():
            for revision, (across, up) in point.at.items():
                drawn = locator(family, revision, point.side, (Probe(point, "X"),), width)
                root = parse(drawn)
                ring = next(c for c in root.iter("circle") if c.get("class") == "probe-ring")
                assert float(ring.get("cx")) == pytest.approx(across * scale, abs=0.06)
                assert float(ring.get("cy")) == pytest.approx((family.board.height - up) * scale, abs=0.06)
                words = root.find("desc").text
                assert "from the left and from the lower edge" in words
                assert f"{across:g} mm, {up:g} mm" in words


def test_a_point_of_the_other_side_or_of_another_revision_is_left_out(book):
    family = book.families["siskin-12"]
    probes = tuple(Probe(point, point.id) for point in family.test_points.values())
    assert sides(probes) == ("top", "bottom")
    for side in sides(probes):
        names = {t.text for t in parse(locator(family, "A", side, probes)).iter("text")}
        for probe in probes:
            there = probe.point.side == side and "A" in probe.point.at
            assert (probe.label in names) == there


def test_names_of_points_stay_on_the_sketch(book):
    for family in book.families.values():
        probes = tuple(Probe(point, point.id) for point in family.test_points.values())
        for revision, side in itertools.product(family.revisions, sides(probes)):
            root = parse(locator(family, revision, side, probes, WIDE))
            _, top, _, height = map(float, root.get("viewBox").split())
            for text in root.iter("text"):
                half = text_width(text.text, 15) / 2
                assert float(text.get("x")) - half >= -5, text.text
                assert float(text.get("x")) + half <= WIDE + 5, text.text
                assert top <= float(text.get("y")) <= top + height, text.text


def all_sketches(book, family):
    """Every sketch that a page may show: of a fault, of a net, of one point, of all points of a family."""
    for fault in links.faults_of_family(book, family.id):
        yield links.revisions_of(book, fault), probes(rows(book, fault)), WIDTH
    every = tuple(Probe(point, point.id) for point in family.test_points.values())
    yield tuple(family.revisions), every, WIDE
    for probe in every:
        yield tuple(probe.point.at), (probe,), WIDTH
    for net in family.nets:
        yield tuple(family.revisions), tuple(p for p in every if p.point.net == net), WIDTH


@pytest.fixture(scope="module")
def sketches(each_book, each_site):
    """The sketches, with what is on them; those that the build has drawn are looked up."""
    made = []
    for family in each_book.families.values():
        with drawings_kept(family.id):
            made += [
                (family, revision, side, shown, width, str(locator(family, revision, side, shown, width)))
                for revisions, shown, width in all_sketches(each_book, family)
                for revision, side in itertools.product(revisions, sides(shown))
            ]
    return made


@pytest.fixture(scope="module")
def drawn(sketches):
    return [(*of, parse(svg)) for *of, svg in sketches]


def test_what_the_page_of_a_fault_shows_is_among_these(each_book, each_site, sketches):
    known = {svg for *_, svg in sketches}
    shown = {
        (fault, svg)
        for fault in each_book.faults
        for svg in SKETCH.findall((each_site / paths.fault(fault)).read_text(encoding="utf-8"))
    }
    assert len(shown) >= len(each_book.faults)
    assert [fault for fault, svg in shown if svg not in known] == []


def label_boxes(root):
    """What each word on a sketch takes up, as it is drawn."""
    for text in root.iter("text"):
        size = 16 if text.get("class") == "probe-name" else 15
        half, x, y = text_width(text.text, size) / 2, float(text.get("x")), float(text.get("y"))
        yield text, Box(x - half, y - 0.75 * size, x + half, y + 0.25 * size)


def boxes_of(root, css):
    for one in root.iter("rect"):
        if one.get("class") == css:
            left, top, width, height = (float(one.get(name)) for name in ("x", "y", "width", "height"))
            yield Box(left, top, left + width, top + height)


def test_no_label_of_any_sketch_covers_another_a_point_or_the_edge(drawn):
    labels = 0
    for family, revision, side, shown, _width, root in drawn:
        what = f"{family.id} {revision} {side} {[probe.label for probe in shown]}"
        boxes = list(label_boxes(root))
        labels += len(boxes)
        for (one, box), (other, second) in itertools.combinations(boxes, 2):
            assert not box.meets(second), f"{what}: {one.text} over {other.text}"
        rings = [c for c in root.iter("circle") if c.get("class") == "probe-ring"]
        centres = [(float(ring.get("cx")), float(ring.get("cy"))) for ring in rings]
        points = [Box(x, y, x, y).grown(8) for x, y in centres]
        # Both leads of one reading have its number: the same name stands at two points.
        names = sorted(text.text for text, _ in boxes if text.get("class") == "probe-name")
        there = [p.label for p in shown if p.point.side == side and revision in p.point.at]
        assert names == sorted(there), what
        assert len(names) == len(points), what
        edge = next(boxes_of(root, "board"))
        for text, box in boxes:
            assert not any(box.meets(point) for point in points), f"{what}: {text.text} under a point"
            assert not box.top < edge.top < box.bottom, f"{what}: {text.text} on the edge"
            assert not box.top < edge.bottom < box.bottom, f"{what}: {text.text} on the edge"
    assert labels > 5 * len(drawn)


def lines_of(root):
    """The lines of the two distances, as thin boxes."""
    for path in root.iter("path"):
        if path.get("class") == "distance":
            left, y, right, x, low, high = map(float, re.findall(r"-?[0-9.]+", path.get("d")))
            yield Box(left, y, right, y)
            yield Box(x, min(low, high), x, max(low, high))


def test_no_line_and_no_outline_runs_through_a_label(drawn):
    """Also with as much space between letters and words as a reader may set."""
    lines = 0
    for family, revision, side, _shown, _width, root in drawn:
        parts, distances = list(boxes_of(root, "landmark")), list(lines_of(root))
        lines += len(distances)
        for text, box in label_boxes(root):
            what = f"{family.id} {revision} {side}: {text.text}"
            assert not any(box.meets(line) for line in distances), f"{what} on a distance line"
            assert all(part.holds(box) or not box.meets(part) for part in parts), f"{what} on an outline"
    assert lines > 20


def test_a_landmark_name_stands_on_no_other_landmark(drawn):
    for family, revision, _side, _shown, width, root in drawn:
        scale = width / family.board.width
        parts = list(boxes_of(root, "landmark"))
        for text, box in label_boxes(root):
            if text.get("class") != "landmark-name":
                continue
            own = [place.at[revision] for name, place in family.board.landmarks.items() if text.text in name]
            for part in parts:
                if box.meets(part):
                    x, up = part.middle[0] / scale, family.board.height - part.middle[1] / scale
                    assert any(math.hypot(x - a, up - b) < 0.2 for a, b in own), (family.id, text.text)


def leaders_of(root):
    """The ends of each line between what is named and its label."""
    for path in root.iter("path"):
        if path.get("class") == "leader":
            x1, y1, x2, y2 = map(float, re.findall(r"-?[0-9.]+", path.get("d")))
            yield (x1, y1), (x2, y2)


def test_a_name_is_nearer_to_its_own_point_than_to_any_other_or_has_a_line(drawn):
    for family, revision, side, shown, width, root in drawn:
        scale = width / family.board.width
        there = [p for p in shown if p.point.side == side and revision in p.point.at]
        points = []
        for probe in there:
            x, y = probe.point.at[revision]
            x, y = x * scale, (family.board.height - y) * scale
            points.append((probe.label, Box(x, y, x, y).grown(9)))
        lines = list(leaders_of(root))
        for text, box in label_boxes(root):
            if text.get("class") != "probe-name":
                continue
            own = [point for label, point in points if label == text.text]  # two, of a reading with two leads
            ends = [
                math.dist(start, end)
                for start, end in lines
                for point in own
                if math.dist(start, point.middle) < 10 and Box(*end, *end).gap(box) < 4
            ]
            near = min(box.gap(point) for point in own)
            others = [box.gap(point) for label, point in points if label != text.text]
            what = f"{family.id} {revision} {side}: {text.text}"
            assert any(length > 4 for length in ends) or near < min(others, default=99), what


def test_a_distance_stands_on_no_outline(drawn):
    """Digits on an outline are misread, and read as the size of the part."""
    distances = 0
    for family, revision, _side, _shown, _width, root in drawn:
        parts = list(boxes_of(root, "landmark"))
        for text, box in label_boxes(root):
            if text.get("class") == "distance-name":
                distances += 1
                assert not any(box.meets(part) for part in parts), (family.id, revision, text.text)
    assert distances


def test_a_landmark_that_the_words_of_a_point_name_has_its_name(drawn):
    """`fifth contact of the touch connector` needs the touch connector."""
    told = 0
    for family, revision, side, shown, _width, root in drawn:
        names = " ".join(text.text for text, _ in label_boxes(root))
        there = [p for p in shown if p.point.side == side and revision in p.point.at]
        said = " ".join(probe.point.where[revision] for probe in there).casefold()
        for name, place in family.board.landmarks.items():
            if name.casefold() in said and place.side == side and revision in place.at and place.size:
                told += 1
                assert all(word in names for word in name.split()), (family.id, revision, said, name)
    assert told


def test_a_label_goes_off_the_board_when_nothing_on_it_is_free():
    board = Box(0, 0, 200, 60)
    point = Box(91, 21, 109, 39)
    places = Places(board, [point, board], [])
    placed = places.take_first(places.offers(point, 40, 18, rings=FAR))
    assert placed is not None
    assert placed.leader is not None
    assert placed.box.bottom <= 0 or placed.box.top >= 60
    assert places.take_first(places.offers(point, 201, 18, rings=FAR)) is None, "wider than the board"


def test_the_same_points_are_drawn_alike(book):
    family = book.families["teal-8"]
    shown = tuple(Probe(point, point.id) for point in family.test_points.values())
    assert locator(family, "A", "top", shown, WIDE) == locator(family, "A", "top", shown, WIDE)
    assert 'class="leader"' in locator(family, "A", "top", shown, WIDE)


def test_marks_have_four_shapes():
    drawn = {status: str(marks.shape(status, 0, 0, 10)) for status in marks.STATUSES}
    assert len({re.sub(r'class="[^"]*"', "", svg) for svg in drawn.values()}) == 4
    with pytest.raises(KeyError):
        marks.shape("unknown", 0, 0, 10)


def test_a_page_draws_each_mark_that_it_uses_once():
    content = str(marks.mark("fault") + marks.mark("normal") + marks.mark("fault"))
    assert {one.get("id") for one in parse(marks.symbols(content))} == {"mark-normal", "mark-fault"}
    assert set(re.findall(r'href="#([^"]+)"', content)) == {"mark-normal", "mark-fault"}
    assert marks.symbols("<p>None.</p>") == ""
    with pytest.raises(KeyError):
        marks.mark("unknown")


def test_svg_helpers():
    assert (
        element("text", "<&>", class_="a", font_size=1.25)
        == '<text class="a" font-size="1.2">&lt;&amp;&gt;</text>'
    )
    assert element("path", d=None) == "<path/>"
    assert [number(v) for v in (1.0, -0.04, 2.25, 1234.56)] == ["1", "0", "2.2", "1234.6"]
    assert wrap("8.35 to 8.45\u00a0V", 84, 14) == ["8.35 to", "8.45\u00a0V"]
