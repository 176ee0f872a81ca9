"""Section through jaw 1 with rest face and wall, and the detail of their corner."""

from __future__ import annotations

from shapely import Polygon

from foldsketch.base.drawing import Circle, Item, Layer, LineType, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.plan.jaw_pocket import JawPocket
from foldsketch.sheet.layout.paper import STANDARD_SCALES, scale_text
from foldsketch.sheet.page.line_widths import GREY
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.page.symbols import part_axis_colours
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
    section_letter,
)
from foldsketch.sheet.setup_sheets.jaw_outlines import NOSE_GAP_MM

SPINDLE_X_MM, JAW_FACE_Y_MM = 172.0, 157.0
"""Place of the spindle axis and of the jaw face in the section, mm on paper."""

SECTION_REACH_MM, SECTION_DEPTH_MM = 105.0, 20.0
"""Room for the jaw from the spindle axis on, and for the pocket's depth, mm on paper."""

SECTION_BLOCK_MM, SECTION_FOOT_MM = 5.5, 3.5
"""Thickness drawn below the pocket, and of the foot below the break, mm on paper."""

WALL_SHOWN_MM = 32.0
"""Of a longer wall that is drawn before it is broken off, mm on paper."""


def section_scale(p: JawPocket) -> float:
    """The largest scale up to 1:1 at which e, the pocket's radius and a piece of the wall, and its depth, have room."""
    return next(
        (
            s
            for s in STANDARD_SCALES
            if s <= 1
            and (p.offset + p.bore / 2) * s + min(p.wall * s, WALL_SHOWN_MM) <= SECTION_REACH_MM
            and p.depth * s <= SECTION_DEPTH_MM
        ),
        STANDARD_SCALES[-1],
    )


def draw_section(p: JawPocket) -> list[Item]:
    """The section along jaw 1's middle line, jaw face up."""
    scale = section_scale(p)
    (held,) = part_axis_colours(p.setup.work, p.setup.clamping.held_axis)
    x0, face = SPINDLE_X_MM, JAW_FACE_Y_MM
    floor = face - p.depth * scale
    nose = max(p.through / 2, NOSE_GAP_MM / 2) * scale
    wall = (p.offset + p.bore / 2) * scale
    whole = p.chuck_radius * scale <= SECTION_REACH_MM
    end = p.chuck_radius * scale if whole else wall + WALL_SHOWN_MM
    cut = floor - SECTION_BLOCK_MM
    items: list[Item] = []
    inner = nose if p.rests else wall
    top = [(x0 + inner, cut), *wave((x0 + inner, cut), (x0 + end, cut), 0.5)[1:]]
    body = [
        *top,
        *([] if whole else wave(top[-1], (x0 + end, face), 0.4, 5.0)[1:-1]),
        (x0 + end, face),
        (x0 + wall, face),
        *([(x0 + wall, floor), (x0 + nose, floor)] if p.rests else []),
    ]
    low = cut - 2.0
    foot_top = wave((x0 + inner, low), (x0 + end, low), 0.5)
    foot = [*foot_top, (x0 + end, low - SECTION_FOOT_MM), (x0 + inner, low - SECTION_FOOT_MM)]
    for outline in (body, foot):
        items += hatch(Polygon(outline))
        items.append(Stroke(Layer.MARK, tuple(outline), closed=True, width=OUTLINE_WIDTH_MM))
    bored = [(x0 + wall, face), (x0 + wall, floor), *([(x0 + nose, floor)] if p.rests else [])]
    items.append(Stroke(Layer.CUT, tuple(bored), width=BORED_WIDTH_MM, colour=held))
    items += _held_in_section(p, scale, floor)
    bottom = low - SECTION_FOOT_MM
    items += _section_axes(p, scale, floor, bottom)
    items += _section_words(p, scale, wall, end, floor)
    items += _section_dimensions(p, x0, wall, end, face, bottom)
    if p.through and p.rests:
        y, edge = floor - 5.0, x0 + nose
        items += leader(((edge, y), (edge - 14.0, y)))
        text = f"Ø{number(p.through)} through"
        middle = edge - 15.5 - text_width(text, BODY_TEXT_HEIGHT_MM) / 2
        items += on_white((middle, y), text, BODY_TEXT_HEIGHT_MM)
    return items


def _section_axes(p: JawPocket, scale: float, floor: float, bottom: float) -> list[Item]:
    """Spindle axis and held axis, with their letters."""
    c, x0, face = p.setup.clamping, SPINDLE_X_MM, JAW_FACE_Y_MM
    on, held = part_axis_colours(p.setup.work, c.on_centreline, c.held_axis)
    items: list[Item] = [polyline(((x0, bottom - 8), (x0, face + 13)), colour=on, line=LineType.CENTRE)]
    name = f"{c.on_centreline} spindle"
    if p.offset:
        items.append(Text(Layer.FRAME, (x0 + 1, face + 14.2), name, 2.5, anchor="end", colour=on, bold=True))
        xa = x0 + p.offset * scale
        items.append(polyline(((xa, floor - 5), (xa, face + 13)), colour=held, line=LineType.CENTRE))
        close = p.offset * scale < 4
        at = (xa + (2.0 if close else 0.0), face + 14.2)
        items.append(Text(Layer.FRAME, at, c.held_axis, 2.5, anchor="middle", colour=held, bold=True))
    else:
        items.append(Text(Layer.FRAME, (x0, face + 14.2), name, 2.5, anchor="middle", colour=on, bold=True))
    return items


def _section_words(p: JawPocket, scale: float, wall: float, end: float, floor: float) -> list[Item]:
    """Title of the section, and the ring around what the detail shows."""
    x0, face = SPINDLE_X_MM, JAW_FACE_Y_MM
    letter = section_letter(p.setup)
    items: list[Item] = [
        frame_text(152, 176.5, f"{letter}–{letter}", FIGURE_HEIGHT_MM, bold=True),
        frame_text(162, 176.5, f"{scale_text(scale)}, jaw 1", BODY_TEXT_HEIGHT_MM),
    ]
    if wall + 22 < end:
        items.append(frame_text(x0 + end - 1, face + 1.5, "jaw face", BODY_TEXT_HEIGHT_MM, anchor="end"))
    deep = p.depth * scale >= 8
    ring = (x0 + wall, floor + 1.0 if deep else (face + floor) / 2)
    items.append(Circle(Layer.MARK, ring, 4.8, width=MARK_WIDTH_MM))
    at = (ring[0] + 8.5, ring[1] + 2.0 if deep else face + 3.2)
    return [*items, *on_white(at, detail_letter(p), FIGURE_HEIGHT_MM, bold=True)]


def _section_dimensions(p: JawPocket, x0: float, wall: float, end: float, face: float, bottom: float) -> list[Item]:
    """Reference sizes along the jaw, and H."""
    y = bottom - 5.8
    items: list[Item] = []
    for x in (x0 + wall, x0 + end):
        items.append(polyline(((x, bottom - 0.8), (x, y - 1.5))))
    reach = f"({number(p.offset + p.held / 2)})"
    items += dimension((x0, y), (x0 + wall, y))
    if wall > 24:
        items += on_white((x0 + wall / 2, y), reach, FIGURE_HEIGHT_MM, bold=True)
    else:
        items.append(frame_text(x0 - 7.0, y - FIGURE_HEIGHT_MM / 2, reach, FIGURE_HEIGHT_MM, anchor="end", bold=True))
    items += dimension((x0 + wall, y), (x0 + end, y))
    text, room = f"({number(p.wall)}) wall", end - wall
    if room > 26:
        items += on_white((x0 + wall + room / 2, y), text, FIGURE_HEIGHT_MM, bold=True)
    else:
        items.append(frame_text(x0 + end + 7.0, y - FIGURE_HEIGHT_MM / 2, text, FIGURE_HEIGHT_MM, bold=True))
    x = x0 + end + 7.0
    for level in (face, bottom):
        items.append(polyline(((x0 + end + 0.8, level), (x + 1.5, level))))
    items += dimension((x, bottom), (x, face))
    return [*items, *on_white((x, (face + bottom) / 2), "H", FIGURE_HEIGHT_MM, bold=True)]


def _held_in_section(p: JawPocket, scale: float, floor: float) -> list[Item]:
    """The held feature in the jaws, broken off to the left."""
    s = p.setup
    f = next((f for f in s.work.features if f.name == s.clamping.held_on), None)
    if f is None:
        return []
    low, high = z_extent(s.work, f)
    length = high - s.clamping.grip_range[0] if s.clamping.from_end == "+z" else s.clamping.grip_range[1] - low
    top = floor + min(length * scale, p.depth * scale + 7.0)
    left = SPINDLE_X_MM + max((p.offset - p.held / 2) * scale, -10.0)
    right = SPINDLE_X_MM + (p.offset + p.held / 2) * scale
    broken = (p.offset - p.held / 2) * scale < -10.0
    items: list[Item] = [
        polyline(((left, top), (right, top), (right, floor)), MARK_WIDTH_MM, GREY, LineType.PHANTOM),
        polyline(((left, floor), (right, floor)), MARK_WIDTH_MM, GREY, LineType.PHANTOM),
    ]
    edge = wave((left, floor), (left, top), 0.5, 6.0) if broken else [(left, floor), (left, top)]
    return [*items, polyline(edge, MARK_WIDTH_MM, GREY)]
