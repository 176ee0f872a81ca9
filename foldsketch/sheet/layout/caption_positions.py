"""Captions in free space of a packed page, where they are not beside their nets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil

import numpy as np

from foldsketch.base.arrays import Array, Bools, Point
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.caption import (
    CAPTION_GAP_MM,
    CAPTION_NEAR_DISTANCE_MM,
    FINE_CELL_MM,
    CaptionedPiece,
    place_caption,
    quarter_turns,
    turned,
)
from foldsketch.sheet.layout.cell_windows import any_in_windows
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.paper import printable_origin
from foldsketch.sheet.layout.thumbnail_positions import mark_occupied

CLOSE_CELLS = (4, 7, int(CAPTION_NEAR_DISTANCE_MM / FINE_CELL_MM))
"""A caption is looked for within so many cells of its net, then farther away."""


MIN_CAPTION_GAP_MM = 0.7
"""A caption beside its net stays there as long as nothing is nearer to it, mm."""


def letter_nets(pieces: Sequence[Piece], sheets: Sequence[Sheet]) -> tuple[Piece, ...]:
    """The nets, those whose own caption has no room on their sheet with another place for it.

    Where the sheet has no free place near the net it stays as it is: `pack` gives no such sheets.
    """
    found: dict[str, Point] = {}
    for sheet in sheets:
        found |= find_caption_positions(sheet, {p.id: p for p in pieces})[0]
    return tuple(replace(p, caption_at=found[p.id]) if p.id in found else p for p in pieces)


def find_caption_positions(sheet: Sheet, pieces: Mapping[str, Piece]) -> tuple[dict[str, Point], list[str]]:
    """Centres of the captions that have no room beside their nets, each in its net's frame, mm; and nets without one.

    A caption goes to free space near its net, if possible where no other net is as near.
    """
    page, origin = sheet.printable_size, np.array(printable_origin())
    far = CLOSE_CELLS[-1]
    # Cells (x, y) around the page too, so that windows reach past its edge.
    low = origin - far * FINE_CELL_MM
    columns, rows = (int(v / FINE_CELL_MM) + 2 * far for v in page)
    placed = [(place_caption(pieces[p.piece], page, quarter_turns(p.angle)), p) for p in sheet.placed]
    own = np.zeros((len(placed), columns, rows), dtype=bool)
    for k, (net, spot) in enumerate(placed):
        mark_occupied(own[k], net, net.net_cells, spot, low)
    nets = own.sum(axis=0, dtype=np.uint8)
    taken = np.asarray(own.any(axis=0))
    homeless, edge = [], far * FINE_CELL_MM - 1e-6
    for k, (net, spot) in enumerate(placed):
        if net.lines:
            corner, text = _caption_on_page(net, spot, low)
            close = _window_cells(corner, text, MIN_CAPTION_GAP_MM)
            inside = (corner > edge).all() and (corner + text < np.add(page, edge + 2e-6)).all()
            if not inside or (taken[close] & ~own[k][close]).any():
                homeless.append(k)
            else:
                taken[_window_cells(corner, text, CAPTION_GAP_MM)] = True
    found, without = dict[str, Point](), list[str]()
    for k in sorted(homeless, key=lambda k: -placed[k][0].box[2] * placed[k][0].box[3]):
        net, spot = placed[k]
        _, text = _caption_on_page(net, spot, low)
        w, h = (ceil((v + 2 * CAPTION_GAP_MM) / FINE_CELL_MM) for v in text)
        at = _nearest_free(taken, own[k], nets > own[k], (w, h))
        if at is None:
            without.append(spot.piece)
            continue
        taken[at[0] : at[0] + w, at[1] : at[1] + h] = True
        centre = low + np.array((at[0] + w / 2, at[1] + h / 2)) * FINE_CELL_MM - spot.shift
        x, y = turned(centre, -net.quarter).tolist()
        found[spot.piece] = (x, y)
    return found, without


def _caption_on_page(net: CaptionedPiece, spot: Placement, low: Array) -> tuple[Array, tuple[float, float]]:
    """Lower left corner of a net's own caption from the corner of the cells, and its size, on the page, mm."""
    x, y, w, h = net.box
    return np.array((x, y)) + spot.shift - low, (w, h)


def _window_cells(corner: Array, size: tuple[float, float], gap: float) -> tuple[slice, slice]:
    first = np.floor((corner - gap) / FINE_CELL_MM).astype(int).tolist()
    end = np.ceil((corner + size + gap) / FINE_CELL_MM).astype(int).tolist()
    return slice(first[0], end[0]), slice(first[1], end[1])


def _nearest_free(taken: Bools, own: Bools, others: Bools, size: tuple[int, int]) -> tuple[int, int] | None:
    """First cell (x, y) of the free window near its own net, nearest to that net's centre; None where there is none."""
    far = CLOSE_CELLS[-1]
    w, h = size
    nx, ny = (n - 2 * far - s + 1 for n, s in zip(taken.shape, size, strict=True))
    if nx < 1 or ny < 1:
        return None
    free = ~any_in_windows(taken, h, w)[far : far + nx, far : far + ny]
    if not free.any():
        return None

    def close(cells: Bools, d: int) -> Bools:
        there: Bools = any_in_windows(cells, h + 2 * d, w + 2 * d)[far - d : far - d + nx, far - d : far - d + ny]
        return there

    x, y = (np.flatnonzero(own.any(axis=k)) for k in (1, 0))
    dx, dy = (np.arange(n) + far + s / 2 - (v[0] + v[-1] + 1) / 2 for n, s, v in ((nx, w, x), (ny, h, y)))
    squared = (dx * dx)[:, None] + dy * dy
    for alone in (True, False):
        for d in CLOSE_CELLS:
            usable = free & close(own, d)
            if alone:
                usable &= ~close(others, d)
            if usable.any():
                i, j = divmod(int(np.where(usable, squared, np.inf).argmin()), ny)
                return i + far, j + far
    return None
