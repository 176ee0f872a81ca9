"""Arrays: segments in one array, and cross products against numpy's."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as nps

from foldsketch.base.arrays import segments_to_array
from foldsketch.base.vector import cross

POINTS = st.tuples(st.floats(-1e3, 1e3), st.floats(-1e3, 1e3))


@given(st.lists(st.tuples(POINTS, POINTS), max_size=5))
def test_segments_are_the_array_that_numpy_makes(lines):
    made = segments_to_array(lines)
    assert made.shape == (len(lines), 2, 2)
    assert np.array_equal(made, np.array(lines, dtype=float).reshape(-1, 2, 2))


VECTORS = nps.arrays(float, st.tuples(st.integers(1, 4), st.just(3)), elements=st.floats(-1e3, 1e3))


@given(VECTORS, nps.arrays(float, 3, elements=st.floats(-1e3, 1e3)))
def test_cross_products_are_those_of_numpy(a, b):
    assert np.array_equal(cross(a, b), np.cross(a, b))
    assert np.array_equal(cross(b, a), np.cross(b, a))


@pytest.mark.parametrize("shape", [(3,), (2, 3), (2, 4, 3)])
def test_any_number_of_leading_dimensions(shape):
    a = np.arange(np.prod(shape), dtype=float).reshape(shape)
    assert cross(a, a[..., ::-1]).shape == shape
