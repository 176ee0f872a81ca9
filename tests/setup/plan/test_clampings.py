"""Clampings: what chucks can hold and cannot, on both sides of every limit, worked out by hand."""

import dataclasses

import pytest

from foldsketch.part.mass.mass_properties import mass_properties
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.setup import messages as m
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.clampings import features_to_turn, find_clampings
from setup_parts import part_of

# The invented machine: chucks from 15 mm, main to 210 and sub to 165, 8 mm of grip, jaws 30 (main) and 25 (sub) high,
# 80 and 70 mm of room behind them; offsets: packed to 10, four jaws to 40, bored jaws to 30, fixture to 60.


def made(features, machine=DEFAULT_MACHINE, **axes):
    part = part_of(features, **axes)
    return find_clampings(part, machine, mass_properties(part))


def held(found, on, line="A", end="+z", spindle="main"):
    """The one clamping of that kind, or code and values of the reason why it cannot be made."""
    those = [
        c for c in found.clampings if (c.held_on, c.on_centreline, c.from_end, c.spindle) == (on, line, end, spindle)
    ]
    if those:
        assert len(those) == 1
        return those[0]
    names = (
        f"{spindle} spindle on '{on}', machined from {end}",
        f"{spindle} spindle on '{on}' with axis {line} on it",
    )
    (reason,) = {f for f in found.rejected if f.where in names}
    return (reason.code, *(getattr(v, "value", v) for _, v in reason.values))


def machine(max_offsets=DEFAULT_MACHINE.max_offsets, **spindle):
    spindles = tuple(dataclasses.replace(s, **spindle) for s in DEFAULT_MACHINE.spindles)
    return dataclasses.replace(DEFAULT_MACHINE, spindles=spindles, max_offsets=max_offsets)


def test_jaws_grip_at_the_end_that_is_not_worked_on():
    found = made([Feature("bar", "A", Cylinder(40), 0, 40), Feature("head", "A", Cylinder(60), 40, 60)])
    assert held(found, "bar").grip_range == (0, 8)
    assert held(found, "head", end="-z").grip_range == (52, 60)
    assert held(found, "bar").turned == ("head",)
    assert held(found, "head", end="-z").turned == ("bar",)


@pytest.mark.parametrize(("length", "grips"), [(8.0, True), (7.9, False)])
@pytest.mark.parametrize("end", ["+z", "-z"])
def test_the_least_length_of_grip(length, grips, end):
    low = 0 if end == "+z" else 50 - length
    neck = (length, 50) if end == "+z" else (0, 50 - length)
    got = held(
        made([Feature("stub", "A", Cylinder(40), low, low + length), Feature("neck", "A", Cylinder(30), *neck)]),
        "stub",
        end=end,
    )
    if grips:
        assert got.grip_range == (low, low + length)
    else:
        assert got == (m.GRIP_TOO_SHORT.code, pytest.approx(7.9), 8)


@pytest.mark.parametrize(("spindle", "room"), [("main", 80), ("sub", 70)])
def test_what_goes_behind_the_jaws(spindle, room):
    for behind in (room, room + 1):
        shaft = [Feature("tail", "A", Cylinder(30), 0, behind), Feature("head", "A", Cylinder(60), behind, behind + 20)]
        got = held(made(shaft), "head", spindle=spindle)
        if behind == room:
            assert got.grip_range == (behind, behind + 8)
        else:
            assert got == (m.TOO_LONG_FOR_CHUCK.code, behind, room)
        assert held(made(shaft), "head", end="-z", spindle=spindle).grip_range == (behind + 12, behind + 20)


def test_what_is_thicker_may_not_stand_before_the_jaws():
    shaft = [Feature("thick", "A", Cylinder(60), 0, 30), Feature("thin", "A", Cylinder(30), 30, 70)]
    assert held(made(shaft), "thin") == (m.BLOCKS_JAWS.code, "thick")
    assert held(made(shaft), "thin", end="-z").grip_range == (62, 70)
    assert held(made(shaft), "thick").grip_range == (0, 8)
    assert held(made(shaft), "thick", end="-z").grip_range == (22, 30)  # the thin end goes behind
    level = [Feature("left", "A", Cylinder(30), 0, 30), Feature("right", "A", Cylinder(30), 30, 70)]
    assert held(made(level), "right").grip_range == (30, 38)


@pytest.mark.parametrize("end", ["+z", "-z"])
@pytest.mark.parametrize(("ends", "free"), [(27.0, 8.0), (27.1, 7.9)])
def test_a_neighbour_that_leaves_too_little_to_grip(end, ends, free):
    """Bosses of 20 and 16 on centres 30 apart: about the first, the other turns from 22 on, and jaws reach to 40."""
    spans = {"long": (10, 35), "short": (10, ends), "flange": (0, 10)}
    if end == "+z":  # the same, upside down
        spans = {k: (-b, -a) for k, (a, b) in spans.items()}
    part = [
        Feature("flange", "A", Cylinder(90), *spans["flange"]),
        Feature("long", "B", Cylinder(20), *spans["long"]),
        Feature("short", "C", Cylinder(16), *spans["short"]),
    ]
    got = held(made(part, B=(15.0, 0.0), C=(-15.0, 0.0)), "long", "B", end)
    if free == 8.0:
        assert sorted(abs(v) for v in got.grip_range) == [27, 35]
    else:
        assert got == (m.GRIP_BLOCKED.code, "short", pytest.approx(7.9), 8)
    low_jaws = held(made(part, machine(jaw_height=12.0), B=(15.0, 0.0), C=(-15.0, 0.0)), "long", "B", end)
    assert sorted(abs(v) for v in low_jaws.grip_range) == [27, 35]


@pytest.mark.parametrize(
    ("diameter", "offset", "fits"), [(15, 0, True), (14.9, 0, False), (210, 0, True), (210.2, 0, False)]
)
def test_what_goes_into_the_chuck(diameter, offset, fits):
    found = made([Feature("bar", "A", Cylinder(diameter), 0, 40), Feature("head", "A", Cylinder(50), 40, 60)])
    got = held(found, "bar")
    if fits:
        assert got.holding_method == "centred"
    else:
        assert got == (m.OUTSIDE_CHUCK_RANGE.code, diameter, 0, 15, 210)


def test_an_offset_widens_what_the_chuck_has_to_take():
    """190 + 2 times 10 is 210, which the main chuck takes; half a millimetre more it does not."""
    for offset, fits in ((10.0, True), (10.5, False)):
        part = [Feature("disc", "A", Cylinder(190), 0, 30), Feature("boss", "B", Cylinder(30), 30, 50)]
        got = held(made(part, B=(offset, 0.0)), "disc", "B")
        if fits:
            assert got.offset == offset
        else:
            assert got == (m.OUTSIDE_CHUCK_RANGE.code, 190, 10.5, 15, 210)


@pytest.mark.parametrize(
    ("diameter", "offset", "way"),
    [
        (40, 10.0, "packed three-jaw"),  # below 40 / (2 sqrt 3) = 11.55, and the machine file's 10 are allowed
        (40, 10.01, "four-jaw"),
        (30, 8.66, "packed three-jaw"),  # 30 / (2 sqrt 3) = 8.6603
        (30, 8.661, "four-jaw"),
        (30, 14.99, "four-jaw"),
        (30, 15.0, "bored jaws"),  # the centreline leaves the round
        (30, 30.0, "bored jaws"),
        (30, 30.01, "offset fixture"),
        (100, 40.0, "four-jaw"),
        (100, 40.01, "offset fixture"),
        (80, 60.0, "offset fixture"),
    ],
)
def test_the_first_way_that_can_hold_it(diameter, offset, way):
    part = [Feature("body", "A", Cylinder(diameter), 0, 30), Feature("pin", "B", Cylinder(20), 30, 50)]
    got = held(made(part, B=(0.0, offset)), "body", "B")
    assert (got.holding_method, got.offset) == (way, offset)


def test_too_far_off_for_every_way():
    part = [Feature("body", "A", Cylinder(80), 0, 30), Feature("pin", "B", Cylinder(20), 30, 50)]
    got = held(made(part, B=(0.0, 60.01)), "body", "B")
    assert got == (m.OFFSET_TOO_LARGE.code, 60.01, "offset fixture", 60)
    none = held(made(part, machine(max_offsets=()), B=(0.0, 5.0)), "body", "B")
    assert none == (m.NO_OFFSET_HOLDING.code,)


@pytest.mark.parametrize(
    ("method", "most", "limit"), [("packed three-jaw", 50, 80 / 12**0.5), ("four-jaw", 50, 40), ("four-jaw", 30, 30)]
)
def test_the_lower_of_the_machines_limit_and_the_jaws_is_named(method, most, limit):
    """On 80 mm: packed below 80 / (2 sqrt 3) = 23.09, four jaws below 40."""
    part = [Feature("body", "A", Cylinder(80), 0, 30), Feature("pin", "B", Cylinder(20), 30, 50)]
    got = held(made(part, machine(max_offsets=((method, most),)), B=(0.0, 41.0)), "body", "B")
    assert got == (m.OFFSET_TOO_LARGE.code, 41, method, pytest.approx(limit))


def test_flats_are_not_packed():
    part = [Feature("head", "A", PrismShape(6, 46), 0, 14), Feature("pin", "B", Cylinder(20), 14, 44)]
    assert held(made(part, B=(4.0, 0.0)), "head", "B").holding_method == "four-jaw"


def test_between_centres_on_the_main_spindle_only():
    part = [
        Feature("left", "A", Cylinder(40), 0, 30),
        Feature("pin", "B", Cylinder(20), 30, 50),
        Feature("right", "A", Cylinder(40), 50, 80),
    ]
    only = machine(max_offsets=(("between centres", 20.0),))
    assert held(made(part, only, B=(8.0, 0.0)), "left", "B").holding_method == "between centres"
    assert held(made(part, only, B=(8.0, 0.0)), "left", "B", spindle="sub") == (m.NO_OFFSET_HOLDING.code,)
    # 19 of 20 mm from the centre, a centre hole stands on the edge.
    assert held(made(part, only, B=(19.0, 0.0)), "left", "B") == (m.NO_OFFSET_HOLDING.code,)


BODY = Feature("body", "A", Cylinder(60), 0, 42)


def test_held_from_inside():
    through = made([BODY, Feature("bore", "A", Cylinder(30), -1, 43, cut=True)])
    up, down = held(through, "bore"), held(through, "bore", end="-z")
    assert (up.grip_range, down.grip_range) == ((0, 8), (34, 42))
    assert up.holding_method == "centred"
    assert up.required_bore == "bore"
    assert up.turned == ("body",)
    for end, span in (("+z", (-1, 7.9)), ("-z", (34.1, 43))):
        got = held(made([BODY, Feature("b", "A", Cylinder(30), *span, cut=True)]), "b", end=end)
        assert got == (m.GRIP_TOO_SHORT.code, pytest.approx(7.9), 8)
    for end, span in (("+z", (0, 8)), ("-z", (34, 42))):
        assert held(made([BODY, Feature("b", "A", Cylinder(30), *span, cut=True)]), "b", end=end).grip_range == span
    for end, span in (("+z", (0.5, 43)), ("-z", (-1, 41.5))):
        blind = held(made([BODY, Feature("b", "A", Cylinder(30), *span, cut=True)]), "b", end=end)
        assert blind == (m.BORE_CLOSED_AT_CHUCK.code,)
    cone = held(made([BODY, Feature("b", "A", Cone(30, 20), -1, 43, cut=True)]), "b")
    assert cone == (m.BORE_NOT_STRAIGHT.code,)


def test_a_bore_as_cast_need_not_be_turned_first():
    bore = Feature("bore", "A", Cylinder(30), -1, 43, cut=True, finish="cast")
    assert held(made([BODY, bore]), "bore").required_bore == ""
    assert held(made([BODY, dataclasses.replace(bore, stock=2.0)]), "bore").required_bore == "bore"


@pytest.mark.parametrize(("diameter", "fits"), [(15.0, True), (14.9, False)])
def test_a_bore_off_centre_goes_on_a_fixture(diameter, fits):
    part = [
        Feature("body", "A", Cylinder(80), 0, 40),
        Feature("bore", "B", Cylinder(diameter), -1, 41, cut=True, finish="machined"),
    ]
    got = held(made(part, B=(12.0, 0.0)), "bore")
    if fits:
        assert (got.holding_method, got.offset) == ("offset fixture", 12.0)
    else:
        assert got == (m.BORE_TOO_SMALL.code, 14.9)
    if fits:
        jaws = held(made(part, machine(max_offsets=(("four-jaw", 40.0),)), B=(12.0, 0.0)), "bore")
        assert jaws == (m.NO_OFFSET_HOLDING.code,)
        near = held(made(part, machine(max_offsets=(("offset fixture", 11.9),)), B=(12.0, 0.0)), "bore")
        assert near == (m.OFFSET_TOO_LARGE.code, 12, "offset fixture", 11.9)


def test_plates_go_on_a_fixture_and_cones_into_nothing():
    plate = Feature("web", "A", Plate(hull=((0.0, 0.0, 20.0), (60.0, 0.0, 14.0))), 0, 10)
    part = [plate, Feature("hub", "A", Cylinder(40), 10, 30), Feature("tip", "A", Cone(30, 10), 30, 60)]
    got = held(made(part), "web")
    assert (got.holding_method, got.grip_range) == ("offset fixture", (0, 10))
    assert held(made(part), "tip", end="-z") == (m.NO_GRIP_SURFACE.code,)


def test_the_swing_over_the_machine():
    part = [Feature("flange", "A", Cylinder(90), 0, 12), Feature("boss", "B", Cylinder(30), 12, 32)]
    for swing, fits in ((130.0, True), (129.9, False)):  # 2 (45 + 20)
        found = made(part, dataclasses.replace(DEFAULT_MACHINE, swing=swing), B=(20.0, 0.0))
        assert any(c.on_centreline == "B" for c in found.clampings) is fits
        too_large = [f for f in found.rejected if f.code == m.SWING_TOO_LARGE.code]
        assert [f.where for f in too_large] == ([] if fits else ["axis B on the spindle"])
        assert [(f.value("swing").value, f.value("most").value) for f in too_large] == ([] if fits else [(130, 129.9)])
        assert any(c.on_centreline == "A" for c in found.clampings)


def names(*features, **axes):
    lines = (Axis("A"), *(Axis(k, (*v, 0.0)) for k, v in axes.items()), Axis("X", (0.0, 0.0, 20.0), (1.0, 0.0, 0.0)))
    return [f.name for f in features_to_turn(Part("p", lines, features), DEFAULT_MACHINE)]


def test_what_is_turned_at_all():
    hole = Feature("hole", "B", Cylinder(16), -1, 43, cut=True)
    assert names(BODY, hole, B=(20.0, 0.0)) == ["body"]  # up to the drill size
    assert names(BODY, dataclasses.replace(hole, shape=Cylinder(16.1)), B=(20.0, 0.0)) == ["body", "hole"]
    assert names(BODY, dataclasses.replace(hole, finish="machined"), B=(20.0, 0.0)) == ["body", "hole"]
    assert names(BODY, hole, dataclasses.replace(hole, name="wide", shape=Cylinder(20)), B=(20.0, 0.0)) == [
        "body", "hole", "wide",
    ]  # fmt: skip
    assert names(BODY, Feature("pin", "B", Cylinder(10), 42, 60), B=(20.0, 0.0)) == ["body", "pin"]
    assert names(BODY, Feature("ring", "B", Ring(16, 10), 30, 43, cut=True), B=(20.0, 0.0)) == ["body", "ring"]
    assert names(dataclasses.replace(BODY, finish="cast")) == []
    assert names(dataclasses.replace(BODY, finish="cast", stock=2.0)) == ["body"]
    assert names(BODY, Feature("cross", "X", Cylinder(30), -40, 40, cut=True)) == ["body"]


def test_a_round_across_the_spindle_is_not_held():
    part = dataclasses.replace(
        part_of([BODY]), axes=(Axis("A"), Axis("X", (0.0, 0.0, 20.0), (1.0, 0.0, 0.0))),
        features=(BODY, Feature("arm", "X", Cylinder(20), 0, 60)),
    )  # fmt: skip
    found = find_clampings(part, DEFAULT_MACHINE, mass_properties(part))
    assert held(found, "arm") == (m.HELD_AXIS_CROSSES.code,)


def test_reasons_can_be_read_in_inches():
    """38.1 mm is 1.5 in, 40 mm 1.5748 in."""
    part = [Feature("body", "A", Cylinder(30), 0, 30), Feature("pin", "B", Cylinder(20), 30, 50)]
    found = made(part, machine(max_offsets=(("bored jaws", 38.1),)), B=(0.0, 40.0))
    text = next(f.text_in("in") for f in found.rejected if f.code == m.OFFSET_TOO_LARGE.code)
    assert "1.5748 in" in text and "1.5 in" in text and " mm" not in text
