"""Free places on a page that is packed already: where a small box goes beside each net."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, cos, floor, pi, sin

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.arrays import Array, Point
from foldsketch.geometry.bit_grid import unpack_bits
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.caption import FINE_CELL_MM, CaptionedPiece, place_caption
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.paper import FOOTER_HEIGHT_MM, PRINTER_MARGIN_MM, SIDE_STRIP_WIDTH_MM

Bools = NDArray[np.bool_]

SEARCH_STEP_CELLS = 2
"""Cells of CELL mm to one of the coarse grid on which places are looked for."""

THUMBNAIL_CLEARANCE_MM = 1.6
"""Clear of everything by so much, mm."""

MAX_THUMBNAIL_DISTANCE_MM = 110.0
"""A box farther than this from its net's words, middle to middle, mm, would belong to no net in particular."""


def find_thumbnail_positions(sheet: Sheet, pieces: Mapping[str, Piece], size: tuple[float, float]) -> dict[str, Point]:
    """Lower left corners of boxes of one size, mm on the page: for every net placed on a sheet the free one nearest to
    its words. They overlap neither nets nor words nor each other, and lie in no opening of a net. A net near which
    there is no room has none."""
    page = (
        sheet.size[0] - 2 * PRINTER_MARGIN_MM - SIDE_STRIP_WIDTH_MM,
        sheet.size[1] - 2 * PRINTER_MARGIN_MM - FOOTER_HEIGHT_MM,
    )
    origin = np.array((PRINTER_MARGIN_MM + SIDE_STRIP_WIDTH_MM, PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM))
    nx, ny = (int(v / (FINE_CELL_MM * SEARCH_STEP_CELLS)) for v in page)
    taken = np.zeros((nx * SEARCH_STEP_CELLS, ny * SEARCH_STEP_CELLS), dtype=bool)
    wanted = []
    for placed in sheet.placed:
        made = place_caption(pieces[placed.piece], page)
        _mark_occupied(taken, made, placed, origin)
        wanted.append((placed.piece, _caption_centre(made, placed) - origin))
    cell = FINE_CELL_MM * SEARCH_STEP_CELLS
    wide, high = (ceil((v + 2 * THUMBNAIL_CLEARANCE_MM) / cell) for v in size)
    if wide > nx or high > ny:
        return {}
    across = np.logical_or.reduce([taken[k::SEARCH_STEP_CELLS] for k in range(SEARCH_STEP_CELLS)])
    coarse = np.logical_or.reduce([across[:, k::SEARCH_STEP_CELLS] for k in range(SEARCH_STEP_CELLS)])
    # Numbers of taken cells left of and below every corner: what lies in a box is a sum of four.
    total = np.pad(coarse, ((1, 0), (1, 0))).cumsum(axis=0, dtype=np.int32).cumsum(axis=1)
    free: Bools = (total[wide:, high:] - total[:-wide, high:] - total[wide:, :-high] + total[:-wide, :-high]) == 0
    x, y = ((np.arange(n) + k / 2) * cell for n, k in zip(free.shape, (wide, high), strict=True))
    found: dict[str, Point] = {}
    for piece, at in wanted:
        away = np.where(free, ((x - at[0]) ** 2)[:, None] + (y - at[1]) ** 2, np.inf)
        i, j = divmod(int(away.argmin()), len(y))
        if away[i, j] > MAX_THUMBNAIL_DISTANCE_MM**2:
            continue
        free[max(0, i - wide + 1) : i + wide, max(0, j - high + 1) : j + high] = False
        found[piece] = (float(origin[0] + x[i] - size[0] / 2), float(origin[1] + y[j] - size[1] / 2))
    return found


def _mark_occupied(taken: Bools, made: CaptionedPiece, placed: Placement, origin: Array) -> None:
    """Mark the cells of a net, its openings and its words on the page."""
    quarter = round(placed.angle / (pi / 2)) % 4
    left, bottom, beyond, above = made.used
    covered = unpack_bits(made.covered, above, made.stride)[bottom:, left:beyond].T.astype(bool)
    x, y = made.low[0] + left * FINE_CELL_MM, made.low[1] + bottom * FINE_CELL_MM
    for p in made.piece.panels:
        for hole in p.holes:
            (x0, y0), (x1, y1) = (((v - (x, y)) / FINE_CELL_MM).tolist() for v in (hole.min(axis=0), hole.max(axis=0)))
            covered[max(0, floor(x0)) : ceil(x1), max(0, floor(y0)) : ceil(y1)] = True
    w, h = (n * FINE_CELL_MM for n in covered.shape)
    c, s = round(cos(placed.angle)), round(sin(placed.angle))
    corners = [(c * u - s * v, s * u + c * v) for u, v in ((x, y), (x + w, y), (x, y + h), (x + w, y + h))]
    mask = np.rot90(covered, quarter)
    cells = [
        (min(v) + placed.shift[k] - float(origin[k])) / FINE_CELL_MM for k, v in enumerate(zip(*corners, strict=True))
    ]
    for i in {floor(cells[0] + 1e-6), ceil(cells[0] - 1e-6)}:
        for j in {floor(cells[1] + 1e-6), ceil(cells[1] - 1e-6)}:
            a, b = max(0, -i), max(0, -j)
            target = taken[max(0, i) : i + mask.shape[0], max(0, j) : j + mask.shape[1]]
            target |= mask[a : a + target.shape[0], b : b + target.shape[1]]


def _caption_centre(made: CaptionedPiece, placed: Placement) -> Array:
    """The middle of a net's words on the page; of the net where it has none."""
    x, y, w, h = made.box
    if not made.lines:
        i, j, beyond, above = made.used
        x, y = made.low[0] + i * FINE_CELL_MM, made.low[1] + j * FINE_CELL_MM
        w, h = (beyond - i) * FINE_CELL_MM, (above - j) * FINE_CELL_MM
    c, s = cos(placed.angle), sin(placed.angle)
    u, v = x + w / 2, y + h / 2
    return np.array((c * u - s * v, s * u + c * v)) + placed.shift
