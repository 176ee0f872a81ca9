"""What holds the work in a set-up, as plain shapes in the part's own frame, for a view that has the part already."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin
from typing import Any

import shapely

from foldsketch.base.points import Point
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp
from foldsketch.setup.plan.fixture_plate import fixture_plate, has_fixture_plate

CHUCK_SHOWN_MM = 14.0
"""Depth of the piece of chuck or plate that is shown, mm: the rest is the maker's."""

SOFT_WAYS = ("soft_jaws", "bored_jaws")
CIRCLE_POINTS = 72


@dataclass(frozen=True, slots=True)
class HeldShape:
    """An upright prism: outline (x, y) anticlockwise and heights along z, mm of the part.

    what: jaw, chuck or plate; number: of a jaw, 0 for others.
    """

    what: str
    number: int
    outline: tuple[Point, ...]
    z: tuple[float, float]


def workholding_shapes(s: SetUp, machine: Machine) -> tuple[HeldShape, ...]:
    """Chuck and jaws of a set-up, or the fixture's plate; () between centres, whose points are not drawn here.

    A jaw ends where the work begins: bored ones have its curve. What holds a bore from inside is left out.
    """
    c = s.clamping
    if c.way == "between_centres":
        return ()
    up = c.from_end == "+z"
    rear = c.grip_range[0] if up else c.grip_range[1]
    ends = [z for f in s.work.features if not f.cut for z in z_extent(s.work, f)]
    face = min([rear, *ends]) if up else max([rear, *ends])
    spindle = machine.spindle(c.spindle)
    back = face - CHUCK_SHOWN_MM if up else face + CHUCK_SHOWN_MM
    jaws = () if s.held_inside else s.jaws
    if not s.jaws:
        # A plate that is not drawn for the toolroom is shown as wide as the work swings.
        plated = has_fixture_plate(s)
        radius = fixture_plate(s.work, machine, s).radius if plated else s.swing / 2
    else:
        radius = spindle.largest / 2
    found = [HeldShape("chuck" if s.jaws else "plate", 0, _circle(c.at, radius), _span(back, face))]
    width = spindle.soft_jaw_width if c.way in SOFT_WAYS else spindle.jaw_width
    work = shapely.Polygon() if s.held_across else shapely.Polygon(_circle(s.held_at, s.held_diameter / 2))
    front = c.grip_range[1] if up else c.grip_range[0]
    for j in jaws:
        t = s.angle + j.angle
        u, v = (cos(t), sin(t)), (-sin(t), cos(t))
        near, far = j.from_centre - (0.0 if s.held_across else width / 2), j.from_centre + spindle.jaw_height
        near = max(near, 0.0)
        corners = ((near, -1), (far, -1), (far, 1), (near, 1))
        bar = [
            (c.at[0] + u[0] * r + v[0] * k * width / 2, c.at[1] + u[1] * r + v[1] * k * width / 2) for r, k in corners
        ]
        piece = shapely.Polygon(bar).difference(work)
        parts = [g for g in getattr(piece, "geoms", (piece,)) if not g.is_empty]
        # What is left on the far side of the work is not the jaw.
        middle = shapely.Point(c.at[0] + u[0] * far, c.at[1] + u[1] * far)
        jaw = min(parts, key=lambda g: g.distance(middle), default=None)
        if jaw is not None:
            outline = shapely.geometry.polygon.orient(jaw).exterior.coords[:-1]
            found.append(HeldShape("jaw", j.number, tuple((x, y) for x, y in outline), _span(face, front)))
    return tuple(found)


def workholding_view(s: SetUp, machine: Machine) -> dict[str, Any]:
    """A set-up's workholding as plain values for JSON: shapes, held and turned surfaces, the centreline.

    mm and radians of the part's frame; `turned` has the band of a surface that is cut in part, else None.
    """
    c = s.clamping
    return {
        "setup": s.number,
        "spindle": c.spindle,
        "centreline": list(c.at),
        "opens": c.from_end,
        "shift": s.shift,
        "orientation": s.orientation,
        "held": {"feature": c.held_on, "axis": c.held_axis, "z": list(c.grip_range), "inside": s.held_inside},
        "turned": [{"surface": t.surface, "how": t.how, "z": list(t.band) if t.band else None} for t in s.cuts],
        "shapes": [
            {"what": h.what, "number": h.number, "outline": [list(q) for q in h.outline], "z": list(h.z)}
            for h in workholding_shapes(s, machine)
        ],
    }


def _circle(at: Point, radius: float) -> tuple[Point, ...]:
    turns = [2 * pi * k / CIRCLE_POINTS for k in range(CIRCLE_POINTS)]
    return tuple((at[0] + radius * cos(t), at[1] + radius * sin(t)) for t in turns)


def _span(a: float, b: float) -> tuple[float, float]:
    return (min(a, b), max(a, b))
