"""Edges of regions against shapely and against quadrature: distances, crossings, cuts, integrals."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from examples import examples
from foldsketch.part.mass.edges import Arc, Segment, intersections

COORDINATES = st.integers(-80, 80).map(lambda v: v / 4)
POINTS = st.tuples(COORDINATES, COORDINATES)
SEGMENTS = st.builds(Segment, POINTS, POINTS).filter(lambda s: math.dist(s.a, s.b) > 0.1)
ARCS = st.builds(Arc, POINTS, st.floats(1, 20), st.floats(-7, 7), st.floats(0.1, math.tau) | st.just(math.tau))
EDGES = SEGMENTS | ARCS
GAUSS = [((u + 1) / 2, w / 2) for u, w in zip(*np.polynomial.legendre.leggauss(60), strict=True)]


def at(edge, share):
    """The point of an edge at a share of its way."""
    if isinstance(edge, Segment):
        return tuple(a + (b - a) * share for a, b in zip(edge.a, edge.b, strict=True))
    t = edge.start + edge.sweep * share
    return (edge.centre[0] + edge.radius * math.cos(t), edge.centre[1] + edge.radius * math.sin(t))


def shape(edge, n=600):
    """A polyline with corners on the edge: for an arc of 20 mm at most 3e-4 mm off."""
    return shapely.LineString([at(edge, k / n) for k in range(n + 1)] if isinstance(edge, Arc) else [edge.a, edge.b])


@given(EDGES, st.floats(0, 1))
def test_bounds_hold_every_point(edge, share):
    low_x, low_y, high_x, high_y = edge.bounds
    x, y = at(edge, share)
    assert low_x - 1e-9 <= x <= high_x + 1e-9 and low_y - 1e-9 <= y <= high_y + 1e-9


@given(EDGES, POINTS)
def test_distances_are_those_of_shapely(edge, p):
    low, high = edge.distance_range(*p)
    line = shape(edge)
    assert low == pytest.approx(line.distance(shapely.Point(p)), abs=1e-3)
    assert high == pytest.approx(shapely.hausdorff_distance(line, shapely.Point(p)), abs=1e-3)


@given(EDGES, st.floats(-20, 20))
def test_crossings_of_a_level_line_are_those_of_shapely(edge, y):
    line = shape(edge)
    assume(all(abs(v - y) > 0.05 for v in edge.turning_heights()))
    met = shapely.get_parts(line.intersection(shapely.LineString([(-60, y), (60, y)])))
    assert sorted(edge.crossings(y)) == pytest.approx(sorted(p.x for p in met if not p.is_empty), abs=0.02)


@given(EDGES)
def test_turning_heights_have_the_lowest_and_the_highest(edge):
    _, low, _, high = shape(edge).bounds
    assert min(edge.turning_heights()) == pytest.approx(low, abs=1e-3)
    assert max(edge.turning_heights()) == pytest.approx(high, abs=1e-3)


@given(EDGES)
def test_the_normal_is_on_the_left(edge):
    (x, y), (nx, ny) = edge.midpoint_and_normal()
    before, after = at(edge, 0.5 - 1e-6), at(edge, 0.5 + 1e-6)
    assert (x, y) == pytest.approx(at(edge, 0.5), abs=1e-9)
    assert math.hypot(nx, ny) == pytest.approx(1)
    along = (after[0] - before[0], after[1] - before[1])
    assert along[0] * ny - along[1] * nx == pytest.approx(math.hypot(*along), rel=1e-6)


@given(EDGES, st.lists(st.floats(0.01, 0.99), max_size=4, unique_by=lambda v: round(v, 3)))
def test_a_split_edge_is_whole_when_put_together(edge, shares):
    pieces = edge.split([at(edge, s) for s in shares])
    ends = [at(p, 0) for p in pieces] + [at(pieces[-1], 1)]
    assert len(pieces) == len(shares) + 1
    for end, share in zip(ends, [0, *sorted(shares), 1], strict=True):
        assert end == pytest.approx(at(edge, share), abs=1e-6)


def test_an_edge_is_not_split_at_its_ends():
    line, arc = Segment((0, 0), (9, 0)), Arc((0, 0), 5, 0, math.pi)
    assert line.split([(0, 0), (9, 0), (12, 0)]) == [line]
    assert arc.split([(5, 0), (-5, 0), (0, -5)]) == [arc]


@given(EDGES)
def test_integrals_along_an_edge_are_those_of_quadrature(edge):
    """The integral of x2 y dy by numpy's 60 Gauss-Legendre points over the edge's own parameter."""
    expected = 0.0
    for share, w in GAUSS:
        x, y = at(edge, share)
        if isinstance(edge, Segment):
            dy = edge.b[1] - edge.a[1]
        else:
            dy = edge.radius * math.cos(edge.start + edge.sweep * share) * edge.sweep
        expected += w * x * x * y * dy
    assert sum(x * x * y * dy for x, y, _, dy in edge.line_elements()) == pytest.approx(expected, rel=1e-9, abs=1e-6)
    assert sum(dx for _, _, dx, _ in edge.line_elements()) == pytest.approx(at(edge, 1)[0] - at(edge, 0)[0], abs=1e-9)


@examples(60)
@given(EDGES, EDGES)
def test_edges_meet_where_shapely_says(a, b):
    """Every point in which two edges cross is among those found; the others lie beyond their ends."""
    if isinstance(a, Arc) and isinstance(b, Arc):
        assume(math.dist(a.centre, b.centre) > 0.1)
    found = intersections(a, b)
    met = shapely.get_parts(shape(a).intersection(shape(b)))
    for p in met:
        if p.geom_type == "Point":
            assert any(math.dist(q, (p.x, p.y)) < 0.05 for q in found) or _grazing(a, b)
    for q in found:
        for edge in (a, b):
            if isinstance(edge, Arc):
                assert math.dist(q, edge.centre) == pytest.approx(edge.radius, abs=1e-6)


def _grazing(a, b):
    """Whether two edges nearly touch along a stretch, where a polyline cannot tell."""
    if isinstance(a, Arc) and isinstance(b, Arc):
        d = math.dist(a.centre, b.centre)
        return min(abs(d - a.radius - b.radius), abs(d - abs(a.radius - b.radius))) < 0.01
    line, arc = (a, b) if isinstance(a, Segment) else (b, a)
    if isinstance(arc, Segment):
        return False
    dx, dy = line.b[0] - line.a[0], line.b[1] - line.a[1]
    away = abs((arc.centre[1] - line.a[1]) * dx - (arc.centre[0] - line.a[0]) * dy) / math.hypot(dx, dy)
    return abs(away - arc.radius) < 0.01


def test_edges_on_one_line_or_circle_meet_in_the_ends_of_the_other():
    one, other = Segment((0, 0), (10, 0)), Segment((4, 0), (6, 0))
    assert intersections(one, other) == [(4, 0), (6, 0)]
    arcs = intersections(Arc((0, 0), 5, 0, math.tau), Arc((0, 0), 5, 0, math.pi / 2))
    assert arcs == [pytest.approx((5, 0), abs=1e-9), pytest.approx((0, 5), abs=1e-9)]
    assert intersections(one, Arc((5, 9), 3, 0, math.tau)) == []
    assert intersections(Arc((0, 0), 1, 0, math.tau), Arc((9, 0), 3, 0, math.tau)) == []
