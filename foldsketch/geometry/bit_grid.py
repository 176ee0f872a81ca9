"""Cells of a grid as the bits of one long integer, so that a whole grid is shifted and combined in a few steps.

Cell (column, row) is bit column + row * stride.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from foldsketch.base.arrays import Bools


def row_stride(columns: int) -> int:
    """Bits from one row to the next: columns rounded up to whole bytes."""
    return -(-columns // 8) * 8


def unpack_bits(bits: int, rows: int, stride: int) -> Bools:
    """The first rows of a grid as cells (rows, stride)."""
    size = rows * stride
    raw = np.frombuffer((bits & ((1 << size) - 1)).to_bytes(size // 8, "little"), dtype=np.uint8)
    return np.unpackbits(raw, bitorder="little").view(bool).reshape(rows, stride)


@lru_cache(maxsize=256)
def rectangle_mask(columns: int, rows: int, stride: int) -> int:
    """The cells of the first columns of the first rows.

    >>> bin(rectangle_mask(2, 2, 4))
    '0b110011'
    """
    return dilate((1 << columns) - 1, rows, -stride)


def dilate(bits: int, n: int, step: int) -> int:
    """The bits k for which any of the n bits k, k + step, k + 2 step, ... is set.

    >>> bin(dilate(0b1000, 3, 1)), bin(dilate(0b1, 3, -1))
    ('0b1110', '0b111')
    """
    have = 1
    while have < n:
        more = min(have, n - have)
        bits |= bits >> (more * step) if step > 0 else bits << (more * -step)
        have += more
    return bits
