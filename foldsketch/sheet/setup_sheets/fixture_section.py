"""The section of a fixture plate along its offset."""

from __future__ import annotations

from shapely import Polygon

from foldsketch.base.drawing import Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.setup.plan.fixture_plate import FixturePlate
from foldsketch.sheet.layout.paper import STANDARD_SCALES, scale_text
from foldsketch.sheet.page.line_widths import GREY
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.page.symbols import part_axis_colours
from foldsketch.sheet.setup_sheets.drafting import (
    FIGURE_HEIGHT_MM,
    dimension,
    hatch,
    on_white,
    polyline,
)
from foldsketch.sheet.setup_sheets.jaw_face_frame import (
    BORED_WIDTH_MM,
    MARK_WIDTH_MM,
    OUTLINE_WIDTH_MM,
    number,
    section_letter,
)

SECTION_MIDDLE_MM, SECTION_FACE_Y_MM, SECTION_ROOM_MM, SECTION_DEPTH_MM = 222.0, 158.0, 106.0, 30.0
"""Spindle axis and plate face of the section, width and depth it has, mm on paper."""


def draw_fixture_section(p: FixturePlate) -> list[Item]:
    """The section, face up."""
    return _Section(p).draw()


class _Section:
    """The section along the offset, face up."""

    def __init__(self, p: FixturePlate) -> None:
        self.p = p
        deep = p.thickness + (p.depth if p.locator == "spigot" else 0.0)
        self.scale = next(
            (
                s
                for s in STANDARD_SCALES
                if s <= 1 and 2 * p.radius * s <= SECTION_ROOM_MM and deep * s <= SECTION_DEPTH_MM
            ),
            STANDARD_SCALES[-1],
        )
        self.face = SECTION_FACE_Y_MM - (p.depth * self.scale if p.locator == "spigot" else 0.0)

    def put(self, x: float, depth: float) -> Point:
        """A point so far along the offset and below the face."""
        return (SECTION_MIDDLE_MM + x * self.scale, self.face - depth * self.scale)

    def draw(self) -> list[Item]:
        """Cut metal, locator, axes, sizes."""
        p = self.p
        items: list[Item] = []
        for outline in self._cut():
            items += hatch(Polygon(outline))
            items.append(Stroke(Layer.MARK, tuple(outline), closed=True, width=OUTLINE_WIDTH_MM))
        left, right = p.offset - p.size / 2, p.offset + p.size / 2
        level = p.depth if p.locator == "bore" else -p.depth
        (held,) = part_axis_colours(p.setup.work, p.setup.clamping.held_axis)
        wall = [self.put(left, 0), self.put(left, level), self.put(right, level), self.put(right, 0)]
        items.append(Stroke(Layer.CUT, tuple(wall), width=BORED_WIDTH_MM, colour=held))
        return [*items, *self._axes(level), *self._sizes(level)]

    def _cut(self) -> list[list[Point]]:
        """The cut metal, as one outline or two beside the run-out hole."""
        p, far, low = self.p, self.p.radius, self.p.thickness
        left, right = p.offset - p.size / 2, p.offset + p.size / 2
        level = p.depth if p.locator == "bore" else -p.depth
        top = [(-far, 0.0), (left, 0.0), (left, level), (right, level), (right, 0.0), (far, 0.0)]
        whole = Polygon([self.put(x, d) for x, d in (*top, (far, low), (-far, low))])
        if p.relief:
            left, right = p.offset - p.relief / 2, p.offset + p.relief / 2
            ends = (
                (left, p.depth - 1),
                (right, p.depth - 1),
                (right, p.depth + p.behind + 1),
                (left, p.depth + p.behind + 1),
            )
            whole = whole.difference(Polygon([self.put(x, d) for x, d in ends]))
        if p.through:
            half = p.through / 2
            corners = [self.put(-half, -p.depth - 1), self.put(half, -p.depth - 1)]
            whole = whole.difference(Polygon([*corners, self.put(half, low + 1), self.put(-half, low + 1)]))
        pieces = getattr(whole, "geoms", (whole,))
        return [[(x, y) for x, y in g.exterior.coords[:-1]] for g in pieces]

    def _axes(self, level: float) -> list[Item]:
        p, c = self.p, self.p.setup.clamping
        on, held = part_axis_colours(p.setup.work, c.on_centreline, c.held_axis)
        top = max(self.face, self.face - level * self.scale) + 6
        low = self.face - p.thickness * self.scale - 4
        items: list[Item] = []
        for x, name, colour in ((0.0, f"{c.on_centreline} spindle", on), (p.offset, c.held_axis, held)):
            at = SECTION_MIDDLE_MM + x * self.scale
            items.append(polyline(((at, low), (at, top)), colour=colour, line=LineType.CENTRE))
            anchor = "end" if x == 0 else "start"
            word = Text(Layer.FRAME, (at + (1 if x == 0 else -1), top + 1.2), name, 2.5, anchor=anchor, colour=colour)
            items.append(word._replace(bold=True))
        letter = section_letter(p.setup)
        items.append(frame_text(152, 176.5, f"{letter}–{letter}", FIGURE_HEIGHT_MM, bold=True))
        return [*items, frame_text(162, 176.5, scale_text(self.scale), BODY_TEXT_HEIGHT_MM)]

    def _sizes(self, level: float) -> list[Item]:
        """Thickness, depth or height, and the reference reach."""
        p = self.p
        right = SECTION_MIDDLE_MM + p.radius * self.scale
        low = self.face - p.thickness * self.scale
        items: list[Item] = []
        for y in (self.face, low):
            items.append(polyline(((right + 0.8, y), (right + 8.5, y))))
        items += dimension((right + 7.0, low), (right + 7.0, self.face))
        items += on_white((right + 7.0, (low + self.face) / 2), number(p.thickness), FIGURE_HEIGHT_MM, bold=True)
        left = SECTION_MIDDLE_MM - p.radius * self.scale
        edge = self.put(p.offset - p.size / 2, level)
        for x, y in ((left, self.face), edge):
            items.append(polyline(((min(x, left) - 0.8, y), (left - 8.5, y)), colour=GREY))
        if edge[0] > left:
            items.append(polyline((edge, (left - 8.5, edge[1])), MARK_WIDTH_MM, GREY))
        a, b = sorted((self.face, edge[1]))
        items += dimension((left - 7.0, a), (left - 7.0, b))
        text = number(p.depth)
        x, y = left - 8.6, (a + b) / 2
        items += [
            frame_text(x, y + 2.2, f"+{number(p.values.depth_over)}", BODY_TEXT_HEIGHT_MM, "end"),
            frame_text(x, y - 1.6, "0", BODY_TEXT_HEIGHT_MM, "end"),
        ]
        x -= text_width("+0.05", BODY_TEXT_HEIGHT_MM) + 1.6
        items.append(frame_text(x, y - FIGURE_HEIGHT_MM / 2, text, FIGURE_HEIGHT_MM, "end", bold=True))
        y = low - 7.5
        far = SECTION_MIDDLE_MM + (p.offset + p.size / 2) * self.scale
        items += dimension((SECTION_MIDDLE_MM, y), (far, y))
        reach = f"({number(p.offset + p.held / 2)})"
        if far - SECTION_MIDDLE_MM > 24:
            items += on_white(((SECTION_MIDDLE_MM + far) / 2, y), reach, FIGURE_HEIGHT_MM, bold=True)
        else:
            items.append(frame_text(far + 7.0, y - FIGURE_HEIGHT_MM / 2, reach, FIGURE_HEIGHT_MM, bold=True))
        for x in (SECTION_MIDDLE_MM, far):
            items.append(polyline(((x, low - 0.8), (x, y - 1.5))))
        return items
