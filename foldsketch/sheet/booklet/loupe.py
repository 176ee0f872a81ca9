"""A magnified detail of the first seam: what is printed on its two edges, the tab or tape between them, and the way."""

from __future__ import annotations

from collections.abc import Callable, Collection
from math import dist, hypot

import numpy as np
from shapely import Point, Polygon

from foldsketch.base.arrays import Array
from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Item, Layer, Stroke, Text
from foldsketch.net.model import ButtEdge, Mark, PaperLine, Piece, Tab
from foldsketch.net.tabs.taped_edges import TAPE_WIDTH_MM, tape_strips
from foldsketch.sheet.booklet.arrow import arrow_items
from foldsketch.sheet.booklet.scene import ACTIVE_FILL, TAB_FILL, faces_inward
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text

LOUPE_RADIUS_MM, LOUPE_SCALES = 14.0, (2.2, 1.1)
"""Size of the round picture, and how many times larger it shows the paper: tabs, and tape, which is wider."""

APART_MM = 7.0
"""How far the two edges of a glued seam still are from each other in it, mm on the page."""

Placing = Callable[[Array], Array]


def draw_loupe(piece: Piece, numbers: Collection[int], corner: tuple[float, float]) -> list[Item]:
    """The seam of a net's own wall among edges of these numbers, or nothing. corner: lower left, mm on the page."""
    seam = _seam(piece, numbers)
    if seam is None:
        return []
    centre = (corner[0] + LOUPE_RADIUS_MM, corner[1] + LOUPE_RADIUS_MM)
    lens = Point(centre).buffer(LOUPE_RADIUS_MM, 32)
    signs = [m for m in piece.marks if m.kind == "sign" and m.panel == seam.panel and _is_on(m, seam.line)]
    share = dist(seam.line[0], signs[0].at) / dist(*seam.line) if signs else 0.5
    apart = 0.0 if isinstance(seam, ButtEdge) else APART_MM
    one = _placing(seam.line, share, -1.0, apart, centre)
    two = _placing(seam.meets.line, 1 - share, 1.0, apart, centre)
    items: list[Item] = []
    shapes: list[tuple[Array, Colour]] = [(one(piece.panel(seam.panel).outline), WHITE)]
    if isinstance(seam, Tab):
        shapes.append((one(seam.outline), ACTIVE_FILL))
    shapes.append((two(piece.panel(seam.meets.panel).outline), WHITE))
    if isinstance(seam, ButtEdge):
        shapes += [(strip, TAB_FILL) for strip in _tape(seam, one)]
    for outline, fill in shapes:
        items += _clipped(outline, lens, fill)
    for panel, line, place in ((seam.panel, seam.line, one), (seam.meets.panel, seam.meets.line, two)):
        for m in piece.marks:
            if m.panel == panel and m.kind in ("sign", "tape") and _is_on(m, line):
                items += _mark(m, place, lens)
            if m.panel == panel and m.kind == "text" and m.text == str(seam.number):
                items += _number(m.text, place(np.array([m.at])), lens)
    if isinstance(seam, Tab) and seam.label_size:
        items += _number(str(seam.number), one(np.array([seam.label_at])), lens)
    if isinstance(seam, Tab):
        x, y = centre[0] + 0.8 * LOUPE_RADIUS_MM, centre[1] - 0.62 * LOUPE_RADIUS_MM
        items += arrow_items(((x, y), (x - 0.6 * LOUPE_RADIUS_MM, y)))
    items.append(Circle(Layer.FRAME, centre, LOUPE_RADIUS_MM, width=0.35))
    match = "two halves, one sign" if signs else "the same number on both"
    words = ["The tab goes behind:", match] if apart else ["Strip across the seam,", "from tick to tick"]
    x, y = centre[0] + LOUPE_RADIUS_MM + 3, centre[1] + 1
    return items + [frame_text(x, y - 4.4 * k, w, BODY_TEXT_HEIGHT_MM) for k, w in enumerate(words)]


def _seam(piece: Piece, numbers: Collection[int]) -> Tab | ButtEdge | None:
    """The first glued or taped edge between two walls of a net, whose printed side is outside."""
    if faces_inward(piece):
        return None
    walls = {p.id for p in piece.panels if p.kind == "side"}
    own = (e for e in piece.held_edges if e.number in numbers and e.meets.piece == piece.id)
    between = (e for e in own if {e.panel, e.meets.panel} <= walls)
    return next((e for e in between if isinstance(e, ButtEdge) or e.glued), None)


def _placing(line: PaperLine, share: float, side: float, apart: float, centre: tuple[float, float]) -> Placing:
    """Paper to page: the edge upright, its panel to the left (side -1) or right, the point at a share in the middle."""
    a, b = np.array(line)
    u = (b - a) / np.linalg.norm(b - a)
    across, at = np.array([-u[1], u[0]]) * side, a + (b - a) * share
    turn = np.column_stack((across, -side * u))
    middle = np.array((centre[0] + side * apart / 2, centre[1]))

    def place(points: Array) -> Array:
        there: Array = (points - at) @ turn * LOUPE_SCALES[apart == 0] + middle
        return there

    return place


def _is_on(m: Mark, line: PaperLine) -> bool:
    """Whether a mark stands on an edge."""
    (x0, y0), (x1, y1) = line
    length = dist(*line)
    off = abs((m.at[0] - x0) * (y1 - y0) - (m.at[1] - y0) * (x1 - x0)) / length
    return off < 1e-3 and dist(m.at, line[0]) + dist(m.at, line[1]) < length + 1e-3


def _tape(edge: ButtEdge, place: Placing) -> list[Array]:
    """The strips across an edge, on the page."""
    a, b = np.array(edge.line)
    u = (b - a) / np.linalg.norm(b - a)
    out = np.array([u[1], -u[0]]) * TAPE_WIDTH_MM / 2
    ends = [(a + u * x0, a + u * x1) for x0, x1 in tape_strips(dist(*edge.line))]
    return [place(np.array([p - out, q - out, q + out, p + out])) for p, q in ends]


def _clipped(outline: Array, lens: Polygon, fill: Colour) -> list[Item]:
    """What of a shape is seen."""
    seen = Polygon(outline).buffer(0).intersection(lens)
    parts = [g for g in getattr(seen, "geoms", [seen]) if isinstance(g, Polygon) and not g.is_empty]
    return [Stroke(Layer.MARK, tuple(g.exterior.coords[:-1]), closed=True, width=0.25, fill=fill) for g in parts]


def _mark(m: Mark, place: Placing, lens: Polygon) -> list[Item]:
    """A sign, or the ticks of a strip, where it is seen whole."""
    found: list[Item] = []
    for path in m.paths:
        points = place(np.array(path))
        if all(lens.contains(Point(p)) for p in points):
            run = tuple((float(x), float(y)) for x, y in points)
            sign = m.kind == "sign"
            colour, fill = (None, BLACK) if sign else (BLACK, None)
            found.append(Stroke(Layer.MARK, run, closed=sign, width=0.5, colour=colour, fill=fill))
    return found


def _number(text: str, at: Array, lens: Polygon) -> list[Item]:
    x, y = at[0].tolist()
    if hypot(x - lens.centroid.x, y - lens.centroid.y) > LOUPE_RADIUS_MM - 3.5:
        return []
    return [Text(Layer.MARK, (x, y - 1.75), text, 3.5, 0.0, "middle", BLACK)]
