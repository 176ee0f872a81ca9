"""Mass properties keep the laws of bodies: moved, turned about z, and laid end to end."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldsketch.part.mass.mass_properties import mass_properties
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring

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


@settings(max_examples=25, deadline=None)
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


@settings(max_examples=25, deadline=None)
@given(cranks(), st.floats(-math.pi, math.pi))
def test_turning_about_z_turns_centroid_and_inertia(part, t):
    c, s = math.cos(t), math.sin(t)
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    one, two = mass_properties(part), mass_properties(placed(part, lambda p: tuple((turn @ p).tolist())))
    assert two.centroid == pytest.approx(turn @ one.centroid, abs=1e-7)
    largest = np.abs(one.inertia).max()
    assert np.array(two.inertia) == pytest.approx(turn @ one.inertia @ turn.T, abs=1e-8 * largest)


@settings(max_examples=25, deadline=None)
@given(cranks())
def test_volumes_of_touching_features_add(part):
    single = sum(mass_properties(part.with_features((f,))).volume for f in part.features)
    assert mass_properties(part).volume == pytest.approx(single, rel=1e-9)
