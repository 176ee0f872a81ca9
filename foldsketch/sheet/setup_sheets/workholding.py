"""Jaws, chuck or fixture in a view of a set-up, and how the set-up is viewed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from foldsketch.base.drawing import Colour, Item, Layer, Point, Stroke
from foldsketch.part.model import Part
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp

WIDE_LINE_WIDTH_MM, NARROW_LINE_WIDTH_MM = 0.5, 0.25
"""Line widths, mm [ISO 128: two widths in the ratio 2 to 1]."""

SWEEP_FILL: Colour = (0.88, 0.88, 0.88)
JAW_FILL: Colour = (0.95, 0.95, 0.95)
TURNED_FILL: Colour = (0.74, 0.74, 0.74)

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


def held_radius_and_jaw_level(part: Part, s: SetUp, machine: Machine) -> tuple[float, float]:
    """Radius of the held surface, and farthest level of jaw or fixture from the centreline."""
    c = s.clamping
    held = next(f for f in part.features if f.name == c.held_on)
    if c.holding_method == "offset fixture":
        return held.radius, s.swing / 2
    return held.radius, held.radius + c.offset + machine.spindle(c.spindle).jaw_height * 0.6


def draw_workholding(part: Part, s: SetUp, machine: Machine, frame: ViewFrame, put: ViewToPage) -> list[Item]:
    """Jaws and a piece of the chuck, or the face of a fixture."""
    c = s.clamping
    held = next(f for f in part.features if f.name == c.held_on)
    axis = part.axis(c.held_axis)
    middle = frame.level(axis.point[0], axis.point[1])
    spindle = machine.spindle(c.spindle)
    near, far = (c.grip_range[1], c.grip_range[0] - 3) if c.from_end == "+z" else (c.grip_range[0], c.grip_range[1] + 3)
    ends = [z_extent(part, f) for f in part.features if not f.cut]
    back = min(e[0] for e in ends) if c.from_end == "+z" else max(e[1] for e in ends)
    sign = -1.0 if c.from_end == "+z" else 1.0
    items: list[Item] = []

    def block(z0: float, z1: float, l0: float, l1: float) -> None:
        corners = (put(z0, l0), put(z1, l0), put(z1, l1), put(z0, l1))
        items.append(Stroke(Layer.MARK, corners, closed=True, width=NARROW_LINE_WIDTH_MM, fill=JAW_FILL))
        if abs(z1 - z0) > 0 and abs(l1 - l0) > 0:
            items.extend(_hatch_box(corners))

    if c.holding_method == "offset fixture":
        r = s.swing / 2
        block(back, back + sign * CHUCK_DEPTH_MM, -r, r)
        if held.cut:
            half = held.radius
            block(near, back, middle - half, middle + half)
        return items
    height = spindle.jaw_height * 0.6
    start = back if sign * (back - far) > 0 else far
    body = start + sign * CHUCK_DEPTH_MM
    if held.cut:
        block(near, start, middle, middle + held.radius)
        block(near, start, middle - held.radius, middle)
    else:
        block(near, start, middle + held.radius, middle + held.radius + height)
        block(near, start, middle - held.radius - height, middle - held.radius)
    edge = held.radius + c.offset + height
    block(start, body, -edge, edge)
    return items


def _hatch_box(corners: Sequence[Point]) -> list[Item]:
    """Narrow slanted lines over a level box."""
    x0, x1 = min(p[0] for p in corners), max(p[0] for p in corners)
    y0, y1 = min(p[1] for p in corners), max(p[1] for p in corners)
    items: list[Item] = []
    step = 3.0
    k = x0 - (y1 - y0)
    while k < x1:
        a = (max(k, x0), y0 + max(0.0, x0 - k))
        b = (min(k + (y1 - y0), x1), y0 + min(y1 - y0, x1 - k))
        if b[0] - a[0] > 0.2:
            items.append(Stroke(Layer.MARK, (a, b), width=0.13, colour=(0.4, 0.4, 0.4)))
        k += step
    return items


def draw_jaws_end_view(part: Part, s: SetUp, machine: Machine, put: ViewToPage, scale: float) -> list[Item]:
    """Jaws from the end: three or four boxes around the held feature; none for a fixture."""
    c = s.clamping
    if c.holding_method == "offset fixture" or c.holding_method == "between centres":
        return []
    held = next(f for f in part.features if f.name == c.held_on)
    axis = part.axis(c.held_axis)
    spindle = machine.spindle(c.spindle)
    count = 4 if c.holding_method == "four-jaw" else 3
    # One jaw is where the packing goes: on the side away from the offset's direction of travel.
    first = s.angle + pi if c.offset > 1e-6 else s.angle + pi / 2
    half, height = min(spindle.jaw_width / 2, held.radius), spindle.jaw_height * 0.6
    items: list[Item] = []
    for k in range(count):
        t = first + 2 * pi * k / count
        d, n = (cos(t), sin(t)), (-sin(t), cos(t))
        r0, r1 = (held.radius, held.radius + height) if not held.cut else (0.0, held.radius)
        corners = tuple(
            put(axis.point[0] + d[0] * r + n[0] * w, axis.point[1] + d[1] * r + n[1] * w)
            for r, w in ((r0, -half), (r1, -half), (r1, half), (r0, half))
        )
        items.append(Stroke(Layer.MARK, corners, closed=True, width=NARROW_LINE_WIDTH_MM, fill=JAW_FILL))
    return items
