"""Reach on both sides of its limits: what just touches, what just closes, what just counts as standing beside."""

import pytest

from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.setup.access.sweep import sweeps
from foldsketch.setup.access.tool_access import check_tool_access
from foldsketch.setup.formulas.jaws import four_jaw_settings, narrow_jaw_packing
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import plan

TOOLS = DEFAULT_MACHINE.tools  # 6 mm of room, 90 mm of overhang, a driven shank of 12 mm
BODY = Feature("body", "A", Cylinder(60), 0, 50)


def got(features, name, end="+z", grip=None, **axes):
    part = Part("p", (Axis("A"), *(Axis(k, (*v, 0.0)) for k, v in axes.items())), tuple(features))
    f = next(f for f in features if f.name == name)
    grip = grip or {"+z": (-1000.0, -999.0), "-z": (999.0, 1000.0)}[end]
    return check_tool_access(part, f, sweeps(part, part.axis(f.axis).point[:2]), end, grip, TOOLS)


@pytest.mark.parametrize(("apart", "room"), [(24.0, 6.0), (23.9, None)])
def test_room_for_a_tool_beside_a_neighbour(apart, room):
    """Two rounds of 20 and 16 side by side: between them lie apart - 10 - 8 mm, and a tool needs 6."""
    pair = [Feature("one", "A", Cylinder(20), 0, 30), Feature("two", "B", Cylinder(16), 0, 30)]
    r = got(pair, "one", B=(apart, 0.0))
    if room:
        assert (r.reason, r.reach.radial_clearance) == ("", pytest.approx(room))
        assert r.reach.overhang == pytest.approx(30)
        assert r.reach.overhang_ratio == pytest.approx(30 / 6)
    else:
        assert r.reason == "only 5.9 mm are free beside 'two', a tool needs 6"


def test_of_two_neighbours_the_nearer_one_leaves_the_room_and_the_higher_one_the_overhang():
    three = [
        Feature("one", "A", Cylinder(20), 0, 30),
        Feature("near", "B", Cylinder(16), 0, 30),
        Feature("high", "C", Cylinder(16), 0, 50),
    ]
    for features in (three, [three[0], three[2], three[1]]):
        r = got(features, "one", B=(-28.0, 0.0), C=(30.0, 0.0))
        assert r.reason == ""
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
        assert (r.reason, r.reach.radial_clearance, r.reach.overhang) == ("", None, 0.0)
        assert r.reach.open_length == pytest.approx(25)
    edge = {"+z": (0.0, 10.0), "-z": (35.0, 45.0)}[end]
    assert got(pair, "low", end, grip=edge, B=(30.0, 0.0)).why == ""
    over = {"+z": (0.0, 10.1), "-z": (34.9, 45.0)}[end]
    r = got(pair, "low", end, grip=over, B=(30.0, 0.0))
    assert r.reason == "the chuck covers it"
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
    assert r.reason == ""
    assert r.reach.overhang == pytest.approx(overhang)
    assert got(part, "bore", "-z", B=(apart, 0.0)).reach.overhang == pytest.approx(30)


@pytest.mark.parametrize(("outer", "why"), [(20.0, ""), (22.0, ""), (19.9, "'body' closes it toward +z")])
def test_a_bore_reached_through_another(outer, why):
    part = [
        BODY,
        Feature("seat", "A", Cylinder(20), 10, 30, cut=True),
        Feature("mouth", "A", Cylinder(outer), 30, 51, cut=True),
    ]
    r = got(part, "seat")
    assert r.reason == why
    assert r.reach.overhang == pytest.approx(40)
    assert got(part, "seat", "-z").why == "'body' closes it toward -z"


def test_a_boss_over_a_bore_closes_it():
    part = [BODY, Feature("lid", "A", Cylinder(30), 50, 60), Feature("bore", "A", Cylinder(20), -1, 50, cut=True)]
    assert got(part, "bore").why == "'lid' closes it toward +z"
    assert got(part, "bore", "-z").why == ""
    ring = [BODY, Feature("rim", "A", Ring(40, 20), 50, 60), part[2]]
    assert got(ring, "bore").why == ""
    assert got(ring, "bore").reach.overhang == pytest.approx(60)


def test_jaws_one_by_one_by_hand():
    """50 mm, 5 off: toward the offset 25 + 5, away from it 25 - 5, and across sqrt(25^2 - 5^2) = 24.494897."""
    found = four_jaw_settings(50, 5, 0.0)
    assert [j.contact_radius for j in found] == pytest.approx([30, 24.494897, 20, 24.494897])
    assert [j.moved for j in found] == pytest.approx([5, -0.505103, -5, -0.505103])
    assert [j.reading for j in found] == [j.moved for j in found]


@pytest.mark.parametrize(("offset", "packed"), [(17.0, True), (18.0, False)])
def test_packing_is_told_as_long_as_jaws_touch(offset, packed):
    """On 30 mm two jaws lose touch beyond 30 / sqrt 3 = 17.32 mm."""
    part = Part(
        "p",
        (Axis("A"), Axis("B", (offset, 0.0, 0.0))),
        (Feature("pin", "A", Cylinder(30), 0, 40), Feature("disc", "B", Cylinder(80), 40, 60)),
        density=7850.0,
    )
    made = plan(part, DEFAULT_MACHINE)
    off = [s for s in made.setups if s.clamping.held_on == "pin" and s.clamping.offset]
    assert off
    for s in off:
        assert (s.packing is not None) is packed
        if packed:
            assert s.packing[:2] == (narrow_jaw_packing(30, offset), 1.5 * offset)
            assert s.packing.width == DEFAULT_MACHINE.spindle(s.clamping.spindle).jaw_width
        told = [f.text for f in s.findings]
        assert any("must not be packed" in t for t in told)
