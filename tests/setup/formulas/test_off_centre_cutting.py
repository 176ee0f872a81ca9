"""Driven tools and interpolation turning against the geometry."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.setup.formulas.off_centre_cutting import driven_travel, interpolation_allowed, interpolation_speed


def test_interpolation_by_hand():
    """e 20 mm, 5 m/s2: 151 r/min, 17 m/min on d36, where 120 are wanted; e 22: 144 [set-up reference]."""
    assert interpolation_speed(5000, 20) == pytest.approx(151, abs=0.5)
    assert interpolation_speed(5000, 22) == pytest.approx(144, abs=0.5)
    assert math.pi * 36 * interpolation_speed(5000, 20) / 1000 == pytest.approx(17, abs=0.5)
    assert not interpolation_allowed(interpolation_speed(5000, 20), 36, 120)
    assert interpolation_allowed(0.4 * 120_000 / math.pi / 36 + 1e-9, 36, 120)


@given(st.floats(10, 80), st.floats(0, 60), st.floats(2, 20))
def test_travels_are_the_reach_of_the_cutters_path(d, e, cutter):
    """The cutter's centre runs on a circle of (d + d_c) / 2 around (e, 0): its extremes in Y and X."""
    path = [(e + (d + cutter) / 2 * math.cos(t / 50), (d + cutter) / 2 * math.sin(t / 50)) for t in range(315)]
    travel = driven_travel(d, e, cutter, 1e3, 1e3)
    assert travel.y == pytest.approx(max(abs(y) for _, y in path), rel=1e-3)
    assert travel.x_below == pytest.approx(max(0.0, -min(x for x, _ in path)), abs=0.01)
    assert travel.enough


def test_too_little_travel():
    assert not driven_travel(36, 20, 8, 21.9, 30).enough
    assert not driven_travel(36, 20, 8, 40, 1.9).enough
