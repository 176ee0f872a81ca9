"""Polygons in bulk, against shapely: openings that touch the outline leave valid shapes of the right area."""

import numpy as np
import pytest
import shapely

from foldsketch.geometry.ragged_polygons import (
    TOUCH_TOLERANCE_MM,
    RaggedPolygons,
    corners_and_successors,
    edge_starts_and_ends,
    make_valid_polygons,
)

SQUARE = np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)])
INNER = np.array([(10.0, 10.0), (10.0, 30.0), (30.0, 30.0), (30.0, 10.0)])
# Two of its corners are on the outline, left and right, so that the square falls in two.
LOZENGE = np.array([(0.0, 20.0), (20.0, 35.0), (40.0, 20.0), (20.0, 5.0)])
AWAY = np.array((100.0, 0.0))


@pytest.mark.parametrize(("hole", "parts"), [(INNER, 1), (LOZENGE, 2)], ids=["clear", "touching"])
def test_a_shape_with_an_opening_is_valid(hole, parts):
    polygons = RaggedPolygons.from_loops([(SQUARE,), (SQUARE + AWAY, hole + AWAY)])
    whole, holed = polygons.shapes
    assert shapely.is_valid(polygons.shapes).all()
    assert (whole.area, holed.area) == pytest.approx((1600.0, 1600.0 - shapely.Polygon(hole).area))
    assert shapely.get_num_geometries(holed) == parts


@pytest.mark.parametrize("hole", [INNER, LOZENGE], ids=["clear", "touching"])
def test_an_inset_shape_lies_within_itself(hole):
    polygons = RaggedPolygons.from_loops([(SQUARE, hole)])
    (made,), (shape,) = polygons.inset, polygons.shapes
    assert made.is_valid
    assert shape.contains_properly(made)
    # A strip as wide as the tolerance along the whole rim, less what corners take.
    assert shape.area - made.area == pytest.approx(TOUCH_TOLERANCE_MM * shape.length, rel=0.01)


def test_neighbours_that_share_an_edge_do_not_meet_when_inset():
    polygons = RaggedPolygons.from_loops(
        [(SQUARE,), (SQUARE + np.array((40.0, 0.0)),), (SQUARE + np.array((39.0, 0.0)),)]
    )
    one, beside, over = polygons.inset
    assert not one.intersects(beside)
    assert one.intersects(over)


def test_shapes_are_shifted_each_by_its_own_distance():
    polygons = RaggedPolygons.from_loops([(SQUARE, INNER), (SQUARE,)])
    moved = polygons.shift_right(np.array([5.0, 100.0]))
    assert [s.bounds[0] for s in moved.shapes] == [5.0, 100.0]
    assert [s.area for s in moved.shapes] == pytest.approx([1200.0, 1600.0])
    assert polygons.shapes[0].bounds[0] == 0, "the first ones stay where they are"
    assert polygons.shape_of_points.tolist() == [0] * 8 + [1] * 4


def test_polygons_follow_each_other():
    both = RaggedPolygons.from_loops([(SQUARE, INNER)]).concatenate(RaggedPolygons.from_loops([(LOZENGE[::-1],)]))
    assert [s.area for s in both.shapes] == pytest.approx([1200.0, 600.0])
    assert both.shape_of_points.tolist() == [0] * 8 + [1] * 4


def test_edges_of_loops_run_around_each():
    corners, following = corners_and_successors([SQUARE, INNER])
    starts, ends = edge_starts_and_ends([SQUARE, INNER])
    assert np.array_equal(starts, corners) and np.array_equal(ends, corners[following])
    assert np.array_equal(ends, np.concatenate((np.roll(SQUARE, -1, axis=0), np.roll(INNER, -1, axis=0))))


def test_only_areas_are_left_of_an_invalid_shape():
    """A bow tie of two triangles of 25 mm2, and one whose second half is a line."""
    tie = make_valid_polygons(shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 10)]))
    assert tie.is_valid and tie.area == pytest.approx(50)
    spike = make_valid_polygons(shapely.Polygon([(0, 0), (10, 0), (10, 10), (10, 0), (20, 0), (0, 10)]))
    assert spike.geom_type == "Polygon" and spike.area == pytest.approx(100)
