"""Where each record's page lies. One place, used by pages, templates, search and data."""

from __future__ import annotations

from urllib.parse import urlencode

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
CONTRIBUTE = "contribute/index.html"
FIELDS = "contribute/fields.html"
RULES = "contribute/rules.html"


def fault(fault_id: str) -> str:
    """`petrel-13/x` -> `petrel-13/x.html`."""
    return f"{fault_id}.html"


def family(family_id: str) -> str:
    """The family's own page."""
    return f"{family_id}/index.html"


def net(family_id: str, net_id: str) -> str:
    """A net's page."""
    return f"{family_id}/nets/{net_id}.html"


def part(family_id: str, part_id: str) -> str:
    """A part's page."""
    return f"{family_id}/parts/{part_id}.html"


def test_point(family_id: str, net_id: str, point_id: str) -> str:
    """A test point stands on the page of its net."""
    return f"{net(family_id, net_id)}#point-{point_id}"


def measurement(family_id: str, net_id: str, measurement_id: str) -> str:
    """A measurement stands on the page of the net that it reads."""
    return f"{net(family_id, net_id)}#measure-{measurement_id}"


def symptom(symptom_id: str) -> str:
    """A symptom's page."""
    return f"symptoms/{symptom_id}.html"


def job(family_id: str, symptom_id: str) -> str:
    """The bench page with a new job: its family and its symptom are filled in."""
    return f"{BENCH}#{urlencode({'v': 1, 'family': family_id, 'symptom': symptom_id})}"


def technique(technique_id: str) -> str:
    """A technique's page."""
    return f"techniques/{technique_id}.html"


def hazard(hazard_id: str) -> str:
    """A hazard's page."""
    return f"hazards/{hazard_id}.html"


def meter(meter_id: str) -> str:
    """A meter's page."""
    return f"meters/{meter_id}.html"


def state(state_id: str) -> str:
    """A bench state's page."""
    return f"states/{state_id}.html"


def study(family_id: str) -> str:
    """A family's study page."""
    return f"study/{family_id}.html"


def handout(family_id: str) -> str:
    """A family's handout, for paper."""
    return f"study/{family_id}-handout.html"
