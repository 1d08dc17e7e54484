"""Battery not seen, and a bus that controller, charger, accessory and pack share: whose fault it is.

Common practice, no source. The charger leaves its power-on value only when a command reaches it over the data
line. So with the rail commanded the line works, and the pack or what is plugged in is at fault nine times in
ten or more; with the rail at its default, and commanded once the accessory is unplugged, the accessory; at
its default still, the board.
"""

import pytest

from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.posterior import evidence
from benchlore.diagnosis.rank import rank
from benchlore.diagnosis.reading import Reading
from tests.books import example

OUTSIDE = ("pack", "accessory", "adapter", "cable")


def whose(**read: str) -> dict[str, float]:
    case = make_case(example(), "siskin-12")
    taken = [Reading(m.replace("_", "-"), o, outcome=o) for m, o in read.items()]
    return dict(rank(example(), case, evidence(case, ["pack-not-seen"], taken)).whose)


def test_with_the_rail_commanded_it_is_the_pack_or_what_is_plugged_in():
    found = whose(main_rail_adapter="commanded", pack_data_volts="normal", pack_connector_look="clean")
    assert sum(found.get(kind, 0.0) for kind in OUTSIDE) >= 0.9
    assert max(found, key=lambda kind: found[kind]) == "pack"


def test_commanded_once_the_accessory_is_unplugged_it_is_the_accessory():
    found = whose(main_rail_adapter="default", main_rail_pen_bay_unplugged="commanded")
    assert max(found, key=lambda kind: found[kind]) == "accessory"


def test_at_its_default_still_it_is_the_board():
    found = whose(main_rail_adapter="default", main_rail_pen_bay_unplugged="default")
    assert found["board"] >= 0.9


@pytest.mark.parametrize("share", [0.5])
def test_the_pack_leads_before_anything_is_read(share):
    assert whose()["pack"] > share
