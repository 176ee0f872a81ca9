"""The plan of a model by hand: every size rounded to whole or half millimetres, and what the rounding does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot

from foldsketch.assembly.work_time import DEFAULT_PACE, Pace
from foldsketch.base.findings import Finding
from foldsketch.base.points import Point
from foldsketch.part.model import Cone, Cylinder, Feature, Part
from foldsketch.part.model import Ring as Sleeve
from foldsketch.part.reduction import MAX_SMALL_HOLE_SHARE, axis_lines
from foldsketch.sheet.by_hand.bodies import SAME_LEVEL_MM, find_bodies, in_plan
from foldsketch.sheet.by_hand.contacts import ends_with_square, find_contacts, find_order, point_on_face
from foldsketch.sheet.by_hand.model import (
    Body,
    Contact,
    End,
    HandBody,
    HandPlan,
    Offset,
    Placing,
    Ring,
    Spot,
    Strip,
)
from foldsketch.sheet.messages import BY_HAND_CROSSED, BY_HAND_NO_CIRCLE, BY_HAND_NOTHING

LAP_MM, FLAP_MM = 8.0, 6.0
"""Paper beyond a strip's last fold, and along both of its edges, to be glued [C]."""

FLAP_SHARE = 1 / 3
"""A flap is no deeper than this share of the body's width, so that it does not reach the middle."""

PAPER_EDGE_MM = 10.0
"""So much shorter than the paper's long side a strip is."""

MEASURE_S, CIRCLE_S = 12.0, 10.0
"""To measure and mark a length, and to draw a circle, s [C]."""


def plan_by_hand(
    part: Part, drawn: Sequence[Feature], scale: float, paper_length: float, pace: Pace = DEFAULT_PACE
) -> HandPlan:
    """How a part is made of blank paper.

    drawn: features that the model only draws; scale: paper over part; paper_length: long side of the paper, mm. Raises
    FoldsketchError where nothing can be folded by hand, or what can does not hold together.
    """
    bodies, findings = find_bodies(part, drawn, scale)
    if not bodies:
        raise BY_HAND_NOTHING.error(part.name)
    contacts = find_contacts(bodies)
    order = find_order(part.name, bodies, contacts)
    rank = {p.body: k for k, p in enumerate(order)}
    cuts, crossed = _round_cuts(part, drawn)
    letters = _lettered_axes(part, bodies, cuts)
    centres = {name: in_plan(part.datum, part.axis(name).point, scale) for name in letters}
    made = [_hand_body(bodies, contacts, p.body, centres, paper_length) for p in order]
    holes = {f.name: _add_hole(part, f, scale, bodies, contacts, order, made) for f in cuts}
    unseen = [BY_HAND_NO_CIRCLE.at(f"feature '{name}'") for name, shown in holes.items() if not shown]
    steps = tuple(replace(p, body=rank[p.body], other=None if p.other is None else rank[p.other]) for p in order)
    return HandPlan(
        part.name,
        tuple(a.name for a in part.axes),
        scale,
        tuple(made),
        steps,
        letters[0],
        _offsets(letters, centres, made, steps),
        _minutes(made, steps, pace),
        (*findings, *crossed, *unseen),
    )


def to_half(value: float) -> float:
    """Rounded to half a millimetre, halves away from nought, so that there and back is nought.

    >>> to_half(14.3), to_half(-14.3), to_half(0.25)
    (14.5, -14.5, 0.5)
    """
    return (int(abs(value) * 2 + 0.5) / 2) * (1 if value >= 0 else -1)


def to_whole(value: float) -> float:
    """Rounded to a millimetre, at least one."""
    return float(max(1, int(value + 0.5)))


def _round_cuts(part: Part, drawn: Sequence[Feature]) -> tuple[list[Feature], list[Finding]]:
    """The bores along the datum, and what is left out of the others."""
    bores = [_bore(f, f.shape) for f in part.features if not f.cut and isinstance(f.shape, Sleeve)]
    cuts = [*(f for f in (*part.features, *drawn) if f.cut), *bores]
    along = [f for f in cuts if part.axis(f.axis).is_parallel_to(part.datum)]
    crossed = [BY_HAND_CROSSED.at(f"feature '{f.name}'", axis=part.datum.name) for f in cuts if f not in along]
    return along, crossed


def _bore(f: Feature, ring: Sleeve) -> Feature:
    """The bore of a ring, under the ring's name."""
    return replace(f, shape=Cylinder(ring.bore), cut=True)


def _lettered_axes(part: Part, bodies: Sequence[Body], cuts: Sequence[Feature]) -> list[str]:
    """Axes that get a letter, in the part's order: those of bodies and of all but small holes."""
    lines = axis_lines(part)
    own = {b.axis for b in bodies}
    widest = max((2 * f.radius for f in part.features if not f.cut), default=0.0)
    bored = {lines[f.axis]: 2 * f.radius for f in cuts if isinstance(f.shape, Cylinder | Cone)}
    own |= {line for line, d in bored.items() if d >= MAX_SMALL_HOLE_SHARE * widest}
    if own <= {part.datum.name} and len(bored) == 1:
        own |= set(bored)
    return [a.name for a in part.axes if a.name in own]


def _hand_body(
    bodies: Sequence[Body], contacts: Sequence[Contact], k: int, centres: dict[str, Point], paper_length: float
) -> HandBody:
    """One body with its marks and the circles of what stands on it."""
    b = bodies[k]
    width, depth = (to_whole(q - p) for p, q in zip(b.low_corner, b.high_corner, strict=True))
    left, up = (to_half(c - p) for p, c in zip(b.low_corner, b.centre, strict=True))
    spot = Spot(b.axis, left, up) if b.box else Spot(b.axis, width / 2, depth / 2)
    squares = ends_with_square(bodies, contacts, k)
    marks = [
        _spot(name, b, spot, at)
        for name, at in centres.items()
        if name != b.axis and squares and point_on_face(b, *at)
    ]
    feet: dict[tuple[str, float], list[End]] = {}
    for c in contacts:
        if c.foot is not None and c.foot != k and k in (c.lower, c.upper):
            foot = bodies[c.foot]
            size = to_whole(foot.high_corner[0] - foot.low_corner[0])
            feet.setdefault((foot.axis, size), []).append("top" if c.lower == k else "under")
    known = {m.axis: m for m in (spot, *marks)}
    rings = [
        Ring(known.get(axis) or _spot(axis, b, spot, centres[axis]), size, tuple(ends), hole=False)
        for (axis, size), ends in feet.items()
    ]
    strip = _strip(b, width, depth, paper_length)
    return HandBody(b.name, width, depth, b.sides, b.kind, strip, squares, spot, tuple(marks), tuple(rings))


def _spot(axis: str, b: Body, own: Spot, at: Point) -> Spot:
    """Where a point of the plane is on a body's square: from its own axis by whole and half millimetres."""
    return Spot(axis, own.left + to_half(at[0] - b.centre[0]), own.up + to_half(at[1] - b.centre[1]))


def _strip(b: Body, width: float, depth: float, paper_length: float) -> Strip:
    """The wall: eight sides from 10 / 3 of the diameter, which paper's thickness takes up; four from the sides."""
    around = width * 10 / 3 if b.sides == 8 else 2 * (width + depth)
    flap = min(FLAP_MM, to_half(min(width, depth) * FLAP_SHARE))
    longest = paper_length - PAPER_EDGE_MM - LAP_MM
    count = next((n for n in (1, 2, 4) if around / n <= longest and (n < 4 or b.sides == 8)), 4)
    length = to_half(around / count)
    if b.box:
        sides = (width, depth) * (2 // min(count, 2))
    else:
        sides = (length * count / b.sides,) * (b.sides // count)
    return Strip(count, length, to_half(b.high - b.low), LAP_MM, flap, sides)


def _add_hole(
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
            spot = next((m for m in (h.spot, *h.marks) if m.axis == line), None) or _spot("", b, h.spot, at)
            away = hypot(at[0] - b.centre[0], at[1] - b.centre[1])
            ring = Ring(spot, max(0.5, to_half(2 * f.radius * scale)), ends, hole=True, distance=away)
            made[k] = replace(h, rings=(*h.rings, ring))
            shown = True
    return shown


def _is_open(
    bodies: Sequence[Body], contacts: Sequence[Contact], k: int, end: End, at: Point, radius: float
) -> bool:
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


def _offsets(
    letters: Sequence[str], centres: dict[str, Point], made: Sequence[HandBody], steps: Sequence[Placing]
) -> tuple[Offset, ...]:
    """How every axis comes out when the bodies stand where their marks say."""
    found: dict[str, Point] = {}
    places: list[Point] = []
    for step in steps:
        h = made[step.body]
        if step.other is None:
            places.append((0.0, 0.0))
        else:
            below, (x, y) = made[step.other], places[step.other]
            (a, b), (c, d) = (body.from_own(step.axis) for body in (below, h))
            places.append((x + a - c, y + b - d))
        x, y = places[-1]
        for m in (h.spot, *h.marks):
            dx, dy = h.from_own(m.axis)
            found.setdefault(m.axis, (x + dx, y + dy))
    first = next(name for name in letters if name in found)
    out = []
    for name in letters:
        if name == first or name not in found:
            continue
        real = [p - q for p, q in zip(found[name], found[first], strict=True)]
        asked = [p - q for p, q in zip(centres[name], centres[first], strict=True)]
        out.append(Offset(name, hypot(*real), hypot(*asked), hypot(real[0] - asked[0], real[1] - asked[1])))
    return tuple(out)


def _minutes(made: Sequence[HandBody], steps: Sequence[Placing], pace: Pace) -> float:
    """How long it takes, minutes: to measure, draw, cut, fold and glue."""
    seconds = 0.0
    for h in made:
        s, squares = h.strip, len(h.squares)
        sides = len(s.sides) * s.count
        measured = 2 * squares + 4 * s.count + 2 * len(h.marks) + (4 * (squares > 0) if h.sides == 8 else 0)
        corners = 4 * h.width * (2**0.5 - 1) if h.sides == 8 else 0.0
        cut = squares * (2 * (h.width + h.depth) + corners)
        cut += s.count * 2 * (s.width + s.length + s.lap) + sides * 2 * s.flap
        folds = sides + 2 * s.count
        glued = s.count * pace.glue + 2 * (pace.glue + (sides - 1) * pace.tooth)
        seconds += measured * MEASURE_S + len(h.rings) * CIRCLE_S + cut * pace.cut + folds * pace.fold + glued
    return (seconds + (len(steps) - 1) * pace.joint) / 60
