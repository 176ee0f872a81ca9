"""Regular polygons: the gap to one inside another, measured by shapely."""

import math

import numpy as np
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from foldsketch.solid.faceting.polygon import RegularPolygon

sides = st.integers(3, 24)
angles = st.floats(-7, 7)


@given(sides, sides, st.floats(1, 60), st.floats(0.5, 40), st.floats(-50, 50), angles, angles)
def test_the_gap_to_a_polygon_inside_is_what_shapely_measures(n, m, large, small, distance, bearing, turn):
    """Inside, the least distance from its corners to the sides; negative where it sticks out."""
    outer, inner = RegularPolygon.of(n, large, "equal-area"), RegularPolygon.of(m, small, "equal-area")
    gap = outer.inner_clearance(inner, distance, bearing)
    place = (distance * math.cos(turn + bearing), distance * math.sin(turn + bearing))
    round_, within = shapely.Polygon(outer.corners(turn)), shapely.Polygon(inner.corners(turn) + place)
    assume(abs(gap) > 1e-9)
    assert round_.contains(within) == (gap > 0)
    if gap > 0:
        assert math.isclose(gap, round_.exterior.distance(within), rel_tol=1e-6, abs_tol=1e-9)


@given(st.integers(3, 120), st.floats(0.5, 500), angles)
def test_each_rule_keeps_what_it_says_of_the_circle(n, radius, angle):
    """Area and perimeter by shapely, corners and flats by their distance from the centre."""

    def polygon(rule):
        return shapely.Polygon(RegularPolygon.of(n, radius, rule).corners(angle))

    assert math.isclose(polygon("equal-area").area, math.pi * radius**2, rel_tol=1e-9)
    assert math.isclose(polygon("equal-perimeter").length, 2 * math.pi * radius, rel_tol=1e-9)
    centre = shapely.Point(0, 0)
    assert math.isclose(centre.hausdorff_distance(polygon("inside").exterior), radius, rel_tol=1e-9)
    assert math.isclose(centre.distance(polygon("outside").exterior), radius, rel_tol=1e-9)


@given(st.integers(3, 120), st.floats(0.5, 500), st.sampled_from(["inside", "equal-area", "outside"]))
def test_the_chord_error_is_the_hausdorff_distance_to_the_circle(n, radius, rule):
    """Corners and middles of sides are farthest from the circle."""
    polygon = RegularPolygon.of(n, radius, rule)
    corners = polygon.corners(0.0)
    middles = (corners + np.roll(corners, -1, axis=0)) / 2
    away = np.abs(np.hypot(*np.concatenate((corners, middles)).T) - radius)
    assert math.isclose(polygon.chord_error, away.max(), rel_tol=1e-6, abs_tol=1e-9 * radius)
    assert math.isclose(polygon.side, np.hypot(*(corners[1] - corners[0])), rel_tol=1e-9)


def test_a_circle_of_no_radius_is_one_point():
    assert RegularPolygon.of(8, 0.0, "inside").corners(0.3).tolist() == [[0.0, 0.0]]
