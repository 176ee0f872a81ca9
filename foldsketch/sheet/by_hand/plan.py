"""The plan of a model by hand: every size rounded to whole or half millimetres, and what the rounding does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, hypot, log2

from foldsketch.assembly.work_time import DEFAULT_PACE, Pace
from foldsketch.base.points import Point
from foldsketch.part.details import MAX_SMALL_HOLE_SHARE, axis_lines
from foldsketch.part.model import Cone, Cylinder, Feature, Part
from foldsketch.sheet.by_hand.bodies import find_bodies, in_plan
from foldsketch.sheet.by_hand.contacts import ends_with_square, find_contacts, find_order, point_on_face
from foldsketch.sheet.by_hand.holes import add_hole, round_cuts
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
from foldsketch.sheet.by_hand.rounding import spot_on, to_half, to_whole
from foldsketch.sheet.layout.paper import Paper
from foldsketch.sheet.messages import BY_HAND_NO_CIRCLE, BY_HAND_NOTHING, BY_HAND_TOO_LARGE

LAP_MM, FLAP_MM = 8.0, 6.0
"""Paper beyond a strip's last fold, and along both of its edges, to be glued [C]."""

FLAP_SHARE = 1 / 3
"""A flap is no deeper than this share of the body's width, so that it does not reach the middle."""

PAPER_EDGE_MM = 10.0
"""So much shorter than the paper's long side a strip is."""

MAX_NAME = 26
"""Longest name of a body on the page, characters."""

MEASURE_S, CIRCLE_S = 12.0, 10.0
"""To measure and mark a length, and to draw a circle, s [C]."""


def plan_by_hand(
    part: Part, drawn: Sequence[Feature], scale: float, paper: Paper, pace: Pace = DEFAULT_PACE
) -> HandPlan:
    """How a part is made of blank paper.

    drawn: features that the model only draws; scale: paper over part; paper: upright. Raises FoldsketchError
    where nothing can be folded by hand, or what can does not fit on the paper or does not hold together.
    """
    bodies, findings = find_bodies(part, drawn, scale)
    if not bodies:
        raise BY_HAND_NOTHING.error(part.name)
    contacts = find_contacts(bodies)
    order = find_order(part.name, bodies, contacts)
    rank = {p.body: k for k, p in enumerate(order)}
    cuts, crossed = round_cuts(part, drawn)
    letters = _lettered_axes(part, cuts)
    centres = {name: in_plan(part.datum, part.axis(name).point, scale) for name in letters}
    bodies = _with_short_names(bodies)
    made = [_hand_body(bodies, contacts, p.body, centres, paper) for p in order]
    holes = {f.name: add_hole(part, f, scale, bodies, contacts, order, made) for f in cuts}
    unseen = [BY_HAND_NO_CIRCLE.at(f"feature '{name}'") for name, shown in holes.items() if not shown]
    steps = tuple(replace(p, body=rank[p.body], other=None if p.other is None else rank[p.other]) for p in order)
    built = _axes_built(made, steps)
    there = [name for name in letters if name in built]
    return HandPlan(
        part.name,
        tuple(a.name for a in part.axes),
        scale,
        tuple(made),
        steps,
        there[0] if there else "",
        tuple(_offset(name, built, centres, there[0]) for name in there[1:]),
        _minutes(made, steps, pace),
        (*findings, *crossed, *unseen),
    )


def _with_short_names(bodies: Sequence[Body]) -> list[Body]:
    """The bodies with names that fit into a line; of those that read alike the later ones are numbered."""
    found: list[Body] = []
    for b in bodies:
        short = b.name if len(b.name) <= MAX_NAME else f"{b.name[: MAX_NAME - 1].rstrip()}…"
        alike = sum(c.name == short or c.name.startswith(f"{short} (") for c in found)
        found.append(replace(b, name=f"{short} ({alike + 1})" if alike else short))
    return found


def _lettered_axes(part: Part, cuts: Sequence[Feature]) -> list[str]:
    """Axes that get a letter, in the part's order: those of all material and of all but small holes."""
    lines = axis_lines(part)
    solid = [f for f in part.features if not f.cut]
    own = {lines[f.axis] for f in solid if part.axis(f.axis).is_parallel_to(part.datum)}
    widest = max((2 * f.radius for f in solid), default=0.0)
    bored = {lines[f.axis]: 2 * f.radius for f in cuts if isinstance(f.shape, Cylinder | Cone)}
    own |= {line for line, d in bored.items() if d >= MAX_SMALL_HOLE_SHARE * widest}
    if own <= {part.datum.name} and len(bored) == 1:
        own |= set(bored)
    return [a.name for a in part.axes if a.name in own]


def _hand_body(
    bodies: Sequence[Body], contacts: Sequence[Contact], k: int, centres: dict[str, Point], paper: Paper
) -> HandBody:
    """One body with its marks and the circles of what stands on it."""
    b = bodies[k]
    width, depth = (to_whole(q - p) for p, q in zip(b.low_corner, b.high_corner, strict=True))
    left, up = (to_half(c - p) for p, c in zip(b.low_corner, b.centre, strict=True))
    if b.box:
        spot = Spot(b.axis if point_on_face(b, *b.centre) else "", left, up)
    else:
        spot = Spot(b.axis, width / 2, depth / 2)
    squares = ends_with_square(bodies, contacts, k)
    seen = [name for name, at in centres.items() if squares and name != b.axis and point_on_face(b, *at)]
    marks = [spot_on(name, b, spot, centres[name]) for name in seen]
    feet: dict[tuple[str, float], list[End]] = {}
    for c in contacts:
        if c.foot is not None and c.foot != k and k in (c.lower, c.upper):
            foot = bodies[c.foot]
            size = to_whole(foot.high_corner[0] - foot.low_corner[0])
            feet.setdefault((foot.axis, size), []).append("top" if c.lower == k else "under")
    known = {m.axis: m for m in (spot, *marks)}
    rings = [
        Ring(known.get(axis) or spot_on(axis, b, spot, centres[axis]), size, tuple(ends), hole=False)
        for (axis, size), ends in feet.items()
    ]
    strip = _strip(b, width, depth, paper.height)
    _check_size(b.name, (width, depth), strip, paper)
    return HandBody(b.name, width, depth, b.sides, b.kind, strip, squares, spot, tuple(marks), tuple(rings))


def _strip(b: Body, width: float, depth: float, paper_length: float) -> Strip:
    """The wall: eight sides from 10 / 3 of the diameter, which paper's thickness takes up; four from the sides."""
    around = width * 10 / 3 if b.sides == 8 else 2 * (width + depth)
    flap = min(FLAP_MM, to_half(min(width, depth) * FLAP_SHARE))
    longest = paper_length - PAPER_EDGE_MM - LAP_MM
    count = next((n for n in (1, 2, 4) if around / n <= longest and n <= b.sides // 2), b.sides // 2)
    length = to_half(around / count)
    equal = (length * count / b.sides,) * (b.sides // count)
    sides = (width, depth) * (2 // count) if b.box else equal
    return Strip(count, length, to_half(b.high - b.low), LAP_MM, flap, sides)


def _check_size(name: str, square: Point, strip: Strip, paper: Paper) -> None:
    """Raise FoldsketchError where a square or a strip does not fit on the paper."""
    room = (paper.width, paper.height - PAPER_EDGE_MM)
    for what, sides in (("square", square), ("strip", (strip.width, strip.length + strip.lap))):
        if any(v > most for v, most in zip(sorted(sides), room, strict=True)):
            raise BY_HAND_TOO_LARGE.error(f"feature '{name}'", what=what, paper=paper.name)


def _axes_built(made: Sequence[HandBody], steps: Sequence[Placing]) -> dict[str, Point]:
    """Where every axis comes out when the bodies stand where their marks say."""
    found: dict[str, Point] = {}
    places: list[Point] = []
    for step in steps:
        h, x, y = made[step.body], 0.0, 0.0
        if step.other is not None:
            (a, b), (c, d) = (body.from_own(step.axis) for body in (made[step.other], h))
            x, y = places[step.other][0] + a - c, places[step.other][1] + b - d
        places.append((x, y))
        for m in h.spots:
            dx, dy = h.from_own(m.axis)
            found.setdefault(m.axis, (x + dx, y + dy))
    return found


def _offset(axis: str, built: dict[str, Point], asked: dict[str, Point], origin: str) -> Offset:
    """How one axis comes out from another one."""
    (a, b), (c, d) = (tuple(p - q for p, q in zip(where[axis], where[origin], strict=True)) for where in (built, asked))
    return Offset(axis, hypot(a, b), hypot(c, d), hypot(a - c, b - d))


def _minutes(made: Sequence[HandBody], steps: Sequence[Placing], pace: Pace) -> float:
    """How long it takes, minutes: to measure, draw, cut, fold and glue.

    Two squares or strips that are alike are measured once and cut in one. Equal sides are folded by halving: each fold
    makes all creases of its turn.
    """
    seconds = 0.0
    for h in made:
        s, squares = h.strip, int(len(h.squares) > 0)
        strips, sides = ceil(s.count / 2), len(s.sides) * s.count
        measured = 2 * squares + 4 * strips + 2 * len(h.marks) + (4 * squares if h.sides == 8 else 0)
        corners = 4 * h.width * (2**0.5 - 1) if h.sides == 8 else 0.0
        cut = squares * (2 * (h.width + h.depth) + corners)
        cut += strips * (2 * (s.width + s.length + s.lap) + len(s.sides) * 2 * s.flap)
        creases = round(log2(len(s.sides))) if len(set(s.sides)) == 1 else len(s.sides) - 1
        folds = s.count * (creases + 3)  # and the lap, and along both edges
        glued = s.count * pace.glue + 2 * (pace.glue + (sides - 1) * pace.tooth)
        seconds += measured * MEASURE_S + len(h.rings) * CIRCLE_S + cut * pace.cut + folds * pace.fold + glued
    return (seconds + (len(steps) - 1) * pace.joint) / 60
