"""Outlines and hulls against shapely: which enclose an area, which cross themselves."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPoint, Polygon

from foldsketch.part.file.outline import hull_fault, outline_fault

OUTLINES = [
    ([(0, 0), (10, 0)], "outline-too-few-corners", {}),
    ([(0, 0), (10, 0), (20, 0)], "outline-no-area", {}),
    ([(0, 0), (10, 10), (10, 0), (0, 10)], "outline-no-area", {}),  # two halves that cancel
    ([(0, 0), (20, 10), (20, 0), (0, 8)], "outline-crosses", {"first": 1, "second": 3}),
    ([(0, 0), (0, 0), (10, 0), (0, 10)], "outline-same-corners", {"first": 1, "second": 2}),
    ([(0, 0), (10, 0), (0, 10), (0, 0)], "outline-same-corners", {"first": 4, "second": 1}),
    ([(0, 0), (10, 0), (5, 0), (5, 9)], "outline-turns-back", {"corner": 2}),
    ([(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)], "outline-crosses", {"first": 1, "second": 3}),  # touches
    ([(0, 0), (9, 0), (9, 9), (1, 9), (1, 0.5), (5, 0.5), (5, 0), (0, 3)], "outline-crosses", {}),
]


@pytest.mark.parametrize(("corners", "code", "values"), OUTLINES, ids=[str(c) for c, _, _ in OUTLINES])
def test_outlines_that_are_no_simple_polygon(corners, code, values):
    f = outline_fault(corners)
    assert f.code == code
    assert values.items() <= dict(f.values).items()


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=3, max_size=9))
def test_outlines_are_judged_as_shapely_judges_them(corners):
    """The outside judge: shapely's validity (GEOS). A corner on a straight side is allowed by both."""
    fine = outline_fault([(float(x), float(y)) for x, y in corners]) is None
    ring = Polygon(corners)
    assert fine == (ring.is_valid and len(set(corners)) == len(corners) and ring.area > 0)


def test_large_outlines_are_judged_in_time():
    comb = [(50.0 * (i % 2) + i * 1e-3, i * 0.01) for i in range(497)] + [(0.0, 900.0), (-900.0, 0.0)]
    start = time.process_time()
    assert outline_fault(comb) is None
    assert outline_fault([*comb, (40.0, 2.0)]).code == "outline-crosses"
    assert time.process_time() - start < 1


@pytest.mark.parametrize(
    ("circles", "code"),
    [
        ([(0, 0, 5), (0, 0, -1)], "hull-negative-radius"),
        ([(0, 0, 1e-300), (4, 4, 0)], "hull-small-radius"),
        ([(0, 0, 0)], "hull-no-area"),
        ([(0, 0, 0), (1, 1, 0), (2, 2, 0)], "hull-no-area"),
    ],
)
def test_hulls_that_make_no_plate(circles, code):
    assert hull_fault(circles).code == code


def test_one_circle_is_enough():
    assert hull_fault([(0, 0, 5)]) is None
    assert hull_fault([(0, 0, 0), (9, 9, 2)]) is None


@given(st.lists(st.tuples(st.integers(-5, 5), st.integers(-5, 5)), min_size=1, max_size=6))
def test_points_alone_need_a_hull_with_an_area(points):
    """shapely's convex hull has an area exactly when not all points lie on one line."""
    fault = hull_fault([(float(x), float(y), 0.0) for x, y in points])
    assert (fault is None) == (MultiPoint(points).convex_hull.area > 0)
