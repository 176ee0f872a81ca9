"""The side view's levels of a region, against the support of a hull."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.part.mass.region import hull_of_circles
from foldsketch.sheet.setup_sheets.setup_views import ViewFrame, level_range

CIRCLES = st.lists(st.tuples(st.floats(-40, 40), st.floats(-40, 40), st.floats(0.5, 20)), min_size=1, max_size=6)


@examples(200)
@given(CIRCLES)
def test_a_hull_reaches_as_far_as_its_circles(circles):
    """The support of a convex hull is the greatest support of its members, in every direction."""
    region = hull_of_circles(circles)
    for k in range(24):
        t = k * math.pi / 12 + 0.01
        far = max(x * math.cos(t) + y * math.sin(t) + r for x, y, r in circles)
        assert level_range(region, ViewFrame(t, 1.0, (0.0, 0.0)))[1] == pytest.approx(far, abs=1e-7)
