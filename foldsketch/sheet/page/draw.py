"""The printed side of the sheets: nets with cuts, folds, tabs and marks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import cos, hypot, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Drawing, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import UNDERLINE_DROP_SHARE, is_ambiguous_upside_down, text_width
from foldsketch.base.units import format_number
from foldsketch.net.marks.axis_pointers import is_pointer
from foldsketch.net.marks.datum_lines import is_tick
from foldsketch.net.model import Mark, Nets, Piece
from foldsketch.sheet.layout.caption import place_caption
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.net_lines import PointsToPage, cut_paths, fold_lines, hatch_flaps, to_point_list
from foldsketch.sheet.layout.thumbnail_positions import find_thumbnail_positions
from foldsketch.sheet.page.axis_colours import axis_colours
from foldsketch.sheet.page.legend import draw_front_title_and_legend
from foldsketch.sheet.page.line_widths import (
    CUT_LINE_WIDTH_MM,
    GREY,
    TAPE_TICK_WIDTH_MM,
    THIN_LINE_WIDTH_MM,
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
    "tape": (TAPE_TICK_WIDTH_MM, LineType.SOLID),
    "drawn": (THIN_LINE_WIDTH_MM, LineType.SOLID),
    "hidden": (THIN_LINE_WIDTH_MM, LineType.SOLID),
}
"""Line width in mm and type of every kind of mark."""

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
    slants = _tab_hatching(nets.pieces)
    colours = marked_axis_colours(nets.pieces)
    # A picture of where a net goes needs several nets and a model.
    thumbnail = build_thumbnail(nets) if thumbnails and len(nets.pieces) > 1 and nets.blocks else None
    bare = any(b.bare for p in nets.pieces for b in p.butts) and nets.hold == "glue"
    absent = _absent_legend_entries(nets)
    pages = []
    for number, sheet in enumerate(sheets, 1):
        items: list[Item] = []
        for placed in sheet.placed:
            piece = pieces[placed.piece]
            items += _draw_placed_piece(piece, placed, sheet.printable_size, slants[piece.id], colours)
        if thumbnail:
            for name, at in find_thumbnail_positions(sheet, pieces, thumbnail.box).items():
                items += thumbnail.draw_net(pieces[name], at)
        title = sheet_title(nets)
        items += draw_front_title_and_legend(title, nets.scale, sheet, number, len(sheets), duplex, bare, absent)
        pages.append(Drawing(sheet.size, tuple(items), f"{nets.part}, sheet {number} of {len(sheets)}"))
    return tuple(pages)


def _absent_legend_entries(nets: Nets) -> set[str]:
    """What the legend need not explain, because these nets do not have it."""
    marks = [m for p in nets.pieces for m in p.marks]
    there: set[str] = {m.kind for m in marks if m.kind in ("offset", "datum") and m.paths}
    if nets.joints:
        there |= {"tick", "outline"}
    if any(n for p in nets.pieces for n, _ in p.key):
        there.add("ring")
    if any(p.drawn for p in nets.pieces):
        there.add("drawn")
    if any(m.kind == "pin" for m in marks):
        there.add("centre")
    if any(m.text == "z" and m.paths for m in marks):
        there.add("z")
    if any(is_pointer(m) for m in marks):
        there.add("pointer")
    there.add("tape" if nets.hold == "tape" else "glue")
    return {"offset", "datum", "tick", "outline", "drawn", "ring", "centre", "z", "pointer", "tape", "glue"} - there


def sheet_title(nets: Nets) -> str:
    """The part's name, and the thickness of the card that the nets compensate for."""
    return f"{nets.part}  ·  card {format_number(nets.card.thickness, 2)} mm" if nets.card else nets.part


def draw_piece(piece: Piece, part: str, edge: float = 3.0) -> Drawing:
    """One net alone with its caption, on a page just large enough. edge: white margin, mm."""
    made = place_caption(piece, UNLIMITED_PAGE_MM)
    loops = [p.outline for p in piece.panels] + [t.outline for t in piece.tabs]
    points = np.concatenate(loops)
    x, y, w, h = made.box
    low = np.minimum(points.min(axis=0), (x, y))
    high = np.maximum(points.max(axis=0), (x + w, y + h))
    size = high - low + 2 * edge
    placed = Placement(piece.id, 0.0, (float(edge - low[0]), float(edge - low[1])))
    slants, colours = _tab_hatching([piece])[piece.id], marked_axis_colours([piece])
    items = _draw_placed_piece(piece, placed, UNLIMITED_PAGE_MM, slants, colours)
    return Drawing((float(size[0]), float(size[1])), tuple(items), f"{part}, net {piece.id}")


UNLIMITED_PAGE_MM = (1e4, 1e4)
"""A page on which the caption of a single net always fits, mm."""


def _tab_hatching(pieces: Sequence[Piece]) -> dict[str, list[Array]]:
    """The hatching of every net's tabs, made for all of them at once."""
    outlines = [t.outline for p in pieces for t in p.tabs]
    made = iter(hatch_flaps(np.array(outlines)) if outlines else [])
    return {p.id: [next(made) for _ in p.tabs] for p in pieces}


def marked_axis_colours(pieces: Sequence[Piece]) -> dict[str, Colour]:
    """The colour of every axis that is marked on these nets."""
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
        at, angle = made.keep_readable(start, placed.angle)
        items.append(Text(Layer.MARK, put(at), text, size, angle, bold=size > 2))
    return items


def cut_strokes(piece: Piece, place: PointsToPage, pen: float, colour: Colour) -> list[Item]:
    """The cut lines of a net on the page. pen: line width, mm."""
    items: list[Item] = []
    for path in cut_paths(piece, place):
        closed = len(path) > 2 and hypot(path[0][0] - path[-1][0], path[0][1] - path[-1][1]) < 1e-4
        items.append(Stroke(Layer.CUT, path[:-1] if closed else path, closed=closed, width=pen, colour=colour))
    return items


def draw_number_on_white(at: Point, text: str, size: float, angle: float) -> tuple[Stroke, Text]:
    """A number on hatching: a white background, to be drawn before any line that it would hide, and the text."""
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
    """Text whose capitals are centred on a point."""
    base = (at[0] + sin(angle) * size / 2, at[1] - cos(angle) * size / 2)
    return Text(Layer.MARK, base, text, size, angle, "middle", colour)


def line_type(mark: Mark, path: Sequence[Point]) -> LineType:
    """The line type of one path of a mark; datum ticks are solid."""
    return LineType.SOLID if mark.kind == "datum" and is_tick(path) else MARK_LINES[mark.kind][1]


def _draw_mark(mark: Mark, put: PointToPage, angle: float, colour: Colour) -> list[Item]:
    pen = MARK_LINES[mark.kind][0]
    if mark.kind in ("drawn", "hidden"):
        colour = _colour_of_drawn(mark, colour)
    items: list[Item] = [
        Stroke(Layer.MARK, tuple([put(p) for p in path]), width=pen, line=line_type(mark, path), colour=colour)
        for path in mark.paths
    ]
    items += [Circle(Layer.MARK, put((x, y)), r, width=pen, colour=colour) for x, y, r in mark.circles]
    for x, y, r in mark.dots:
        items.append(Circle(Layer.MARK, put((x, y)), r, width=pen, colour=colour))
        items.append(Circle(Layer.MARK, put((x, y)), 0.15, width=0.1, colour=colour, fill=colour))
    if mark.text and mark.size:
        words = _centred_text(put(mark.at), mark.text, mark.size, mark.angle + angle, colour)
        items += underline_if_ambiguous(words) if mark.kind == "text" and not mark.axis else [words]
    return items


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
