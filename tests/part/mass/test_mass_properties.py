"""Mass properties keep the laws of bodies (moved, turned, laid end to end) and give the formulas of the books."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.part.mass.mass_properties import mass_properties, section_break_heights
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, PrismShape, Ring

SLANT = Axis("S", direction=(0.6, 0.0, 0.8))
lengths = st.floats(1, 100)
places = st.floats(-50, 50)


@st.composite
def cranks(draw):
    """A cylinder, a cone and a ring, end to end on three upright axes; lengths are drawn."""
    shapes = (Cylinder(draw(lengths)), Cone(draw(lengths), draw(lengths)), Ring(d := draw(lengths), d / 2))
    axes, features, z = [], [], 0.0
    for name, shape in zip("ABC", shapes, strict=True):
        axes.append(Axis(name, (draw(places), draw(places), 0.0)))
        features.append(Feature(name.lower(), name, shape, z, z := z + draw(lengths)))
    return Part("crank", tuple(axes), tuple(features))


def placed(part, place):
    return replace(part, axes=tuple(replace(a, point=place(a.point)) for a in part.axes))


@examples(25)
@given(cranks(), places, places, places)
def test_moving_moves_the_centroid_alone(part, x, y, z):
    one, two = (
        mass_properties(part),
        mass_properties(placed(part, lambda p: (p[0] + x, p[1] + y, p[2] + z))),
    )
    assert two.volume == pytest.approx(one.volume, rel=1e-9)
    assert np.subtract(two.centroid, one.centroid) == pytest.approx((x, y, z), abs=1e-7)
    largest = np.abs(one.inertia).max()
    assert np.array(two.inertia) == pytest.approx(np.array(one.inertia), abs=1e-8 * largest)


@examples(25)
@given(cranks(), st.floats(-math.pi, math.pi))
def test_turning_about_z_turns_centroid_and_inertia(part, t):
    c, s = math.cos(t), math.sin(t)
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    one, two = mass_properties(part), mass_properties(placed(part, lambda p: tuple((turn @ p).tolist())))
    assert two.centroid == pytest.approx(turn @ one.centroid, abs=1e-7)
    largest = np.abs(one.inertia).max()
    assert np.array(two.inertia) == pytest.approx(turn @ one.inertia @ turn.T, abs=1e-8 * largest)


@examples(25)
@given(cranks())
def test_volumes_of_touching_features_add(part):
    single = sum(mass_properties(part.with_features((f,))).volume for f in part.features)
    assert mass_properties(part).volume == pytest.approx(single, rel=1e-9)


def one(shape, axis, start=0.0, end=20.0, density=None):
    part = Part("p", (Axis("A"), axis), (Feature("f", axis.name, shape, start, end),), density=density)
    return mass_properties(part)


@examples(15)
@given(st.floats(-math.pi, math.pi))
def test_a_level_bar_weighs_the_same_whichever_way_it_points(t):
    """pi r2 l; about its own axis m r2 / 2, across m (3 r2 + l2) / 12 [M]."""
    r, length = 5.0, 20.0
    direction = (math.cos(t), math.sin(t), 0.0)
    got = one(Cylinder(2 * r), Axis("X", (1.0, 2.0, 3.0), direction), density=7850.0)
    volume = math.pi * r * r * length
    assert got.exact and got.volume == pytest.approx(volume, rel=1e-9)
    assert got.mass == pytest.approx(volume * 7850e-9)
    assert got.centroid == pytest.approx(np.add((1, 2, 3), np.multiply(10, direction)), abs=1e-6)
    along, across = volume * r * r / 2, volume * (3 * r * r + length**2) / 12
    d = np.array(direction)
    assert np.array(got.inertia) == pytest.approx(
        across * np.eye(3) + (along - across) * np.outer(d, d), rel=1e-7, abs=1
    )


@pytest.mark.parametrize("shape", [Cylinder(30), Cone(30, 12)])
def test_a_slanted_body_is_good_to_a_thousandth_and_says_so(shape):
    slanted, upright = (one(shape, Axis("S", (0.0, 0.0, 0.0), d), -5, 50) for d in ((0.6, 0.0, 0.8), (0.0, 0.0, 1.0)))
    assert not slanted.exact and upright.exact
    assert slanted.volume == pytest.approx(upright.volume, rel=1e-3)


def test_a_cone_across_is_a_cone():
    """pi h (a2 + a b + b2) / 3 [M]; level, it is approximated."""
    got = one(Cone(30, 12), Axis("X", direction=(1.0, 0.0, 0.0)))
    assert not got.exact
    assert got.volume == pytest.approx(math.pi * 20 * (15**2 + 15 * 6 + 6**2) / 3, rel=1e-3)


def test_a_bore_across_takes_as_much_as_it_meets():
    """A bore of radius r through the middle of a box: width times pi r2 [M]."""
    box = Feature("box", "A", PrismShape(4, 40), -20, 20)
    bore = Feature("bore", "X", Cylinder(10), -30, 30, True)
    part = Part("p", (Axis("A"), Axis("X", direction=(1.0, 0.0, 0.0))), (box, bore))
    assert mass_properties(part).volume == pytest.approx(40**3 - 40 * math.pi * 25, rel=1e-9)


@pytest.mark.parametrize("density", [None, 7850.0])
def test_nothing_weighs_nothing(density):
    part = Part("p", (Axis("A"),), (Feature("cut", "A", Cylinder(9), 0, 9, True),), density=density)
    got = mass_properties(part)
    assert (got.volume, got.centroid, got.mass) == (0, (0, 0, 0), None if density is None else 0)


def test_heights_between_which_a_section_changes_smoothly():
    part = Part("p", (Axis("A", (0.0, 0.0, 5.0)), Axis("X", (0.0, 0.0, 7.0), (1.0, 0.0, 0.0)), SLANT), ())
    upright, level, slanted = (Feature("f", n, Cylinder(20), -4, 30) for n in "AXS")
    assert section_break_heights(part, upright) == pytest.approx([1, 35])
    assert {round(v, 9) for v in section_break_heights(part, level)} == {7, 17, -3}
    heights = section_break_heights(part, slanted)
    assert (min(heights), max(heights)) == pytest.approx((-4 * 0.8 - 10 * 0.6, 30 * 0.8 + 10 * 0.6))
