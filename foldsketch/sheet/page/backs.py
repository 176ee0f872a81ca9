"""The backs of the sheets, for printing on both sides: folds as seen from behind, and where tabs are glued."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import atan2, cos, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.drawing import Drawing, Item, Layer, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.net.model import Nets, Piece, Tab
from foldsketch.sheet.layout.caption import CAPTION_TEXT_HEIGHT_MM, place_caption, quarter_turns
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.net_lines import fold_lines, round_tabs, to_point_list
from foldsketch.sheet.page.draw import (
    centred_text,
    cut_strokes,
    draw_sheets,
    sheet_title,
    tint_tabs,
    underline_if_ambiguous,
)
from foldsketch.sheet.page.legend import draw_back_foot
from foldsketch.sheet.page.line_widths import GREY, THIN_LINE_WIDTH_MM, fold_line_type, fold_line_width


def draw_duplex(nets: Nets, sheets: Sequence[Sheet]) -> tuple[Drawing, ...]:
    """Front and back of every sheet, in turn."""
    fronts = draw_sheets(nets, sheets, duplex=True)
    return tuple(page for pair in zip(fronts, draw_backs(nets, sheets), strict=True) for page in pair)


def draw_backs(nets: Nets, sheets: Sequence[Sheet]) -> tuple[Drawing, ...]:
    """The back of every sheet as seen after the page is turned over about an upright edge.

    X on the front is page width - x here.
    """
    pieces = {p.id: p for p in nets.pieces}
    landing = glued_tab_outlines(nets.pieces)
    pages = []
    for number, sheet in enumerate(sheets, 1):
        items: list[Item] = []
        for placed in sheet.placed:
            items += _draw_piece_back(pieces[placed.piece], placed, sheet, landing[placed.piece])
        items += draw_back_foot(sheet_title(nets), sheet, number, len(sheets))
        pages.append(Drawing(sheet.size, tuple(items), f"{nets.part}, back of sheet {number} of {len(sheets)}"))
    return tuple(pages)


def glued_tab_outlines(pieces: Sequence[Piece]) -> Mapping[str, list[tuple[Tab, Array]]]:
    """For every net the tabs that are glued behind its panels, not those under a block.

    Each with its outline (n, 2) there, mm in the net's own frame as seen from its printed side.
    """
    found: dict[str, list[tuple[Tab, Array]]] = {p.id: [] for p in pieces}
    for piece in pieces:
        for t, outline in zip(piece.tabs, round_tabs(piece.tabs), strict=True):
            if t.joint is None and t.glued:
                found[t.meets.piece].append((t, glued_tab_points(t, outline)))
    return found


def glued_tab_points(tab: Tab, points: Array) -> Array:
    """Where points (n, 2) of a flat tab are, once it is glued behind the panel that receives it.

    The tab's root is on the panel's edge, in the opposite direction, for the tab is folded over there.
    """
    (ax, ay), (bx, by) = tab.line
    (cx, cy), (dx, dy) = tab.meets.line
    turn = atan2(cy - dy, cx - dx) - atan2(by - ay, bx - ax)
    c, s = cos(turn), sin(turn)
    middle = np.array([(ax + bx) / 2, (ay + by) / 2])
    moved: Array = (points - middle) @ np.array([(c, s), (-s, c)]) + ((cx + dx) / 2, (cy + dy) / 2)
    return moved


def _draw_piece_back(piece: Piece, placed: Placement, sheet: Sheet, landing: Sequence[tuple[Tab, Array]]) -> list[Item]:
    c, s = cos(placed.angle), sin(placed.angle)
    across = sheet.size[0]
    # Turned and moved as on the front, then mirrored in the page's upright middle line.
    turn = np.array([(-c, s), (s, c)])
    shift = np.array([across - placed.shift[0], placed.shift[1]])

    def place(points: Array) -> Array:
        mirrored: Array = points @ turn + shift
        return mirrored

    def put(p: Point) -> Point:
        return to_point_list(place(np.array([p])))[0]

    items = tint_tabs([outline for _, outline in landing], place)
    items += [
        Stroke(Layer.GLUE, tuple(to_point_list(place(outline))), closed=True, width=THIN_LINE_WIDTH_MM, colour=GREY)
        for _, outline in landing
    ]
    items += cut_strokes(piece, place, THIN_LINE_WIDTH_MM, GREY)
    for line, angle in sorted(fold_lines(piece, place), key=lambda f: f[1] > 0):
        if abs(angle) < 1e-9:
            continue
        layer, kind = Layer.VALLEY if angle > 0 else Layer.MOUNTAIN, fold_line_type(-angle)
        items.append(Stroke(layer, line, width=fold_line_width(line, kind), line=kind))
    for tab, _ in landing:
        if tab.label_size:
            at = glued_tab_points(tab, np.array([tab.label_at, _point_before_label(tab)]))
            (x, y), (u, v) = to_point_list(place(at))
            items += underline_if_ambiguous(centred_text((x, y), str(tab.number), tab.label_size, atan2(v - y, u - x)))
    return items + _draw_net_number(piece, placed, sheet)


def _point_before_label(tab: Tab) -> Point:
    """A point before the centre of the tab's number, along its line.

    Seen from behind it is after the centre: lines are mirrored, letters are not.
    """
    return (tab.label_at[0] - cos(tab.label_angle), tab.label_at[1] - sin(tab.label_angle))


def _draw_net_number(piece: Piece, placed: Placement, sheet: Sheet) -> list[Item]:
    """The net's number where its caption is on the front."""
    made = place_caption(piece, sheet.printable_size, quarter_turns(placed.angle))
    if not made.lines:
        return []
    x, y, w, h = made.box
    size = CAPTION_TEXT_HEIGHT_MM
    texts = (f"{piece.id} back, goes inside", f"{piece.id} back")
    text = next((t for t in texts if text_width(t, size) <= w), piece.id)
    at = (sheet.size[0] - x - w - placed.shift[0], y + h - size + placed.shift[1])
    return [Text(Layer.MARK, at, text, size, bold=True)]
