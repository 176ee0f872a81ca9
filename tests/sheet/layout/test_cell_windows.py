"""Free windows: the same as looking at every window by itself."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from foldsketch.sheet.layout.cell_windows import any_in_windows


@given(arrays(bool, st.tuples(st.integers(1, 9), st.integers(1, 9))), st.integers(1, 12), st.integers(1, 12))
def test_every_window_by_itself(cells, columns, rows):
    found = any_in_windows(cells, columns, rows)
    for (row, column), taken in np.ndenumerate(found):
        assert taken == cells[row : row + rows, column : column + columns].any()
