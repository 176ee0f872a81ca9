"""Jaws in the end view of a set-up: hatched, numbered, each with the distance at which it stands."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, hypot, sin
from typing import NamedTuple

from shapely import Polygon

from foldsketch.base.drawing import WHITE, Circle, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import JawPlace, SetUp
from foldsketch.setup.plan.set_up_text import length_text
from foldsketch.sheet.page.line_widths import THIN_LINE_WIDTH_MM
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM
from foldsketch.sheet.setup_sheets.drafting import BOLD_WIDTH, hatch, on_white
from foldsketch.sheet.setup_sheets.workholding import JAW_FILL, NARROW_LINE_WIDTH_MM, PACKING_FILL

LEAST_JAW_MM, JAW_FIGURE_HEIGHT_MM = 7.5, 3.5
"""Least length of a jaw as drawn, and capital height of its figure, mm on paper."""

NUMBER_DISC_MM = 2.6
"""Radius of the white disc under a jaw's number, mm."""

BORED_POCKET_SHARE = 0.12
"""Of the held diameter by which bored jaws reach around it, as drawn."""


class DrawnJaw(NamedTuple):
    """A jaw on the page about the chuck's centre, mm on paper.

    inner, outer: its ends; face: where its steel begins, behind any packing; half: of its width; along: its direction.
    """

    place: JawPlace
    inner: float
    face: float
    outer: float
    half: float
    along: Point

    def corners(self, start: float, end: float) -> tuple[Point, ...]:
        """The corners of a stretch of the jaw."""
        (x, y), w = self.along, self.half
        return tuple((r * x - v * y, r * y + v * x) for r, v in ((start, -w), (end, -w), (end, w), (start, w)))


def drawn_jaws(s: SetUp, machine: Machine, scale: float) -> Iterator[DrawnJaw]:
    """The jaws of a set-up as the end view has them; none for a fixture."""
    c = s.clamping
    spindle = machine.spindle(c.spindle)
    bored = c.way in ("bored_jaws", "soft_jaws")
    wide = spindle.soft_jaw_width if bored else spindle.jaw_width
    half = (wide if c.way == "bored_jaws" else min(wide, s.held_diameter)) / 2 * scale
    mirror = 1.0 if c.from_end == "+z" else -1.0
    for j in s.jaws:
        pocket = s.held_diameter * BORED_POCKET_SHARE if bored else 0.0
        face = (j.from_centre + j.packing) * scale
        # A jaw is broken off where the swing ends, or soon behind its face.
        length = max(LEAST_JAW_MM, min(spindle.jaw_height * scale, s.widest_circle / 2 * scale - face))
        along = (-mirror * sin(j.angle), cos(j.angle))
        yield DrawnJaw(j, (j.from_centre - pocket) * scale, face, face + length, half, along)


def draw_jaw(jaw: DrawnJaw, centre: Point) -> list[Item]:
    """A jaw and its packing, before the work is drawn over them."""
    cx, cy = centre

    def outline(start: float, end: float) -> tuple[Point, ...]:
        return tuple((cx + x, cy + y) for x, y in jaw.corners(start, end))

    inner = jaw.face if jaw.place.packing else jaw.inner
    body = outline(inner, jaw.outer)
    items: list[Item] = [
        Stroke(Layer.MARK, body, closed=True, width=0.35, fill=JAW_FILL),
        *hatch(Polygon(body)),
    ]
    if jaw.place.packing:
        box = outline(jaw.inner, jaw.face)
        items.append(Stroke(Layer.MARK, box, closed=True, width=NARROW_LINE_WIDTH_MM, fill=PACKING_FILL))
    return items


def draw_hidden_edges(jaw: DrawnJaw, centre: Point) -> Stroke:
    """The jaw's outline, dashed, to be drawn over the work in front of it."""
    corners = tuple((centre[0] + x, centre[1] + y) for x, y in jaw.corners(jaw.inner, jaw.outer))
    return Stroke(Layer.MARK, corners, closed=True, width=THIN_LINE_WIDTH_MM, line=LineType.DASHED)


def draw_jaw_figures(jaw: DrawnJaw, centre: Point, units: str, figure: bool) -> tuple[list[Item], list[Text]]:
    """The number on a white disc; beside the jaw how far from the chuck's centre it stands, if asked for."""
    (dx, dy), middle = jaw.along, jaw.outer - LEAST_JAW_MM / 2
    x, y = centre[0] + dx * middle, centre[1] + dy * middle
    number = Text(Layer.MARK, (x, y - BODY_TEXT_HEIGHT_MM / 2), str(jaw.place.number), 2.5, anchor="middle", bold=True)
    items: list[Item] = [Circle(Layer.MARK, (x, y), NUMBER_DISC_MM, width=NARROW_LINE_WIDTH_MM, fill=WHITE), number]
    if not figure:
        return items, [number]
    words = length_text(jaw.place.from_centre, units, 1)
    if jaw.place.packing:
        words += ", packed"
    nx, ny = (dy, -dx) if (dy, dx) > (0.0, 0.0) or dy < 0 else (-dy, dx)
    if ny > 0.3:  # below a jaw that lies level, to the right of one that stands
        nx, ny = -nx, -ny
    w, h = text_width(words, JAW_FIGURE_HEIGHT_MM) * BOLD_WIDTH, JAW_FIGURE_HEIGHT_MM
    away = jaw.half + 1.5 + abs(nx) * w / 2 + abs(ny) * h / 2
    away /= hypot(nx, ny) or 1.0
    at = (x + nx * away, y + ny * away - h / 2)
    ground, _ = on_white((x + nx * away, y + ny * away), words, JAW_FIGURE_HEIGHT_MM, bold=True)
    words_beside = Text(Layer.MARK, at, words, JAW_FIGURE_HEIGHT_MM, anchor="middle", bold=True)
    return [*items, ground, words_beside], [number, words_beside]
