"""What a page has to know about how the work is held: chuck and jaws cut open, held and turned surfaces, the steps."""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, sin
from typing import Any, NamedTuple

import numpy as np
import shapely

from foldsketch.base.arrays import Array
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.model import Model
from foldsketch.net.model import Panel
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp
from foldsketch.setup.plan.workholding_shapes import HeldShape, workholding_shapes
from foldsketch.web.holding_steps import holding_steps
from foldsketch.web.rounded import rounded_values

OPEN_JAW_MM = 5.0
"""How far an open jaw is shown off the work, paper mm."""

CURVE_ERROR = 0.006
"""How far the sides that stand for a round may stray from it, of the shape's largest size."""

MAX_ROOM_PER_SWING = 1.5
"""Radius that is kept in sight around the centreline, in radii of what turns: of a larger chuck the rim is cut off."""

LEVEL = 1e-6
"""A face whose normal is this far from the part's z is not level."""


class CutPlane(NamedTuple):
    """The plane in which the workholding is cut open: it has the centreline and a direction that is up in the picture.

    near: towards the half that is taken away, which is the viewer's.
    """

    up: tuple[float, float]
    near: tuple[float, float]


def holding_facts(s: SetUp, before: SetUp | None, lie: int, made: Model, machine: Machine | None) -> dict[str, Any]:
    """How a set-up is held. Lengths are paper mm of the part's frame; angles of the view are degrees.

    before: the set-up that hands the part over, None where it is put in by hand; lie: 1 where the part's +z points
    right. Without a machine there is no chuck. The chucks of a hand-over are cut in one plane.
    """
    k, plane = made.nets.scale, _cut_plane(s, lie)
    now, was = _chuck(s, machine, plane, k), _chuck(before, machine, plane, k) if before else None
    painted = [
        {"piece": n, "panel": panel.id, "kind": kind, "loops": loops}
        for n, piece in enumerate(made.nets.pieces)
        for panel in piece.panels
        for kind, loops in _painted(panel, s, k)
    ]
    return {
        "facing": round(degrees(atan2(plane.near[0], -plane.near[1])), 3),
        "painted": painted,
        "blank": _blank(s, made, k),
        "now": now,
        "was": was,
        "steps": holding_steps(s, before, k),
        "room": round(max(k * s.swing / 2, min(now["radius"], MAX_ROOM_PER_SWING * k * s.swing / 2)), 3),
    }


def _cut_plane(s: SetUp, lie: int) -> CutPlane:
    """Up is where the sub-spindle goes at a hand-over off centre (+X), else the offset, else jaw 1."""
    turn = s.orientation if s.shift else s.angle
    if not s.shift and not s.clamping.offset and s.jaws:
        turn += s.jaws[0].angle
    u = (cos(turn), sin(turn))
    return CutPlane(u, (-lie * u[1], lie * u[0]))


def _chuck(s: SetUp, machine: Machine | None, plane: CutPlane, k: float) -> dict[str, Any]:
    """Faces of chuck and jaws, how far each jaw opens, how far out and between which heights they are. k: scale."""
    try:
        shapes = workholding_shapes(s, machine) if machine else ()
    except FoldsketchError:  # no plate can be made for it; a finding of the plan says so
        shapes = ()
    heights = [z * k for h in shapes for z in h.z]
    radius = max((float(np.hypot(*(np.array(h.outline) - s.clamping.at).T).max()) for h in shapes), default=0.0)
    opens = {
        str(j.number): rounded_values(OPEN_JAW_MM * np.array((cos(s.angle + j.angle), sin(s.angle + j.angle))))
        for j in s.jaws
    }
    return {
        "faces": [f for h in shapes for f in _faces(h, s, plane, k)],
        "opens": opens,
        "radius": round(radius * k, 3),
        "z": [round(min(heights), 3), round(max(heights), 3)] if heights else None,
    }


def _faces(h: HeldShape, s: SetUp, plane: CutPlane, k: float) -> list[dict[str, Any]]:
    """The faces of one shape, cut in two by the plane through the centreline; each with its motion from the paper."""
    outline = shapely.Polygon(np.array(h.outline) * k)
    x, y = (v * k for v in s.clamping.at)
    far = 4 * hypot(*np.ptp(np.array(h.outline), axis=0)) * k + 1.0
    outline = outline.simplify(CURVE_ERROR * far / 4)
    (ux, uy), (nx, ny) = plane
    found: list[dict[str, Any]] = []
    for near in (False, True):
        side = far if near else -far
        half = [(x + ux * far * a + nx * side * b, y + uy * far * a + ny * side * b) for a, b in _SQUARE]
        kept = shapely.intersection(outline, shapely.Polygon(half))
        for part in getattr(kept, "geoms", (kept,)):
            if isinstance(part, shapely.Polygon) and part.area > LEVEL:
                found += _prism(h, part, (x, y), plane, k, near)
    if h.number and found:
        caps = [f for f in found if "top" in f and f["top"] == (s.clamping.from_end == "+z")]
        cap = max(caps, key=lambda f: shapely.Polygon(np.reshape(f["loop"], (-1, 2))).area)
        at = shapely.Polygon(np.reshape(cap["loop"], (-1, 2))).representative_point()
        cap["word"] = rounded_values((at.x, at.y))
    for f in found:
        f.pop("top", None)
    return found


_SQUARE = ((-1, 0), (1, 0), (1, 1), (-1, 1))


def _prism(
    h: HeldShape, part: shapely.Polygon, at: tuple[float, float], plane: CutPlane, k: float, near: bool
) -> list[dict[str, Any]]:
    low, high = (z * k for z in h.z)
    corners = np.array(shapely.geometry.polygon.orient(part).exterior.coords)
    off = (corners - at) @ np.array(plane.near)
    common: dict[str, Any] = {"what": h.what, "number": h.number, "near": near}
    cap = rounded_values(corners[:-1].ravel(), 2)
    found: list[dict[str, Any]] = []
    for z, top in ((low, False), (high, True)):
        found.append({**common, "loop": cap, "m": rounded_values((1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, z)), "top": top})
    for (x0, y0), (x1, y1), one, other in zip(corners, corners[1:], off, off[1:], strict=False):
        long = hypot(x1 - x0, y1 - y0)
        cut = abs(one) < LEVEL and abs(other) < LEVEL
        if long < LEVEL or (cut and near):  # inside, where both halves are seen
            continue
        u, v = (x1 - x0) / long, (y1 - y0) / long
        motion = rounded_values((u, 0, v, x0, v, 0, -u, y0, 0, 1, 0, low), 5)
        face = {**common, "loop": rounded_values((0, 0, long, 0, long, high - low, 0, high - low), 2), "m": motion}
        found.append(face | ({"cut": True} if cut else {}))
    return found


def _painted(panel: Panel, s: SetUp, k: float) -> list[tuple[str, list[list[float]]]]:
    """What of a panel is held or turned in a set-up: kind and outlines on the panel's paper."""
    c, up = s.clamping, float(panel.to_space[2, 2])
    level = abs(up) > 1 - LEVEL
    end = f"{panel.feature} {'+z' if up > 0 else '-z'}"
    rear = -1.0 if c.from_end == "+z" else 1.0
    found: list[tuple[str, tuple[float, float] | None]] = []
    if panel.feature == c.held_on:
        if not level:
            found.append(("held", c.grip_range))
        elif up * rear > 0 and (s.lies_flat or not s.jaws):
            found.append(("held", None))
    for t in s.cuts:
        if t.surface == (end if level else panel.feature):
            found.append(("turned", t.band))
    shapes = ((kind, _band(panel, band, k)) for kind, band in found)
    return [(kind, loops) for kind, loops in shapes if loops]


def _band(panel: Panel, band: tuple[float, float] | None, k: float) -> list[list[float]]:
    """What of a panel lies between two heights, mm of the part: outlines on its paper."""
    shape = shapely.Polygon(panel.outline, panel.holes)
    if band is not None:
        rise, base = panel.to_space[2, :2], float(panel.origin[2])
        steep = float(np.hypot(*rise))
        if steep < LEVEL:
            return []
        up, along = rise / steep, np.array((-rise[1], rise[0])) / steep
        low, high = ((z * k - base) / steep for z in band)
        far = float(np.abs(panel.outline).max()) * 4 + 1
        strip = [up * z + along * w for z, w in ((low, -far), (high, -far), (high, far), (low, far))]
        shape = shapely.intersection(shape, shapely.Polygon(strip))
    return [
        rounded_values(np.array(ring.coords)[:-1].ravel(), 2)
        for p in getattr(shape, "geoms", (shape,))
        if isinstance(p, shapely.Polygon) and p.area > LEVEL
        for ring in (p.exterior, *p.interiors)
    ]


def _blank(s: SetUp, made: Model, k: float) -> list[list[float]]:
    """The held surface while it is larger than the finished part, as circles: x, y, z and radius, paper mm."""
    c = s.clamping
    if s.lies_flat or s.held_inside:
        return []
    same = (f for f in made.part.features if f.name == c.held_on and f.is_round)
    if any(abs(2 * (f.radius or 0.0) - s.held_diameter) < 0.01 for f in same):
        return []
    radius = s.held_diameter / 2
    return [rounded_values(np.array((*s.held_at, z, radius)) * k) for z in c.grip_range]


def heights_in_sight(facts: dict[str, Any], low: float, high: float) -> list[float]:
    """The lowest and the highest z that the set-up's picture shows, paper mm. low, high: of the part."""
    ends: Array = np.array([low, high, *(facts["now"]["z"] or ())])
    return rounded_values((ends.min(), ends.max()))
