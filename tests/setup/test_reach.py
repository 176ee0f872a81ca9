"""Reach: cases worked out by hand, each with the reason that a user reads."""

import dataclasses

import pytest

from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring
from foldsketch.setup.access.sweep import sweeps
from foldsketch.setup.access.tool_access import check_tool_access
from foldsketch.setup.machine import DEFAULT_MACHINE

TOOLS = DEFAULT_MACHINE.tools
FREE = {"+z": (-1000.0, -999.0), "-z": (999.0, 1000.0)}
"""A grip far from everything, for each end that is worked on."""


def got(features, name, end="+z", grip=None, tools=TOOLS, held=None, **axes):
    part = Part("p", (Axis("A"), *(Axis(k, (*v, 0.0)) for k, v in axes.items())), tuple(features))
    f = next(f for f in features if f.name == name)
    at = part.axis(f.axis).point[:2]
    return check_tool_access(part, f, sweeps(part, at), end, grip or FREE[end], tools, held)


STEPPED = [Feature("thick", "A", Cylinder(60), 0, 30), Feature("thin", "A", Cylinder(30), 30, 70)]


@pytest.mark.parametrize("end", ["+z", "-z"])
@pytest.mark.parametrize("name", ["thick", "thin"])
def test_a_stepped_shaft_is_reached_from_outside(name, end):
    r = got(STEPPED, name, end)
    assert r.reason == ""
    assert r.reach.overhang == 0 and r.reach.radial_clearance is None and r.reach.deflection is None


def test_the_chuck_covers_what_it_holds_and_all_behind_it():
    r = got(STEPPED, "thick", "+z", grip=(0.0, 8.0))
    assert r.reason == "the chuck covers it"
    assert r.reach.open_length == pytest.approx(22)
    behind = got(STEPPED, "thick", "+z", grip=(30.0, 38.0))
    assert behind.reach.open_length == 0


def test_between_a_spigot_and_the_ring_of_its_neighbour():
    """Spigots of 20 and 16 on centres 30 apart: about the first, the other sweeps from 22 on: 12 mm of room. The
    other is 10 mm higher, so the tool passes 35 mm of it to reach the foot."""
    features = [
        Feature("flange", "A", Cylinder(90), 0, 10),
        Feature("low", "B", Cylinder(20), 10, 35),
        Feature("high", "C", Cylinder(16), 10, 45),
    ]
    r = got(features, "low", B=(15.0, 0.0), C=(-15.0, 0.0))
    assert r.reason == ""
    assert r.reach.radial_clearance == pytest.approx(12)
    assert r.reach.overhang == pytest.approx(35)
    assert r.reach.overhang_ratio == pytest.approx(35 / 12)
    short = dataclasses.replace(TOOLS, overhang=34.0)
    assert (
        "would need 35.0 mm overhang beside 'high'"
        in got(features, "low", tools=short, B=(15.0, 0.0), C=(-15.0, 0.0)).why
    )


def test_a_neighbour_that_leaves_too_little():
    features = [Feature("one", "A", Cylinder(20), 0, 30), Feature("two", "B", Cylinder(20), 0, 30)]
    r = got(features, "one", B=(25.0, 0.0))
    # 25 - 10 - 10: 5 mm are free.
    assert r.reason == "only 5.0 mm are free beside 'two', a tool needs 6"
    assert r.reach.open_length == 0


def test_a_crank_pin_between_its_webs_is_reached_from_the_side():
    """The webs sweep wide, but not at the pin's own heights."""
    features = [
        Feature("web 1", "A", Cylinder(80), 0, 10),
        Feature("pin", "B", Cylinder(20), 10, 40),
        Feature("web 2", "A", Cylinder(80), 40, 50),
    ]
    assert got(features, "pin", B=(20.0, 0.0)).why == ""


def test_a_groove_is_reached_through_its_own_host():
    features = [*STEPPED, Feature("groove", "A", Ring(30, 24), 50, 54, cut=True)]
    r = got(features, "groove")
    assert r.reason == ""
    assert r.reach.open_length == pytest.approx(4)


def test_bores_by_the_end_they_open_to():
    blind = [Feature("body", "A", Cylinder(60), 0, 50), Feature("pocket", "A", Cylinder(20), 30, 51, cut=True)]
    top, bottom = got(blind, "pocket", "+z"), got(blind, "pocket", "-z")
    assert top.reason == ""
    assert top.reach.overhang == pytest.approx(20)
    assert bottom.reason == "'body' closes it toward -z"
    through = [blind[0], Feature("bore", "A", Cylinder(20), -1, 51, cut=True)]
    assert got(through, "bore", "+z").why == got(through, "bore", "-z").why == ""
    # A boring bar of 0.7 of the bore, at most the driven shank: 12 mm; 50 mm deep.
    assert got(through, "bore").reach.overhang_ratio == pytest.approx(50 / 12)
    sink = [blind[0], Feature("sink", "A", Cone(10, 30), 40, 50, cut=True)]
    assert got(sink, "sink", "+z").why == ""
    assert got(sink, "sink", "-z").why == "it opens to +z"


def test_a_deep_bore_is_too_far():
    deep = [Feature("bar", "A", Cylinder(60), 0, 120), Feature("bore", "A", Cylinder(20), -1, 121, cut=True)]
    assert got(deep, "bore").why == "a tool would need 120.0 mm overhang, 90 are allowed"


def test_jaws_in_a_bore_leave_the_outside_free():
    bore = Feature("bore", "A", Cylinder(20), -1, 71, cut=True)
    features = [*STEPPED, bore]
    assert got(features, "thick", grip=(0.0, 8.0), held=bore).why == ""
    assert got(features, "thick", grip=(0.0, 8.0), held=STEPPED[0]).why == "the chuck covers it"
