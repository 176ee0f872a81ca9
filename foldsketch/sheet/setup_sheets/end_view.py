"""A set-up from the end that is machined: the part with the jaws around it, its axes, offset, swing and weight."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, sin

from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Item, Layer, LineType, Stroke, Text
from foldsketch.base.drawing import Point as PagePoint
from foldsketch.base.lettering import text_width
from foldsketch.part.mass.edges import Arc, Segment
from foldsketch.part.mass.region import Region
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp
from foldsketch.setup.plan.set_up_text import length_text
from foldsketch.sheet.page.page_text import PageRectangle
from foldsketch.sheet.page.symbols import part_axis_colours
from foldsketch.sheet.setup_sheets.drafting import dimension, on_white, text_box
from foldsketch.sheet.setup_sheets.end_view_jaws import draw_hidden_edges, draw_jaw, draw_jaw_figures, drawn_jaws
from foldsketch.sheet.setup_sheets.end_view_letters import draw_axis_letters
from foldsketch.sheet.setup_sheets.workholding import (
    NARROW_LINE_WIDTH_MM,
    SWEEP_FILL,
    TURNED_FILL,
    TURNED_LINE_WIDTH_MM,
    WIDE_LINE_WIDTH_MM,
    ViewToPage,
)

CROSS_MM, BEYOND_SWING_MM = 4.0, 1.0
"""Arm of a small centre cross, and the centre line beyond the swing, mm on paper."""

FIGURE_MM, LINE_LEAST_MM = 5.0, 13.0
"""Capital height of the offset, and the shortest offset that has its figure in the line, mm."""

SIDEWAYS = 0.7
"""A jaw that points farther to a side than this, as a sine, is in the way of a dimension there."""

WEIGHT_DOT_MM = 2.2


def end_view_extent(s: SetUp, machine: Machine, scale: float) -> tuple[float, float, float, float]:
    """What the end view takes about the centreline, mm on paper: left, right, down, up."""
    reach = s.widest_circle / 2 * scale + BEYOND_SWING_MM
    points = [(reach, reach), (-reach, -reach)]
    for jaw in drawn_jaws(s, machine, scale):
        points += jaw.corners(jaw.inner, jaw.outer + 0.5)
        for text in draw_jaw_figures(jaw, (0.0, 0.0), s.work.units, bool(s.clamping.offset))[1]:
            x0, y0, x1, y1 = text_box(text).bounds
            points += [(x0, y0), (x1, y1)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), max(xs), min(ys), max(ys)


def draw_end_view(s: SetUp, machine: Machine, room: PageRectangle, scale: float) -> list[Item]:
    """The work as seen from the worked end, with jaws around the held surface and the swing circle."""
    part, c = s.work, s.clamping
    left, right, down, up = end_view_extent(s, machine, scale)
    cx, cy = room.middle[0] - (left + right) / 2, room.middle[1] - (down + up) / 2
    mirror = 1.0 if c.from_end == "+z" else -1.0

    def put(x: float, y: float) -> PagePoint:
        u = (x - c.at[0]) * cos(s.angle) + (y - c.at[1]) * sin(s.angle)
        v = (x - c.at[0]) * sin(s.angle) - (y - c.at[1]) * cos(s.angle)
        return (cx + mirror * v * scale, cy + u * scale)

    axes = _lettered_axes(s, machine.tools.drill)
    jaws = list(drawn_jaws(s, machine, scale))
    swing = s.widest_circle / 2 * scale
    items: list[Item] = [
        Circle(Layer.MARK, (cx, cy), swing, colour=None, fill=SWEEP_FILL),
        Circle(Layer.MARK, (cx, cy), swing, width=0.35, line=LineType.PHANTOM),
    ]
    for jaw in jaws:
        items += draw_jaw(jaw, (cx, cy))
    for f in _farthest_first(part, c.from_end):
        items += _draw_feature(s, f, put, scale)
    items += [draw_hidden_edges(jaw, (cx, cy)) for jaw in jaws]
    words: list[Text] = []
    for jaw in jaws:
        drawn, texts = draw_jaw_figures(jaw, (cx, cy), part.units, bool(c.offset))
        items += drawn
        words += texts
    items += _draw_axes(s, axes, put, (cx, cy), swing)
    if c.offset > 1e-6:
        aside = [jaw.face * -jaw.along[0] - FIGURE_MM for jaw in jaws if jaw.along[0] < -SIDEWAYS]
        drawn = _draw_offset(s, (cx, cy), min([swing, *aside]), scale)
        items += drawn
        words += [i for i in drawn if isinstance(i, Text)]
    items += _draw_weights(s, put, room)
    items += draw_axis_letters(s, axes, put, items, words, room)
    return items


def _farthest_first(part: Part, end: str) -> list[Feature]:
    def top(f: Feature) -> float:
        low, high = z_extent(part, f)
        return high if end == "+z" else -low

    return sorted(part.features, key=top)


def _draw_feature(s: SetUp, f: Feature, put: ViewToPage, scale: float) -> list[Item]:
    """What is seen of a feature: wide and tinted in its axis's colour where it is cut here."""
    part = s.work
    low, high = z_extent(part, f)
    step = (high - low) * 1e-6
    region = section_at_height(part, f, high - step if s.clamping.from_end == "+z" else low + step)
    if region is None or not part.axis(f.axis).along_z or (f.cut and isinstance(f.shape, Ring)):
        return []
    cut_here = f.name in s.features
    (colour,) = part_axis_colours(part, f.axis) if cut_here else (BLACK,)
    fill = WHITE if f.cut or not cut_here else TURNED_FILL
    width = TURNED_LINE_WIDTH_MM if cut_here else NARROW_LINE_WIDTH_MM if f.cut else WIDE_LINE_WIDTH_MM
    return draw_region(region, put, scale, width, fill, colour)


def _draw_axes(s: SetUp, axes: Sequence[Axis], put: ViewToPage, centre: PagePoint, swing: float) -> list[Item]:
    """The centreline's cross across the swing, a small one at every other axis along it."""
    part, c = s.work, s.clamping
    items: list[Item] = []
    for axis in axes:
        (colour,) = part_axis_colours(part, axis.name)
        on = axis.name == c.on_centreline
        x, y = centre if on else put(*axis.point[:2])
        arm = swing + BEYOND_SWING_MM if on else CROSS_MM
        for line in (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))):
            items.append(Stroke(Layer.MARK, line, width=NARROW_LINE_WIDTH_MM, line=LineType.CENTRE, colour=colour))
    return items


def _draw_offset(s: SetUp, centre: PagePoint, room: float, scale: float) -> list[Item]:
    """The offset as a dimension left of what is turned, from the held axis up to the centreline. room: there, mm."""
    c = s.clamping
    (cx, cy), rise = centre, c.offset * scale
    turned = {f.name for f in s.work.features if f.axis == c.on_centreline and f.name in s.features}
    own = [w.outer for w in s.sweep if w.feature in turned]
    x = cx - min(max([0.0, *own]) * scale + 8.0, max(room - 4.0, 8.0))
    on, held = part_axis_colours(s.work, c.on_centreline, c.held_axis)
    extension = ((x - 2, cy - rise), (cx, cy - rise))
    words = length_text(c.offset, s.work.units)
    beside = rise < LINE_LEAST_MM
    at = (x - text_width(words, FIGURE_MM) / 2 - 3.0 if beside else x, cy - rise / 2)
    return [
        Stroke(Layer.MARK, extension, width=NARROW_LINE_WIDTH_MM, line=LineType.CENTRE, colour=held),
        *dimension((x, cy - rise), (x, cy), on),
        *on_white(at, words, FIGURE_MM, bold=True, colour=on),
    ]


def _draw_weights(s: SetUp, put: ViewToPage, room: PageRectangle) -> list[Item]:
    """The counterweights of the plan, where they are on the page."""
    items: list[Item] = []
    at = s.clamping.at
    for w in s.weights if s.weighted else ():
        x, y = put(at[0] + w.radius * cos(w.angle), at[1] + w.radius * sin(w.angle))
        if room.x < x < room.x + room.width and room.y < y < room.y + room.height:
            items.append(Circle(Layer.MARK, (x, y), WEIGHT_DOT_MM, width=0.25, fill=BLACK))
    return items


def _lettered_axes(s: SetUp, drill: float) -> list[Axis]:
    """Axes along the spindle, but for those of drilled holes: no set-up turns about them. drill: the largest, mm."""
    c = s.clamping
    own = {c.on_centreline, c.held_axis}
    own |= {
        f.axis for f in s.work.features if not (f.cut and isinstance(f.shape, Cylinder) and f.shape.diameter <= drill)
    }
    return [a for a in s.work.axes if a.along_z and a.name in own]


def draw_region(
    region: Region, put: ViewToPage, scale: float, width: float, fill: Colour, colour: Colour = BLACK
) -> list[Item]:
    """A region as one closed line, or a circle."""
    if len(region.edges) == 1 and isinstance(region.edges[0], Arc):
        e = region.edges[0]
        items: list[Item] = [
            Circle(Layer.MARK, put(*e.centre), e.radius * scale, width=width, fill=fill, colour=colour)
        ]
    else:
        points: list[PagePoint] = []
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
        items = [Stroke(Layer.MARK, tuple(put(*p) for p in points), closed=True, width=width, fill=fill, colour=colour)]
    for hole in region.holes:
        items += draw_region(hole, put, scale, width, WHITE, colour)
    return items
