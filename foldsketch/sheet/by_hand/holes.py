"""Holes: bores along the datum are drawn as circles on the faces where they open, and not cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot

from foldsketch.base.findings import Finding
from foldsketch.base.points import Point
from foldsketch.part.details import axis_lines
from foldsketch.part.model import Cone, Cylinder, Feature, Part
from foldsketch.part.model import Ring as Sleeve
from foldsketch.sheet.by_hand.bodies import SAME_LEVEL_MM, in_plan
from foldsketch.sheet.by_hand.model import Body, Contact, End, HandBody, Placing, Ring
from foldsketch.sheet.by_hand.rounding import spot_on, to_half
from foldsketch.sheet.messages import BY_HAND_CROSSED


def round_cuts(part: Part, drawn: Sequence[Feature]) -> tuple[list[Feature], list[Finding]]:
    """The bores along the datum, and what is left out of the others."""
    bores = [_bore(f, f.shape) for f in part.features if not f.cut and isinstance(f.shape, Sleeve)]
    cuts = [*(f for f in (*part.features, *drawn) if f.cut), *bores]
    along = [f for f in cuts if part.axis(f.axis).is_parallel_to(part.datum)]
    crossed = [BY_HAND_CROSSED.at(f"feature '{f.name}'", axis=part.datum.name) for f in cuts if f not in along]
    return along, crossed


def _bore(f: Feature, ring: Sleeve) -> Feature:
    """The bore of a ring, under the ring's name."""
    return replace(f, shape=Cylinder(ring.bore), cut=True)


def add_hole(
    part: Part,
    f: Feature,
    scale: float,
    bodies: Sequence[Body],
    contacts: Sequence[Contact],
    order: Sequence[Placing],
    made: list[HandBody],
) -> bool:
    """Draw a hole on the faces that it opens in; whether there is one."""
    if not isinstance(f.shape, Cylinder | Cone):
        return False
    at = in_plan(part.datum, part.axis(f.axis).point, scale)
    line = axis_lines(part)[f.axis]
    low, high = (v * scale for v in part.extent(f, part.datum))
    since = next((k for k, g in enumerate(part.features) if g is f), len(part.features))
    shown = False
    for k, step in enumerate(order):
        b, h = bodies[step.body], made[k]
        ends = tuple(
            e
            for e in h.squares
            if b.index < since
            and low - SAME_LEVEL_MM <= (b.high if e == "top" else b.low) <= high + SAME_LEVEL_MM
            and _is_open(bodies, contacts, step.body, e, at, f.radius * scale)
        )
        if ends:
            spot = next((m for m in (h.spot, *h.marks) if m.axis == line), None) or spot_on("", b, h.spot, at)
            away = hypot(at[0] - b.centre[0], at[1] - b.centre[1])
            ring = Ring(spot, max(0.5, to_half(2 * f.radius * scale)), ends, hole=True, distance=away)
            made[k] = replace(h, rings=(*h.rings, ring))
            shown = True
    return shown


def _is_open(bodies: Sequence[Body], contacts: Sequence[Contact], k: int, end: End, at: Point, radius: float) -> bool:
    """Whether a circle lies on the end of a body and not all under what stands there."""
    b = bodies[k]
    if not _circle_in(b, at, radius):
        return False
    there = [c.upper for c in contacts if c.lower == k] if end == "top" else [c.lower for c in contacts if c.upper == k]
    return not any(_circle_in(bodies[j], at, radius) for j in there)


def _circle_in(b: Body, at: Point, radius: float) -> bool:
    x, y = at
    (x0, y0), (x1, y1) = b.low_corner, b.high_corner
    inside = min(x - x0, x1 - x, y - y0, y1 - y) >= radius - SAME_LEVEL_MM
    away = hypot(x - b.centre[0], y - b.centre[1])
    return inside and (b.sides == 4 or away + radius <= (x1 - x0) / 2 + SAME_LEVEL_MM)
