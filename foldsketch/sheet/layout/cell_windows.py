"""Windows on a grid of cells: where one is free, for all places at once."""

from __future__ import annotations

from foldsketch.base.arrays import Bools


def any_in_windows(cells: Bools, columns: int, rows: int) -> Bools:
    """Whether any cell is taken in the window that begins at each cell.

    cells: (rows, columns) of the grid; columns, rows: of a window. Cells past the end count as free.

    >>> import numpy as np
    >>> any_in_windows(np.array([[False, False, False, True]]), 2, 1).tolist()
    [[False, False, True, True]]
    """
    found = cells.copy()
    for view, length in ((found, rows), (found.T, columns)):
        have = 1
        while have < length:
            more = min(have, length - have)
            view[:-more] |= view[more:]
            have += more
    return found
