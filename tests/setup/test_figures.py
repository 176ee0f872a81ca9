"""Figures of a plan on both sides of where they turn: times, what is told of a set-up, why others were not chosen."""

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.setup.access.sweep import sweep_of, sweeps, swept_profile, swing
from foldsketch.setup.formulas.bar_deflection import deflection
from foldsketch.setup.formulas.casting_stock import CastStock, simulate_yield
from foldsketch.setup.formulas.cycle_time import OperationTimes, compare_cycle_times
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.castings_and_time import check_castings
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import plan_table
from foldsketch.setup.plan.report import plan_report

SINGLE = dataclasses.replace(DEFAULT_MACHINE, kind="single", spindles=DEFAULT_MACHINE.spindles[:1])
ECCENTRIC = (Feature("body", "A", Cylinder(60), 0, 40), Feature("pin", "B", Cylinder(20), 40, 60))


def planned(features=ECCENTRIC, machine=DEFAULT_MACHINE, density=7850.0, **axes):
    lines = (Axis("A"), *(Axis(k, (*v, 0.0)) for k, v in (axes or {"B": (6.0, 0.0)}).items()))
    return plan(Part("p", lines, tuple(features), density=density), machine)


def texts(made):
    return [f.text for s in made.setups for f in s.findings]


# Times ---------------------------------------------------------------------------------------------------------------


def slow(features, load, transfer, queue, parts):
    """Minutes for so many parts, one after another: on two machines, and on one with two spindles that overlap."""
    first, second = (2.0 * k for k in features)
    apart = (first + load) * parts + queue + (load + second) * parts
    at = first + load + transfer + second  # the first part comes through
    for _ in range(parts - 1):
        at += max(first + load, second) + transfer
    return apart, at


@settings(max_examples=60)
@given(st.integers(1, 4), st.integers(1, 4), st.integers(0, 8), st.integers(0, 20), st.integers(0, 40))
def test_break_even_by_counting(first, second, load, transfer, queue):
    found = compare_cycle_times([first, second], ["main", "sub"], OperationTimes(2.0, load, transfer, queue, 0.0, 10))
    apart, one = slow([first, second], load, transfer, queue, 10)
    assert (found.separate_batch, found.one_batch) == (apart, one)
    by_count = next(
        (b for b in range(1, 400) if (v := slow([first, second], load, transfer, queue, b))[1] <= v[0]), None
    )
    assert found.break_even == by_count


def test_times_in_the_report():
    times = OperationTimes(cut=2.0, load=1.5, transfer=2.5, queue=0.0, setting=30.0, batch=40)
    made = compare_cycle_times([1, 1], ["main", "sub"], times)
    tree = plan_report(planned(), (), made)["time"]
    assert tree["cuts"] == [2.0, 2.0]
    assert tree["separate"] == {"part": 7.0, "batch": 60 + 40 * 7}
    assert tree["one_machine"] == {"part": 6.0, "batch": 60 + 8 + 39 * 6}
    assert (tree["overlapped"], tree["break_even"]) == (True, 2)  # 8 > 7, and 8 + 6 <= 14
    assert made.break_even_text == "from 2 parts on"


def test_the_error_of_a_share_of_all():
    """Where every part cleans up, the error is told as of one part in so many."""
    found = simulate_yield(CastStock(5.0, 1.0, 0.0), 10_000)
    assert (found.fraction, found.error) == (1.0, 1 / 10_000)
    none = simulate_yield(CastStock(0.0, 1.0, 0.0), 10_000)
    assert (none.fraction, none.error) == (0.0, 1 / 10_000)


# Figures of a set-up -------------------------------------------------------------------------------------------------


def test_a_single_spindle_is_set_by_hand_from_the_second_on():
    made = planned(machine=SINGLE)
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
    made = planned(density=None)
    assert all(
        s.mass is None and s.unbalance is None and s.force is None and s.speed_limit is None for s in made.setups
    )
    assert any("has no density" in f.text for f in made.findings)
    assert not any("has no density" in f.text for f in planned().findings)


@pytest.mark.parametrize("sides", [4, 6])
def test_flats_in_three_jaws(sides):
    head = Feature("head", "A", PrismShape(sides, 46), 0, 14)
    made = planned((head, Feature("neck", "A", Cylinder(20), 14, 44)))
    assert made.setups[0].clamping.held_on == "head"
    told = any(f"{sides} flats do not sit in three jaws" in t for t in texts(made))
    assert told is (sides == 4)
    assert made.setups[0].contacts == 3


def test_a_cast_surface_that_is_held_is_told():
    cast = (dataclasses.replace(ECCENTRIC[0], finish="cast"), ECCENTRIC[1])
    assert any("a cast surface is held" in t for t in texts(planned(cast, B=(6.0, 0.0))))
    assert not any("a cast surface is held" in t for t in texts(planned()))


@pytest.mark.parametrize(("offset", "told"), [(53.0, False), (55.0, True)])
def test_a_shift_that_nearly_uses_up_the_travel(offset, told):
    """Nine tenths of 60 mm are 54."""
    big = (Feature("body", "A", Cylinder(100), 0, 40), Feature("pin", "B", Cylinder(20), 40, 60))
    made = planned(big, B=(offset, 0.0))
    shifted = [s for s in made.setups if s.shift > 0]
    assert [s.shift for s in shifted] == [offset]
    assert any("nearly uses up the cross travel" in t for t in texts(made)) is told


def test_orientation_between_steps():
    """Steps of one degree: 30.4 degrees leave 0.4, which on 6 mm is 0.042 mm beside the centreline."""
    t = math.radians(30.4)
    made = planned(B=(6 * math.cos(t), 6 * math.sin(t)))
    told = [t for t in texts(made) if "degrees" in t]
    assert len(told) == 2
    assert all("0.40 are left" in t and "0.042 mm beside" in t for t in told)
    assert not any("degrees" in t for t in texts(planned(B=(6 * math.cos(math.pi / 6), 6 * math.sin(math.pi / 6)))))
    assert not any("degrees" in t for t in texts(planned(machine=SINGLE, B=(6 * math.cos(t), 6 * math.sin(t)))))


@pytest.mark.parametrize(("depth", "words"), [(30, None), (60, "a "), (85, "a ")])
def test_a_long_bar_is_told(depth, words):
    """In a bore of 16.2 the bar is 0.7 of it, 11.34 mm: 2.6, 5.3 and 7.5 times."""
    part = (
        Feature("body", "A", Cylinder(60), 0, depth),
        Feature("bore", "A", Cylinder(16.2), -1, depth + 1, cut=True),
    )
    made = planned(part)
    (reach,) = {r for s in made.setups for r in s.reach if r.feature == "bore"}
    assert reach.overhang == depth
    assert reach.overhang_ratio == pytest.approx(depth / (0.7 * 16.2))
    assert reach.deflection == pytest.approx(deflection(DEFAULT_MACHINE.tools.force, depth, 0.7 * 16.2))
    told = [t for t in texts(made) if "times the bar" in t]
    assert bool(told) is (words is not None)


# Why not the others --------------------------------------------------------------------------------------------------


def test_others_are_different_beginnings_each_with_its_reason():
    made = planned()
    assert len(made.alternatives) == len({a.steps[0] for a in made.alternatives}) > 0
    chosen = made.setups[0].clamping
    for a in made.alternatives:
        assert (
            f"held on '{chosen.held_on}'" not in a.steps[0]
            or f"working {chosen.from_end}" not in a.steps[0]
            or (f"axis {chosen.on_centreline} on" not in a.steps[0])
        )
        assert a.reason


def test_an_alternative_that_turns_less_says_what_it_leaves():
    """A pin between two webs: what begins on the pin never comes back to it on one travel-less twin."""
    stiff = dataclasses.replace(DEFAULT_MACHINE, cross_travel=0.0)
    made = planned(machine=stiff, B=(6.0, 0.0))
    for a in made.alternatives:
        assert not a.reason.startswith("leaves ") or a.reason.endswith(" unturned")


def test_holes_left_to_a_drill_and_what_crosses():
    hole = Feature("hole", "C", Cylinder(8), -1, 41, cut=True)
    axis = Axis("X", (0.0, 0.0, 20.0), (1.0, 0.0, 0.0))
    cross = Feature("cross", "X", Cylinder(20), -40, 40, cut=True)
    flat = Feature("flat", "X", PrismShape(4, 10), -40, 40, cut=True)
    part = Part("p", (Axis("A"), Axis("C", (20.0, 0.0, 0.0)), axis), (ECCENTRIC[0], hole, cross, flat), density=1000.0)
    told = [f.text for f in plan(part, DEFAULT_MACHINE).findings]
    assert "'cross': crosses the spindle and is not turned; use a driven tool" in told
    assert any(t.startswith("'hole': up to 16 mm: left to a driven drill") for t in told)
    cast = dataclasses.replace(part, features=(ECCENTRIC[0], dataclasses.replace(hole, finish="cast")))
    assert not any("driven drill" in f.text for f in plan(cast, DEFAULT_MACHINE).findings)
    bossed = (ECCENTRIC[0], Feature("peg", "C", Cylinder(16), 40, 50, finish="cast"))
    assert not any(
        "driven drill" in f.text for f in plan(dataclasses.replace(part, features=bossed), DEFAULT_MACHINE).findings
    )


# Sweeps --------------------------------------------------------------------------------------------------------------


def test_a_round_across_sweeps_to_its_far_end():
    part = Part(
        "p",
        (Axis("A"), Axis("X", (0.0, 5.0, 20.0), (1.0, 0.0, 0.0))),
        (Feature("arm", "X", Cylinder(10), -30, 50),),
    )
    ring = sweep_of(part, part.features[0], (0.0, 0.0))
    assert (ring.start, ring.end) == pytest.approx((15, 25))
    # Halfway up it is 10 mm wide, from y = 0 to 10, and reaches x = 50.
    assert ring.inner == pytest.approx(0, abs=0.2)
    assert ring.outer == pytest.approx(math.hypot(50, 10), rel=2e-3)


def test_the_outline_steps_where_the_widest_does():
    part = Part(
        "p",
        (Axis("A"), Axis("B", (10.0, 0.0, 0.0))),
        (
            Feature("low", "A", Cylinder(40), 0, 10),
            Feature("same", "A", Cylinder(40), 10, 20),
            Feature("pin", "B", Cylinder(10), 20, 50),
            Feature("far", "A", Cylinder(20), 60, 70),
        ),
    )
    rings = sweeps(part, (0.0, 0.0))
    assert swing(rings) == 40
    assert swept_profile(rings) == ((0, 20, 20), (20, 50, 15), (50, 60, 0), (60, 70, 10))


def test_an_overhang_of_nothing_is_not_told():
    made = planned()
    assert all(r.overhang == 0 for s in made.setups for r in s.reach)
    assert "overhang" not in plan_table(made)


# Mass and castings ----------------------------------------------------------------------------------------------------


def test_only_slant_axes_make_the_mass_less_than_exact():
    upright = planned()
    assert not any("slant axes" in f.text for f in upright.findings)
    slant = Part(
        "p",
        (Axis("A"), Axis("S", (0.0, 0.0, 40.0), (0.6, 0.0, 0.8))),
        (ECCENTRIC[0], Feature("arm", "S", Cylinder(16), 0, 40)),
        density=7850.0,
    )
    assert any("slant axes" in f.text for f in plan(slant, DEFAULT_MACHINE).findings)


def test_castings_are_the_turned_features_with_stock():
    features = (dataclasses.replace(ECCENTRIC[0], stock=2.0), ECCENTRIC[1])
    made = planned(features, B=(6.0, 0.0))
    part = Part("p", (Axis("A"), Axis("B", (6.0, 0.0, 0.0))), features, density=7850.0)
    (cast,) = check_castings(part, made, 1.0, 0.8)
    assert cast.feature == "body"
    assert "body" in made.setups[cast.set_up - 1].features
    assert (cast.worst_case.least, cast.worst_case.most) == pytest.approx((0.6, 3.4))
    assert cast.clean_up_yield.fraction == 1.0


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


def test_where_nothing_is_handed_over_nothing_is_held_for_it():
    assert [s.features for s in two_spigots(20, SINGLE).setups] == [("inlet",), ("outlet",)]


@pytest.mark.parametrize(("thick", "told"), [(14, "same 2.0 mm"), (15.5, "same 0.5 mm"), (16, None), (20, None)])
def test_both_chucks_on_one_length_are_told(thick, told):
    """Each needs 8 mm of the flange, from its own end."""
    said = [t for t in texts(two_spigots(thick)) if "hand-over" in t]
    assert (told is None) == (said == [])
    assert all(told in t for t in said)
