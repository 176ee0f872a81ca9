"""Tool access: cases worked out by hand, each with its reason, on both sides of every limit."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring
from foldsketch.setup.access.sweep import sweeps
from foldsketch.setup.access.tool_access import check_tool_access
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.messages import (
    BORE_CLOSED,
    BORE_CUTS_NOTHING,
    BORE_OPENS_OTHER_WAY,
    CHUCK_COVERS,
    NEIGHBOUR_IN_FRONT,
    NO_CLEARANCE,
    OVERHANG_TOO_LONG,
    OVERHANG_TOO_LONG_BESIDE,
)

TOOLS = DEFAULT_MACHINE.tools  # 6 mm of room, 90 mm of overhang, a driven shank of 12 mm
FREE = {"+z": (-1000.0, -999.0), "-z": (999.0, 1000.0)}
"""A grip far from everything, for each end that is worked on."""


def got(features, name, end="+z", grip=None, tools=TOOLS, held=None, **axes):
    part = Part("p", (Axis("A"), *(Axis(k, (*v, 0.0)) for k, v in axes.items())), tuple(features))
    f = next(f for f in features if f.name == name)
    at = part.axis(f.axis).point[:2]
    return check_tool_access(part, f, sweeps(part, at), end, grip or FREE[end], tools, held)


def why(result):
    """Code and values of the reason, None where all is reached; lengths as numbers."""
    if result.reason is None:
        return None
    return (result.reason.code, *(getattr(v, "value", v) for _, v in result.reason.values))


STEPPED = [Feature("thick", "A", Cylinder(60), 0, 30), Feature("thin", "A", Cylinder(30), 30, 70)]


@pytest.mark.parametrize("end", ["+z", "-z"])
@pytest.mark.parametrize("name", ["thick", "thin"])
def test_a_stepped_shaft_is_reached_from_outside(name, end):
    r = got(STEPPED, name, end)
    assert r.reason is None
    assert r.reach.overhang == 0 and r.reach.radial_clearance is None and r.reach.deflection is None


def test_the_chuck_covers_what_it_holds_and_all_behind_it():
    r = got(STEPPED, "thick", "+z", grip=(0.0, 8.0))
    assert why(r) == (CHUCK_COVERS.code,)
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
    assert r.reason is None
    assert r.reach.radial_clearance == pytest.approx(12)
    assert r.reach.overhang == pytest.approx(35)
    assert r.reach.overhang_ratio == pytest.approx(35 / 12)
    short = dataclasses.replace(TOOLS, overhang=34.0)
    r = got(features, "low", tools=short, B=(15.0, 0.0), C=(-15.0, 0.0))
    assert why(r) == (OVERHANG_TOO_LONG_BESIDE.code, "high", 35, 34)


def test_a_neighbour_that_leaves_too_little():
    features = [Feature("one", "A", Cylinder(20), 0, 30), Feature("two", "B", Cylinder(20), 0, 30)]
    r = got(features, "one", B=(25.0, 0.0))
    # 25 - 10 - 10: 5 mm are free.
    assert why(r) == (NO_CLEARANCE.code, "two", pytest.approx(5), 6)
    assert r.reach.open_length == 0


def test_a_crank_pin_between_its_webs_is_reached_from_the_side():
    """The webs sweep wide, but not at the pin's own heights."""
    features = [
        Feature("web 1", "A", Cylinder(80), 0, 10),
        Feature("pin", "B", Cylinder(20), 10, 40),
        Feature("web 2", "A", Cylinder(80), 40, 50),
    ]
    assert got(features, "pin", B=(20.0, 0.0)).reason is None


def test_a_groove_is_reached_through_its_own_host():
    features = [*STEPPED, Feature("groove", "A", Ring(30, 24), 50, 54, cut=True)]
    r = got(features, "groove")
    assert r.reason is None
    assert r.reach.open_length == pytest.approx(4)


def test_bores_by_the_end_they_open_to():
    blind = [Feature("body", "A", Cylinder(60), 0, 50), Feature("pocket", "A", Cylinder(20), 30, 51, cut=True)]
    top, bottom = got(blind, "pocket", "+z"), got(blind, "pocket", "-z")
    assert top.reason is None
    assert top.reach.overhang == pytest.approx(20)
    assert why(bottom) == (BORE_CLOSED.code, "body", "-z")
    through = [blind[0], Feature("bore", "A", Cylinder(20), -1, 51, cut=True)]
    assert got(through, "bore", "+z").reason is None and got(through, "bore", "-z").reason is None
    # A boring bar of 0.7 of the bore, at most the driven shank: 12 mm; 50 mm deep.
    assert got(through, "bore").reach.overhang_ratio == pytest.approx(50 / 12)
    sink = [blind[0], Feature("sink", "A", Cone(10, 30), 40, 50, cut=True)]
    assert got(sink, "sink", "+z").reason is None
    assert why(got(sink, "sink", "-z")) == (BORE_OPENS_OTHER_WAY.code, "+z")


def test_a_deep_bore_is_too_far():
    deep = [Feature("bar", "A", Cylinder(60), 0, 120), Feature("bore", "A", Cylinder(20), -1, 121, cut=True)]
    assert why(got(deep, "bore")) == (OVERHANG_TOO_LONG.code, 120, 90)


def test_jaws_in_a_bore_leave_the_outside_free():
    bore = Feature("bore", "A", Cylinder(20), -1, 71, cut=True)
    features = [*STEPPED, bore]
    assert got(features, "thick", grip=(0.0, 8.0), held=bore).reason is None
    assert why(got(features, "thick", grip=(0.0, 8.0), held=STEPPED[0])) == (CHUCK_COVERS.code,)


BODY = Feature("body", "A", Cylinder(60), 0, 50)


@pytest.mark.parametrize(("apart", "room"), [(24.0, 6.0), (23.9, None)])
def test_room_for_a_tool_beside_a_neighbour(apart, room):
    """Two rounds of 20 and 16 side by side: between them lie apart - 10 - 8 mm, and a tool needs 6."""
    pair = [Feature("one", "A", Cylinder(20), 0, 30), Feature("two", "B", Cylinder(16), 0, 30)]
    r = got(pair, "one", B=(apart, 0.0))
    if room:
        assert (r.reason, r.reach.radial_clearance) == (None, pytest.approx(room))
        assert r.reach.overhang == pytest.approx(30)
        assert r.reach.overhang_ratio == pytest.approx(30 / 6)
    else:
        assert why(r) == (NO_CLEARANCE.code, "two", pytest.approx(5.9), 6)


def test_of_two_neighbours_the_nearer_one_leaves_the_room_and_the_higher_one_the_overhang():
    three = [
        Feature("one", "A", Cylinder(20), 0, 30),
        Feature("near", "B", Cylinder(16), 0, 30),
        Feature("high", "C", Cylinder(16), 0, 50),
    ]
    for features in (three, [three[0], three[2], three[1]]):
        r = got(features, "one", B=(-28.0, 0.0), C=(30.0, 0.0))
        assert r.reason is None
        assert r.reach.radial_clearance == pytest.approx(10)  # 28 - 8 - 10
        assert r.reach.overhang == pytest.approx(50)
        down = got(features, "one", "-z", B=(-28.0, 0.0), C=(30.0, 0.0))
        assert (down.reach.radial_clearance, down.reach.overhang) == (pytest.approx(10), pytest.approx(30))


@pytest.mark.parametrize("end", ["+z", "-z"])
def test_what_only_touches_stands_in_no_ones_way(end):
    """Neighbours that begin where the feature ends, before it and behind it; jaws that end where it begins."""
    near, far = ((10, 35), (35, 60))
    pair = [Feature("low", "A", Cylinder(20), *near), Feature("high", "B", Cylinder(16), *far)]
    for name, axes in (("low", {"B": (30.0, 0.0)}), ("high", {"B": (30.0, 0.0)})):
        r = got(pair, name, end, **axes)
        assert (r.reason, r.reach.radial_clearance, r.reach.overhang) == (None, None, 0.0)
        assert r.reach.open_length == pytest.approx(25)
    edge = {"+z": (0.0, 10.0), "-z": (35.0, 45.0)}[end]
    assert got(pair, "low", end, grip=edge, B=(30.0, 0.0)).reason is None
    over = {"+z": (0.0, 10.1), "-z": (34.9, 45.0)}[end]
    r = got(pair, "low", end, grip=over, B=(30.0, 0.0))
    assert why(r) == (CHUCK_COVERS.code,)
    assert r.reach.open_length == pytest.approx(24.9)


def test_a_bore_that_runs_out_is_as_long_as_the_material():
    bore = Feature("bore", "A", Cylinder(20), -3, 57, cut=True)
    for end in ("+z", "-z"):
        r = got([BODY, bore], "bore", end)
        assert (r.reach.open_length, r.reach.overhang) == (pytest.approx(50), pytest.approx(50))


@pytest.mark.parametrize(("apart", "overhang"), [(25.9, 60.0), (26.1, 30.0)])
def test_what_stands_close_beside_a_bore_makes_the_tool_longer(apart, overhang):
    """Bore of 20, boss of 20 beside it, 30 mm higher: the tool passes it when less than 6 mm lie between."""
    part = [
        Feature("flange", "A", Cylinder(100), 0, 30),
        Feature("boss", "B", Cylinder(20), 30, 60),
        Feature("bore", "A", Cylinder(20), -1, 31, cut=True),
    ]
    r = got(part, "bore", B=(apart, 0.0))
    assert r.reason is None
    assert r.reach.overhang == pytest.approx(overhang)
    assert got(part, "bore", "-z", B=(apart, 0.0)).reach.overhang == pytest.approx(30)


@pytest.mark.parametrize(("outer", "reason"), [(20.0, None), (22.0, None), (19.9, (BORE_CLOSED.code, "body", "+z"))])
def test_a_bore_reached_through_another(outer, reason):
    part = [
        BODY,
        Feature("seat", "A", Cylinder(20), 10, 30, cut=True),
        Feature("mouth", "A", Cylinder(outer), 30, 51, cut=True),
    ]
    r = got(part, "seat")
    assert why(r) == reason
    assert r.reach.overhang == pytest.approx(40)
    assert why(got(part, "seat", "-z")) == (BORE_CLOSED.code, "body", "-z")


def test_a_boss_over_a_bore_closes_it():
    part = [BODY, Feature("lid", "A", Cylinder(30), 50, 60), Feature("bore", "A", Cylinder(20), -1, 50, cut=True)]
    assert why(got(part, "bore")) == (BORE_CLOSED.code, "lid", "+z")
    assert got(part, "bore", "-z").reason is None
    ring = [BODY, Feature("rim", "A", Ring(40, 20), 50, 60), part[2]]
    assert got(ring, "bore").reason is None
    assert got(ring, "bore").reach.overhang == pytest.approx(60)


@pytest.mark.parametrize("end", ["+z", "-z"])
def test_what_is_in_front_bars_the_way_along_the_centreline(end):
    """A pin with a ring around it is reached from its end only, and a head on that end is wider than the pin."""
    z = (lambda *v: v) if end == "+z" else (lambda *v: tuple(-x for x in reversed(v)))
    features = [
        Feature("pin", "A", Cylinder(20), *z(0, 30)),
        Feature("head", "A", Cylinder(40), *z(30, 40)),
        Feature("post", "B", Cylinder(16), *z(0, 30)),
    ]
    r = got(features, "pin", end, B=(30.0, 0.0))
    assert why(r) == (NEIGHBOUR_IN_FRONT.code, "head", "post")
    assert r.reach.radial_clearance == pytest.approx(12)
    assert got(features, "pin", "-z" if end == "+z" else "+z", B=(30.0, 0.0)).reason is None


def test_a_bore_in_the_air():
    part = [BODY, Feature("bore", "B", Cylinder(10), 0, 50, cut=True)]
    assert why(got(part, "bore", B=(60.0, 0.0))) == (BORE_CUTS_NOTHING.code,)
    low = [BODY, Feature("bore", "A", Cylinder(10), 60, 70, cut=True)]
    assert why(got(low, "bore")) == (BORE_CUTS_NOTHING.code,)


def test_jaws_in_a_bore_do_not_hide_a_neighbour():
    """Held from inside, the chuck covers nothing: what is too near is named."""
    pair = [
        Feature("one", "A", Cylinder(40), 0, 30),
        Feature("two", "B", Cylinder(20), 0, 30),
        Feature("bore", "A", Cylinder(20), -1, 31, cut=True),
    ]
    r = got(pair, "one", grip=(0.0, 8.0), held=pair[2], B=(32.0, 0.0))
    assert why(r) == (NO_CLEARANCE.code, "two", pytest.approx(2), 6)


@pytest.mark.parametrize("end", ["+z", "-z"])
@given(st.floats(5, 40), st.floats(5, 40), st.floats(12, 60), st.floats(22, 60))
def test_both_ends_are_alike(end, length, higher, diameter, apart):
    """Turned end for end, a part is reached from the other end in the same way."""

    def both(sign):
        spans = {"one": (0, length), "two": (0, higher), "bore": (length / 2, length + 1)}
        spans = {k: v if sign > 0 else (-v[1], -v[0]) for k, v in spans.items()}
        features = [
            Feature("one", "A", Cylinder(20), *spans["one"]),
            Feature("two", "B", Cylinder(diameter), *spans["two"]),
            Feature("bore", "A", Cylinder(8), *spans["bore"], cut=True),
        ]
        other = {"+z": "-z", "-z": "+z"}[end]
        return [got(features, n, end if sign > 0 else other, B=(apart + diameter / 2, 0.0)) for n in ("one", "bore")]

    for up, down in zip(both(1), both(-1), strict=True):
        assert (up.reason and up.reason.code) == (down.reason and down.reason.code)
        assert up.reach.open_length == pytest.approx(down.reach.open_length, abs=1e-6)
        assert up.reach.overhang == pytest.approx(down.reach.overhang, abs=1e-6)
