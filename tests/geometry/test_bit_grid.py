"""Grids as long integers, against sets of cells."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.geometry.bit_grid import dilate, rectangle_mask, row_stride, unpack_bits


def bits(number):
    return {k for k in range(number.bit_length()) if number >> k & 1}


@given(st.integers(0, 2**60 - 1), st.integers(1, 9), st.integers(1, 7))
def test_dilated_bits_are_those_with_a_set_bit_among_the_next_ones(number, n, step):
    assert bits(dilate(number, n, step)) == {k - m * step for k in bits(number) for m in range(n) if k >= m * step}
    assert bits(dilate(number, n, -step)) == {k + m * step for k in bits(number) for m in range(n)}


@given(st.integers(1, 20), st.integers(1, 8))
def test_a_rectangle_is_its_cells(columns, rows):
    stride = row_stride(columns)
    assert stride % 8 == 0 and columns <= stride < columns + 8
    cells = unpack_bits(rectangle_mask(columns, rows, stride), rows + 1, stride)
    assert cells.shape == (rows + 1, stride)
    own = np.zeros((rows + 1, stride), dtype=bool)
    own[:rows, :columns] = True
    assert np.array_equal(cells, own)


@pytest.mark.parametrize(("columns", "stride"), [(0, 0), (1, 8), (8, 8), (9, 16)])
def test_rows_are_whole_bytes(columns, stride):
    assert row_stride(columns) == stride


def test_bits_beyond_the_rows_are_left_out():
    assert unpack_bits(1 << 20 | 1, 2, 8).sum() == 1
