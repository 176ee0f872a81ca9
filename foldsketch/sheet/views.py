"""Views of a set-up: the part as held, from the side and from the worked end, with jaws, centreline and sweep.

Line types after ISO 128: wide for visible edges, narrow dashed for hidden ones, long-dashed dotted for axes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin

from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Item, Layer, LineType, Point, Stroke, Words
from foldsketch.base.lettering import width
from foldsketch.part.model import Cone, Feature, Part, Ring
from foldsketch.part.section import Arc, Region, Segment, section
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp
from foldsketch.setup.sweep import extent, profile

WIDE, NARROW = 0.5, 0.25
"""Line widths, mm [ISO 128: two widths in the ratio 2 to 1]."""

SHADE: Colour = (0.88, 0.88, 0.88)
TURNED: Colour = (0.74, 0.74, 0.74)
JAW: Colour = (0.95, 0.95, 0.95)
Put = Callable[[float, float], Point]
"""Places (z, level), or a point of the part, on the page."""

CHUCK = 14.0
"""Depth in mm, part scale, of the piece of chuck that is drawn behind the jaws."""


@dataclass(frozen=True, slots=True)
class Frame:
    """How a set-up is looked at: up: the direction in the part, radians, that points up the page; right: +1 when the
    part's z runs to the right; at: the centreline in the part."""

    up: float
    right: float
    at: Point

    def level(self, x: float, y: float) -> float:
        """Height above the centreline of a point of the part."""
        return (x - self.at[0]) * cos(self.up) + (y - self.at[1]) * sin(self.up)


def frame_of(s: SetUp) -> Frame:
    """The frame of a set-up: the chuck of the main spindle on the left, that of the sub-spindle on the right; the
    offset points up."""
    c = s.clamping
    left = c.spindle == "main"
    right = 1.0 if (c.from_end == "+z") == left else -1.0
    return Frame(s.angle, right, c.at)


def band(region: Region, frame: Frame) -> tuple[float, float]:
    """Lowest and highest level of a region above the centreline."""
    found: list[float] = []
    for e in region.edges:
        if isinstance(e, Segment):
            found += [frame.level(*e.a), frame.level(*e.b)]
            continue
        middle = frame.level(*e.centre)
        for t in (e.start, e.start + e.sweep):
            found.append(middle + e.radius * cos(t - frame.up))
        for t in (frame.up, frame.up + pi):
            if (t - e.start) % (2 * pi) <= e.sweep + 1e-12:
                found.append(middle + e.radius * cos(t - frame.up))
    return min(found), max(found)


def outline(part: Part, f: Feature, frame: Frame) -> list[Point]:
    """A feature from the side as (z, level) corners; empty for one that cannot be cut level."""
    low, high = extent(part, f)
    if f.cut:  # a cut that runs past the faces is shown as far as there is material
        ends = [extent(part, g) for g in part.features if not g.cut]
        low, high = max(low, min(e[0] for e in ends)), min(high, max(e[1] for e in ends))
        if high <= low:
            return []
    step = (high - low) * 1e-6
    upright = part.axis(f.axis).along_z
    levels = [low + step, high - step] if upright else [low + (high - low) * (k + 0.5) / 16 for k in range(16)]
    bands = [(z, band(r, frame)) for z in levels if (r := section(part, f, z)) is not None]
    if not bands:
        return []
    if upright and not isinstance(f.shape, Cone):
        b = bands[0][1]
        return [(low, b[0]), (high, b[0]), (high, b[1]), (low, b[1])]
    return [(z, b[0]) for z, b in bands] + [(z, b[1]) for z, b in reversed(bands)]


@dataclass(frozen=True, slots=True)
class Box:
    """Room on the page for a view: lower left corner and size, mm."""

    x: float
    y: float
    width: float
    height: float

    @property
    def middle(self) -> Point:
        """The middle of the room."""
        return (self.x + self.width / 2, self.y + self.height / 2)


def side_size(part: Part, s: SetUp, machine: Machine) -> tuple[float, float, float, float]:
    """What the side view takes, mm of the part: lowest and highest z, lowest and highest level."""
    c = s.clamping
    ends = [extent(part, f) for f in part.features if not f.cut]
    low, high = min(e[0] for e in ends), max(e[1] for e in ends)
    if c.from_end == "+z":
        low = min(low, c.held[0]) - CHUCK - 2
    else:
        high = max(high, c.held[1]) + CHUCK + 2
    reach = max(s.swing / 2, jaw_edge(part, s, machine)[1])
    return low, high, -reach, reach


def jaw_edge(part: Part, s: SetUp, machine: Machine) -> tuple[float, float]:
    """Radius of the held surface, and farthest level of jaw or fixture from the centreline."""
    c = s.clamping
    held = next(f for f in part.features if f.name == c.held_on)
    if c.way == "offset fixture":
        return held.radius, s.swing / 2
    return held.radius, held.radius + c.offset + machine.spindle(c.spindle).jaw_height * 0.6


def side_view(part: Part, s: SetUp, machine: Machine, box: Box, scale: float, letters: float = 3.5) -> list[Item]:
    """The part as held, from the side."""
    frame = frame_of(s)
    low, high, bottom, top = side_size(part, s, machine)
    cx, cy = box.middle
    # The free end has letters and figures beside it.
    cx += -8.0 if s.clamping.spindle == "main" else 8.0

    def put(z: float, level: float) -> Point:
        return (cx + frame.right * (z - (low + high) / 2) * scale, cy + (level - (bottom + top) / 2) * scale)

    items: list[Item] = []
    # The space that the part sweeps, shaded.
    for z0, z1, r in profile(s.sweep):
        corners = (put(z0, -r), put(z1, -r), put(z1, r), put(z0, r))
        items.append(Stroke(Layer.GLUE, corners, closed=True, colour=None, fill=SHADE))
    items += _holder(part, s, machine, frame, put)
    shapes = [(f, outline(part, f, frame)) for f in part.features]
    solid = sorted((p for p in shapes if p[1] and not p[0].cut), key=lambda p: _depth(part, p[0], frame))
    for f, corners_ in solid:
        fill = TURNED if f.name in s.features else WHITE
        items.append(Stroke(Layer.CUT, tuple(put(*p) for p in corners_), closed=True, width=WIDE, fill=fill))
    for f, corners_ in shapes:
        if f.cut and corners_ and not isinstance(f.shape, Ring):
            pen = WIDE if f.name in s.features else NARROW
            items.append(
                Stroke(Layer.MARK, tuple(put(*p) for p in corners_), closed=True, width=pen, line=LineType.DASHED)
            )
    items += _outer_profile(s, put)
    items += _axes_side(part, s, frame, put, low, high, letters)
    return items


def _depth(part: Part, f: Feature, frame: Frame) -> float:
    """How near to the viewer a feature reaches, for painting the far ones first."""
    low, high = extent(part, f)
    region = section(part, f, (low + high) / 2)
    # The page's right times its up points to the viewer.
    across = Frame(frame.up + frame.right * pi / 2, frame.right, frame.at)
    return band(region, across)[1] if region is not None else 0.0


def _outer_profile(s: SetUp, put: Put) -> list[Item]:
    """The edge of the swept space: no fixed tool may pass it."""
    items: list[Item] = []
    for side in (1.0, -1.0):
        line: list[Point] = []
        for z0, z1, r in profile(s.sweep):
            line += [put(z0, side * r), put(z1, side * r)]
        if line:
            items.append(Stroke(Layer.MARK, tuple(line), width=NARROW, line=LineType.PHANTOM))
    return items


def _holder(part: Part, s: SetUp, machine: Machine, frame: Frame, put: Put) -> list[Item]:
    """Jaws and a piece of the chuck, or the face of a fixture."""
    c = s.clamping
    held = next(f for f in part.features if f.name == c.held_on)
    axis = part.axis(c.held_axis)
    middle = frame.level(axis.point[0], axis.point[1])
    spindle = machine.spindle(c.spindle)
    near, far = (c.held[1], c.held[0] - 3) if c.from_end == "+z" else (c.held[0], c.held[1] + 3)
    ends = [extent(part, f) for f in part.features if not f.cut]
    back = min(e[0] for e in ends) if c.from_end == "+z" else max(e[1] for e in ends)
    sign = -1.0 if c.from_end == "+z" else 1.0
    items: list[Item] = []

    def block(z0: float, z1: float, l0: float, l1: float) -> None:
        corners = (put(z0, l0), put(z1, l0), put(z1, l1), put(z0, l1))
        items.append(Stroke(Layer.CUT, corners, closed=True, width=NARROW, fill=JAW))
        if abs(z1 - z0) > 0 and abs(l1 - l0) > 0:
            items.extend(_hatched(corners))

    if c.way == "offset fixture":
        r = s.swing / 2
        block(back, back + sign * CHUCK, -r, r)
        if held.cut:
            half = held.radius
            block(near, back, middle - half, middle + half)
        return items
    height = spindle.jaw_height * 0.6
    start = back if sign * (back - far) > 0 else far
    body = start + sign * CHUCK
    if held.cut:
        block(near, start, middle, middle + held.radius)
        block(near, start, middle - held.radius, middle)
    else:
        block(near, start, middle + held.radius, middle + held.radius + height)
        block(near, start, middle - held.radius - height, middle - held.radius)
    edge = held.radius + c.offset + height
    block(start, body, -edge, edge)
    return items


def _hatched(corners: Sequence[Point]) -> list[Item]:
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


def _axes_side(part: Part, s: SetUp, frame: Frame, put: Put, low: float, high: float, letters: float) -> list[Item]:
    """The centreline, the held axis where it is another one, and the offset between them with its figure."""
    c = s.clamping
    items: list[Item] = []
    left, right = sorted((put(low, 0.0), put(high, 0.0)))
    main = c.spindle == "main"
    # Beyond the free end: the letter of each axis, and the arrow with its figure.
    sign, end = (1.0, right) if main else (-1.0, left)
    back = left if main else right
    out = end[0] + sign * (12 if c.offset > 1e-6 else 6)
    items.append(Stroke(Layer.MARK, ((back[0] - sign * 4, back[1]), (out, end[1])), width=NARROW, line=LineType.CENTRE))
    anchor = "start" if main else "end"
    middle = -letters / 2
    level = end[1]
    if c.offset > 1e-6:
        axis = part.axis(c.held_axis)
        level = put(low, frame.level(axis.point[0], axis.point[1]))[1]
    close = 0 < end[1] - level < 2.8 * letters
    upper = end[1] + (0.5 if close else middle)
    items.append(Words(Layer.MARK, (out + sign * 1.5, upper), c.on_centreline, letters, anchor=anchor, bold=True))
    if c.offset > 1e-6:
        far = (back[0] - sign * 4, level), (out, level)
        items.append(Stroke(Layer.MARK, far, width=NARROW, line=LineType.CENTRE))
        lower = level - letters - 0.5 if close else level + middle
        items.append(Words(Layer.MARK, (out + sign * 1.5, lower), c.held_axis, letters, anchor=anchor))
        x = end[0] + sign * 8.0
        items += arrow((x, level), (x, end[1]))
        aside = out + sign * (3.0 + 1.2 * letters) if close else x + sign * 5.5
        figure = (aside, (level + end[1]) / 2 + middle * 0.8)
        items.append(Words(Layer.MARK, figure, f"{c.offset:.2f}", letters * 0.8, anchor=anchor))
    return items


def lettered(at: Point, text: str, size: float, bold: bool = False) -> list[Item]:
    """A letter on a white ground of its own, so that lines under it do not cross it."""
    w = width(text, size) / 2 + 0.5
    x, y = at
    box = ((x - w, y - 0.5), (x + w, y - 0.5), (x + w, y + size + 0.5), (x - w, y + size + 0.5))
    return [
        Stroke(Layer.MARK, box, closed=True, colour=None, fill=WHITE),
        Words(Layer.MARK, at, text, size, anchor="middle", bold=bold),
    ]


def arrow(tail: Point, tip: Point, width: float = 0.35) -> list[Item]:
    """A line with a filled head at its tip."""
    length = hypot(tip[0] - tail[0], tip[1] - tail[1])
    if length < 0.2:
        return []
    along = atan2(tip[1] - tail[1], tip[0] - tail[0])
    head = min(3.0, length * 0.5)
    barbs = [(tip[0] + head * cos(along + pi + t), tip[1] + head * sin(along + pi + t)) for t in (0.22, -0.22)]
    return [
        Stroke(Layer.MARK, (tail, tip), width=width),
        Stroke(Layer.MARK, (barbs[0], tip, barbs[1]), closed=True, width=0.13, fill=BLACK),
    ]


def end_view(part: Part, s: SetUp, machine: Machine, box: Box, scale: float, letters: float = 3.5) -> list[Item]:
    """The part as seen from the worked end, with jaws around the held feature and the swing circle."""
    c = s.clamping
    frame = frame_of(s)
    cx, cy = box.middle
    mirror = 1.0 if c.from_end == "+z" else -1.0

    def put(x: float, y: float) -> Point:
        u = (x - c.at[0]) * cos(frame.up) + (y - c.at[1]) * sin(frame.up)
        v = (x - c.at[0]) * sin(frame.up) - (y - c.at[1]) * cos(frame.up)
        return (cx + mirror * v * scale, cy + u * scale)

    items: list[Item] = [
        Circle(Layer.GLUE, (cx, cy), s.swing / 2 * scale, colour=None, fill=SHADE),
        Circle(Layer.MARK, (cx, cy), s.swing / 2 * scale, width=NARROW, line=LineType.PHANTOM),
    ]
    items += _jaws_end(part, s, machine, put, scale)
    order = sorted(
        part.features,
        key=lambda f: extent(part, f)[1] if c.from_end == "+z" else -extent(part, f)[0],
    )
    for f in order:
        low, high = extent(part, f)
        step = (high - low) * 1e-6
        region = section(part, f, high - step if c.from_end == "+z" else low + step)
        if region is None or not part.axis(f.axis).along_z or (f.cut and isinstance(f.shape, Ring)):
            continue
        fill = WHITE if f.cut or f.name not in s.features else TURNED
        items += _shape(region, put, scale, WIDE, fill)
    reach = s.swing / 2 * scale + 4
    items += [
        Stroke(Layer.MARK, ((cx - reach, cy), (cx + reach, cy)), width=NARROW, line=LineType.CENTRE),
        Stroke(Layer.MARK, ((cx, cy - reach), (cx, cy + reach)), width=NARROW, line=LineType.CENTRE),
        *lettered((cx + letters, cy + 1.4), c.on_centreline, letters, bold=True),
    ]
    if c.offset > 1e-6:
        held = put(*part.axis(c.held_axis).point[:2])
        items += arrow(held, (cx, cy))
        items += [
            Stroke(Layer.MARK, ((held[0] - 3, held[1]), (held[0] + 3, held[1])), width=NARROW),
            *lettered((held[0] + letters, held[1] - letters - 1.4), c.held_axis, letters),
        ]
    return items


def _shape(region: Region, put: Put, scale: float, width: float, fill: Colour) -> list[Item]:
    """A region as one closed line, or a circle."""
    if len(region.edges) == 1 and isinstance(region.edges[0], Arc):
        e = region.edges[0]
        items: list[Item] = [Circle(Layer.CUT, put(*e.centre), e.radius * scale, width=width, fill=fill)]
    else:
        points: list[Point] = []
        for edge in region.edges:
            if isinstance(edge, Segment):
                points.append(edge.a)
            else:
                n = max(4, round(edge.sweep / 0.1))
                points += [
                    (
                        edge.centre[0] + edge.radius * cos(edge.start + edge.sweep * k / n),
                        edge.centre[1] + edge.radius * sin(edge.start + edge.sweep * k / n),
                    )
                    for k in range(n)
                ]
        items = [Stroke(Layer.CUT, tuple(put(*p) for p in points), closed=True, width=width, fill=fill)]
    for hole in region.holes:
        items += _shape(hole, put, scale, width, WHITE)
    return items


def _jaws_end(part: Part, s: SetUp, machine: Machine, put: Put, scale: float) -> list[Item]:
    """Jaws from the end: three or four boxes around the held feature; none for a fixture."""
    c = s.clamping
    if c.way == "offset fixture" or c.way == "between centres":
        return []
    held = next(f for f in part.features if f.name == c.held_on)
    axis = part.axis(c.held_axis)
    spindle = machine.spindle(c.spindle)
    count = 4 if c.way == "four-jaw" else 3
    # One jaw stands where the packing goes: on the side away from the offset's direction of travel.
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
        items.append(Stroke(Layer.CUT, corners, closed=True, width=NARROW, fill=JAW))
    return items
