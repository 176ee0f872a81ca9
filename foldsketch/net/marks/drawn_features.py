"""What is drawn and not built: bores and pads as circles, chamfers, grooves, ribs as lines; true circles on ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import cos, dist, hypot, pi, sin

from foldsketch.base.lettering import text_width
from foldsketch.base.points import Point
from foldsketch.geometry.polygon_loops import PolygonLoop, distance_to_loop, point_in_polygon
from foldsketch.net.marks.drawn_labels import label_drawn
from foldsketch.net.marks.drawn_slots import SAME_PLACE_MM, slot_lines
from foldsketch.net.marks.panel_view import PanelView, ScaledAxis, intersect_panel_plane, scale_axes
from foldsketch.net.model import DrawnFeature, Mark, MarkKind, PaperLine
from foldsketch.part.details import axis_lines
from foldsketch.part.model import Cone, Feature, Part, Plate, PrismShape, Ring
from foldsketch.part.reduction import ReducedPart
from foldsketch.solid.faceting.facet import FacetedPart

ARC_POINTS = 180
"""Points of a circle of which only a part lies on a panel."""

WORDS_GAP_MM = 0.4
"""A circle ends so far from the number of an edge, mm."""

HOLE_CROSS_SHARE = 0.55
"""Rays of the cross in a hole, as a share of its radius: it has no letter, so no axis cross."""


def draw_features(
    faceted: FacetedPart,
    views: Sequence[PanelView],
    reduced: ReducedPart,
    covered: Sequence[Sequence[PolygonLoop]],
    scale: float,
) -> list[list[DrawnFeature]]:
    """Mark what is drawn on every panel; returns it panel by panel.

    reduced: what is built and drawn, part mm; covered: for every panel the loops that another block will hide.
    """
    part = faceted.part
    lines = {x.name: x for x in scale_axes(faceted, scale, {f.axis for f in reduced.drawn})}
    same = axis_lines(part)
    order = {name: k for k, name in enumerate(reduced.names)}
    lettered = {f.axis for f in part.features}
    features = {f.name: f for f in part.features}
    found = []
    named: set[tuple[str, str]] = set()  # lines on the walls of one feature have their name once
    for s, hidden in zip(views, covered, strict=True):
        feature = features.get(s.panel.feature)
        own: list[DrawnFeature] = []
        if feature is not None:
            own += _true_circle(s, faceted, feature, lines[feature.axis], scale, hidden)
        for f in reduced.drawn if feature is not None else ():
            if f.cut and order[f.name] < order[s.panel.feature]:
                continue
            coaxial = feature is not None and same[f.axis] == same[feature.axis]
            if isinstance(f.shape, Plate):
                own += _slot(s, f, part, lines[f.axis], scale, hidden)
                continue
            own += _circles(s, f, lines[f.axis], scale, hidden, coaxial)
            own += _lines(s, f, lines[f.axis], scale, hidden, reduced) if coaxial else ()
        for d in own:
            _mark(s, d, d.axis if d.axis in lettered else "")
        label_drawn(s, [d for d in own if (d.feature, s.panel.feature) not in named], reduced.drawn, part.units)
        if any(m.kind == "drawn" and m.text for m in s.marks):
            named |= {(d.feature, s.panel.feature) for d in own if d.kind == "line"}
        found.append(own)
    return found


def _true_circle(
    s: PanelView,
    faceted: FacetedPart,
    f: Feature,
    line: ScaledAxis,
    scale: float,
    hidden: Sequence[PolygonLoop],
) -> Iterator[DrawnFeature]:
    """The true circle of a faceted diameter on its end, where it lies on the face."""
    prism = faceted.prisms_by_name[f.name]
    if s.panel.kind != "end" or f.cut or not prism.sides or prism.rolled or isinstance(f.shape, PrismShape):
        return
    centre, height = _piercing(s, line, scale)
    if centre is None:
        return
    radius = _radius_at(f, height) * scale
    if radius > 0 and point_in_polygon(s.loops[0], centre) and distance_to_loop(centre, s.loops[0]) >= radius - 1e-6:
        yield DrawnFeature(f.name, f.axis, s.panel.id, "circle", centre, radius, None, _is_covered(centre, hidden))


def _circles(
    s: PanelView, f: Feature, line: ScaledAxis, scale: float, hidden: Sequence[PolygonLoop], coaxial: bool
) -> Iterator[DrawnFeature]:
    """The circle on a face square to its axis: of a bore or chamfer that opens there, of a pad that stands there."""
    if isinstance(f.shape, Ring):
        return
    centre, height = _piercing(s, line, scale)
    if centre is None:
        return
    # A bore opens here if it goes on into the material behind the panel; a pad stands here on its foot.
    inward = -1.0 if float(line.direction @ s.normal) > 0 else 1.0
    near = SAME_PLACE_MM / scale
    ahead = f.end - height if inward > 0 else height - f.start
    behind = height - f.start if inward > 0 else f.end - height
    opens = (f.cut or coaxial) and ahead > near and behind >= -near
    stands = not f.cut and not coaxial and abs(ahead) <= near
    if not opens and not stands:
        return
    radius = _radius_at(f, height) * scale
    if radius > 0 and _overlaps(s, centre, radius):
        yield DrawnFeature(f.name, f.axis, s.panel.id, "circle", centre, radius, None, _is_covered(centre, hidden))


def _lines(
    s: PanelView, f: Feature, line: ScaledAxis, scale: float, hidden: Sequence[PolygonLoop], reduced: ReducedPart
) -> Iterator[DrawnFeature]:
    """Where a groove or chamfer begins and ends on a wall; not where it goes on as another one that is drawn."""
    if s.panel.kind == "end" or not isinstance(f.shape, Ring | Cone):
        return
    along = line.direction @ s.panel.to_space[:, :2]
    if hypot(*along.tolist()) < 0.5:
        return
    base = float((s.panel.origin - line.point) @ line.direction)
    others = [g for g in reduced.drawn if g is not f and g.axis == f.axis and isinstance(g.shape, Ring | Cone)]
    joints = {h for g in others for h in (g.start, g.end)}
    for height in {f.start, f.end} - joints:
        for ends in _level_lines(s.loops[0], (float(along[0]), float(along[1])), height * scale - base):
            middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
            yield DrawnFeature(f.name, f.axis, s.panel.id, "line", middle, 0.0, ends, _is_covered(middle, hidden))


def _slot(
    s: PanelView, f: Feature, part: Part, line: ScaledAxis, scale: float, hidden: Sequence[PolygonLoop]
) -> Iterator[DrawnFeature]:
    """The edges of a keyway where it opens, of a rib where it stands."""
    for a, b in slot_lines(s, f, part.axis(f.axis), line, scale):
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        yield DrawnFeature(f.name, f.axis, s.panel.id, "line", middle, 0.0, (a, b), _is_covered(middle, hidden))


def _piercing(s: PanelView, line: ScaledAxis, scale: float) -> tuple[Point | None, float]:
    """Where an axis goes square through the plane of a panel, on its paper, and how far along the axis, part mm."""
    if abs(abs(float(line.direction @ s.normal)) - 1) > 1e-9:
        return None, 0.0
    centre = intersect_panel_plane(s, line)
    return centre, float((s.panel.origin - line.point) @ line.direction) / scale


def _radius_at(f: Feature, height: float) -> float:
    """Radius of a feature at a height along its axis, mm."""
    if isinstance(f.shape, Cone):
        share = min(max((height - f.start) / f.length, 0.0), 1.0)
        return (f.shape.start_diameter * (1 - share) + f.shape.end_diameter * share) / 2
    return f.radius


def _level_lines(loop: PolygonLoop, along: Point, level: float) -> Iterator[PaperLine]:
    """The runs of a straight line inside a loop: points p with along . p = level; none along an edge."""
    heights = [along[0] * x + along[1] * y - level for x, y in loop]
    if min(heights) > -SAME_PLACE_MM or max(heights) < SAME_PLACE_MM:
        return
    ends: list[Point] = []
    for (a, u), (b, v) in pairwise([*zip(loop, heights, strict=True), (loop[0], heights[0])]):
        if (u > 0) != (v > 0):
            k = u / (u - v)
            ends.append((a[0] + (b[0] - a[0]) * k, a[1] + (b[1] - a[1]) * k))
    ends.sort(key=lambda p: p[1] * along[0] - p[0] * along[1])
    yield from ((a, b) for a, b in zip(ends[::2], ends[1::2], strict=True) if dist(a, b) > SAME_PLACE_MM)


def _is_covered(p: Point, hidden: Sequence[PolygonLoop]) -> bool:
    return any(point_in_polygon(loop, p) for loop in hidden)


def _rim(centre: Point, radius: float) -> list[Point]:
    turns = [2 * pi * k / ARC_POINTS for k in range(ARC_POINTS)]
    return [(centre[0] + radius * cos(t), centre[1] + radius * sin(t)) for t in turns]


def _overlaps(s: PanelView, centre: Point, radius: float) -> bool:
    """Whether a circle is on a panel: its middle or a part of its rim."""
    return s.contains(centre) or any(s.contains(p) for p in _rim(centre, radius)[::8])


def _mark(s: PanelView, d: DrawnFeature, axis: str) -> None:
    """Draw a feature on its panel and keep words off it. axis: its letter, none for drilled holes."""
    kind: MarkKind = "hidden" if d.hidden else "drawn"
    if d.line is not None:
        s.marks.append(Mark(kind, s.panel.id, axis, d.centre, paths=(d.line,)))
        s.free_space.add_obstacle(d.line)
        return
    rim = _rim(d.centre, d.radius)
    paths: list[tuple[Point, ...]] = []
    circles: tuple[tuple[float, float, float], ...] = ()
    whole = s.contains(d.centre) and all(distance_to_loop(d.centre, h) >= d.radius - 1e-6 for h in s.loops)
    worded = [m for m in s.marks if m.text]
    clear = [p if not any(_is_on_words(m, p) for m in worded) and (whole or s.contains(p)) else None for p in rim]
    if all(clear):
        circles = ((*d.centre, d.radius),)
    else:
        paths += _runs(clear)
    if not axis and s.contains(d.centre):
        (x, y), r = d.centre, d.radius * HOLE_CROSS_SHARE
        paths += [((x - r, y), (x + r, y)), ((x, y - r), (x, y + r))]
    s.marks.append(Mark(kind, s.panel.id, axis, d.centre, paths=tuple(paths), circles=circles))
    for path in paths:
        s.free_space.add_obstacle(path)
    if circles:
        s.free_space.add_obstacle([*rim[::6], rim[0]])


def _is_on_words(m: Mark, p: Point) -> bool:
    """Whether a point is on the number of an edge."""
    reach = max(text_width(m.text, m.size), m.size) / 2 + WORDS_GAP_MM
    return bool(m.text) and hypot(p[0] - m.at[0], p[1] - m.at[1]) < reach


def _runs(rim: Sequence[Point | None]) -> list[tuple[Point, ...]]:
    """The runs of points in a closed row, apart where one is missing."""
    if None not in rim:
        return []
    first = rim.index(None)
    runs: list[list[Point]] = [[]]
    for p in (*rim[first:], *rim[:first]):
        if p is not None:
            runs[-1].append(p)
        elif runs[-1]:
            runs.append([])
    return [tuple(run) for run in runs if len(run) > 1]
