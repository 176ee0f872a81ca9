"""A set-up from the end that is machined: the part with the jaws around it, and its swing."""

from __future__ import annotations

from math import cos, sin

from foldsketch.base.drawing import WHITE, Circle, Colour, Item, Layer, LineType, Point, Stroke
from foldsketch.part.mass.edges import Arc, Segment
from foldsketch.part.mass.region import Region
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Ring
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp
from foldsketch.sheet.page.page_text import PageRectangle
from foldsketch.sheet.page.symbols import arrow, draw_letter_on_white, part_axis_colours
from foldsketch.sheet.setup_sheets.workholding import (
    NARROW_LINE_WIDTH_MM,
    SWEEP_FILL,
    TURNED_FILL,
    WIDE_LINE_WIDTH_MM,
    ViewToPage,
    draw_jaws_end_view,
    view_frame,
)


def draw_end_view(s: SetUp, machine: Machine, box: PageRectangle, scale: float, letters: float = 3.5) -> list[Item]:
    """The work as seen from the worked end, with jaws around the held surface and the swing circle."""
    part = s.work
    c = s.clamping
    frame = view_frame(s)
    cx, cy = box.middle
    mirror = 1.0 if c.from_end == "+z" else -1.0

    def put(x: float, y: float) -> Point:
        u = (x - c.at[0]) * cos(frame.up_angle) + (y - c.at[1]) * sin(frame.up_angle)
        v = (x - c.at[0]) * sin(frame.up_angle) - (y - c.at[1]) * cos(frame.up_angle)
        return (cx + mirror * v * scale, cy + u * scale)

    items: list[Item] = [
        Circle(Layer.MARK, (cx, cy), s.swing / 2 * scale, colour=None, fill=SWEEP_FILL),
        Circle(Layer.MARK, (cx, cy), s.swing / 2 * scale, width=NARROW_LINE_WIDTH_MM, line=LineType.PHANTOM),
    ]
    items += draw_jaws_end_view(s, machine, put, scale)
    order = sorted(
        part.features,
        key=lambda f: z_extent(part, f)[1] if c.from_end == "+z" else -z_extent(part, f)[0],
    )
    for f in order:
        low, high = z_extent(part, f)
        step = (high - low) * 1e-6
        region = section_at_height(part, f, high - step if c.from_end == "+z" else low + step)
        if region is None or not part.axis(f.axis).along_z or (f.cut and isinstance(f.shape, Ring)):
            continue
        fill = WHITE if f.cut or f.name not in s.features else TURNED_FILL
        items += draw_region(region, put, scale, WIDE_LINE_WIDTH_MM, fill)
    items += draw_jaws_end_view(s, machine, put, scale, hidden=True)
    reach = s.swing / 2 * scale + 4
    on, other = part_axis_colours(part, c.on_centreline, c.held_axis)
    cross = ((cx - reach, cy), (cx + reach, cy)), ((cx, cy - reach), (cx, cy + reach))
    items += [
        *(Stroke(Layer.MARK, p, width=NARROW_LINE_WIDTH_MM, line=LineType.CENTRE, colour=on) for p in cross),
        *draw_letter_on_white((cx + letters, cy + 1.4), c.on_centreline, letters, bold=True, colour=on),
    ]
    if c.offset > 1e-6:
        held = put(*s.held_at)
        across = (held[0] - 3, held[1]), (held[0] + 3, held[1])
        items += arrow(held, (cx, cy))
        items += [
            Stroke(Layer.MARK, across, width=NARROW_LINE_WIDTH_MM, colour=other),
            *draw_letter_on_white((held[0] + letters, held[1] - letters - 1.4), c.held_axis, letters, colour=other),
        ]
    return items


def draw_region(region: Region, put: ViewToPage, scale: float, width: float, fill: Colour) -> list[Item]:
    """A region as one closed line, or a circle."""
    if len(region.edges) == 1 and isinstance(region.edges[0], Arc):
        e = region.edges[0]
        items: list[Item] = [Circle(Layer.MARK, put(*e.centre), e.radius * scale, width=width, fill=fill)]
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
        items = [Stroke(Layer.MARK, tuple(put(*p) for p in points), closed=True, width=width, fill=fill)]
    for hole in region.holes:
        items += draw_region(hole, put, scale, width, WHITE)
    return items
