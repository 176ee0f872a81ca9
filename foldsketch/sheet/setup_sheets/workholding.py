"""Jaws, chuck or fixture in a view of a set-up, and how the set-up is viewed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, sin

from shapely import Polygon

from foldsketch.base.drawing import WHITE, Colour, Item, Layer, Point, Stroke
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp
from foldsketch.sheet.setup_sheets.drafting import hatch

WIDE_LINE_WIDTH_MM, NARROW_LINE_WIDTH_MM = 0.5, 0.25
"""Line widths, mm [ISO 128: two widths in the ratio 2 to 1]."""

SWEEP_FILL: Colour = (0.88, 0.88, 0.88)
JAW_FILL: Colour = (0.95, 0.95, 0.95)
TURNED_FILL: Colour = (0.788, 0.847, 0.910)
TURNED_LINE_WIDTH_MM = 0.7
"""Blue tint and wide outline of what a set-up turns: grey 213 on a copy."""

PACKING_FILL: Colour = (0.55, 0.55, 0.55)

ViewToPage = Callable[[float, float], Point]
"""Places (z, level), or a point of the part, on the page."""

CHUCK_DEPTH_MM = 14.0
"""Depth in mm, part scale, of the piece of chuck that is drawn behind the jaws."""


@dataclass(frozen=True, slots=True)
class ViewFrame:
    """How a set-up is looked at: up_angle: the direction in the part, radians, that points up the page.

    z_sign: +1 when the part's z runs to the right; centreline: its place in the part.
    """

    up_angle: float
    z_sign: float
    centreline: Point

    def level(self, x: float, y: float) -> float:
        """Height above the centreline of a point of the part."""
        return (x - self.centreline[0]) * cos(self.up_angle) + (y - self.centreline[1]) * sin(self.up_angle)


def view_frame(s: SetUp) -> ViewFrame:
    """The frame of a set-up: the chuck of the main spindle on the left, that of the sub-spindle on the right.

    The offset points up.
    """
    c = s.clamping
    left = c.spindle == "main"
    right = 1.0 if (c.from_end == "+z") == left else -1.0
    return ViewFrame(s.angle, right, c.at)


FIXTURES = ("offset_fixture", "face_plate")
"""Ways without jaws on the held surface."""

JAW_DRAWN_SHARE = 0.6
"""Of a jaw's height that is drawn."""


def farthest_jaw_level(s: SetUp, machine: Machine) -> float:
    """Farthest level of jaw or fixture from the centreline, mm."""
    if s.clamping.way in FIXTURES or s.held_inside:
        return s.swing / 2
    height = machine.spindle(s.clamping.spindle).jaw_height * JAW_DRAWN_SHARE
    return max((j.from_centre for j in s.jaws), default=s.held_diameter / 2 + s.clamping.offset) + height


def draw_workholding(s: SetUp, machine: Machine, frame: ViewFrame, put: ViewToPage) -> list[Item]:
    """Jaws and a piece of the chuck, or the face of a fixture."""
    c = s.clamping
    middle, radius = frame.level(*s.held_at), s.held_diameter / 2
    spindle = machine.spindle(c.spindle)
    near, far = (c.grip_range[1], c.grip_range[0] - 3) if c.from_end == "+z" else (c.grip_range[0], c.grip_range[1] + 3)
    ends = [z_extent(s.work, f) for f in s.work.features if not f.cut]
    back = min(e[0] for e in ends) if c.from_end == "+z" else max(e[1] for e in ends)
    sign = -1.0 if c.from_end == "+z" else 1.0
    items: list[Item] = []

    def block(z0: float, z1: float, l0: float, l1: float, fill: Colour = JAW_FILL, hatched: bool = True) -> None:
        corners = (put(z0, l0), put(z1, l0), put(z1, l1), put(z0, l1))
        items.append(Stroke(Layer.MARK, corners, closed=True, width=NARROW_LINE_WIDTH_MM, fill=fill))
        if hatched and abs(z1 - z0) > 0 and abs(l1 - l0) > 0:
            items.extend(hatch(Polygon(corners)))

    if c.way in FIXTURES:
        block(back, back + sign * CHUCK_DEPTH_MM, -s.swing / 2, s.swing / 2)
        if s.held_inside:
            block(near, back, middle - radius, middle + radius)
        return items
    height = spindle.jaw_height * JAW_DRAWN_SHARE
    start = back if sign * (back - far) > 0 else far
    body = start + sign * CHUCK_DEPTH_MM
    if s.held_inside:
        block(near, start, middle, middle + radius)
        block(near, start, middle - radius, middle)
        block(start, body, -(radius + c.offset + height), radius + c.offset + height)
        return items
    if c.way == "fed_bar":
        block(far, back, middle - radius, middle + radius, WHITE, hatched=False)
    # Above the centreline the jaw on the offset's side, below it the opposite one, or two of three seen from the side.
    edge = farthest_jaw_level(s, machine)
    top = next((j for j in s.jaws if abs(j.angle) < 1e-9), None)
    upper = top.from_centre if top else middle + radius
    block(near, start, upper + (top.packing if top else 0.0), edge)
    if top is not None and top.packing:
        block(near, start, upper, upper + top.packing, PACKING_FILL, hatched=False)
    opposite = next((j.from_centre for j in s.jaws if abs(j.angle - pi) < 1e-9), None)
    lower = opposite if opposite is not None else radius - middle
    block(near, start, -edge, -lower)
    block(start, body, -edge, edge)
    return items
