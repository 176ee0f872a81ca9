"""Regions against shapely: what is inside, how far it is, and hulls of circles."""

import math

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from examples import examples
from foldsketch.part.mass.edges import Arc, Segment
from foldsketch.part.mass.region import Region, circle, hull_of_circles, polygon

POINTS = st.tuples(st.floats(-40, 40), st.floats(-40, 40))
CIRCLES = st.tuples(st.integers(-20, 20), st.integers(-20, 20), st.integers(0, 12))


def discs(circles, quarter=60):
    """The hull of circles by shapely: corners on them, for 12 mm at most 1e-3 mm off."""
    points = [(shapely.Point(x, y), r) for x, y, r in circles]
    return shapely.union_all([p.buffer(r, quad_segs=quarter) if r else p for p, r in points]).convex_hull


def outline(region):
    """The loop of a region's edges as shapely sees it, arcs divided finely."""
    points = []
    for e in region.edges:
        if isinstance(e, Segment):
            points.append(e.a)
        else:
            points += [e.point(e.start + e.sweep * k / 200) for k in range(200)]
    return shapely.Polygon(points)


@examples(50)
@given(st.lists(CIRCLES, min_size=1, max_size=6).filter(lambda c: any(r for _, _, r in c)))
def test_a_hull_of_circles_is_that_of_shapely(circles):
    made, expected = hull_of_circles(circles), discs(circles)
    assert outline(made).area == pytest.approx(expected.area, rel=1e-3)
    assert shapely.hausdorff_distance(outline(made).exterior, expected.exterior) < 0.01


def test_a_circle_that_holds_all_others_is_their_hull():
    assert hull_of_circles([(0, 0, 9), (1, 1, 2), (3, 0, 6)]) == circle(0, 0, 9)
    assert hull_of_circles([(1, 2, 3)]) == circle(1, 2, 3)
    assert hull_of_circles([(1, 2, 3), (1, 2, 3)]) == circle(1, 2, 3)


def test_a_hull_of_two_circles_has_two_arcs_and_two_tangents():
    made = hull_of_circles([(0, 0, 5), (20, 0, 5)])
    assert sorted(type(e).__name__ for e in made.edges) == ["Arc", "Arc", "Segment", "Segment"]
    assert sum(e.sweep for e in made.edges if isinstance(e, Arc)) == pytest.approx(math.tau)


@pytest.mark.parametrize("turn", [1, -1])
def test_a_polygon_runs_anticlockwise_without_doubled_corners(turn):
    made = polygon([(0, 0), (9, 0), (9, 0), (9, 9), (0, 9)][::turn])
    assert len(made.edges) == 4
    assert outline(made).exterior.is_ccw


RING = Region(circle(0, 0, 30).edges, (circle(5, 0, 10), polygon([(-20, -4), (-12, -4), (-12, 4), (-20, 4)])))
RING_SHAPE = (
    shapely.Point(0, 0)
    .buffer(30, quad_segs=2000)
    .difference(shapely.union_all([shapely.Point(5, 0).buffer(10, quad_segs=2000), shapely.box(-20, -4, -12, 4)]))
)
BEAN = hull_of_circles([(0, 0, 8), (20, 5, 4), (10, 20, 0)])


@pytest.mark.parametrize(("region", "expected"), [(RING, RING_SHAPE), (BEAN, outline(BEAN))], ids=["ring", "bean"])
@given(POINTS)
def test_inside_and_distances_are_those_of_shapely(region, expected, p):
    point = shapely.Point(p)
    rim = expected.boundary.distance(point)
    assume(rim > 1e-3)
    assert region.contains(*p) == expected.contains(point)
    low, high = region.distance_range(*p)
    assert low == pytest.approx(expected.distance(point), abs=1e-3)
    assert high == pytest.approx(shapely.hausdorff_distance(expected.exterior, point), abs=1e-3)
    assert region.distance_to_edge(*p) == pytest.approx(rim, abs=1e-3)


def test_the_edges_of_holes_are_among_all_edges():
    assert len(RING.all_edges()) == 1 + 1 + 4
