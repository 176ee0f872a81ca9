"""Moments of sections: formulas of the books, and shapely for regions that overlap and cut each other."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.mass.moments import material_boundary, section_moments
from foldsketch.part.mass.region import Region, circle, hull_of_circles, polygon


def test_a_disc_off_centre():
    """Area pi r2; second moments pi r4 / 4 about its own centre and a x2 by the parallel axis theorem [M]."""
    r, x, y = 5.0, 3.0, -2.0
    a = math.pi * r * r
    own = math.pi * r**4 / 4
    assert section_moments([(circle(x, y, r), False)]) == pytest.approx(
        (a, a * x, a * y, own + a * x * x, own + a * y * y, a * x * y), rel=1e-12
    )


def test_a_rectangle():
    """b h; b h2 / 2; b h3 / 3 about its corner; b2 h2 / 4 [M]."""
    b, h = 6.0, 4.0
    got = section_moments([(polygon([(0, 0), (b, 0), (b, h), (0, h)]), False)])
    assert got == pytest.approx((24, 72, 48, b**3 * h / 3, b * h**3 / 3, b * b * h * h / 4), rel=1e-12)


BOXES = st.tuples(st.integers(-9, 9), st.integers(-9, 9), st.integers(1, 9), st.integers(1, 9), st.booleans())


@given(st.lists(BOXES, min_size=1, max_size=5))
def test_boxes_that_add_and_cut_in_turn_have_the_area_and_centre_that_shapely_says(boxes):
    """Corners on whole numbers, so that edges meet, coincide and end on each other."""
    layers, expected = [], shapely.Polygon()
    for x, y, w, h, cut in boxes:
        layers.append((polygon([(x, y), (x + w, y), (x + w, y + h), (x, y + h)]), cut))
        box = shapely.box(x, y, x + w, y + h)
        expected = expected.difference(box) if cut else expected.union(box)
    area, mx, my, *_ = section_moments(layers)
    assert area == pytest.approx(expected.area, abs=1e-9)
    if expected.area:
        assert (mx / area, my / area) == pytest.approx((expected.centroid.x, expected.centroid.y), abs=1e-9)


@given(st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9), st.floats(1, 9), st.booleans()), min_size=1, max_size=4))
def test_discs_that_add_and_cut_in_turn(discs):
    """shapely's circles have 4 x 500 corners: the area is 2e-6 of it too small."""
    layers, expected = [], shapely.Polygon()
    for x, y, r, cut in discs:
        layers.append((circle(x, y, r), cut))
        disc = shapely.Point(x, y).buffer(r, quad_segs=500)
        expected = expected.difference(disc) if cut else expected.union(disc)
    assert section_moments(layers)[0] == pytest.approx(expected.area, rel=1e-5, abs=0.02)


def test_the_common_area_of_two_discs():
    """Two discs of radius r, d apart, have 2 r2 acos(d / 2r) - d / 2 sqrt(4 r2 - d2) in common [M]."""
    r, d = 5.0, 6.0
    lens = 2 * r * r * math.acos(d / 2 / r) - d / 2 * math.sqrt(4 * r * r - d * d)
    both = section_moments([(circle(0, 0, r), False), (circle(d, 0, r), False)])[0]
    left = section_moments([(circle(0, 0, r), False), (circle(d, 0, r), True)])[0]
    assert both == pytest.approx(2 * math.pi * r * r - lens, rel=1e-12)
    assert left == pytest.approx(math.pi * r * r - lens, rel=1e-12)


def test_a_hole_and_what_is_put_back_into_it():
    ring = Region(circle(0, 0, 9).edges, (circle(0, 0, 4),))
    assert section_moments([(ring, False)])[0] == pytest.approx(math.pi * (81 - 16))
    assert section_moments([(ring, False), (circle(0, 0, 4), False)])[0] == pytest.approx(math.pi * 81)


def test_nothing_is_left_of_a_region_that_is_cut_away():
    assert material_boundary([(circle(0, 0, 4), True)]) == []
    disc = hull_of_circles([(0, 0, 4), (3, 0, 2)])
    assert section_moments([(disc, False), (disc, True)]) == (0.0,) * 6
