"""The view on the face of bored jaws: jaws, pocket, rest face, centre, contacts, the held part, the counterweight."""

from __future__ import annotations

from math import atan2, cos, hypot, pi, sin, sqrt

from foldsketch.base.drawing import BLACK, WHITE, Circle, Item, Layer, LineType, Stroke, Text
from foldsketch.part.model import Feature
from foldsketch.setup.formulas.bored_pocket import JAW_ANGLES
from foldsketch.setup.plan.jaw_pocket import JawPocket
from foldsketch.sheet.page.line_widths import GREY
from foldsketch.sheet.setup_sheets.drafting import (
    FIGURE_HEIGHT_MM,
    fill_area,
    lines_of,
    loops_of,
    on_white,
    polyline,
)
from foldsketch.sheet.setup_sheets.jaw_face_frame import (
    BORED_WIDTH_MM,
    CHUCK_FILL,
    MARK_WIDTH_MM,
    OUTLINE_WIDTH_MM,
    REST_FILL,
    TICK_LENGTH_MM,
    VIEW_CENTRE_MM,
    VIEW_RADIUS_MM,
    FaceFrame,
)
from foldsketch.sheet.setup_sheets.jaw_face_labels import draw_face_labels
from foldsketch.sheet.setup_sheets.jaw_outlines import JawOutline


def draw_face_view(p: JawPocket) -> list[Item]:
    """The view, with its dimensions and words."""
    return _FaceView(p).draw()


class _FaceView(FaceFrame):
    def draw(self) -> list[Item]:
        """All of it, from below."""
        items: list[Item] = []
        if self.whole:
            rim = self.reach * self.scale
            items.append(Circle(Layer.GLUE, VIEW_CENTRE_MM, rim, colour=None, fill=CHUCK_FILL))
        for jaw in self.jaws:
            items += self._jaw(jaw)
        if self.whole:
            items.append(Circle(Layer.MARK, VIEW_CENTRE_MM, rim, width=OUTLINE_WIDTH_MM, colour=GREY))
        if self.p.through:
            radius = self.p.through / 2 * self.scale
            items += self._through(radius)
        items += self._held_part()
        items += self._contacts()
        items += self._axes()
        return [*items, *draw_face_labels(self)]

    def _jaw(self, jaw: JawOutline) -> list[Item]:
        items: list[Item] = []
        for loop in loops_of(jaw.body):
            items.append(fill_area([self.put(*q) for q in loop], WHITE))
        for loop in loops_of(jaw.rest):
            items.append(fill_area([self.put(*q) for q in loop], REST_FILL))
        for line in lines_of(jaw.sides):
            items.append(polyline([self.put(*q) for q in line], OUTLINE_WIDTH_MM))
        for line in lines_of(jaw.wall):
            points = tuple(self.put(*q) for q in line)
            items.append(Stroke(Layer.CUT, points, width=BORED_WIDTH_MM, colour=self.held))
        if not self.whole:
            items.append(self._break(jaw.number))
        return items

    def _break(self, number: int) -> Stroke:
        """The wavy end of a jaw that goes on."""
        half = min(1.0, self.p.width / 2 / self.reach)
        span = 2 * atan2(half, sqrt(max(1e-9, 1 - half * half)))
        middle, n = JAW_ANGLES[number - 1], 40
        points = []
        for k in range(n + 1):
            t = middle - span / 2 + span * k / n
            radius = VIEW_RADIUS_MM + (0.6 * sin(k * pi / 5) if 0 < k < n else 0.0)
            points.append(self.polar(radius, t))
        return polyline(points, MARK_WIDTH_MM)

    def _through(self, radius: float) -> list[Item]:
        return [Circle(Layer.MARK, VIEW_CENTRE_MM, radius, width=0.1, colour=GREY)]

    def _held_part(self) -> list[Item]:
        """The work in the jaws, as thin two-dot chains, with the letters of axes that stand out."""
        s, items = self.p.setup, list[Item]()
        part = s.work
        c = s.clamping
        lettered = {c.on_centreline, c.held_axis}
        for f in sorted(part.features, key=lambda f: -_radius(f)):
            axis, radius = part.axis(f.axis), _radius(f)
            if not axis.along_z or not f.is_round or not radius:
                continue
            place = self.p.place(axis.point[0], axis.point[1])
            if (hypot(*place) + radius) * self.scale > VIEW_RADIUS_MM:
                continue  # it would run through the words around the view
            at = self.put(*place)
            colour = {c.on_centreline: self.on, c.held_axis: self.held}.get(f.axis, GREY)
            kind = LineType.PHANTOM if radius * self.scale > 4 else LineType.SOLID
            items.append(Circle(Layer.MARK, at, radius * self.scale, width=MARK_WIDTH_MM, line=kind, colour=colour))
            if not f.cut and f.axis not in lettered:
                lettered.add(f.axis)
                items += on_white(at, f.axis, FIGURE_HEIGHT_MM, colour=GREY)
        return items

    def _contacts(self) -> list[Item]:
        """A tick outside the wall where each jaw presses."""
        items: list[Item] = []
        for contact, t in zip(self.p.contacts, JAW_ANGLES, strict=True):
            x, y = self.put(*contact.at)
            from_, to = 0.6, 0.6 + TICK_LENGTH_MM
            points = [(x + r * cos(t), y + r * sin(t)) for r in (from_, to)]
            items.append(polyline(points, BORED_WIDTH_MM))
        return items

    def _axes(self) -> list[Item]:
        """Centre lines of spindle and pocket, with their letters."""
        c = self.p.setup.clamping
        (cx, cy), (px, _) = VIEW_CENTRE_MM, self.put(self.p.offset, 0.0)
        reach = VIEW_RADIUS_MM + 3
        items: list[Item] = [
            polyline(((cx - reach, cy), (cx + reach, cy)), colour=BLACK, line=LineType.CENTRE),
            polyline(((cx, cy - reach), (cx, cy + reach)), colour=self.on, line=LineType.CENTRE),
            Text(
                Layer.FRAME, (cx + 1.5, cy - reach - 0.5), c.on_centreline, FIGURE_HEIGHT_MM, colour=self.on, bold=True
            ),
        ]
        if self.p.offset:
            low = cy - self.p.bore / 2 * self.scale - 2.0
            items.append(polyline(((px, low), (px, cy + reach)), colour=self.held, line=LineType.CENTRE))
            items += on_white((px + 3.5, low - 1.5), c.held_axis, FIGURE_HEIGHT_MM, bold=True, colour=self.held)
        return items


def _radius(f: Feature) -> float:
    return f.radius if f.is_round else 0.0
