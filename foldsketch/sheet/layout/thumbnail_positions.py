"""Free places on a packed page: where a small picture goes beside each net."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, floor
from typing import NamedTuple

import numpy as np

from foldsketch.base.arrays import Array, Bools, Point
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.caption import FINE_CELL_MM, CaptionedPiece, place_caption, quarter_turns, turned
from foldsketch.sheet.layout.cell_windows import any_in_windows
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.paper import printable_origin

SEARCH_STEP_CELLS = 2
"""Places are looked for on a grid of so many cells of FINE_CELL_MM."""

THUMBNAIL_CLEARANCE_MM = 1.6
"""Clearance of a picture to everything else, mm."""

MAX_THUMBNAIL_DISTANCE_MM = 110.0
"""Largest distance of a picture from its net's caption, centre to centre, mm: farther away it would seem to belong to
another net."""


BESIDE_DISTANCE_MM = 6.0
"""A picture nearer than this, mm, to its net's caption needs no number."""


class ThumbnailPlace(NamedTuple):
    """Lower left corner of a picture on the page, mm, and whether it is beside its net's caption."""

    at: Point
    beside: bool


def find_thumbnail_positions(
    sheet: Sheet, pieces: Mapping[str, Piece], size: tuple[float, float]
) -> dict[str, ThumbnailPlace]:
    """Places for pictures of one size, mm.

    For every net of a sheet the free place nearest to its caption. They overlap neither nets nor captions nor each
    other, and keep out of the openings of nets. A net without a free place nearby has none.
    """
    page, origin = sheet.printable_size, np.array(printable_origin())
    cell = FINE_CELL_MM * SEARCH_STEP_CELLS
    nx, ny = (int(v / cell) for v in page)
    taken = np.zeros((nx * SEARCH_STEP_CELLS, ny * SEARCH_STEP_CELLS), dtype=bool)
    wanted = []
    for placed in sheet.placed:
        net = place_caption(pieces[placed.piece], page, quarter_turns(placed.angle))
        mark_occupied(taken, net, net.cells, placed, origin)
        wanted.append((placed.piece, _caption_centre(net, placed) - origin, net))
    wide, high = (ceil((v + 2 * THUMBNAIL_CLEARANCE_MM) / cell) for v in size)
    if wide > nx or high > ny:
        return {}
    step = SEARCH_STEP_CELLS
    coarse = any_in_windows(taken, step, step)[::step, ::step]
    free = ~any_in_windows(coarse, high, wide)[: nx - wide + 1, : ny - high + 1]
    x, y = ((np.arange(n) + k / 2) * cell for n, k in zip(free.shape, (wide, high), strict=True))
    found: dict[str, ThumbnailPlace] = {}
    for piece, at, net in wanted:
        squared = np.where(free, ((x - at[0]) ** 2)[:, None] + (y - at[1]) ** 2, np.inf)
        i, j = divmod(int(squared.argmin()), len(y))
        if squared[i, j] > MAX_THUMBNAIL_DISTANCE_MM**2:
            continue
        free[max(0, i - wide + 1) : i + wide, max(0, j - high + 1) : j + high] = False
        corner = (float(origin[0] + x[i] - size[0] / 2), float(origin[1] + y[j] - size[1] / 2))
        apart = [abs(p - q) - (a + b) / 2 for p, q, a, b in zip((x[i], y[j]), at, size, net.box[2:], strict=True)]
        found[piece] = ThumbnailPlace(corner, bool(net.lines) and max(apart) < BESIDE_DISTANCE_MM)
    return found


def mark_occupied(taken: Bools, net: CaptionedPiece, cells: Bools, placed: Placement, origin: Array) -> None:
    """Take the cells (x, y) of a net and its openings on the page.

    taken: as far as the page goes, from its origin, mm; cells: of the net, with its caption or without.
    """
    left, bottom, end, top = net.bounding_cells
    covered = cells[bottom:top, left:end].T.copy()
    x, y = net.grid_origin[0] + left * FINE_CELL_MM, net.grid_origin[1] + bottom * FINE_CELL_MM
    for p in net.piece.panels:
        for hole in (turned(h, net.quarter) for h in p.holes):
            (x0, y0), (x1, y1) = (((v - (x, y)) / FINE_CELL_MM).tolist() for v in (hole.min(axis=0), hole.max(axis=0)))
            covered[max(0, floor(x0)) : ceil(x1), max(0, floor(y0)) : ceil(y1)] = True
    first = (np.array((x, y)) + placed.shift - origin) / FINE_CELL_MM
    # A net lies between cells: it takes those on both sides.
    (i0, j0), (i1, j1) = np.floor(first + 1e-6).astype(int), np.ceil(first - 1e-6).astype(int)
    for i in {i0, i1}:
        for j in {j0, j1}:
            a, b = max(0, -i), max(0, -j)
            target = taken[max(0, i) : i + covered.shape[0], max(0, j) : j + covered.shape[1]]
            target |= covered[a : a + target.shape[0], b : b + target.shape[1]]


def _caption_centre(net: CaptionedPiece, placed: Placement) -> Array:
    """The centre of a net's caption on the page; of the net where it has none."""
    x, y, w, h = net.box
    if not net.lines:
        i, j, end, top = net.bounding_cells
        x, y = net.grid_origin[0] + i * FINE_CELL_MM, net.grid_origin[1] + j * FINE_CELL_MM
        w, h = (end - i) * FINE_CELL_MM, (top - j) * FINE_CELL_MM
    return np.array((x + w / 2, y + h / 2)) + placed.shift
