"""Where the bodies touch, which end needs no square of its own, and the order in which they are put together."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from shapely import Point as ShapelyPoint

from foldsketch.sheet.by_hand.bodies import MIN_COMMON_AREA_MM2, SAME_LEVEL_MM, common_area, contains, outline
from foldsketch.sheet.by_hand.model import Body, Contact, End, Placing
from foldsketch.sheet.messages import BY_HAND_APART

MIN_EDGE_DISTANCE_MM = 2.0
"""A mark lies at least so far inside the face, so that a pin holds there."""


def find_contacts(bodies: Sequence[Body]) -> list[Contact]:
    """Every pair of bodies that touch end to end and can be put together at an axis."""
    found = []
    for i, j in combinations(range(len(bodies)), 2):
        for lower, upper in ((i, j), (j, i)):
            a, b = bodies[lower], bodies[upper]
            if abs(a.high - b.low) < SAME_LEVEL_MM and common_area(a, b) > MIN_COMMON_AREA_MM2:
                contact = _contact(bodies, lower, upper)
                found += [contact] if contact else []
    return found


def _contact(bodies: Sequence[Body], lower: int, upper: int) -> Contact | None:
    a, b = bodies[lower], bodies[upper]
    if not b.box and contains(a, b):
        return Contact(lower, upper, upper, b.axis)
    if not a.box and contains(b, a):
        return Contact(lower, upper, lower, a.axis)
    # Neither end covers the other: a pin goes through both squares, at an axis that lies on both.
    small, large = sorted((a, b), key=lambda body: body.area)
    axis = next((c.axis for c in (small, large) if is_on_face(small, c) and is_on_face(large, c)), None)
    return None if axis is None else Contact(lower, upper, None, axis)


def is_on_face(b: Body, other: Body) -> bool:
    """Whether the axis of another body meets the ends of a body, away from the edge."""
    return point_on_face(b, *other.centre)


def point_on_face(b: Body, x: float, y: float) -> bool:
    """Whether a point of the plane lies on the ends of a body, away from the edge."""
    return bool(outline(b).buffer(-MIN_EDGE_DISTANCE_MM).contains(ShapelyPoint(x, y)))


def ends_with_square(bodies: Sequence[Body], contacts: Sequence[Contact], k: int) -> tuple[End, ...]:
    """The ends of a body that get a square: those that do not stand as a foot on another face."""
    feet: set[End] = {"under" if c.upper == k else "top" for c in contacts if c.foot == k}
    every: tuple[End, ...] = ("top", "under")
    return tuple(e for e in every if e not in feet)


def find_order(part: str, bodies: Sequence[Body], contacts: Sequence[Contact]) -> list[Placing]:
    """The widest body first, then each on or under one that is there.

    Raises FoldsketchError where one has nothing to stand on.
    """
    first = max(range(len(bodies)), key=lambda k: (round(bodies[k].area, 6), -bodies[k].low))
    order = [Placing(first, None, True, bodies[first].axis)]
    for step in order:  # it grows while it is walked
        there = {p.body for p in order}
        near = [c for c in contacts if step.body in (c.lower, c.upper)]
        for c in sorted(near, key=lambda c: c.lower != step.body):
            above = c.lower == step.body
            new = c.upper if above else c.lower
            if new not in there:
                order.append(Placing(new, step.body, above, c.axis))
                there.add(new)
    loose = [b.name for k, b in enumerate(bodies) if k not in {p.body for p in order}]
    if loose:
        raise BY_HAND_APART.error(part, loose=loose[0])
    return order
