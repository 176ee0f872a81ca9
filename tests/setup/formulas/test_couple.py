"""Couple and counterweights in two planes."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.mass.mass_properties import mass_properties
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.setup.formulas.couple import (
    Unbalance,
    bearing_force,
    couple_left,
    couple_moment,
    two_plane_weights,
    unbalance_about,
)


def masses_in_planes(masses):
    """Unbalance of point masses (kg, radius mm, degrees, height mm), heights taken from 0 on purpose."""
    x = [1000 * m * r * math.cos(math.radians(t)) for m, r, t, _ in masses]
    y = [1000 * m * r * math.sin(math.radians(t)) for m, r, t, _ in masses]
    z = [h for *_, h in masses]
    return Unbalance(sum(x), sum(y), 0.0, float(np.dot(x, z)), float(np.dot(y, z)))


def test_four_masses_balanced_in_two_planes():
    """[M: Khurmi & Gupta, Theory of Machines, ex. 21.2]: 200, 300, 400, 200 kg at 80, 70, 60, 80 mm, at 0, 45, 115, 235
    degrees, 100 mm before plane X and 200, 300, 600 behind it, Y 400 behind X; weights at 100 mm: 355 kg, 145 degrees
    clockwise, and 182.5 kg, 12.6 degrees clockwise (drawn to scale)."""
    u = masses_in_planes([(200, 80, 0, -100), (300, 70, 45, 200), (400, 60, 115, 300), (200, 80, 235, 600)])
    x, y = two_plane_weights(u, (0.0, 400.0))
    assert (x.mass(100), y.mass(100)) == pytest.approx((355, 182.5), rel=0.01)
    angles = [-math.degrees(math.atan2(w.y, w.x)) % 360 for w in (x, y)]
    assert angles == pytest.approx([145, 12.6], abs=2)


def test_equal_weights_half_a_turn_apart():
    """Two masses m at r, half a turn and a apart: no resultant, Ixz = m r a; at 600 r/min w2 = 3948 [references 13]."""
    u = masses_in_planes([(1, 10, 0, 0), (1, 10, 180, 50)])
    assert u.amount == pytest.approx(0, abs=1e-9)
    assert u.couple == pytest.approx(1000 * 10 * 50)
    assert couple_moment(u.couple, 600) == pytest.approx(0.01 * 0.05 * (2 * math.pi * 10) ** 2)


def test_a_weight_in_one_plane_leaves_a_couple():
    """0.1 kg at 20 mm, 30 mm before the weight's plane: 1000 0.1 20 30 g mm2; half of it at twice the bearings' span.

    [D: two masses half a turn apart, as above]
    """
    u = masses_in_planes([(0.1, 20, 90, 30)])
    assert couple_left(u, (0.0,), 0.05) == pytest.approx(60_000)
    assert couple_left(u, (), 0.05) == pytest.approx(u.couple)
    assert couple_left(u, (0.0, -40.0), 0.05) == pytest.approx(0.05 * u.couple)
    moment = couple_moment(60_000, 600)
    assert bearing_force(moment, 200) == pytest.approx(moment / 0.2)


values = st.floats(-5e4, 5e4)


@given(values, values, st.floats(-50, 50), values, values, st.floats(-80, 0), st.floats(5, 80))
def test_weights_take_resultant_and_couple_away(x, y, level, dx, dy, z1, z2):
    u = Unbalance(x, y, level, 10 * dx, 10 * dy)
    made = two_plane_weights(u, (z1, z2))
    close = 1e-7 * (abs(x) + abs(y) + abs(dx) + abs(dy) + 1)
    assert x + sum(w.x for w in made) == pytest.approx(0, abs=close)
    assert y + sum(w.y for w in made) == pytest.approx(0, abs=close)
    assert level * x + u.couple_x + sum(w.level * w.x for w in made) == pytest.approx(0, abs=100 * close)
    assert level * y + u.couple_y + sum(w.level * w.y for w in made) == pytest.approx(0, abs=100 * close)


def two_discs(**more):
    """Two discs of 40 x 10 mm, 10 mm off and half a turn apart, their middles 50 mm apart."""
    axes = (Axis("A"), Axis("B", (10.0, 0.0, 0.0)), Axis("C", (-10.0, 0.0, 0.0)))
    discs = (Feature("b", "B", Cylinder(40), 0, 10), Feature("c", "C", Cylinder(40), 50, 60))
    return mass_properties(Part("pair", axes, discs, **more))


def test_a_body_of_two_discs():
    """Steel discs of 40 x 10 mm weigh 98.65 g: couple m r a with r = 10, a = 50 mm; about a line 4 mm off, m 2 x 4."""
    grams = math.pi * 20**2 * 10 * 7.85e-3
    u = unbalance_about(two_discs(density=7850.0), (0.0, 0.0))
    assert (u.x, u.y) == pytest.approx((0, 0), abs=1e-7)
    assert u.level == pytest.approx(30)
    assert (u.couple_x, u.couple_y) == pytest.approx((-grams * 10 * 50, 0), abs=1e-6)
    beside = unbalance_about(two_discs(density=7850.0), (0.0, 4.0))
    assert (beside.x, beside.y) == pytest.approx((0, -2 * grams * 4))
    assert beside.couple == pytest.approx(u.couple)


def test_no_density_no_unbalance():
    assert unbalance_about(two_discs(), (0.0, 0.0)) is None
