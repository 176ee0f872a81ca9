"""Draw: sheets with placed pieces become drawings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import cos, hypot, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.collector import pause_garbage_collection
from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Drawing, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import UNDERLINE_DROP_SHARE, is_ambiguous_upside_down, text_width
from foldsketch.base.units import format_number
from foldsketch.net.marks.datum_lines import is_tick
from foldsketch.net.model import Mark, Nets, Piece
from foldsketch.sheet.layout.caption import place_caption
from foldsketch.sheet.layout.inset_spots import find_thumbnail_positions
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.net_lines import PointsToPage, cut_paths, fold_lines, hatch_flaps, to_point_list
from foldsketch.sheet.layout.paper import FOOTER_HEIGHT_MM, PRINTER_MARGIN_MM, SIDE_STRIP_WIDTH_MM
from foldsketch.sheet.page.axis_colours import axis_colours
from foldsketch.sheet.page.legend import (
    CUT_LINE_WIDTH_MM,
    GREY,
    THIN_LINE_WIDTH_MM,
    draw_front_title_and_legend,
    fold_line_width,
)
from foldsketch.sheet.page.thumbnails import build_thumbnail

PointToPage = Callable[[Point], Point]

MARK_LINES: dict[str, tuple[float, LineType]] = {
    "centre": (0.18, LineType.SOLID),
    "datum": (0.5, LineType.DOTTED),
    "outline": (0.18, LineType.PHANTOM),
    "pin": (0.18, LineType.SOLID),
    "offset": (0.18, LineType.SOLID),
    "text": (0.18, LineType.SOLID),
}
"""Line width in mm and type of every kind of mark."""


@pause_garbage_collection()
def draw_sheets(nets: Nets, sheets: Sequence[Sheet], duplex: bool = False, insets: bool = True) -> tuple[Drawing, ...]:
    """One drawing a sheet: nets with their cuts, folds, tabs and marks, captions, check bars, title and legend.

    duplex: with registration crosses, for sheets whose backs are printed too; insets: with small pictures of where each
    net goes, which need filled areas to hide what lies behind.
    """
    pieces = {p.id: p for p in nets.pieces}
    slants = _tab_hatching(nets.pieces)
    colours = marked_axis_colours(nets.pieces)
    # Where a net goes is worth a picture when there is more than one, and a model that it goes to.
    small = build_thumbnail(nets) if insets and len(nets.pieces) > 1 and nets.blocks else None
    bare = any(b.bare for p in nets.pieces for b in p.butts)
    absent = set() if nets.joints else {"tick", "outline"}
    if not any(n for p in nets.pieces for n, _ in p.key):
        absent.add("ring")
    kinds = {m.kind for p in nets.pieces for m in p.marks if m.paths}
    absent |= {kind for kind in ("offset", "datum") if kind not in kinds}
    if "pin" not in {m.kind for p in nets.pieces for m in p.marks}:
        absent.add("centre")
    if not any(m.text == "z" and m.paths for p in nets.pieces for m in p.marks):
        absent.add("z")
    pages = []
    for number, sheet in enumerate(sheets, 1):
        items: list[Item] = []
        page = (
            sheet.size[0] - 2 * PRINTER_MARGIN_MM - SIDE_STRIP_WIDTH_MM,
            sheet.size[1] - 2 * PRINTER_MARGIN_MM - FOOTER_HEIGHT_MM,
        )
        for placed in sheet.placed:
            items += _draw_placed_piece(pieces[placed.piece], placed, page, slants[placed.piece], colours)
        if small:
            for name, at in find_thumbnail_positions(sheet, pieces, small.box).items():
                items += small.inset(pieces[name], at)
        items += draw_front_title_and_legend(
            sheet_title(nets), nets.scale, sheet, number, len(sheets), duplex, bare, absent
        )
        pages.append(Drawing(sheet.size, tuple(items), f"{nets.part}, sheet {number} of {len(sheets)}"))
    return tuple(pages)


def sheet_title(nets: Nets) -> str:
    """The part's name with the card that the nets are made for."""
    return f"{nets.part}  ·  card {format_number(nets.card.thickness, 2)} mm" if nets.card else nets.part


def draw_piece(piece: Piece, part: str, edge: float = 3.0) -> Drawing:
    """One piece alone, with its caption, on a page just large enough; edge: mm of white around it."""
    made = place_caption(piece, UNLIMITED_PAGE_MM)
    loops = [p.outline for p in piece.panels] + [t.outline for t in piece.tabs]
    points = np.concatenate(loops)
    x, y, w, h = made.box
    low = np.minimum(points.min(axis=0), (x, y))
    high = np.maximum(points.max(axis=0), (x + w, y + h))
    size = high - low + 2 * edge
    placed = Placement(piece.id, 0.0, (float(edge - low[0]), float(edge - low[1])))
    return Drawing(
        (float(size[0]), float(size[1])),
        tuple(
            _draw_placed_piece(
                piece, placed, UNLIMITED_PAGE_MM, _tab_hatching([piece])[piece.id], marked_axis_colours([piece])
            )
        ),
        f"{part}, net {piece.id}",
    )


UNLIMITED_PAGE_MM = (1e4, 1e4)
"""Room for the caption of a piece that has a page to itself, mm."""


def _tab_hatching(pieces: Sequence[Piece]) -> dict[str, list[Array]]:
    """The hatching of every piece's tabs, formed for all of them at once."""
    outlines = [t.outline for p in pieces for t in p.tabs]
    made = iter(hatch_flaps(np.array(outlines)) if outlines else [])
    return {p.id: [next(made) for _ in p.tabs] for p in pieces}


def marked_axis_colours(pieces: Sequence[Piece]) -> dict[str, Colour]:
    """The colour of every axis that is marked on these pieces."""
    return axis_colours(sorted({m.axis for p in pieces for m in p.marks if m.axis}))


def _draw_placed_piece(
    piece: Piece,
    placed: Placement,
    page: tuple[float, float],
    slants: Sequence[Array],
    colours: Mapping[str, Colour],
) -> list[Item]:
    c, s = cos(placed.angle), sin(placed.angle)
    dx, dy = placed.shift
    turn = np.array([(c, s), (-s, c)])

    def put(p: Point) -> Point:
        return (c * p[0] - s * p[1] + dx, s * p[0] + c * p[1] + dy)

    def place(points: Array) -> Array:
        placed_: Array = points @ turn + placed.shift
        return placed_

    items: list[Item] = []
    drawn = [own for own in slants if len(own)]
    if drawn:
        points, first = to_point_list(place(np.concatenate(drawn))), 0
        for own in drawn:
            run = tuple(points[first : first + len(own)])
            first += len(own)
            items.append(Stroke(Layer.GLUE, run, width=THIN_LINE_WIDTH_MM, colour=GREY))
    numbers = [
        draw_number_on_white(put(t.label_at), str(t.number), t.label_size, t.label_angle + placed.angle)
        for t in piece.tabs
        if t.label_size
    ]
    items += [ground for ground, _ in numbers]
    items += cut_strokes(piece, place, CUT_LINE_WIDTH_MM, BLACK)
    for line, angle in sorted(fold_lines(piece, place), key=lambda f: f[1] < 0):
        if abs(angle) < 1e-9:
            continue
        layer, kind = (Layer.MOUNTAIN, LineType.DASH_DOT) if angle > 0 else (Layer.VALLEY, LineType.DASHED)
        items.append(Stroke(layer, line, width=fold_line_width(line, kind), line=kind))
    for _, words in numbers:
        items += underline_if_ambiguous(words)
    for mark in piece.marks:
        items += _draw_mark(mark, put, placed.angle, colours.get(mark.axis, BLACK))
    made = place_caption(piece, page)
    for start, text, size in made.baselines():
        at, angle = made.upright(start, placed.angle)
        items.append(Text(Layer.MARK, put(at), text, size, angle, bold=size > 2))
    return items


def cut_strokes(piece: Piece, place: PointsToPage, pen: float, colour: Colour) -> list[Item]:
    """What scissors follow, placed on the page; pen: mm."""
    items: list[Item] = []
    for path in cut_paths(piece, place):
        closed = len(path) > 2 and hypot(path[0][0] - path[-1][0], path[0][1] - path[-1][1]) < 1e-4
        items.append(Stroke(Layer.CUT, path[:-1] if closed else path, closed=closed, width=pen, colour=colour))
    return items


def draw_number_on_white(at: Point, text: str, size: float, angle: float) -> tuple[Stroke, Text]:
    """A number on hatching: a white ground, to be drawn before any line, so that it hides none, and the words."""
    w, h = text_width(text, size) / 2 + 0.4, size / 2 + 0.4
    c, s = cos(angle), sin(angle)
    (x, y), wx, wy, hx, hy = at, w * c, w * s, -h * s, h * c
    box = (
        (x - wx - hx, y - wy - hy),
        (x + wx - hx, y + wy - hy),
        (x + wx + hx, y + wy + hy),
        (x - wx + hx, y - wy + hy),
    )
    return Stroke(Layer.GLUE, box, closed=True, colour=None, fill=WHITE), _centred_text(at, text, size, angle)


def _centred_text(at: Point, text: str, size: float, angle: float, colour: Colour = BLACK) -> Text:
    """Words whose capitals are centred on a point; never upside down on the page by more than need be."""
    base = (at[0] + sin(angle) * size / 2, at[1] - cos(angle) * size / 2)
    return Text(Layer.MARK, base, text, size, angle, "middle", colour)


def _draw_mark(mark: Mark, put: PointToPage, angle: float, colour: Colour) -> list[Item]:
    pen, kind = MARK_LINES[mark.kind]
    items: list[Item] = [
        Stroke(
            Layer.MARK,
            tuple([put(p) for p in path]),
            width=pen,
            line=LineType.SOLID if mark.kind == "datum" and is_tick(path) else kind,
            colour=colour,
        )
        for path in mark.paths
    ]
    for x, y, r in mark.dots:
        items.append(Circle(Layer.MARK, put((x, y)), r, width=pen, colour=colour))
        items.append(Circle(Layer.MARK, put((x, y)), 0.15, width=0.1, colour=colour, fill=colour))
    if mark.text and mark.size:
        words = _centred_text(put(mark.at), mark.text, mark.size, mark.angle + angle, colour)
        items += underline_if_ambiguous(words) if mark.kind == "text" and not mark.axis and not mark.paths else [words]
    return items


def underline_if_ambiguous(words: Text) -> list[Item]:
    """A number, underlined where it would read as another one upside down: 6 and 9, 16 and 91."""
    if not is_ambiguous_upside_down(words.text):
        return [words]
    half, below = text_width(words.text, words.size) / 2, UNDERLINE_DROP_SHARE * words.size
    c, s = cos(words.angle), sin(words.angle)
    x, y = words.at[0] + s * below, words.at[1] - c * below
    ends = ((x - half * c, y - half * s), (x + half * c, y + half * s))
    return [words, Stroke(words.layer, ends, width=THIN_LINE_WIDTH_MM, colour=words.colour)]
