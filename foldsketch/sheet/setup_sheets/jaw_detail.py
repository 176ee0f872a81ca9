"""The detail of a bored jaw: the corner of wall and rest face, with relief, chamfer, depth and surface."""

from __future__ import annotations

from shapely import Polygon

from foldsketch.base.drawing import BLACK, Item, Layer, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.setup.plan.jaw_pocket import JawPocket
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.setup_sheets.drafting import (
    FIGURE_HEIGHT_MM,
    dimension,
    hatch,
    leader,
    on_white,
    polyline,
    wave,
)
from foldsketch.sheet.setup_sheets.jaw_face_frame import (
    BORED_WIDTH_MM,
    MARK_WIDTH_MM,
    OUTLINE_WIDTH_MM,
    detail_letter,
    number,
)

DETAIL_CORNER_MM: Point = (193.0, 78.0)
"""Where wall and rest face meet in the detail, mm on paper."""

DETAIL_HEIGHT_MM = 31.0
"""Room for the wall in the detail, mm on paper."""


def draw_detail(p: JawPocket) -> list[Item]:
    """The corner of wall and rest face with relief, chamfer, depth and surface."""
    v = p.values
    scale = 5.0 if p.depth <= 15 else 2.0
    x, y = DETAIL_CORNER_MM
    high = y + min(p.depth * scale, DETAIL_HEIGHT_MM)
    wide, deep = (r * scale for r in v.relief)
    bevel = v.chamfer * scale
    left, right, bottom = x - 27.0, x + 17.0, y - 9.0
    # Down the wall, round the relief in the corner, along the rest face.
    corner = [
        (x, y + wide),
        (x + deep, y + wide * 0.6),
        (x + deep, y - deep),
        (x - wide * 0.6, y - deep),
        (x - wide, y),
    ]
    wall = [(x + bevel, high), (x, high - bevel), *corner]
    floor = [(left, y)] if p.rests else []
    if p.rests:
        outline = [(right, high), *wall, *floor, *wave((left, y), (left, bottom), 0.4, 5.0)[1:]]
        outline += [
            *wave((left, bottom), (right, bottom), 0.4)[1:],
            *wave((right, bottom), (right, high), 0.4, 6.0)[1:-1],
        ]
    else:
        wall = [(x + bevel, high), (x, high - bevel), (x, y)]
        outline = [(right, high), *wall, (x, bottom), *wave((x, bottom), (right, bottom), 0.4)[1:]]
        outline += wave((right, bottom), (right, high), 0.4, 6.0)[1:-1]
    items: list[Item] = [*hatch(Polygon(outline))]
    items.append(Stroke(Layer.MARK, tuple(outline), closed=True, width=OUTLINE_WIDTH_MM))
    items.append(Stroke(Layer.CUT, (*wall, *floor), width=BORED_WIDTH_MM))
    return [*items, *_detail_words(p, scale, high, left, bottom)]


def _detail_words(p: JawPocket, scale: float, high: float, left: float, bottom: float) -> list[Item]:
    """Depth, chamfer, relief and surface. high: of the jaw face; left, bottom: of what is drawn, mm on paper."""
    v, (x, y), items = p.values, DETAIL_CORNER_MM, list[Item]()
    bevel, deep = v.chamfer * scale, v.relief[1] * scale
    broken = p.depth * scale > DETAIL_HEIGHT_MM
    dim = x - 33.0
    if p.rests:
        items.append(polyline(((left - 1, y), (dim - 1.5, y))))
    items.append(polyline(((x + bevel - 1.0, high), (dim - 1.5, high))))
    items += dimension((dim, y), (dim, high))
    middle = (y + high) / 2
    items += on_white((dim, middle), number(p.depth), FIGURE_HEIGHT_MM, bold=True)
    aside = dim - text_width(number(p.depth), FIGURE_HEIGHT_MM) / 2 - 2.2
    items.append(frame_text(aside, middle + 1.2, f"+{number(v.depth_over)}", BODY_TEXT_HEIGHT_MM, anchor="end"))
    items.append(frame_text(aside, middle - 3.2, "0", BODY_TEXT_HEIGHT_MM, anchor="end"))
    note = f"{number(v.chamfer)} × 45°"
    items += leader(((x + bevel / 2, high - bevel / 2), (x - 4.0, high - 6.0), (x - 5.5, high - 6.0)))
    items.append(frame_text(x - 6.3, high - 7.25, note, BODY_TEXT_HEIGHT_MM, anchor="end"))
    if p.rests:
        items += _surface_symbol((x - 17.0, y), f"Ra {number(v.roughness)}")
        tip = (x + deep, y - deep)
        items += leader((tip, (x + 4.5, bottom - 3.0), (x + 6.0, bottom - 3.0)))
        relief = f"relief {number(v.relief[0])} × {number(v.relief[1])}"
        items.append(frame_text(x + 6.8, bottom - 4.25, relief, BODY_TEXT_HEIGHT_MM))
        items.append(frame_text(x - 32.0, bottom - 4.25, "wall and floor alike", BODY_TEXT_HEIGHT_MM))
    else:
        items.append(frame_text(x - 32.0, y + 3.0, f"wall Ra {number(v.roughness)}", BODY_TEXT_HEIGHT_MM))
    name = detail_letter(p)
    items.append(frame_text(152, 113.5, name, FIGURE_HEIGHT_MM, bold=True))
    shown = f"{scale_text(scale)}" + (", wall broken" if broken else "")
    items.append(frame_text(158.5, 113.5, shown, BODY_TEXT_HEIGHT_MM))
    return items


def _surface_symbol(at: Point, text: str) -> list[Item]:
    """The symbol of a machined surface [ISO 1302, quoted from memory], standing on it."""
    x, y = at
    tick = ((x - 1.4, y + 2.4), (x + 1.4, y + 2.4), (x, y), (x - 1.4, y + 2.4))
    return [
        polyline(tick, MARK_WIDTH_MM),
        polyline(((x, y), (x + 2.8, y + 4.8), (x + 13.0, y + 4.8)), MARK_WIDTH_MM),
        Text(Layer.FRAME, (x + 3.2, y + 1.6), text, BODY_TEXT_HEIGHT_MM, colour=BLACK),
    ]
