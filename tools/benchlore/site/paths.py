"""Where each page, each place on one and each file of data lies: pages, templates, search and data ask here.

What scripts name, too, stands in them once: `hub.html` in `store.js`, the search's files in `search.js`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from urllib.parse import urlencode

from benchlore.book.model import Measurement, State

HOME = "index.html"
FAMILIES = "families.html"
FAULTS = "faults.html"
NETS = "nets.html"
PARTS = "parts.html"
SYMPTOMS = "symptoms/index.html"
TECHNIQUES = "techniques/index.html"
HAZARDS = "hazards/index.html"
METERS = "meters/index.html"
STATES = "states/index.html"
BENCH = "bench.html"
CALCULATORS = "calculators.html"
LOOK_UP = "look-up.html"
LEARN = "learn.html"
CALIBRATION = "calibration.html"
COVERAGE = "coverage.html"
CONTRIBUTE = "contribute/index.html"
WRITE = "contribute/write.html"
FIELDS = "contribute/fields.html"
RULES = "contribute/rules.html"

HUB = "hub.html"
WALK = "walk.html"
VOCABULARY_DATA = "data/vocabulary.js"
WRITE_DATA = "data/write/book.js"
BENCH_DATA = "data/bench/book.js"
WALK_DATA = "data/walk/book.js"
CALCULATOR_DATA = "data/calculators.js"
SEARCH_INDEX = "assets/search-index.js"
SEARCH_READINGS = "assets/search-readings.js"

# Where the page of a record lies, by its kind: `{key}` is its id, `{page}` the net of a test point
# or measurement, or the part that is looked at. The search box fills them in, too.
PATTERNS: Mapping[str, str] = MappingProxyType(
    {
        "symptom": "symptoms/{key}.html",
        "family-symptom": "{family}/symptoms/{key}.html",
        "fault": "{family}/{key}.html",
        "net": "{family}/nets/{key}.html",
        "part": "{family}/parts/{key}.html",
        "test-point": "{family}/nets/{page}.html#point-{key}",
        "measurement": "{family}/nets/{page}.html#measure-{key}",
        "look": "{family}/parts/{page}.html#measure-{key}",
        "technique": "techniques/{key}.html",
        "hazard": "hazards/{key}.html",
        "meter": "meters/{key}.html",
        "state": "states/{key}.html",
        "family-state": "{family}/states/{key}.html",
        "family": "{family}/index.html",
        "page": "{key}.html",
    }
)


def fault(fault_id: str) -> str:
    """`petrel-13/x` -> `petrel-13/x.html`."""
    return f"{fault_id}.html"


def family(family_id: str, section: str = "") -> str:
    """The family's own page, or a section of it by its anchor."""
    page = PATTERNS["family"].format(family=family_id)
    return f"{page}#{section}" if section else page


def net(family_id: str, net_id: str) -> str:
    """A net's page."""
    return PATTERNS["net"].format(family=family_id, key=net_id)


def part(family_id: str, part_id: str) -> str:
    """A part's page."""
    return PATTERNS["part"].format(family=family_id, key=part_id)


def test_point(family_id: str, net_id: str, point_id: str) -> str:
    """A test point stands on the page of its net."""
    return PATTERNS["test-point"].format(family=family_id, page=net_id, key=point_id)


def measurement(family_id: str, one: Measurement) -> str:
    """A measurement stands on the page of the net that it reads; without a net, on that of the part that is
    looked at."""
    kind, page = ("measurement", one.net) if one.net else ("look", one.at)
    return PATTERNS[kind].format(family=family_id, page=page, key=one.id)


def symptom(symptom_id: str) -> str:
    """A symptom's page: the boards that show it, each with its first reading."""
    return PATTERNS["symptom"].format(key=symptom_id)


def symptom_on(family_id: str, symptom_id: str) -> str:
    """A symptom on a board: the plan, the faults that show it, what each reads."""
    return PATTERNS["family-symptom"].format(family=family_id, key=symptom_id)


def job(family_id: str, symptom_id: str) -> str:
    """The bench page with a new job: its family and its symptom are filled in."""
    return f"{BENCH}#{urlencode({'v': 1, 'family': family_id, 'symptom': symptom_id})}"


def technique(technique_id: str) -> str:
    """A technique's page."""
    return PATTERNS["technique"].format(key=technique_id)


def hazard(hazard_id: str) -> str:
    """A hazard's page."""
    return PATTERNS["hazard"].format(key=hazard_id)


def meter(meter_id: str) -> str:
    """A meter's page."""
    return PATTERNS["meter"].format(key=meter_id)


def state(state: State) -> str:
    """A bench state's page: with those of the family whose own it is."""
    pattern = PATTERNS["family-state" if state.family else "state"]
    return pattern.format(family=state.family, key=state.id)


def study(family_id: str) -> str:
    """A family's study page."""
    return f"study/{family_id}.html"


def handout(family_id: str) -> str:
    """A family's handout, for paper."""
    return f"study/{family_id}-handout.html"


def walk(family_id: str) -> str:
    """The walk over a good board of a family."""
    return f"{family_id}/walk.html"


def walk_sheet(family_id: str) -> str:
    """The same walk, for paper."""
    return f"{family_id}/walk-sheet.html"


def field(kind: str, name: str) -> str:
    """A field of a record kind, on the page of all fields."""
    return f"{FIELDS}#{kind}-{name}"


def calculator(fragment: str) -> str:
    """A calculator; `fragment` is its kind, or what also fills it in."""
    return f"{CALCULATORS}#{fragment}"


def anchor(path: str) -> str:
    """The id of the element that a path leads to on its page."""
    return path.partition("#")[2]


def bench_data(family_id: str) -> str:
    """What the bench knows of a family."""
    return f"data/bench/{family_id}.js"


def write_data(family_id: str) -> str:
    """What the form for a fault pattern knows of a family."""
    return f"data/write/{family_id}.js"


def write_records(family_id: str) -> str:
    """The texts of a family's fault patterns."""
    return f"data/write/{family_id}-records.js"


def study_data(family_id: str) -> str:
    """A family's cards."""
    return f"data/study/{family_id}.js"


def walk_data(family_id: str) -> str:
    """The order of a family's walk."""
    return f"data/walk/{family_id}.js"


def picture(family_id: str, name: str) -> str:
    """The clean copy of a family's picture, by its name."""
    return f"assets/pictures/{family_id}/{name}"


def record_data(page: str) -> str:
    """The JSON of the record that a page shows."""
    return f"data/{page.removesuffix('.html')}.json"


def record_text(file: str) -> str:
    """The text of a record file; the ending makes every browser show it."""
    return f"records/{file}.txt"
