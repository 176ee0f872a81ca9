"""The printed side of the sheets: nets with cuts, folds, tabs and marks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import cos, hypot, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.drawing import BLACK, Circle, Colour, Drawing, Item, Layer, Point, Stroke, Text
from foldsketch.base.lettering import UNDERLINE_DROP_SHARE, is_ambiguous_upside_down, text_width
from foldsketch.base.units import format_number
from foldsketch.net.model import Mark, Nets, Piece
from foldsketch.sheet.layout.caption import CAPTION_TEXT_HEIGHT_MM, place_caption, quarter_turns, turned
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.net_lines import PointsToPage, cut_paths, fold_lines, round_tabs, to_point_list
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.layout.thumbnail_positions import find_thumbnail_positions
from foldsketch.sheet.page.axis_colours import axis_colours
from foldsketch.sheet.page.legend import draw_front_foot
from foldsketch.sheet.page.line_widths import (
    CUT_LINE_WIDTH_MM,
    DRAWN_TINT,
    FOLD_BACK_WIDTH_MM,
    GLUE_TINT,
    GREY,
    TAPE_TICK_WIDTH_MM,
    THIN_LINE_WIDTH_MM,
    fold_line_type,
    fold_line_width,
)
from foldsketch.sheet.page.thumbnails import build_thumbnail

PointToPage = Callable[[Point], Point]

MARK_LINE_WIDTHS_MM = {
    "centre": 0.25,
    "datum": 0.7,
    "outline": 0.35,
    "pin": 0.25,
    "offset": 0.25,
    "text": 0.25,
    "tape": TAPE_TICK_WIDTH_MM,
    "sign": 0.25,
    "slit": FOLD_BACK_WIDTH_MM,
    "drawn": THIN_LINE_WIDTH_MM,
    "hidden": THIN_LINE_WIDTH_MM,
}
"""Line width in mm of every kind of mark."""


LEGEND_OF_MARKS = {"datum": "tick", "tape": "tape", "sign": "halves", "slit": "slit", "drawn": "drawn"}
"""Entries of the legend that kinds of marks ask for."""

HIDDEN_SHARE = 0.45
"""Strength of colour of what another block will hide."""


def draw_sheets(
    nets: Nets, sheets: Sequence[Sheet], duplex: bool = False, thumbnails: bool = True
) -> tuple[Drawing, ...]:
    """One drawing a sheet: nets with their cuts, folds, tabs and marks, captions, check bars, title and legend.

    duplex: with registration crosses, for sheets whose backs are printed too; thumbnails: with small pictures of where
    each net goes, which need a writer that fills areas.
    """
    pieces = {p.id: p for p in nets.pieces}
    colours = marked_axis_colours(nets.pieces)
    # A picture of where a net goes needs several nets and a model.
    thumbnail = build_thumbnail(nets) if thumbnails and len(nets.pieces) > 1 and nets.blocks else None
    shown = _legend_entries(nets)
    pages = []
    for number, sheet in enumerate(sheets, 1):
        items: list[Item] = []
        for placed in sheet.placed:
            piece = pieces[placed.piece]
            items += _draw_placed_piece(piece, placed, sheet.printable_size, colours)
        if thumbnail:
            for name, place in find_thumbnail_positions(sheet, pieces, thumbnail.box).items():
                items += thumbnail.draw_net(pieces[name], place.at, not place.beside)
        items += draw_front_foot(sheet_title(nets), sheet, number, len(sheets), shown, duplex)
        pages.append(Drawing(sheet.size, tuple(items), f"{nets.part}, sheet {number} of {len(sheets)}"))
    return tuple(pages)


def _legend_entries(nets: Nets) -> set[str]:
    """What these nets have, so that the legend explains it."""
    there = {"cut"}
    for p in nets.pieces:
        angles = [f.angle for f in p.folds if not f.rolled] + [t.angle for t in p.tabs]
        there |= {"back" if a > 0 else "forward" for a in angles if abs(a) > 1e-9}
        if any(t.glued for t in p.tabs):
            there.add("number" if any(t.label_size for t in p.tabs) else "glue")
        there |= {LEGEND_OF_MARKS[m.kind] for m in p.marks if m.kind in LEGEND_OF_MARKS}
    return there - ({"glue"} if "number" in there else set())


def sheet_title(nets: Nets) -> tuple[str, str]:
    """The part's name; and its scale, with the thickness of the card that the nets compensate for."""
    card = f" · card {format_number(nets.card.thickness, 2)} mm" if nets.card else ""
    return nets.part, f"paper model {scale_text(nets.scale)}{card}"


def draw_piece(piece: Piece, part: str, angle: float = 0.0, edge: float = 3.0) -> Drawing:
    """One net alone with its caption, on a page just large enough.

    angle: by which it is turned, radians, as on its sheet; edge: white margin, mm.
    """
    made = place_caption(piece, UNLIMITED_PAGE_MM, quarter_turns(angle))
    loops = [p.outline for p in piece.panels] + [t.outline for t in piece.tabs]
    points = turned(np.concatenate(loops), made.quarter)
    x, y, w, h = made.box
    low = np.minimum(points.min(axis=0), (x, y))
    high = np.maximum(points.max(axis=0), (x + w, y + h))
    size = high - low + 2 * edge
    placed = Placement(piece.id, angle, (float(edge - low[0]), float(edge - low[1])))
    items = _draw_placed_piece(piece, placed, UNLIMITED_PAGE_MM, marked_axis_colours([piece]))
    return Drawing((float(size[0]), float(size[1])), tuple(items), f"{part}, net {piece.id}")


UNLIMITED_PAGE_MM = (1e4, 1e4)
"""A page on which the caption of a single net always fits, mm."""


def marked_axis_colours(pieces: Sequence[Piece]) -> dict[str, Colour]:
    """The colour of every axis that is marked on these nets."""
    return axis_colours(sorted({m.axis for p in pieces for m in p.marks if m.axis}))


def _draw_placed_piece(
    piece: Piece,
    placed: Placement,
    page: tuple[float, float],
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

    items = tint_tabs(round_tabs([t for t in piece.tabs if t.glued]), place)
    items += _tint_holes(piece, put)
    items += cut_strokes(piece, place, CUT_LINE_WIDTH_MM, BLACK)
    for line, angle in sorted(fold_lines(piece, place), key=lambda f: f[1] < 0):
        if abs(angle) < 1e-9:
            continue
        layer, kind = Layer.MOUNTAIN if angle > 0 else Layer.VALLEY, fold_line_type(angle)
        items.append(Stroke(layer, line, width=fold_line_width(line, kind), line=kind))
    for t in piece.tabs:
        if t.label_size:
            angle = t.label_angle + placed.angle
            items += underline_if_ambiguous(centred_text(put(t.label_at), str(t.number), t.label_size, angle))
    for mark in piece.marks:
        items += _draw_mark(mark, put, placed.angle, colours.get(mark.axis, BLACK))
    made = place_caption(piece, page, quarter_turns(placed.angle))
    for (x, y), text, size in made.baselines():
        items.append(Text(Layer.MARK, (x + dx, y + dy), text, size, bold=size > CAPTION_TEXT_HEIGHT_MM))
    return items


def cut_strokes(piece: Piece, place: PointsToPage, pen: float, colour: Colour) -> list[Item]:
    """The cut lines of a net on the page. pen: line width, mm."""
    items: list[Item] = []
    for path in cut_paths(piece, place):
        closed = len(path) > 2 and hypot(path[0][0] - path[-1][0], path[0][1] - path[-1][1]) < 1e-4
        items.append(Stroke(Layer.CUT, path[:-1] if closed else path, closed=closed, width=pen, colour=colour))
    return items


def tint_tabs(outlines: Sequence[Array], place: PointsToPage) -> list[Item]:
    """The grey of tabs, to be drawn before any line. outlines: each (n, 2) mm."""
    return [
        Stroke(Layer.GLUE, tuple(to_point_list(place(loop))), closed=True, colour=None, fill=GLUE_TINT)
        for loop in outlines
    ]


def _tint_holes(piece: Piece, put: PointToPage) -> list[Item]:
    """The pale grey of holes that are drawn whole on a panel, to be drawn before any line."""
    built = {p.feature for p in piece.panels}
    holes = {(d.panel, d.centre, d.radius) for d in piece.drawn if d.kind == "circle" and d.feature not in built}
    return [
        Circle(Layer.GLUE, put((x, y)), r, colour=None, fill=DRAWN_TINT)
        for m in piece.marks
        if m.panel is not None
        for x, y, r in m.circles
        if (m.panel, (x, y), r) in holes
    ]


def centred_text(at: Point, text: str, size: float, angle: float, colour: Colour = BLACK) -> Text:
    """Text whose capitals are centred on a point."""
    base = (at[0] + sin(angle) * size / 2, at[1] - cos(angle) * size / 2)
    return Text(Layer.MARK, base, text, size, angle, "middle", colour)


def _draw_mark(mark: Mark, put: PointToPage, angle: float, colour: Colour) -> list[Item]:
    pen = MARK_LINE_WIDTHS_MM[mark.kind]
    if mark.kind in ("drawn", "hidden"):
        colour = _colour_of_drawn(mark, colour)
    items: list[Item] = [mark_stroke(mark, tuple([put(p) for p in path]), pen, colour) for path in mark.paths]
    if mark.kind == "slit":  # its ticks are not cut
        line = tuple([put(p) for p in mark.paths[0]])
        items[0] = Stroke(Layer.CUT, line, width=CUT_LINE_WIDTH_MM)
    items += [Circle(Layer.MARK, put((x, y)), r, width=pen, colour=colour) for x, y, r in mark.circles]
    items += [Circle(Layer.MARK, put((x, y)), r, colour=None, fill=colour) for x, y, r in mark.dots]
    if mark.text and mark.size:
        words = centred_text(put(mark.at), mark.text, mark.size, mark.angle + angle, colour)
        if mark.kind == "text" and mark.text.isdigit():
            return items + underline_if_ambiguous(words)
        items.append(words._replace(bold=mark.kind in ("centre", "offset")))
    return items


def mark_stroke(mark: Mark, path: tuple[Point, ...], pen: float, colour: Colour) -> Stroke:
    """A path of a mark on the page: signs and arrowheads are filled."""
    filled = mark.kind == "sign" or (mark.kind in ("offset", "centre") and len(path) == 3)
    if filled:
        return Stroke(Layer.MARK, path, closed=True, colour=None, fill=colour)
    return Stroke(Layer.MARK, path, width=pen, colour=colour)


def _colour_of_drawn(mark: Mark, colour: Colour) -> Colour:
    """Of what is drawn and not built: its axis's, grey without a letter, paler where another block will hide it."""
    own = colour if mark.axis else GREY
    if mark.kind == "drawn":
        return own
    r, g, b = (1 - (1 - v) * HIDDEN_SHARE for v in own)
    return (r, g, b)


def underline_if_ambiguous(words: Text) -> list[Item]:
    """A number, underlined if it reads as another one upside down: 6 and 9, 16 and 91."""
    if not is_ambiguous_upside_down(words.text):
        return [words]
    half, below = text_width(words.text, words.size) / 2, UNDERLINE_DROP_SHARE * words.size
    c, s = cos(words.angle), sin(words.angle)
    x, y = words.at[0] + s * below, words.at[1] - c * below
    ends = ((x - half * c, y - half * s), (x + half * c, y + half * s))
    return [words, Stroke(words.layer, ends, width=THIN_LINE_WIDTH_MM, colour=words.colour)]
