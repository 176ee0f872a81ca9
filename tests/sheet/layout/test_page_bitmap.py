"""A page of cells: the lowest free place is the one that a search cell by cell finds."""

import itertools

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from foldsketch.sheet.layout.page_bitmap import PageBitmap, cell_runs

SHAPES = arrays(bool, st.tuples(st.integers(1, 5), st.integers(1, 7))).filter(np.any)


def cells_of(runs, size):
    mask = np.zeros(size, dtype=bool)
    for column, row, n in runs:
        assert not mask[row, column : column + n].any()
        mask[row, column : column + n] = True
    return mask


@given(SHAPES)
def test_runs_are_the_taken_cells(mask):
    assert (cells_of(cell_runs(mask), mask.shape) == mask).all()


@given(st.lists(SHAPES, min_size=1, max_size=8), st.integers(3, 12), st.integers(3, 12))
def test_the_lowest_free_place(masks, columns, rows):
    page, taken = PageBitmap(columns, rows), np.zeros((rows, columns), dtype=bool)
    for top, mask in zip(itertools.cycle((rows, rows - 1)), masks, strict=False):
        up, across = mask.shape
        free = [
            (column, row)
            for row in range(top - up + 1)
            for column in range(columns - across + 1)
            if not (taken[row : row + up, column : column + across] & mask).any()
        ]
        found = page.find_lowest((across, up), cell_runs(mask), top)
        assert found == (free[0] if free else None)
        if found:
            column, row = found
            taken[row : row + up, column : column + across] |= mask
            page.occupy(found, cell_runs(mask))
        assert page.count == taken.sum()
