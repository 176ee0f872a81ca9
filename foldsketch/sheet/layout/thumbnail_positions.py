"""Free places on a packed page: where a small picture goes beside each net."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, cos, floor, pi, sin

import numpy as np

from foldsketch.base.arrays import Array, Bools, Point
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.caption import FINE_CELL_MM, CaptionedPiece, place_caption
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


def find_thumbnail_positions(sheet: Sheet, pieces: Mapping[str, Piece], size: tuple[float, float]) -> dict[str, Point]:
    """Lower left corners of pictures of one size, mm on the page.

    For every net of a sheet the free place nearest to its caption. They overlap neither nets nor captions nor each
    other, and keep out of the openings of nets. A net without a free place nearby has none.
    """
    page, origin = sheet.printable_size, np.array(printable_origin())
    cell = FINE_CELL_MM * SEARCH_STEP_CELLS
    nx, ny = (int(v / cell) for v in page)
    taken = np.zeros((nx * SEARCH_STEP_CELLS, ny * SEARCH_STEP_CELLS), dtype=bool)
    wanted = []
    for placed in sheet.placed:
        net = place_caption(pieces[placed.piece], page)
        mark_occupied(taken, net, net.cells, placed, origin)
        wanted.append((placed.piece, _caption_centre(net, placed) - origin))
    wide, high = (ceil((v + 2 * THUMBNAIL_CLEARANCE_MM) / cell) for v in size)
    if wide > nx or high > ny:
        return {}
    step = SEARCH_STEP_CELLS
    coarse = any_in_windows(taken, step, step)[::step, ::step]
    free = ~any_in_windows(coarse, high, wide)[: nx - wide + 1, : ny - high + 1]
    x, y = ((np.arange(n) + k / 2) * cell for n, k in zip(free.shape, (wide, high), strict=True))
    found: dict[str, Point] = {}
    for piece, at in wanted:
        squared = np.where(free, ((x - at[0]) ** 2)[:, None] + (y - at[1]) ** 2, np.inf)
        i, j = divmod(int(squared.argmin()), len(y))
        if squared[i, j] > MAX_THUMBNAIL_DISTANCE_MM**2:
            continue
        free[max(0, i - wide + 1) : i + wide, max(0, j - high + 1) : j + high] = False
        found[piece] = (float(origin[0] + x[i] - size[0] / 2), float(origin[1] + y[j] - size[1] / 2))
    return found


def mark_occupied(taken: Bools, net: CaptionedPiece, cells: Bools, placed: Placement, origin: Array) -> None:
    """Take the cells (x, y) of a net and its openings on the page.

    taken: as far as the page goes, from its origin, mm; cells: of the net, with its caption or without.
    """
    left, bottom, end, top = net.bounding_cells
    covered = cells[bottom:top, left:end].T.copy()
    x, y = net.grid_origin[0] + left * FINE_CELL_MM, net.grid_origin[1] + bottom * FINE_CELL_MM
    for p in net.piece.panels:
        for hole in p.holes:
            (x0, y0), (x1, y1) = (((v - (x, y)) / FINE_CELL_MM).tolist() for v in (hole.min(axis=0), hole.max(axis=0)))
            covered[max(0, floor(x0)) : ceil(x1), max(0, floor(y0)) : ceil(y1)] = True
    w, h = (n * FINE_CELL_MM for n in covered.shape)
    corners = [turned((u, v), placed.angle) for u in (x, x + w) for v in (y, y + h)]
    mask = np.rot90(covered, round(placed.angle / (pi / 2)) % 4)
    first = (np.min(corners, axis=0) + placed.shift - origin) / FINE_CELL_MM
    # A net lies between cells: it takes those on both sides.
    (i0, j0), (i1, j1) = np.floor(first + 1e-6).astype(int), np.ceil(first - 1e-6).astype(int)
    for i in {i0, i1}:
        for j in {j0, j1}:
            a, b = max(0, -i), max(0, -j)
            target = taken[max(0, i) : i + mask.shape[0], max(0, j) : j + mask.shape[1]]
            target |= mask[a : a + target.shape[0], b : b + target.shape[1]]


def _caption_centre(net: CaptionedPiece, placed: Placement) -> Array:
    """The centre of a net's caption on the page; of the net where it has none."""
    x, y, w, h = net.box
    if not net.lines:
        i, j, end, top = net.bounding_cells
        x, y = net.grid_origin[0] + i * FINE_CELL_MM, net.grid_origin[1] + j * FINE_CELL_MM
        w, h = (end - i) * FINE_CELL_MM, (top - j) * FINE_CELL_MM
    return np.array(turned((x + w / 2, y + h / 2), placed.angle)) + placed.shift


def turned(point: Point, angle: float) -> Point:
    """A point turned about the origin by an angle, radians."""
    c, s = cos(angle), sin(angle)
    return c * point[0] - s * point[1], s * point[0] + c * point[1]
