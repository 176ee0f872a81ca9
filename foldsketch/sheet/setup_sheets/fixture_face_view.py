"""The view on the face of a fixture plate: locator, screws, balance pockets, the work, sizes, the spindle's 0."""

from __future__ import annotations

from math import cos, hypot, pi, sin

from foldsketch.base.drawing import BLACK, Circle, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.setup.plan.fixture_plate import FixturePlate
from foldsketch.setup.plan.jaw_pocket import place_on_face
from foldsketch.sheet.layout.paper import STANDARD_SCALES, scale_text
from foldsketch.sheet.page.line_widths import GREY
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.page.symbols import part_axis_colours
from foldsketch.sheet.setup_sheets.drafting import (
    FIGURE_HEIGHT_MM,
    dimension,
    leader,
    on_white,
    polyline,
)
from foldsketch.sheet.setup_sheets.jaw_face_frame import (
    BORED_WIDTH_MM,
    CHUCK_FILL,
    MARK_WIDTH_MM,
    OUTLINE_WIDTH_MM,
    REST_FILL,
    SIDE_TEXT_MM,
    VIEW_CENTRE_MM,
    VIEW_RADIUS_MM,
    centre_rows,
    number,
    section_letter,
)


def face_scale(p: FixturePlate) -> float:
    """The largest scale up to 2:1 at which the plate has room."""
    return next((s for s in STANDARD_SCALES if s <= 2 and p.radius * s <= VIEW_RADIUS_MM), STANDARD_SCALES[-1])


def draw_fixture_face(p: FixturePlate) -> list[Item]:
    """The view, with its dimensions and words."""
    return _Face(p).draw()


class _Face:
    """The view on the plate's face, spindle axis in its middle, the offset to the right."""

    def __init__(self, p: FixturePlate) -> None:
        self.p, self.scale = p, face_scale(p)
        c = p.setup.clamping
        self.on, self.held = part_axis_colours(p.setup.work, c.on_centreline, c.held_axis)

    def put(self, x: float, y: float) -> Point:
        """A point of the plate on the page."""
        return (VIEW_CENTRE_MM[0] + x * self.scale, VIEW_CENTRE_MM[1] + y * self.scale)

    def draw(self) -> list[Item]:
        """All of it, from below."""
        p, s = self.p, self.scale
        rim, at = p.radius * s, self.put(p.offset, 0.0)
        items: list[Item] = [
            Circle(Layer.GLUE, VIEW_CENTRE_MM, rim, colour=None, fill=CHUCK_FILL),
            Circle(Layer.MARK, VIEW_CENTRE_MM, rim, width=OUTLINE_WIDTH_MM),
            Circle(Layer.CUT, at, p.size / 2 * s, width=BORED_WIDTH_MM, colour=self.held, fill=REST_FILL),
        ]
        if p.relief:
            items.append(Circle(Layer.MARK, at, p.relief / 2 * s, width=OUTLINE_WIDTH_MM))
        if p.through:
            items.append(Circle(Layer.MARK, VIEW_CENTRE_MM, p.through / 2 * s, width=OUTLINE_WIDTH_MM))
        for pocket in p.pockets:
            items.append(Circle(Layer.MARK, self.put(*pocket.at), pocket.diameter / 2 * s, width=OUTLINE_WIDTH_MM))
        for screw in p.screws:
            items.append(Circle(Layer.MARK, self.put(*screw), p.values.screw / 2 * s, width=MARK_WIDTH_MM))
        items += [*self._work(), *self._axes(at), *self._sizes(at), *self._marks()]
        return items

    def _work(self) -> list[Item]:
        """The work as thin two-dot chains, as far as it stays on the plate."""
        s, items = self.p.setup, list[Item]()
        named: set[str] = {s.clamping.on_centreline, s.clamping.held_axis}
        for f in s.work.features:
            axis = s.work.axis(f.axis)
            if f.cut or not f.is_round or not axis.along_z or f.name == s.clamping.held_on:
                continue
            x, y = place_on_face(s, axis.point[0], axis.point[1])
            if (hypot(x, y) + f.radius) * self.scale > VIEW_RADIUS_MM + 2:
                continue
            at = self.put(x, y)
            kind = LineType.PHANTOM
            items.append(Circle(Layer.MARK, at, f.radius * self.scale, width=MARK_WIDTH_MM, line=kind, colour=GREY))
            if f.axis not in named:
                named.add(f.axis)
                items += on_white(at, f.axis, FIGURE_HEIGHT_MM, colour=GREY)
        return items

    def _axes(self, at: Point) -> list[Item]:
        (cx, cy), c, reach = VIEW_CENTRE_MM, self.p.setup.clamping, VIEW_RADIUS_MM + 3
        low = cy - self.p.size / 2 * self.scale - 3
        return [
            polyline(((cx - reach, cy), (cx + reach, cy)), line=LineType.CENTRE),
            polyline(((cx, cy - reach), (cx, cy + reach)), colour=self.on, line=LineType.CENTRE),
            polyline(((at[0], low), (at[0], cy + reach)), colour=self.held, line=LineType.CENTRE),
            Text(Layer.FRAME, (cx + 1.5, cy - reach), c.on_centreline, FIGURE_HEIGHT_MM, colour=self.on, bold=True),
            *on_white((at[0] + 3.5, low - 1.0), c.held_axis, FIGURE_HEIGHT_MM, bold=True, colour=self.held),
        ]

    def _sizes(self, at: Point) -> list[Item]:
        """E above the view, the locator's and the plate's diameters, screws and pockets by leaders."""
        p, v, (cx, cy) = self.p, self.p.values, VIEW_CENTRE_MM
        y = cy + VIEW_RADIUS_MM + 2
        text = f"{number(p.offset)} ±{number(v.centre)}"
        items = dimension((cx, y), (at[0], y), self.held)
        place = (max(at[0], cx) + 7.5, y - FIGURE_HEIGHT_MM / 2)
        items.append(Text(Layer.FRAME, place, text, FIGURE_HEIGHT_MM, colour=self.held, bold=True))
        t = pi / 3
        r = p.size / 2 * self.scale
        tip, elbow = (at[0] + r * cos(t), at[1] + r * sin(t)), (cx + 44.0, cy + 45.0)
        items += leader((tip, elbow, (elbow[0] + 1.5, elbow[1])), self.held)
        x, base = elbow[0] + 2.5, elbow[1] - FIGURE_HEIGHT_MM / 2
        size = f"Ø{number(p.size)}"
        beside = x + text_width(size, FIGURE_HEIGHT_MM) + 1.6
        upper, lower = (f"+{number(v.over)}", "0") if p.locator == "bore" else ("0", f"-{number(v.over)}")
        rule = f"largest Ø + {number(v.clearance)}" if p.locator == "bore" else f"least Ø - {number(v.clearance)}"
        items += [
            Text(Layer.FRAME, (x, base), size, FIGURE_HEIGHT_MM, colour=self.held, bold=True),
            frame_text(beside, base + 2.2, upper, BODY_TEXT_HEIGHT_MM),
            frame_text(beside, base - 1.6, lower, BODY_TEXT_HEIGHT_MM),
            frame_text(x, base - 6.0, rule, BODY_TEXT_HEIGHT_MM),
        ]
        items += self._called(p.radius * self.scale, -0.95, f"Ø{number(2 * p.radius)}")
        return [*items, *self._screws(), *self._pockets()]

    def _called(self, radius: float, turn: float, text: str) -> list[Item]:
        """A leader from the rim outwards."""
        (cx, cy) = VIEW_CENTRE_MM
        tip = (cx + radius * cos(turn), cy + radius * sin(turn))
        elbow = (cx + (VIEW_RADIUS_MM + 2) * cos(turn) + 5, cy + (VIEW_RADIUS_MM + 2) * sin(turn) - 5)
        items = leader((tip, elbow, (elbow[0] + 1.5, elbow[1])), GREY)
        return [*items, frame_text(elbow[0] + 2.5, elbow[1] - 1.25, text, BODY_TEXT_HEIGHT_MM)]

    def _screws(self) -> list[Item]:
        p, (cx, cy) = self.p, VIEW_CENTRE_MM
        x, y = self.put(*p.screws[3])
        r = p.values.screw / 2 * self.scale
        tip = (x + r * cos(-0.7), y + r * sin(-0.7))
        elbow = (cx + 50.0, cy - 32.0)
        ring = 2 * hypot(p.screws[0][0] - p.offset, p.screws[0][1])
        text = f"4 × M{number(p.values.screw)}"
        items = leader((tip, elbow, (elbow[0] + 1.5, elbow[1])), GREY)
        items.append(frame_text(elbow[0] + 2.5, elbow[1] - 1.25, text, BODY_TEXT_HEIGHT_MM))
        return [*items, frame_text(elbow[0] + 2.5, elbow[1] - 5.6, f"on Ø{number(ring)}", BODY_TEXT_HEIGHT_MM)]

    def _pockets(self) -> list[Item]:
        items: list[Item] = []
        for k, pocket in enumerate(self.p.pockets):
            items += on_white(self.put(*pocket.at), f"P{k + 1}" if len(self.p.pockets) > 1 else "P", 2.5, bold=True)
        return items

    def _marks(self) -> list[Item]:
        """Spindle 0, the section's letters, the scale, and where the centre lies."""
        p, (cx, cy) = self.p, VIEW_CENTRE_MM
        t = -p.angle
        back = VIEW_RADIUS_MM + 5.2
        tip = (cx + (back - 3.8) * cos(t), cy + (back - 3.8) * sin(t))
        side = 1.9 / back
        corners = [tip, *((cx + back * cos(a), cy + back * sin(a)) for a in (t + side, t - side))]
        x, y = cx + back * cos(t), cy + back * sin(t)
        x = cx + 61.5 if cos(t) > 0.5 else max(x, SIDE_TEXT_MM + 6.5)
        y += 7.0 if sin(t) > -0.3 else -5.7
        items: list[Item] = [
            Stroke(Layer.MARK, tuple(corners), closed=True, width=0.1, fill=BLACK),
            frame_text(x, y, "spindle", BODY_TEXT_HEIGHT_MM, "middle"),
            frame_text(x, y - 3.9, "0°", BODY_TEXT_HEIGHT_MM, "middle", bold=True),
            frame_text(SIDE_TEXT_MM, cy + 56.0, f"{scale_text(self.scale)}, seen on", BODY_TEXT_HEIGHT_MM),
            frame_text(SIDE_TEXT_MM, cy + 51.6, "the plate's face", BODY_TEXT_HEIGHT_MM),
            frame_text(SIDE_TEXT_MM, cy - 42.0, f"{p.locator.capitalize()} centre", BODY_TEXT_HEIGHT_MM, bold=True),
        ]
        for k, row in enumerate(centre_rows(p.offset, p.angle, p.values.centre)):
            items.append(frame_text(SIDE_TEXT_MM, cy - 46.6 - 4.6 * k, row, BODY_TEXT_HEIGHT_MM))
        letter = section_letter(p.setup)
        for x in (cx - VIEW_RADIUS_MM - 8.5, cx + VIEW_RADIUS_MM + 10.0):
            items.append(polyline(((x - 2.5, cy), (x + 2.5, cy)), BORED_WIDTH_MM))
            items += leader(((x, cy - 0.4), (x, cy - 8.0)))
            items.append(frame_text(x + 1.4, cy - 8.0, letter, FIGURE_HEIGHT_MM, bold=True))
        return items
