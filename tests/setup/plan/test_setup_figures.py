"""Figures of a set-up on both sides of where they turn, and what is reported about it."""

import dataclasses
import math

import pytest

from foldsketch.part.model import Cylinder, Feature, Plate, PrismShape
from foldsketch.setup import messages as m
from foldsketch.setup.cutters import Cutter
from foldsketch.setup.formulas.bar_deflection import deflection
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.report import plan_report
from setup_parts import ECCENTRIC, ONE_SPINDLE, findings, part_of, planned


def test_a_single_spindle_is_set_by_hand_from_the_second_on():
    made = planned(machine=ONE_SPINDLE)
    assert [s.by_hand for s in made.setups] == [False, True]
    assert [s.shift for s in made.setups] == [0.0, 0.0]
    assert [s["by_hand"] for s in plan_report(made)["setups"]] == [False, True]
    twin = planned()
    assert [s.by_hand for s in twin.setups] == [False, False]
    assert [s.number for s in twin.setups] == [1, 2]


def test_the_lower_limit_governs_and_equals_are_the_machines():
    (first, *_) = planned().setups
    for limit, governs in ((3999.0, "balance, G 16"), (4000.0, "spindle and chuck"), (4001.0, "spindle and chuck")):
        s = dataclasses.replace(first, speed_limit=limit, machine_limit=4000.0, grade=16.0)
        assert s.speed == (min(limit, 4000.0), governs)
    assert dataclasses.replace(first, speed_limit=None).speed[1] == "spindle and chuck"


def test_a_part_in_balance_has_neither_limit_nor_weight():
    made = planned((ECCENTRIC[0], Feature("neck", "A", Cylinder(40), 40, 60)))
    s = made.setups[0]
    assert s.unbalance == pytest.approx(0, abs=1e-6)
    assert s.speed_limit is None
    assert s.counterweight is None
    assert s.packing is None


def test_counterweight_takes_the_moment_away():
    """Weight times radius is the unbalance; it sits at the widest turn, on the far side."""
    made = planned()
    for s, row in zip(made.setups, plan_report(made)["setups"], strict=True):
        if s.counterweight is None:
            assert s.unbalance <= 1.0
            continue
        weight, radius = s.counterweight
        assert weight * 1000 * radius == pytest.approx(s.unbalance)
        assert radius == max(w.outer for w in s.sweep) == s.swing / 2
        across = (row["counterweight"]["angle"] - row["unbalance_angle"]) % 360
        assert across == pytest.approx(180)
        assert 0 <= row["counterweight"]["angle"] < 360
    assert any(s.counterweight for s in made.setups)


def test_without_density_there_are_no_figures_of_mass():
    made = plan(dataclasses.replace(part_of(ECCENTRIC, B=(6.0, 0.0)), density=None), DEFAULT_MACHINE)
    assert all(
        s.mass is None and s.unbalance is None and s.force is None and s.speed_limit is None for s in made.setups
    )
    assert findings(made, m.NO_DENSITY)
    assert not findings(planned(), m.NO_DENSITY)


@pytest.mark.parametrize("sides", [4, 6])
def test_flats_in_three_jaws(sides):
    head = Feature("head", "A", PrismShape(sides, 46), 0, 14)
    made = planned((head, Feature("neck", "A", Cylinder(20), 14, 44)))
    assert made.setups[0].clamping.held_on == "head"
    assert {f.value("flats") for f in findings(made, m.FLATS_IN_THREE_JAWS)} == ({4} if sides == 4 else set())
    assert made.setups[0].contact_points == 3


def test_a_cast_surface_that_is_held():
    cast = (dataclasses.replace(ECCENTRIC[0], finish="cast"), ECCENTRIC[1])
    assert {f.value("feature") for f in findings(planned(cast, B=(6.0, 0.0)), m.CAST_SURFACE_HELD)} == {"body"}
    assert not findings(planned(), m.CAST_SURFACE_HELD)


@pytest.mark.parametrize(("offset", "nearly"), [(53.0, False), (55.0, True)])
def test_a_shift_that_nearly_uses_up_the_travel(offset, nearly):
    """Nine tenths of 60 mm are 54."""
    big = (Feature("body", "A", Cylinder(100), 0, 40), Feature("pin", "B", Cylinder(20), 40, 60))
    made = planned(big, B=(offset, 0.0))
    shifted = [s for s in made.setups if s.shift > 0]
    assert [s.shift for s in shifted] == [offset]
    used = [(f.value("shift").value, f.value("travel").value) for f in findings(made, m.CROSS_TRAVEL_NEARLY_USED)]
    assert used == ([(offset, 60)] if nearly else [])


def test_orientation_between_steps():
    """Steps of one degree: 30.4 degrees leave 0.4, which on 6 mm is 0.042 mm beside the centreline."""
    t = math.radians(30.4)
    made = planned(B=(6 * math.cos(t), 6 * math.sin(t)))
    left = findings(made, m.SPINDLE_ANGLE_LEFT)
    assert len(left) == 2
    for f in left:
        assert (f.value("step").value, f.value("angle").value) == (pytest.approx(1), pytest.approx(0.4))
        assert f.value("beside").value == pytest.approx(0.0419, abs=1e-4)
    straight = planned(B=(6 * math.cos(math.pi / 6), 6 * math.sin(math.pi / 6)))
    assert not findings(straight, m.SPINDLE_ANGLE_LEFT)
    by_hand = planned(machine=ONE_SPINDLE, B=(6 * math.cos(t), 6 * math.sin(t)))
    assert not findings(by_hand, m.SPINDLE_ANGLE_LEFT)


def with_bar(overhang):
    """The machine with one boring bar, of 10, beside a turning tool."""
    cutters = (Cutter("outside", 20.0, 20.0, 40.0), Cutter("bar", 10.0, 10.0, overhang, 10.0))
    return dataclasses.replace(
        DEFAULT_MACHINE, cutters=cutters, tools=dataclasses.replace(DEFAULT_MACHINE.tools, overhang=200.0)
    )


@pytest.mark.parametrize(("depth", "bar"), [(30, None), (60, "heavy metal"), (75, "carbide")])
def test_the_bar_that_an_overhang_needs(depth, bar):
    """A bar of 10 may stick out 3, 6 and 7.5 times its diameter, if it is made for it."""
    part = (
        Feature("body", "A", Cylinder(60), 0, depth),
        Feature("bore", "A", Cylinder(16.2), -1, depth + 1, cut=True),
    )
    made = planned(part, with_bar(100.0))
    (reach,) = {r for s in made.setups for r in s.reach if r.feature == "bore"}
    assert reach.overhang == depth
    assert reach.overhang_ratio == pytest.approx(depth / 10)
    assert reach.deflection == pytest.approx(deflection(DEFAULT_MACHINE.tools.force, depth, 10))
    assert {f.value("bar") for f in findings(made, m.OVERHANG_NEEDS_BAR)} == ({bar} if bar else set())


def test_beyond_every_bar():
    """120 mm deep in a bore of 16.2: more than 10 times the bar."""
    part = (
        Feature("body", "A", Cylinder(60), 0, 120),
        Feature("bore", "A", Cylinder(16.2), -1, 121, cut=True, finish="machined"),
    )
    made = planned(part, with_bar(130.0))
    assert {f.where for f in findings(made, m.OVERHANG_BEYOND_BARS)} == {"feature 'bore'"}


def test_between_centres_the_holes_are_judged():
    """8 mm off on 40 mm: the centre holes keep 12 mm to the edge."""
    only = dataclasses.replace(DEFAULT_MACHINE, max_offsets=(("between centres", 20.0),))
    part = (
        Feature("left", "A", Cylinder(40), 0, 30),
        Feature("pin", "B", Cylinder(20), 30, 50),
        Feature("right", "A", Cylinder(40), 50, 80),
    )
    made = planned(part, only, B=(8.0, 0.0))
    between = [s for s in made.setups if s.clamping.holding_method == "between centres"]
    assert between
    assert all(h.edge_distance == pytest.approx(12) for s in between for h in s.centre_holes)
    assert not findings(made, m.CENTRE_HOLE_NEAR_EDGE)


def test_a_plate_goes_on_a_fixture():
    web = Feature("web", "A", Plate(hull=((0.0, 0.0, 20.0), (60.0, 0.0, 14.0))), 0, 10, finish="cast")
    made = planned((web, Feature("hub", "A", Cylinder(30), 10, 40)), B=(6.0, 0.0))
    assert {f.value("feature") for f in findings(made, m.PLATE_ON_FIXTURE)} == {"web"}


@pytest.mark.parametrize(("offset", "packed"), [(17.0, True), (18.0, False)])
def test_packing_is_given_as_long_as_jaws_touch(offset, packed):
    """On 30 mm two jaws lose touch beyond 30 / sqrt 3 = 17.32 mm, and hold without friction below half of it."""
    pin = (Feature("pin", "A", Cylinder(30), 0, 40), Feature("disc", "B", Cylinder(80), 40, 60))
    made = planned(pin, B=(offset, 0.0))
    off = [s for s in made.setups if s.clamping.held_on == "pin" and s.clamping.offset]
    assert off
    for s in off:
        assert (s.packing is not None) is packed
        if packed:
            assert s.packing.flat == 1.5 * offset
            assert s.packing.width == DEFAULT_MACHINE.spindle(s.clamping.spindle).jaw_width
    limits = {f.value("limit").value for f in findings(made, m.BEYOND_THREE_JAW_PACKING)}
    assert sorted(limits) == pytest.approx([30 / (2 * math.sqrt(3))])


# A hand-over in which nothing is turned ------------------------------------------------------------------------------


def two_spigots(thick, machine=DEFAULT_MACHINE):
    features = (
        Feature("flange", "A", Cylinder(96), 0, thick, finish="cast"),
        Feature("inlet", "B", Cylinder(30), thick, thick + 26),
        Feature("outlet", "C", Cylinder(26), thick, thick + 22),
    )
    return planned(features, machine, B=(22.0, 0.0), C=(-22.0, 0.0))


def test_a_spindle_that_only_takes_the_part_over_holds_it_centred():
    """Between two spigots the sub-spindle turns nothing: it takes the flange on its own centre, 22 mm off the first
    centreline, and gives it back 22 mm the other way; an indicator on it stands still. By hand, from the offsets."""
    one, two, three = two_spigots(20).setups
    assert [s.clamping.spindle for s in (one, two, three)] == ["main", "sub", "main"]
    assert (two.clamping.on_centreline, two.clamping.holding_method, two.features) == ("A", "centred", ())
    assert [s.indicator for s in (one, two, three)] == pytest.approx([44, 0, 44])
    assert [s.shift for s in (one, two, three)] == pytest.approx([0, 22, 22])
    assert [s.features for s in (one, three)] == [("inlet",), ("outlet",)]
    assert [f.where for f in findings(two_spigots(20), m.TURNS_NOTHING)] == ["set-up 2"]


def test_where_nothing_is_handed_over_nothing_is_held_for_it():
    assert [s.features for s in two_spigots(20, ONE_SPINDLE).setups] == [("inlet",), ("outlet",)]


@pytest.mark.parametrize(("thick", "both"), [(14, 2), (15.5, 0.5), (16, None), (20, None)])
def test_both_chucks_on_one_length(thick, both):
    """Each needs 8 mm of the flange, from its own end."""
    lengths = {f.value("length").value for f in findings(two_spigots(thick), m.JAWS_MEET)}
    assert lengths == (set() if both is None else {both})
