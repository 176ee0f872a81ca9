"""A set-up from the side: the part as held, with jaws, centreline and sweep.

Line types after ISO 128: wide for visible edges, narrow dashed for hidden ones, long-dashed dotted for axes.
"""

from __future__ import annotations

from math import cos, pi

from foldsketch.base.drawing import BLACK, WHITE, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.part.mass.edges import Segment
from foldsketch.part.mass.region import Region
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Cone, Feature, Part, Ring
from foldsketch.setup.access.sweep import swept_profile, z_extent
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp
from foldsketch.setup.plan.set_up_text import length_text
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, PageRectangle
from foldsketch.sheet.page.symbols import arrow, part_axis_colours
from foldsketch.sheet.setup_sheets.workholding import (
    CHUCK_DEPTH_MM,
    JAW_FILL,
    NARROW_LINE_WIDTH_MM,
    SWEEP_FILL,
    TURNED_FILL,
    TURNED_LINE_WIDTH_MM,
    WIDE_LINE_WIDTH_MM,
    ViewFrame,
    ViewToPage,
    draw_workholding,
    farthest_jaw_level,
    view_frame,
)

CENTRE_SIZE_MM = 4.0
"""Length and width of the point of a centre as drawn, mm on the page."""


def level_range(region: Region, frame: ViewFrame) -> tuple[float, float]:
    """Lowest and highest level of a region above the centreline."""
    found: list[float] = []
    for e in region.edges:
        if isinstance(e, Segment):
            found += [frame.level(*e.a), frame.level(*e.b)]
            continue
        middle = frame.level(*e.centre)
        for t in (e.start, e.start + e.sweep):
            found.append(middle + e.radius * cos(t - frame.up_angle))
        for t in (frame.up_angle, frame.up_angle + pi):
            if (t - e.start) % (2 * pi) <= e.sweep + 1e-12:
                found.append(middle + e.radius * cos(t - frame.up_angle))
    return min(found), max(found)


def side_outline(part: Part, f: Feature, frame: ViewFrame) -> list[Point]:
    """A feature from the side as (z, level) corners; empty for one that cannot be cut level."""
    low, high = z_extent(part, f)
    if f.cut:  # a cut that runs past the faces is shown as far as there is material
        ends = [z_extent(part, g) for g in part.features if not g.cut and _is_around(part, f, g)]
        if not ends:
            return []
        low, high = max(low, min(e[0] for e in ends)), min(high, max(e[1] for e in ends))
        if high <= low:
            return []
    step = (high - low) * 1e-6
    upright = part.axis(f.axis).along_z
    levels = [low + step, high - step] if upright else [low + (high - low) * (k + 0.5) / 16 for k in range(16)]
    bands = [(z, level_range(r, frame)) for z in levels if (r := section_at_height(part, f, z)) is not None]
    if not bands:
        return []
    if upright and not isinstance(f.shape, Cone):
        b = bands[0][1]
        return [(low, b[0]), (high, b[0]), (high, b[1]), (low, b[1])]
    return [(z, b[0]) for z, b in bands] + [(z, b[1]) for z, b in reversed(bands)]


def _is_around(part: Part, cut: Feature, solid: Feature) -> bool:
    """Whether a cut goes through a solid feature: the axis of an upright one runs in it."""
    axis, other = part.axis(cut.axis), part.axis(solid.axis)
    if not (axis.along_z and other.along_z):
        return True
    region = section_at_height(part, solid, sum(z_extent(part, solid)) / 2)
    return region is not None and region.contains(*axis.point[:2])


def side_view_extent(s: SetUp, machine: Machine) -> tuple[float, float, float, float]:
    """What the side view takes, mm of the part: lowest and highest z, lowest and highest level."""
    c = s.clamping
    ends = [z_extent(s.work, f) for f in s.work.features if not f.cut]
    low, high = min(e[0] for e in ends), max(e[1] for e in ends)
    if c.from_end == "+z":
        low = min(low, c.grip_range[0]) - CHUCK_DEPTH_MM - 2
    else:
        high = max(high, c.grip_range[1]) + CHUCK_DEPTH_MM + 2
    reach = max(s.swing / 2, farthest_jaw_level(s, machine))
    return low, high, -reach, reach


def draw_side_view(
    s: SetUp, machine: Machine, box: PageRectangle, scale: float, letters: float = 3.5, sweep: bool = True
) -> list[Item]:
    """The work as held, from the side, as it is when the set-up is done. sweep: with the space that it sweeps."""
    part = s.work
    frame = view_frame(s)
    low, high, bottom, top = side_view_extent(s, machine)
    cx, cy = box.middle
    # The free end has letters and figures beside it.
    aside = 12.0 if s.clamping.offset else 8.0
    cx += -aside if s.clamping.spindle == "main" else aside

    def put(z: float, level: float) -> Point:
        return (cx + frame.z_sign * (z - (low + high) / 2) * scale, cy + (level - (bottom + top) / 2) * scale)

    items: list[Item] = []
    # The space that the part sweeps, shaded.
    for z0, z1, r in swept_profile(s.sweep) if sweep else ():
        corners = (put(z0, -r), put(z1, -r), put(z1, r), put(z0, r))
        items.append(Stroke(Layer.MARK, corners, closed=True, colour=None, fill=SWEEP_FILL))
    items += draw_workholding(s, machine, frame, put)
    shapes = [(f, side_outline(part, f, frame)) for f in part.features]
    solid = sorted((p for p in shapes if p[1] and not p[0].cut), key=lambda p: nearest_to_viewer(part, p[0], frame))
    for f, corners_ in solid:
        fill = TURNED_FILL if f.name in s.features else WHITE
        pen, colour = WIDE_LINE_WIDTH_MM, BLACK
        if f.name in s.features:
            pen, (colour,) = TURNED_LINE_WIDTH_MM, part_axis_colours(part, f.axis)
        line = tuple(put(*p) for p in corners_)
        items.append(Stroke(Layer.MARK, line, closed=True, width=pen, colour=colour, fill=fill))
    for f, corners_ in shapes:
        if f.cut and corners_ and not isinstance(f.shape, Ring):
            (colour,) = part_axis_colours(part, f.axis)
            line, tint = tuple(put(*p) for p in corners_), TURNED_FILL if f.name in s.features else None
            pen = NARROW_LINE_WIDTH_MM
            dashed = Stroke(Layer.MARK, line, closed=True, width=pen, line=LineType.DASHED, colour=colour, fill=tint)
            items.append(dashed)
    items += _draw_centre(s, put, low, high)
    items += _draw_sweep_outline(s, put) if sweep else []
    items += _draw_side_axes(part, s, frame, put, low, high, letters)
    return items


def _draw_centre(s: SetUp, put: ViewToPage, low: float, high: float) -> list[Item]:
    """The tailstock's centre at the free end; at both ends between centres."""
    c = s.clamping
    between = c.way == "between_centres"
    if not c.centre and not between:
        return []
    ends = [z_extent(s.work, f) for f in s.work.features if not f.cut]
    last = {"+z": max(e[1] for e in ends), "-z": min(e[0] for e in ends)}
    middle = (low + high) / 2
    items: list[Item] = []
    for end in ("+z", "-z") if between else (c.from_end,):
        x, y = put(last[end], 0.0)
        out = CENTRE_SIZE_MM if x > put(middle, 0.0)[0] else -CENTRE_SIZE_MM
        corners = ((x, y), (x + out, y + CENTRE_SIZE_MM / 2), (x + out, y - CENTRE_SIZE_MM / 2))
        items.append(Stroke(Layer.MARK, corners, closed=True, width=NARROW_LINE_WIDTH_MM, fill=JAW_FILL))
    return items


def nearest_to_viewer(part: Part, f: Feature, frame: ViewFrame) -> float:
    """How near to the viewer a feature reaches, for painting the far ones first."""
    low, high = z_extent(part, f)
    region = section_at_height(part, f, (low + high) / 2)
    # The page's right times its up points to the viewer.
    across = ViewFrame(frame.up_angle + frame.z_sign * pi / 2, frame.z_sign, frame.centreline)
    return level_range(region, across)[1] if region is not None else 0.0


def _draw_sweep_outline(s: SetUp, put: ViewToPage) -> list[Item]:
    """The edge of the swept space: no fixed tool may pass it."""
    items: list[Item] = []
    for side in (1.0, -1.0):
        line: list[Point] = []
        for z0, z1, r in swept_profile(s.sweep):
            line += [put(z0, side * r), put(z1, side * r)]
        if line:
            items.append(Stroke(Layer.MARK, tuple(line), width=NARROW_LINE_WIDTH_MM, line=LineType.PHANTOM))
    return items


def _draw_side_axes(
    part: Part, s: SetUp, frame: ViewFrame, put: ViewToPage, low: float, high: float, letters: float
) -> list[Item]:
    """The centreline, the held axis where it is another one, and the offset between them with its figure."""
    c = s.clamping
    items: list[Item] = []
    left, right = sorted((put(low, 0.0), put(high, 0.0)))
    main = c.spindle == "main"
    # Beyond the free end: the letter of each axis, and the arrow with its figure.
    sign, end = (1.0, right) if main else (-1.0, left)
    back = left if main else right
    out = end[0] + sign * (12 if c.offset > 1e-6 else 6)
    on, held = part_axis_colours(part, c.on_centreline, c.held_axis)
    centreline = (back[0] - sign * 4, back[1]), (out, end[1])
    items.append(Stroke(Layer.MARK, centreline, width=NARROW_LINE_WIDTH_MM, line=LineType.CENTRE, colour=on))
    anchor = "start" if main else "end"
    middle = -letters / 2
    level = end[1]
    if c.offset > 1e-6:
        axis = part.axis(c.held_axis)
        level = put(low, frame.level(axis.point[0], axis.point[1]))[1]
    close = 0 < end[1] - level < 2.8 * letters
    upper = end[1] + (0.5 if close else middle)
    at = (out + sign * 1.5, upper)
    items.append(Text(Layer.MARK, at, c.on_centreline, letters, anchor=anchor, colour=on, bold=True))
    if c.offset > 1e-6:
        far = (back[0] - sign * 4, level), (out, level)
        items.append(Stroke(Layer.MARK, far, width=NARROW_LINE_WIDTH_MM, line=LineType.CENTRE, colour=held))
        lower = level - letters - 0.5 if close else level + middle
        at = (out + sign * 1.5, lower)
        items.append(Text(Layer.MARK, at, c.held_axis, letters, anchor=anchor, colour=held))
        x = end[0] + sign * 8.0
        items += arrow((x, level), (x, end[1]))
        aside = out + sign * (3.0 + 1.2 * letters) if close else x + sign * 5.5
        figure = (aside, (level + end[1]) / 2 + middle * 0.8)
        size = max(BODY_TEXT_HEIGHT_MM, letters * 0.8)
        items.append(Text(Layer.MARK, figure, length_text(c.offset, part.units), size, anchor=anchor))
    return items
