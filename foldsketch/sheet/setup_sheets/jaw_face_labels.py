"""Figures and words around the view on the face of bored jaws."""

from __future__ import annotations

from math import cos, degrees, sin, sqrt

from foldsketch.base.drawing import BLACK, WHITE, Circle, Item, Layer, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.setup.formulas.bored_pocket import JAW_ANGLES
from foldsketch.setup.plan.jaw_pocket import spindle_mark
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.line_widths import GREY
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.setup_sheets.drafting import (
    FIGURE_HEIGHT_MM,
    dimension,
    leader,
    lines_of,
    on_white,
    polyline,
)
from foldsketch.sheet.setup_sheets.jaw_face_frame import (
    BORED_WIDTH_MM,
    JAW_NUMBER_RADIUS_MM,
    OUTLINE_WIDTH_MM,
    SIDE_TEXT_MM,
    TICK_LENGTH_MM,
    VIEW_CENTRE_MM,
    VIEW_RADIUS_MM,
    FaceFrame,
    centre_rows,
    number,
    section_letter,
)


def draw_face_labels(view: FaceFrame) -> list[Item]:
    """Jaw numbers, dimensions, marks of spindle and section, the centre's figures, the counterweight."""
    items = _numbers(view)
    if view.p.offset:
        items += _offset(view)
    items += [*_bore(view), *_width(view), *_spindle_mark(view), *_section_marks(view)]
    return [*items, *_words(view), *_weight(view)]


def _numbers(view: FaceFrame) -> list[Item]:
    items: list[Item] = []
    for contact, t in zip(view.p.contacts, JAW_ANGLES, strict=True):
        inner = contact.from_centre * view.scale + TICK_LENGTH_MM + JAW_NUMBER_RADIUS_MM + 2
        most = view.reach * view.scale - JAW_NUMBER_RADIUS_MM - 0.6
        at = view.polar(min(max(inner, 0.6 * VIEW_RADIUS_MM), most), t)
        if inner > most:  # no room behind the tick: beside it
            aside = min(10.0, view.p.width / 2 * view.scale - JAW_NUMBER_RADIUS_MM - 2)
            at = (at[0] + aside * sin(t), at[1] - aside * cos(t))
        items.append(Circle(Layer.MARK, at, JAW_NUMBER_RADIUS_MM, width=OUTLINE_WIDTH_MM, fill=WHITE))
        place = (at[0], at[1] - FIGURE_HEIGHT_MM / 2)
        items.append(Text(Layer.FRAME, place, str(contact.jaw), FIGURE_HEIGHT_MM, anchor="middle", bold=True))
    return items


def _offset(view: FaceFrame) -> list[Item]:
    (cx, cy), (px, _) = VIEW_CENTRE_MM, view.put(view.p.offset, 0.0)
    y = cy + VIEW_RADIUS_MM + 2
    text = f"{number(view.p.offset)} ±{number(view.p.values.centre)}"
    at = (max(px, cx) + 7.5, y - FIGURE_HEIGHT_MM / 2)
    return [
        *dimension((cx, y), (px, y), view.held),
        Text(Layer.FRAME, at, text, FIGURE_HEIGHT_MM, colour=view.held, bold=True),
    ]


def _bore(view: FaceFrame) -> list[Item]:
    """The leader from the wall of jaw 1 to the size of the pocket."""
    p, v = view.p, view.p.values
    wall = max(lines_of(view.jaws[0].wall), key=len)
    top = max(wall, key=lambda q: q[1])
    tip = view.put(*min(wall, key=lambda q: abs(q[1] - 0.8 * top[1])))
    elbow = (114.0, VIEW_CENTRE_MM[1] + 45.0)
    items = leader((tip, elbow, (elbow[0] + 1.5, elbow[1])), view.held)
    x, y = elbow[0] + 2.5, elbow[1] - FIGURE_HEIGHT_MM / 2
    text = f"Ø{number(p.bore)}"
    beside = x + text_width(text, FIGURE_HEIGHT_MM) + 1.6
    return [
        *items,
        Text(Layer.FRAME, (x, y), text, FIGURE_HEIGHT_MM, colour=view.held, bold=True),
        frame_text(beside, y + 2.2, f"+{number(v.bore_over)}", BODY_TEXT_HEIGHT_MM),
        frame_text(beside, y - 1.6, "0", BODY_TEXT_HEIGHT_MM),
        frame_text(x, y - 6.0, f"largest Ø + {number(v.clearance)}", BODY_TEXT_HEIGHT_MM),
    ]


def _width(view: FaceFrame) -> list[Item]:
    """The width of jaw 1, to the right of the view."""
    x, half = VIEW_CENTRE_MM[0] + 71.0, view.p.width / 2
    end = sqrt(max(0.0, view.reach**2 - half**2))
    if half >= view.reach:
        return []
    items: list[Item] = []
    ends = []
    for sign in (1, -1):
        x0, y = view.put(end, sign * half)
        items.append(polyline(((x0 + 1.5, y), (x + 1.5, y))))
        ends.append((x, y))
    items += dimension(ends[1], ends[0])
    return [*items, *on_white((x, VIEW_CENTRE_MM[1]), number(view.p.width), FIGURE_HEIGHT_MM, bold=True)]


def _spindle_mark(view: FaceFrame) -> list[Item]:
    """A triangle outside the rim at the spindle's 0 degrees."""
    t = spindle_mark(view.p)
    tip, back = view.polar(VIEW_RADIUS_MM + 1.4, t), VIEW_RADIUS_MM + 5.2
    side = 1.9 / back
    corners = (tip, view.polar(back, t + side), view.polar(back, t - side))
    x, y = view.polar(back, t)
    beside = VIEW_CENTRE_MM[0] + 61.5
    x = beside if cos(t) > 0.5 else max(x, SIDE_TEXT_MM + 6.5)
    y += 7.0 if sin(t) > -0.3 else -5.7
    return [
        Stroke(Layer.MARK, corners, closed=True, width=0.1, fill=BLACK),
        frame_text(x, y, "spindle", BODY_TEXT_HEIGHT_MM, "middle"),
        frame_text(x, y - 3.9, "0°", BODY_TEXT_HEIGHT_MM, "middle", bold=True),
    ]


def _section_marks(view: FaceFrame) -> list[Item]:
    """Where the section is cut, and which way it is looked at."""
    items: list[Item] = []
    letter = section_letter(view.p.setup)
    for x in (VIEW_CENTRE_MM[0] - VIEW_RADIUS_MM - 8.5, VIEW_CENTRE_MM[0] + VIEW_RADIUS_MM + 10.0):
        y = VIEW_CENTRE_MM[1]
        items.append(polyline(((x - 2.5, y), (x + 2.5, y)), BORED_WIDTH_MM))
        items += leader(((x, y - 0.4), (x, y - 8.0)))
        items.append(frame_text(x + 1.4, y - 8.0, letter, FIGURE_HEIGHT_MM, bold=True))
    return items


def _words(view: FaceFrame) -> list[Item]:
    p = view.p
    (_, cy), left = VIEW_CENTRE_MM, SIDE_TEXT_MM
    items: list[Item] = [
        frame_text(left, cy + 56.0, f"{scale_text(view.scale)}, seen on", BODY_TEXT_HEIGHT_MM),
        frame_text(left, cy + 51.6, "the jaw face", BODY_TEXT_HEIGHT_MM),
    ]
    rim = f"chuck to Ø{number(2 * p.chuck_radius)}"
    if view.whole:
        tip = view.polar(view.reach * view.scale, -0.95)
        elbow = (tip[0] + 5.0, tip[1] - 8.5)
        items += leader((tip, elbow, (elbow[0] + 1.5, elbow[1])), GREY)
        items.append(frame_text(elbow[0] + 2.5, elbow[1] - 1.25, rim, BODY_TEXT_HEIGHT_MM))
    items.append(frame_text(left, cy - 42.0, "Pocket centre", BODY_TEXT_HEIGHT_MM, bold=True))
    for k, row in enumerate(centre_rows(p.offset, p.angle, p.values.centre)):
        items.append(frame_text(left, cy - 46.6 - 4.6 * k, row, BODY_TEXT_HEIGHT_MM))
    return items


def _weight(view: FaceFrame) -> list[Item]:
    """The counterweight at its true radius, where the view goes so far."""
    items: list[Item] = []
    for w in view.p.setup.weights[:1]:
        t = view.p.direction(w.angle)
        if w.radius * view.scale > VIEW_RADIUS_MM:
            continue
        at = view.polar(w.radius * view.scale, t)
        items.append(Circle(Layer.MARK, at, 3.0, width=0.1, fill=BLACK))
        label = (at[0], at[1] + (8.0 if sin(t) > -0.3 else -8.0))
        items += on_white((label[0] + 2, label[1] + 2), f"{w.mass:.3f} kg", BODY_TEXT_HEIGHT_MM, bold=True)
        figure = f"at {number(w.radius)}, {degrees(t) % 360:.0f}°"
        items += on_white((label[0] + 2, label[1] - 2.2), figure, BODY_TEXT_HEIGHT_MM)
    return items
