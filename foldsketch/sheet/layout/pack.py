"""Pack: pieces onto as few sheets as possible, never overlapping; T-shaped nets nest into each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, cos, pi, sin

from foldsketch.base.findings import input_error
from foldsketch.geometry.bit_grid import dilate, unpack_bits
from foldsketch.geometry.rasterize import edge_starts_and_ends
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.caption import FINE_CELL_MM, CaptionedPiece, place_caption
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.page_bitmap import CellRun, PageBitmap, cell_runs
from foldsketch.sheet.layout.paper import Paper, printable_origin, printable_size

COARSE_CELL_MM = 2.0
"""Size in mm of the cells on which pieces are laid out."""

FINE_CELLS_PER_COARSE_CELL = round(COARSE_CELL_MM / FINE_CELL_MM)
"""Cells of FINE mm to one of CELL mm."""

PIECE_GROWTH_FINE_CELLS = 2
"""Cells of FINE mm by which a piece is grown before it is placed: two pieces keep more than 2 mm between them."""


@dataclass(frozen=True, slots=True)
class _RotatedPiece:
    """A piece at one turn. size: columns and rows; runs: the cells it takes, gap included; low: where the lower left
    corner of those lies in the turned piece's own frame, mm."""

    angle: float
    size: tuple[int, int]
    runs: tuple[CellRun, ...]
    low: tuple[float, float]


def pack(pieces: Sequence[Piece], paper: Paper) -> tuple[Sheet, ...]:
    """Sheets with every piece placed once. Raises FoldsketchError for a piece that fits no page."""
    w, h = printable_size(paper)
    # The grown border may hang over the edge of the printable area: the gap counts between pieces only.
    border = PIECE_GROWTH_FINE_CELLS * FINE_CELL_MM
    grid = (int((w + 2 * border) / COARSE_CELL_MM), int((h + 2 * border) / COARSE_CELL_MM))
    made = [place_caption(p, (w, h)) for p in pieces]
    shapes = [_fitting_rotations(c, grid) for c in made]
    for c, options in zip(made, shapes, strict=True):
        if not options:
            raise input_error(
                f"piece {c.piece.id}", f"fits no page of {paper.name}", "use larger paper or a smaller scale"
            )
    bound = min_sheets_by_area(pieces, paper)
    taken = [sum(n for _, _, n in options[0].runs) for options in shapes]
    tall = [max(max(s.size) for s in options) for options in shapes]
    by_area = sorted(range(len(made)), key=lambda k: (-taken[k], k))
    by_length = sorted(range(len(made)), key=lambda k: (-tall[k], k))
    best: list[list[tuple[int, _RotatedPiece, int, int]]] | None = None
    for order in (by_area, by_length):
        found = _fill_pages(order, shapes, grid)
        if best is None or len(found) < len(best):
            best = found
        # Another order helps only where a sheet less could hold all that is taken; no layout fills it to nine tenths.
        if len(best) <= bound or sum(taken) > 0.9 * (len(best) - 1) * grid[0] * grid[1]:
            break
    x0, y0 = (v - border for v in printable_origin())
    sheets = []
    for page in best or []:
        placed = [
            Placement(
                made[k].piece.id, s.angle, (x0 + i * COARSE_CELL_MM - s.low[0], y0 + j * COARSE_CELL_MM - s.low[1])
            )
            for k, s, i, j in sorted(page, key=lambda t: t[0])
        ]
        sheets.append(Sheet(paper.name, (paper.width, paper.height), tuple(placed)))
    return tuple(sheets)


def min_sheets_by_area(pieces: Sequence[Piece], paper: Paper) -> int:
    """The fewest sheets that the area of the nets allows."""
    w, h = printable_size(paper)
    return max(1, ceil(net_area(*pieces) / (w * h) - 1e-9))


def net_area(*pieces: Piece) -> float:
    """Area in mm2 of the panels and tabs of pieces."""
    panels = [p for piece in pieces for p in piece.panels]
    loops = [p.outline for p in panels] + [h for p in panels for h in p.holes]
    a, b = edge_starts_and_ends(loops + [t.outline for piece in pieces for t in piece.tabs])
    return float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()) / 2


def _fitting_rotations(c: CaptionedPiece, grid: tuple[int, int]) -> list[_RotatedPiece]:
    """The piece at the four right-angled turns that fit the page, upright first."""
    i, j, beyond, above = c.used
    nx, ny = (
        ceil((beyond - i + 2 * PIECE_GROWTH_FINE_CELLS) / FINE_CELLS_PER_COARSE_CELL),
        ceil((above - j + 2 * PIECE_GROWTH_FINE_CELLS) / FINE_CELLS_PER_COARSE_CELL),
    )
    # Cells that have one in use within REACH of them, then those of CELL mm that hold one of these.
    near = dilate(
        dilate(c.covered, 2 * PIECE_GROWTH_FINE_CELLS + FINE_CELLS_PER_COARSE_CELL, 1),
        2 * PIECE_GROWTH_FINE_CELLS + FINE_CELLS_PER_COARSE_CELL,
        c.stride,
    )
    near >>= i - 2 * PIECE_GROWTH_FINE_CELLS + (j - 2 * PIECE_GROWTH_FINE_CELLS) * c.stride
    mask = unpack_bits(near, FINE_CELLS_PER_COARSE_CELL * ny, c.stride)[
        ::FINE_CELLS_PER_COARSE_CELL, : FINE_CELLS_PER_COARSE_CELL * nx : FINE_CELLS_PER_COARSE_CELL
    ]
    low_x, low_y = (
        c.low[0] + (i - PIECE_GROWTH_FINE_CELLS) * FINE_CELL_MM,
        c.low[1] + (j - PIECE_GROWTH_FINE_CELLS) * FINE_CELL_MM,
    )
    width, height = nx * COARSE_CELL_MM, ny * COARSE_CELL_MM
    result = []
    runs: dict[int, tuple[CellRun, ...]] = {}
    for k in range(4):
        across, up = (nx, ny) if k % 2 == 0 else (ny, nx)
        if across > grid[0] or up > grid[1]:
            continue
        if k >= 2 and k - 2 in runs:
            # Half a turn: the same runs from the other corner.
            runs[k] = tuple([(across - column - n, up - 1 - row, n) for column, row, n in reversed(runs[k - 2])])
        else:
            runs[k] = cell_runs(mask[::-1].T if k % 2 else mask)
        angle = k * pi / 2
        corners = [(low_x, low_y), (low_x + width, low_y), (low_x + width, low_y + height), (low_x, low_y + height)]
        ca, sa = round(cos(angle)), round(sin(angle))
        spun = [(ca * px - sa * py, sa * px + ca * py) for px, py in corners]
        low = (min(p[0] for p in spun), min(p[1] for p in spun))
        result.append(_RotatedPiece(angle, (across, up), runs[k], low))
    return result


def _fill_pages(
    order: Sequence[int], shapes: Sequence[list[_RotatedPiece]], grid: tuple[int, int]
) -> list[list[tuple[int, _RotatedPiece, int, int]]]:
    """Pieces in the given order, each on the first sheet with room and there as low and as far left as it goes."""
    pages: list[tuple[PageBitmap, list[tuple[int, _RotatedPiece, int, int]]]] = []
    for k in order:
        spot = None
        for number in range(len(pages) + 1):
            if number == len(pages):
                pages.append((PageBitmap(*grid), []))
            spot = _lowest_position(pages[number][0], shapes[k])
            if spot:
                break
        assert spot is not None, "a shape that fits the page fits an empty one"
        taken, page = pages[number]
        s, i, j = spot
        taken.put((i, j), s.runs)
        page.append((k, s, i, j))
    return [page for _, page in pages]


def _lowest_position(page: PageBitmap, options: Sequence[_RotatedPiece]) -> tuple[_RotatedPiece, int, int] | None:
    """The option and cell that keep the piece's top lowest, then leftmost; None when nothing is free."""
    if page.count + sum(n for _, _, n in options[0].runs) > page.columns * page.rows:
        return None
    best: tuple[tuple[int, int, int], _RotatedPiece, int, int] | None = None
    for turn, s in sorted(enumerate(options), key=lambda o: o[1].size[1]):
        # What is higher than another one's top wins nowhere.
        if best is not None and s.size[1] > best[0][0]:
            break
        spot = page.lowest(s.size, s.runs, best[0][0] if best else page.rows)
        if spot is None:
            continue
        i, j = spot
        score = (j + s.size[1], i, turn)
        if best is None or score < best[0]:
            best = (score, s, i, j)
    return None if best is None else best[1:]
