"""Pictures of a worksheet: the model with empty rings for letters, its end view, and set-ups to be put in order."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import cos, dist, hypot, pi, sin

from foldsketch.base.drawing import WHITE, Circle, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.net.model import Nets
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Part, Ring
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp
from foldsketch.sheet.booklet.joint_views import finished_model_view
from foldsketch.sheet.booklet.scene import PaintedPath, paint_scene
from foldsketch.sheet.lessons.questions import Measure
from foldsketch.sheet.page.page_text import PageRectangle
from foldsketch.sheet.page.symbols import arrow
from foldsketch.sheet.setup_sheets.end_view import draw_region
from foldsketch.sheet.setup_sheets.setup_views import nearest_to_viewer, side_outline, side_view_extent
from foldsketch.sheet.setup_sheets.workholding import TURNED_FILL, draw_workholding, view_frame

RING_MM = 4.0
"""Radius of the ring for a letter, mm."""

CUT_EDGE_MM, THIN_MM, TICK_MM = 0.5, 0.25, 0.7
"""Line widths of visible edges, of thin lines, and of the datum tick, mm."""

TICK_LENGTH_MM, LETTER_MM = 3.2, 3.5
"""Length of the tick, and height of a letter in a ring, mm."""

RING_END_MM, PLAIN_END_MM = 14.0, 6.0
"""Room beside a set-up for the centreline with its ring, and at the other end without, mm."""


def draw_ring(at: Point, letter: str, answered: bool) -> list[Item]:
    """An empty ring for a letter, or with it."""
    items: list[Item] = [Circle(Layer.MARK, at, RING_MM, width=THIN_MM, fill=WHITE)]
    if answered:
        low = (at[0], at[1] - LETTER_MM / 2)
        items.append(Text(Layer.MARK, low, letter, LETTER_MM, anchor="middle", bold=True))
    return items


def draw_ringed_model(nets: Nets, box: PageRectangle, answered: bool) -> list[Item]:
    """The finished model with a ring at the end of every axis; no axis has a colour, which would give it away."""
    view = finished_model_view(nets, {})
    named = [t for t in view.things if isinstance(t, PaintedPath) and t.text]
    rest = [t for t in view.things if not (isinstance(t, PaintedPath) and t.text)]
    ends = [replace(t, text="", rank=(1e6, float(k))) for k, t in enumerate(named)]
    above = 3 * RING_MM
    for _ in range(3):  # rings that are moved up, clear of others, need more space
        inner = PageRectangle(box.x + RING_MM, box.y, box.width - 2 * RING_MM, box.height - above)
        items = paint_scene([*rest, *ends], view.camera, inner)
        rings = _ring_places(items)
        over = max((y + RING_MM for _, (_, y) in rings), default=0.0) - box.y - box.height
        if over <= 0:
            break
        above += over
    # Leaders come in the order in which the axes are named.
    for thing, (end, at) in zip(named, rings, strict=True):
        items.append(Stroke(Layer.MARK, (end, at), width=THIN_MM))
        items += draw_ring(at, thing.text, answered)
    return items


def _ring_places(items: Sequence[Item]) -> list[tuple[Point, Point]]:
    """For every leader in order its end and the centre of its ring, no ring on another."""
    leaders = [i for i in items if isinstance(i, Stroke) and i.line is LineType.CENTRE]
    found: dict[int, tuple[Point, Point]] = {}
    for k in sorted(range(len(leaders)), key=lambda k: leaders[k].points[-1]):
        (x0, y0), (x, y) = leaders[k].points[0], leaders[k].points[-1]
        length = max(hypot(x - x0, y - y0), 1e-9)
        dx, dy = (x - x0) / length, (y - y0) / length
        out = RING_MM
        while any(dist((x + dx * out, y + dy * out), at) < 2 * RING_MM + 1 for _, at in found.values()) and out < 40:
            out += 0.5
        found[k] = ((x, y), (x + dx * out, y + dy * out))
    return [found[k] for k in range(len(leaders))]


def end_view_size(part: Part) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y of the part seen from +z, mm."""
    x: list[float] = []
    y: list[float] = []
    for item in _outlines(part, lambda px, py: (px, py), 1.0):
        if isinstance(item, Circle):
            x += [item.centre[0] - item.radius, item.centre[0] + item.radius]
            y += [item.centre[1] - item.radius, item.centre[1] + item.radius]
        elif isinstance(item, Stroke):
            x += [p[0] for p in item.points]
            y += [p[1] for p in item.points]
    return (min(x), min(y), max(x), max(y)) if x else (0.0, 0.0, 0.0, 0.0)


def draw_model_from_end(
    part: Part, box: PageRectangle, scale: float, tick: float, rows: Sequence[tuple[Measure, float]], at_x: float
) -> list[Item]:
    """The part seen from +z as true circles, with a leader to every row of boxes.

    tick: angle of the datum tick, radians; rows: what is measured, and the level of its box; at_x: where leaders end.
    """
    x0, y0, x1, y1 = end_view_size(part)
    cx, cy = box.middle

    def put(x: float, y: float) -> Point:
        return (cx + (x - (x0 + x1) / 2) * scale, cy + (y - (y0 + y1) / 2) * scale)

    drawn = _outlines(part, put, scale)
    items = list(drawn)
    # What another feature covers is dashed: every outline once more, thin.
    for item in drawn:
        if not isinstance(item, Text):
            items.append(item._replace(width=THIN_MM, line=LineType.DASHED, fill=None))
    axes: Mapping[str, Point] = {a.name: put(*a.point[:2]) for a in part.axes if a.along_z}
    named = tuple(dict.fromkeys(a for m, _ in rows for a in m.axes))
    for name in named:
        items += _centre_cross(axes[name], 6.0)
    reach = max(hypot(p[0] - axes[part.datum.name][0], p[1] - axes[part.datum.name][1]) for p in _corners(drawn))
    a = axes[part.datum.name]
    ends = [(a[0] + r * cos(tick), a[1] + r * sin(tick)) for r in (reach + 1, reach + 1 + TICK_LENGTH_MM)]
    items.append(Stroke(Layer.MARK, tuple(ends), width=TICK_MM))
    taken: list[tuple[Point, Point]] = []
    for m, level in rows:
        elbow = (at_x - 8.0, level)
        items.append(Stroke(Layer.MARK, (elbow, (at_x, level)), width=THIN_MM))
        if m.radius:
            middle, r = axes[m.axes[0]], m.radius * scale
            length = max(dist(elbow, middle), 1e-9)
            tip = (middle[0] + r * (elbow[0] - middle[0]) / length, middle[1] + r * (elbow[1] - middle[1]) / length)
            items += arrow(elbow, tip, THIN_MM)
        else:
            a, b = (axes[name] for name in m.axes)
            n = outward_normal(a, b, [axes[other] for other in named])
            items += _offset(a, b, n, elbow, _corners(drawn), taken)
    return items


def outward_normal(a: Point, b: Point, others: Sequence[Point]) -> Point:
    """Unit vector across the line between two points that points away from other ones; up or right if that is even."""
    x, y = -(b[1] - a[1]), b[0] - a[0]
    length = max(hypot(x, y), 1e-9)
    x, y = x / length, y / length
    beside = round(sum((p[0] - a[0]) * x + (p[1] - a[1]) * y for p in others), 3)
    outward = beside < 0 if beside else (round(y, 6), x) > (0.0, 0.0)
    return (x, y) if outward else (-x, -y)


def _offset(
    a: Point, b: Point, n: Point, elbow: Point, corners: Sequence[Point], taken: list[tuple[Point, Point]]
) -> list[Item]:
    """The offset between two centres as a dimension beyond the view, with a leader from its middle.

    n: unit vector to the side where it goes; taken: ends of the ones before, to which this one's are added.
    """
    out = max((p[0] - a[0]) * n[0] + (p[1] - a[1]) * n[1] for p in corners) + 5.0

    def moved(p: Point, by: float) -> Point:
        return (p[0] + n[0] * by, p[1] + n[1] * by)

    def along(p: Point) -> float:
        return p[0] * n[1] - p[1] * n[0]

    def crowded() -> bool:
        low, high = sorted((along(a), along(b)))
        for c, d in taken:
            other = sorted((along(c), along(d)))
            level = (c[0] - a[0]) * n[0] + (c[1] - a[1]) * n[1]
            if abs(level - out) < 4.0 and low < other[1] - 0.1 and other[0] < high - 0.1:
                return True
        return False

    while crowded():
        out += 5.0
    start, end = moved(a, out), moved(b, out)
    taken.append((start, end))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    return [
        *(Stroke(Layer.MARK, (p, moved(p, out + 1.5)), width=THIN_MM, line=LineType.CENTRE) for p in (a, b)),
        *arrow(start, end, THIN_MM),
        *arrow(end, start, THIN_MM),
        Stroke(Layer.MARK, (elbow, middle), width=THIN_MM),
        Circle(Layer.MARK, middle, 0.6, width=0.0, colour=None, fill=(0.0, 0.0, 0.0)),
    ]


def draw_set_up_picture(s: SetUp, machine: Machine, box: PageRectangle, scale: float, answered: bool) -> list[Item]:
    """The work as held, with a ring for the axis on the centreline; on the answers what is cut is shaded."""
    frame = view_frame(s)
    low, high, bottom, top = side_view_extent(s, machine)
    main = s.clamping.spindle == "main"
    cx, cy = box.middle
    cx += (-1 if main else 1) * (RING_END_MM - PLAIN_END_MM) / 2

    def put(z: float, level: float) -> Point:
        return (cx + frame.z_sign * (z - (low + high) / 2) * scale, cy + (level - (bottom + top) / 2) * scale)

    items = draw_workholding(s, machine, frame, put)
    shapes = [(f, side_outline(s.work, f, frame)) for f in s.work.features]
    solid = [p for p in shapes if p[1] and not p[0].cut]
    for f, corners in sorted(solid, key=lambda p: nearest_to_viewer(s.work, p[0], frame)):
        fill = TURNED_FILL if answered and f.name in s.features else WHITE
        path = tuple(put(*p) for p in corners)
        items.append(Stroke(Layer.MARK, path, closed=True, width=CUT_EDGE_MM, fill=fill))
    for f, corners in shapes:
        if f.cut and corners and not isinstance(f.shape, Ring):
            width = CUT_EDGE_MM if answered and f.name in s.features else THIN_MM
            path = tuple(put(*p) for p in corners)
            items.append(Stroke(Layer.MARK, path, closed=True, width=width, line=LineType.DASHED))
    left, right = sorted((put(low, 0.0), put(high, 0.0)))
    sign, end, back = (1.0, right, left) if main else (-1.0, left, right)
    at = (end[0] + sign * (4 + RING_MM), end[1])
    line = ((back[0] - sign * 3, back[1]), (at[0] - sign * RING_MM, at[1]))
    items.append(Stroke(Layer.MARK, line, width=0.35, line=LineType.CENTRE))
    return items + draw_ring(at, s.clamping.on_centreline, answered)


def set_up_scale(setups: Sequence[SetUp], machine: Machine, width: float, height: float) -> float:
    """One scale for all pictures of set-ups in boxes of a size, mm."""
    found = 1.0
    for s in setups:
        low, high, bottom, top = side_view_extent(s, machine)
        found = min(found, (width - RING_END_MM - PLAIN_END_MM) / (high - low), height / (top - bottom))
    return found


def _outlines(part: Part, put: Callable[[float, float], Point], scale: float) -> list[Item]:
    """Outlines of upright features seen from +z, the highest last."""
    items: list[Item] = []
    for f in sorted(part.features, key=lambda f: z_extent(part, f)[1]):
        low, high = z_extent(part, f)
        if not part.axis(f.axis).along_z or (f.cut and isinstance(f.shape, Ring)):
            continue
        region = section_at_height(part, f, high - (high - low) * 1e-6)
        if region is not None:
            items += draw_region(region, put, scale, THIN_MM if f.cut else CUT_EDGE_MM, WHITE)
    return items


def _corners(items: Sequence[Item]) -> list[Point]:
    found: list[Point] = []
    for i in items:
        if isinstance(i, Circle):
            (x, y), r = i.centre, i.radius
            found += [(x + r * cos(k * pi / 8), y + r * sin(k * pi / 8)) for k in range(16)]
        elif isinstance(i, Stroke):
            found += i.points
    return found


def _centre_cross(at: Point, half: float) -> list[Item]:
    x, y = at
    return [
        Stroke(Layer.MARK, ((x - half, y), (x + half, y)), width=THIN_MM),
        Stroke(Layer.MARK, ((x, y - half), (x, y + half)), width=THIN_MM),
    ]
