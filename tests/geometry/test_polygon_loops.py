"""Loops of corners against shapely: edges, area, what is inside, and how far a ray goes."""

import math

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from foldsketch.geometry.polygon_loops import loop_segments, point_in_polygon, ray_distance, signed_area


@st.composite
def stars(draw):
    """Corners [x, y] of a simple polygon: ordered by angle around a point inside, anticlockwise."""
    n = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(2, 40), min_size=n, max_size=n))
    x, y, turn = draw(st.floats(-20, 20)), draw(st.floats(-20, 20)), draw(st.floats(0, 1))
    angles = [turn + math.tau * k / n for k in range(n)]
    return [[x + r * math.cos(t), y + r * math.sin(t)] for r, t in zip(radii, angles, strict=True)]


POINTS = st.tuples(st.floats(-60, 60), st.floats(-60, 60))


@given(stars())
def test_area_is_positive_anticlockwise_and_negative_the_other_way(loop):
    assert signed_area(loop) == pytest.approx(shapely.Polygon(loop).area)
    assert signed_area(loop[::-1]) == pytest.approx(-shapely.Polygon(loop).area)


@given(stars())
def test_segments_run_once_around(loop):
    lines = loop_segments(loop)
    assert [[ax, ay] for ax, ay, _, _ in lines] == loop
    assert [line[2:] for line in lines] == [line[:2] for line in (*lines[1:], lines[0])]


@given(stars(), POINTS)
def test_inside_is_what_shapely_says(loop, p):
    polygon = shapely.Polygon(loop)
    assume(polygon.boundary.distance(shapely.Point(p)) > 1e-9)
    assert point_in_polygon(loop, p) == polygon.contains(shapely.Point(p))


@given(stars(), POINTS, st.floats(0, math.tau) | st.sampled_from([0, math.pi / 2, math.pi]), st.floats(1, 100))
def test_a_ray_goes_as_far_as_shapely_says(loop, p, angle, limit):
    ray = (math.cos(angle), math.sin(angle))
    rim = shapely.LinearRing(loop)
    assume(rim.distance(shapely.Point(p)) > 1e-6)
    assume(all(abs((x - p[0]) * ray[1] - (y - p[1]) * ray[0]) > 1e-6 for x, y in loop))  # not through a corner
    met = shapely.LineString([p, (p[0] + ray[0] * limit, p[1] + ray[1] * limit)]).intersection(rim)
    far = limit if met.is_empty else shapely.Point(p).distance(met)
    assert ray_distance(loop, p, ray, limit) == pytest.approx(far, abs=1e-6)
