"""Overlaps of polygons, compared with shapely pair by pair."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.unfolding.overlaps import (
    SEPARATION_MM,
    find_overlaps,
    intersecting_pairs,
    measure_overlaps,
    overlaps_between,
    separating_shifts,
    total_area,
)

boxes = st.lists(
    st.tuples(st.integers(0, 12), st.integers(0, 12), st.integers(1, 6), st.integers(1, 6)), min_size=1, max_size=8
)
"""Rectangles on a grid of millimetres: many touch along edges or at corners."""


def rectangle(x, y, w, h):
    return np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h)], dtype=float)


@given(boxes)
def test_overlaps_are_those_of_every_pair(found):
    shapes = [shapely.Polygon(rectangle(*b)) for b in found]
    wanted = [
        (i, j, area)
        for j, two in enumerate(shapes)
        for i, one in enumerate(shapes[:j])
        if (area := one.intersection(two).area) > 0
    ]
    got = find_overlaps(RaggedPolygons.from_loops([(rectangle(*b),) for b in found]))
    assert [o[:2] for o in got] == sorted(o[:2] for o in wanted)
    assert total_area(got) == pytest.approx(sum(o[2] for o in wanted))


def test_panels_that_touch_do_not_overlap_but_a_hole_is_no_panel():
    ring = (rectangle(0, 0, 10, 10), rectangle(2, 2, 6, 6)[::-1])
    inside, beside, across = rectangle(2, 2, 6, 6), rectangle(10, 0, 5, 10), rectangle(7, 4, 6, 2)
    assert find_overlaps(RaggedPolygons.from_loops([ring, (inside,), (beside,)])) == []
    found = find_overlaps(RaggedPolygons.from_loops([ring, (across,)]))
    assert found == [(0, 1, pytest.approx(2 * 2))]
    assert total_area([]) == 0.0


def corner(depth):
    """A square, and another one on its tip that reaches down into it by a depth."""
    tip = np.array([(0.0, 10.0 - depth), (5.0, 15.0 - depth), (0.0, 20.0 - depth), (-5.0, 15.0 - depth)])
    return RaggedPolygons.from_loops([(rectangle(-20, 0, 40, 10),), (tip,)])


@pytest.mark.parametrize("depth", [0.0, 1e-5, 4e-4, 1.2e-3, 0.026, 0.5, 4.0])
def test_a_corner_is_found_from_a_thousandth_of_a_millimetre_on_and_measured_at_any_depth(depth):
    """A right angle with a depth d covers d2; both shrink toward each other by (1 + sqrt 2) / 2 of what their depth is
    measured by, for a corner moves sqrt 2 times as far as an edge."""
    polygons = corner(depth)
    assert len(find_overlaps(polygons)) == (depth > 1e-3)
    area, deep = measure_overlaps(polygons)
    assert area == pytest.approx(depth * depth, rel=0.02, abs=1e-9)
    assert deep == pytest.approx(depth * 2 / (1 + 2**0.5) if depth else 0.0, abs=2e-5)


@pytest.mark.parametrize("depth", [0.0, 1e-5, 7e-4, 1e-3, 0.3])
def test_the_depth_of_sides_that_overlap(depth):
    polygons = RaggedPolygons.from_loops([(rectangle(0, 0, 10, 10),), (rectangle(10 - depth, 0, 10, 10),)])
    assert len(find_overlaps(polygons)) == (depth >= 1e-3)
    assert measure_overlaps(polygons) == (pytest.approx(10 * depth, rel=0.02), pytest.approx(depth, abs=2e-5))


def test_a_hole_that_touches_its_outline_makes_no_difference():
    """Rim and hole meet at a corner; with its inside out such a shape would be invalid, and shapely refuses those."""
    lozenge = np.array([(0.0, 5.0), (5.0, 1.0), (9.0, 5.0), (5.0, 9.0)])
    holed = shapely.Polygon(rectangle(0, 0, 10, 10), [lozenge])
    bowtie = shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
    shapes = np.array([holed, shapely.Polygon(rectangle(0, 0, 5, 5)), bowtie], dtype=object)
    left, right = np.array([0, 1]), np.array([1, 2])
    found = overlaps_between(shapes, shapes, left, right)
    # Of the square of 25 mm2 the lozenge takes half of 5 by 4; the bow tie two of its four triangles of 25 mm2.
    assert found == [(0, 1, pytest.approx(15.0)), (1, 2, pytest.approx(12.5))]


def test_pairs_are_named_once_the_lower_one_first():
    shapes = np.array(
        [shapely.Polygon(rectangle(*b)) for b in ((4, 4, 4, 4), (0, 0, 5, 5), (7, 7, 1, 9))], dtype=object
    )
    left, right = intersecting_pairs(shapes)
    assert sorted(zip(left.tolist(), right.tolist(), strict=True)) == [(0, 1), (0, 2)]


@given(st.lists(st.tuples(st.floats(-500, 500), st.integers(0, 4)), min_size=1))
def test_groups_are_shifted_clear_of_each_other(points):
    x, names = np.array([p[0] for p in points]), sorted({p[1] for p in points})
    group = np.array([names.index(p[1]) for p in points])
    shift = separating_shifts(x, group)
    assert len(shift) == len(names)
    moved = x + shift[group]
    for k in range(1, len(names)):
        assert moved[group == k].min() - moved[group == k - 1].max() == pytest.approx(SEPARATION_MM, abs=1e-6)
