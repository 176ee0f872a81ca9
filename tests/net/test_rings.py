"""Flat shapes by their rings: openings that touch the outline leave sound shapes of the right area."""

import numpy as np
import pytest
import shapely

from foldsketch.geometry.ragged_polygons import TOUCH_TOLERANCE_MM, RaggedPolygons

SQUARE = np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)])
INNER = np.array([(10.0, 10.0), (10.0, 30.0), (30.0, 30.0), (30.0, 10.0)])
# Its points stand on the rim at left and right, so that the square falls in two.
LOZENGE = np.array([(0.0, 20.0), (20.0, 35.0), (40.0, 20.0), (20.0, 5.0)])
AWAY = np.array((100.0, 0.0))


@pytest.mark.parametrize(("hole", "parts"), [(INNER, 1), (LOZENGE, 2)], ids=["clear", "touching"])
def test_a_shape_with_an_opening_is_sound(hole, parts):
    rings = RaggedPolygons.of([(SQUARE,), (SQUARE + AWAY, hole + AWAY)])
    whole, holed = rings.shapes
    assert shapely.is_valid(rings.shapes).all()
    x, y = hole.T
    taken = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    assert (whole.area, holed.area) == pytest.approx((1600.0, 1600.0 - taken))
    assert shapely.get_num_geometries(holed) == parts


@pytest.mark.parametrize("hole", [INNER, LOZENGE], ids=["clear", "touching"])
def test_drawn_in_it_lies_within_itself(hole):
    rings = RaggedPolygons.of([(SQUARE, hole)])
    (made,), (shape,) = rings.drawn_in, rings.shapes
    assert made.is_valid
    assert shape.contains_properly(made)
    # A hair of area along the whole rim, less what corners take.
    assert shape.area - made.area == pytest.approx(TOUCH_TOLERANCE_MM * shape.length, rel=0.01)
