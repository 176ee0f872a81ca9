"""Cells of a level grid as one long number, a bit a cell: whole grids are moved and joined in a few steps.

Cell (column, row) is bit column + row * stride.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Bools = NDArray[np.bool_]


def row_stride(columns: int) -> int:
    """Bits from row to row: whole bytes."""
    return -(-columns // 8) * 8


def unpack_bits(bits: int, rows: int, stride: int) -> Bools:
    """The first rows of bits as cells (rows, stride)."""
    size = rows * stride
    raw = np.frombuffer((bits & ((1 << size) - 1)).to_bytes(size // 8, "little"), dtype=np.uint8)
    return np.unpackbits(raw, bitorder="little").view(bool).reshape(rows, stride)


@lru_cache(maxsize=256)
def rectangle_mask(columns: int, rows: int, stride: int) -> int:
    """So many columns of so many rows set, from the first cell on.

    >>> bin(rectangle_mask(2, 2, 4))
    '0b110011'
    """
    return dilate((1 << columns) - 1, rows, -stride)


def dilate(bits: int, n: int, step: int) -> int:
    """Bits that have one of themselves among the n that begin there and lie step apart; a negative step: that end
    there.

    >>> bin(dilate(0b1000, 3, 1)), bin(dilate(0b1, 3, -1))
    ('0b1110', '0b111')
    """
    have = 1
    while have < n:
        more = min(have, n - have)
        bits |= bits >> (more * step) if step > 0 else bits << (more * -step)
        have += more
    return bits
