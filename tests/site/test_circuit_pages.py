"""The working of a net, the bracket on the strip, the power tree."""

from __future__ import annotations

import re
from dataclasses import replace

from benchlore.book.work import spared
from benchlore.circuit.healthy import healthy
from benchlore.circuit.interval import Interval
from benchlore.site.drawings.power_tree import drawing, in_words
from benchlore.site.drawings.strip import strip
from benchlore.site.pages.family import of_family
from benchlore.site.sections.circuit import (
    between,
    known,
    line_values,
    rail_values,
    removal,
    tree,
    working,
    workings,
)
from tests.circuit.books import FAMILY, good, with_net


def parts(book=None):
    made = book or good()
    return made, made.families[FAMILY]


def test_working_of_a_line_shows_every_step_with_its_numbers():
    book, family = parts()
    section = working(book, family, family.nets["SDA"])
    assert section is not None
    (shown,) = section.context["workings"]
    assert [state.id for state in shown.states] == ["adapter-only", "pack-only"]
    assert (
        section.context["filled"](shown.derived.steps[0])
        == "800\u00a0mV × (1 + 31.6\u00a0kΩ / 10\u00a0kΩ) = 3.328\u00a0V"
    )
    assert section.context["given"](shown.derived.last)[1] == ("resistor", "2.2\u00a0kΩ ±5%", "2K2J")
    assert shown.worst == "3.244 to 3.412\u00a0V"
    assert shown.rss == "3.278 to 3.376\u00a0V"
    assert any("as low up to" in said and "UM10204" in said for said in section.context["standards"])
    assert section.context["calculators"] == (
        ("The line reads low: work out the leak", "leak?supply=3.328%20V%202.5%25&pull_up=2.2%20kohm%205%25"),
    )


def test_states_in_which_a_net_is_down_are_told():
    book, family = parts()
    section = working(book, family, family.nets["FUSED"])
    assert section is not None
    assert [state.id for state in section.context["down"]] == ["pack-only"]


def test_a_net_without_elements_has_no_working():
    book, family = parts(with_net(good(), "SDA", pull=None))
    assert working(book, family, family.nets["SDA"]) is None


def test_ranges_for_people():
    assert between(Interval(3.2441, 3.4119), "V") == "3.244 to 3.412\u00a0V"
    assert between(Interval(0.4248, 0.504), "V") == "0.425 to 0.504\u00a0V"
    assert between(Interval(17.9, 20.05), "V") == "17.90 to 20.05\u00a0V"
    assert between(Interval(950, 1050), "ohm") == "950.0\u00a0Ω to 1.050\u00a0kΩ"
    assert between(Interval(5, 5), "V") == "5.000\u00a0V"


def test_values_for_the_calculations():
    book, family = parts()
    assert line_values(book, family, family.nets["MAIN"]) == {}
    assert rail_values(family.nets["MAIN"]) == {"rail": "3.3 V"}
    assert rail_values(family.nets["SDA"]) == {}


def test_what_two_states_give_is_shown_apart():
    two = [
        {"from": "FUSED", "in": ["adapter-only"], "volts": "3.4 V 1%"},
        {"from": "PACK", "in": ["pack-only"], "way": "both", "volts": "3.2 V 1%"},
    ]
    book, family = parts(with_net(good(), "MAIN", converter=two, junction=None))
    shown = workings(book, family, family.nets["MAIN"])
    assert [(w.states[0].id, w.derived.value) for w in shown] == [("adapter-only", 3.4), ("pack-only", 3.2)]


def test_removal_names_the_hazards_of_the_iron():
    book, family = parts()
    section = removal(book, family, family.nets["MAIN"])
    assert section is not None
    assert section.context["hazards"] == ("lithium-pack", "burn", "fumes", "static")


def test_a_board_without_a_pack_warns_of_none(shipped_book):
    """Neither where its parts come off nor where it is opened."""
    bare = [f for f in shipped_book.families.values() if "lithium-pack" in spared(f)]
    assert bare
    for family in bare:
        made = removal(shipped_book, family, next(iter(family.nets.values())))
        assert made is not None
        page = next(one for one in of_family(shipped_book, family) if one.template == "family.html")
        met = {*made.context["hazards"], *page.context["opening_hazards"]}
        assert "static" in met
        assert not met & spared(family), family.id


def test_bracket_lies_within_its_outcome_on_the_strip():
    _, family = parts()
    measurement = family.measurements["main-rail"]
    drawn = strip(measurement, None, (3.245, 3.412), live=True)
    bracket = re.search(r'class="strip-derived" d="M35 ([\d.]+)h5V([\d.]+)h-5"', drawn.replace(".0", ""))
    assert bracket is not None
    band = re.search(r'y="([\d.]+)"[^>]* height="([\d.]+)"[^>]* data-outcome="healthy"', drawn)
    assert band is not None
    top, height = float(band[1]), float(band[2])
    assert top - 2 <= float(bracket[1]) < float(bracket[2]) <= top + height + 2
    assert "strip-derived" not in strip(measurement)


def test_power_tree_says_in_words_what_it_draws():
    book, family = parts()
    states = [book.states["adapter-only"], book.states["pack-only"]]
    said = in_words(family, states, healthy(book, family)).replace("\u00a0", " ")
    assert "VIN 5.0 V ±5%, comes in from outside, up in: Adapter in, pack out." in said
    assert "MAIN 3.3 V or PACK, below FUSED, up in: Adapter in, pack out; Pack in, adapter out." in said
    drawn = drawing(family, states, healthy(book, family))
    # Four rails, two states: VIN, FUSED and MAIN on the adapter, PACK and MAIN on the pack.
    assert drawn.count('class="tree-up"') == 5
    assert drawn.count('class="tree-down"') == 3
    assert drawn.count('class="tree-line"') == 2


def test_a_family_says_what_is_known_of_its_circuit_and_what_more_would_buy():
    book, family = parts()
    section = known(book, family)
    assert section is not None
    told = {row.what: (row.there, row.of) for row in section.context["rows"]}
    assert told["nets with what feeds or drives them"] == (5, 5)
    assert told["paths, converters and pulls with their part"] == (3, 4)  # whose resistor pulls SDA up?
    assert told["rails with what they read to ground"] == (0, 4)
    assert told["converters with what they wait for"] == (0, 2)


def test_a_family_without_rails_has_no_tree():
    book, family = parts()
    nets = {name: replace(net, kind="control") for name, net in family.nets.items()}
    bare = replace(family, nets=nets)
    assert tree(book, bare) is None
    assert drawing(bare, [], healthy(book, bare)) == ""
