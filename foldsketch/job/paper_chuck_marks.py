"""What is printed on the disc of a paper chuck: jaws where they truly are, the part's outline, axes."""

from __future__ import annotations

from collections.abc import Iterable
from math import cos, hypot, pi, sin

import numpy as np
import shapely

from foldsketch.base.arrays import Array, Point
from foldsketch.base.lettering import text_width
from foldsketch.base.units import format_number
from foldsketch.job.paper_held import jaws_or_stops, to_disc
from foldsketch.net.model import Mark
from foldsketch.setup.model import JawPlace, SetUp

LARGE_DISC_MM = 45.0
"""From this radius on a disc has large letters, mm."""

WORD_LAND_MM = 0.8
"""Between words and what is beside them, mm."""


def jaw_direction(s: SetUp, j: JawPlace) -> float:
    """A jaw's direction in the disc's frame, radians; the same way round as the plan numbers them."""
    t = j.angle - jaws_or_stops(s)[0].angle
    return t if s.clamping.from_end == "+z" else -t


class DiscLabels:
    """Words on a disc, each at the first of its places that is free."""

    def __init__(self, room: shapely.Geometry, taken: Iterable[shapely.Geometry]) -> None:
        self.room = room.buffer(-1.0)
        self.taken = list(taken)
        self.marks: list[Mark] = []

    def put(self, text: str, size: float, places: Iterable[Array], axis: str = "") -> bool:
        """Print a word centred on one of the places; whether there was room."""
        w, h = text_width(text, size) / 2, size / 2
        for x, y in places:
            box = shapely.box(x - w, y - h, x + w, y + h).buffer(WORD_LAND_MM, join_style="mitre")
            if self.room.contains(box) and not any(box.intersects(t) for t in self.taken):
                self.taken.append(box)
                self.marks.append(Mark("text", 0, axis, (float(x), float(y)), text, size))
                return True
        return False


def disc_marks(
    s: SetUp, scale: float, held: Array, flaps: dict[int, Array], radius: float, pricks: list[Point], wide: float
) -> tuple[Mark, ...]:
    """All marks. held: outline of the part; flaps: of the jaws; pricks: for the cone; wide: of a jaw; mm on paper."""
    c = s.clamping
    loop = [(float(x), float(y)) for x, y in (*held, held[0])]
    windows = shapely.union_all([shapely.Polygon(f) for f in flaps.values()]) if flaps else shapely.Polygon()
    outline = shapely.LineString(loop).difference(windows.buffer(0.6))
    axes = [(c.on_centreline, np.zeros(2), 7.0)]
    if c.offset:
        axes.append((c.held_axis, to_disc(s, scale, np.array([s.held_at]))[0], 5.0))
    taken = [windows, outline, *(shapely.Point(p).buffer(1.0) for p in pricks)]
    taken += [shapely.Point(at).buffer(reach if name == c.held_axis else 2.0) for name, at, reach in axes]
    labels = DiscLabels(shapely.Point(0, 0).buffer(radius, quad_segs=32), taken)
    marks = [
        Mark("outline", 0, c.held_axis, (0.0, 0.0), paths=line_paths(outline)),
        Mark("pin", 0, "", (0.0, 0.0), dots=tuple((x, y, 0.4) for x, y in pricks)),
        *(cross_mark((float(at[0]), float(at[1])), name, reach) for name, at, reach in axes),
    ]
    feet = []
    for j in s.jaws:
        t = jaw_direction(s, j)
        u, v = np.array((cos(t), sin(t))), np.array((-sin(t), cos(t)))
        crease = flaps.get(j.number)
        r = hypot(*crease[:2].mean(axis=0)) if crease is not None else j.from_centre * scale
        half = float(np.linalg.norm(crease[0] - crease[1])) / 2 if crease is not None else wide / 2
        foot = _footprint(u, v, r, half, radius, crease is None)
        marks.append(Mark("outline", 0, "", (0.0, 0.0), paths=line_paths(foot)))
        feet.append(foot.convex_hull)
        out = [r + d for d in (6.0, 4.5, 3.2, 8.0)]
        labels.put(str(j.number), 3.5, [u * d + v * a for d in out for a in (0.0, -half / 2, half / 2)])
        beside = [
            u * d + v * a for d in out for a in (half * 0.6, -half * 0.6, half + 5, -half - 5, half + 7, -half - 7)
        ]
        labels.put(format_number(j.from_centre, 1), 2.5, beside)
    large = 7.0 if radius >= LARGE_DISC_MM else 3.5
    turns = [k * pi / 12 + pi / 4 for k in range(24)]
    around = [np.array((cos(t), sin(t))) * (radius - large * f) for f in (0.9, 1.4, 2.0) for t in turns]
    labels.put(c.on_centreline, large, around, c.on_centreline)
    # A number on a jaw would be read as that jaw's.
    clear = [p for p in around if all(f.distance(shapely.Point(p)) > large for f in feet)]
    labels.put(f"set-up {s.number}", 3.5, clear) or labels.put(str(s.number), large, clear)
    if c.offset:
        at = axes[1][1]
        near = [
            at + np.array(d) for d in ((0, 7.5), (0, -7.5), (7.5, 0), (-7.5, 0), (6, 6), (-6, 6), (6, -6), (-6, -6))
        ]
        labels.put(c.held_axis, 3.5, near, c.held_axis)
    return (*marks, *labels.marks)


def _footprint(u: Array, v: Array, r: float, half: float, radius: float, whole: bool) -> shapely.Geometry:
    """A jaw behind its crease, without the crease itself unless whole."""
    foot = shapely.Polygon([u * r + v * half, u * r - v * half, u * 2 * radius - v * half, u * 2 * radius + v * half])
    outline = foot.intersection(shapely.Point(0, 0).buffer(radius - 1, quad_segs=32)).exterior
    crease = shapely.LineString([u * r + v * half, u * r - v * half])
    return outline if whole else outline.difference(crease.buffer(0.3, cap_style="flat"))


def line_paths(shape: shapely.Geometry) -> tuple[tuple[Point, ...], ...]:
    """The lines of a geometry as paths."""
    lines = [g for g in getattr(shape, "geoms", (shape,)) if not g.is_empty]
    return tuple(tuple((float(x), float(y)) for x, y in line.coords) for line in lines)


def cross_mark(at: Point, axis: str, reach: float) -> Mark:
    """An axis cross, reach mm each way."""
    x, y = at
    paths = (((x - reach, y), (x + reach, y)), ((x, y - reach), (x, y + reach)))
    return Mark("centre", 0, axis, at, paths=paths)
