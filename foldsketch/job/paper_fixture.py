"""A fixture of paper for a centre outside what is held: a floor, three walls, a flap, and a key against a wrong turn.

Its frame is the disc's: the spindle axis at the origin, what is held towards +x. Lengths are mm on paper. Nobody has
built one: plays are assumed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import cos, hypot, pi, sin

import numpy as np
import shapely

from foldsketch.base.arrays import Array, Point
from foldsketch.job.paper_held import PaperBody

WALL_PLAY_MM, FLAP_PLAY_MM, CARD_THICKNESS_MM = 0.5, 0.3, 0.2
"""Between what is held and the three walls, and the flap, which gives way; card: walls lie so much further out."""

STICK_LAND_MM = 1.5
"""Least from the spindle axis to what is held: the flap's crease lies between it and the skewer."""

WALL_HEIGHTS_MM = (16.0, 12.0, 10.0, 8.0, 6.0, 4.0)
"""Heights of the walls, of the flap and of the key that are tried, the first is wanted."""

NEIGHBOUR_LAND_MM, OWN_LAND_MM = 1.0, 0.25
"""From a wall to a body that stands beside what is held, and to one that it is joined to."""

LEAST_FLOOR_MM, FLOOR_BEYOND_MM = 26.0, 2.0
"""Least radius of the half disc, and of it beyond the pocket's corners."""

FLAP_SHARE, CREASE_LAND_MM, WINDOW_LAND_MM, HOLE_LAND_MM = 0.65, 3.0, 3.0, 4.0
"""Width of the flap over the pocket's; card left between windows and creases or edges, between windows, and between a
window and the skewer."""

KEY_WIDTH_MM, KEY_LAND_MM, KEY_STOPS_MM = 8.0, 1.0, 4.0
"""Width of the key, its distance from the part that lies right, and how far off its seat it keeps a wrong turn."""

RIGHT_TURN, TURN_STEP = pi / 9, pi / 36
"""Turns from the right one on that count as wrong, and the step in which they are tried, radians."""

SLACK_MM = 1.0
"""A wall that stands so much off its seat keeps a wrong turn off."""


@dataclass(frozen=True, slots=True, eq=False)
class FixtureShape:
    """A fixture, flat.

    floor: (n, 2) anticlockwise; walls, flap, key: (4, 2) anticlockwise, crease first; flap and key None where there is
    no room; seat: start of the body that lies on the floor; wrong: turns, radians, in which it goes on over another
    body, in spite of the key.
    """

    floor: Array
    walls: tuple[Array, Array, Array]
    flap: Array | None
    key: Array | None
    seat: float
    wrong: tuple[float, ...]

    @property
    def windows(self) -> list[Array]:
        """Flap and key, as far as they are there."""
        return [w for w in (self.flap, self.key) if w is not None]


def fits_fixture(held: Array) -> bool:
    """Whether the centre lies far enough outside what is held, (n, 2)."""
    return bool(held[:, 0].min() >= STICK_LAND_MM)


def fixture_shape(held: PaperBody, others: Sequence[PaperBody]) -> FixtureShape | None:
    """The fixture around a body; None where no wall of 4 mm clears the others."""
    (x0, y0), (x1, y1) = held.outline.min(axis=0), held.outline.max(axis=0)
    out = WALL_PLAY_MM + CARD_THICKNESS_MM
    box = (float(x0) - FLAP_PLAY_MM, float(y0) - out, float(x1) + out, float(y1) + out)
    floor = _floor(box)
    seat = min((b.start for b in (held, *others) if b.shape.intersects(shapely.Polygon(floor))), default=0.0)
    low_x, low_y, high_x, high_y = box
    creases = [
        ((high_x, high_y), (low_x, high_y)),
        ((high_x, low_y), (high_x, high_y)),
        ((low_x, low_y), (high_x, low_y)),
    ]
    height = min((_free_depth(c, held, others, seat) for c in creases), default=0.0)
    height = next((h for h in WALL_HEIGHTS_MM if h <= min(height, held.end - seat)), 0.0)
    if not height or held.start - seat > height - WALL_HEIGHTS_MM[-1]:
        return None
    walls = tuple(_outside(a, b, height) for a, b in creases)
    flap = _flap(box, held, others, seat)
    shape = FixtureShape(floor, (walls[0], walls[1], walls[2]), flap, None, seat, ())
    shape = replace(shape, wrong=_wrong_turns(shape, (held, *others)))
    if not shape.wrong:
        return shape
    key, left = _key(shape, (held, *others), height)
    return replace(shape, key=key, wrong=left)


def _floor(box: tuple[float, float, float, float]) -> Array:
    """Half a disc round the centre, and the pocket's floor."""
    x0, y0, x1, y1 = box
    edge = x0 - STICK_LAND_MM
    radius = max(LEAST_FLOOR_MM, max(hypot(edge, y) for y in (y0, y1)) + FLOOR_BEYOND_MM)
    high = (radius * radius - edge * edge) ** 0.5
    start = float(np.arctan2(high, edge))
    turns = np.linspace(start, 2 * pi - start, 49)
    arc = radius * np.column_stack((np.cos(turns), np.sin(turns)))
    pocket = [(edge, y0), (x0, y0), (x1, y0), (x1, y1), (x0, y1), (edge, y1)]
    return np.vstack((arc, pocket))


def _outside(a: Point, b: Point, height: float) -> Array:
    """A wall right of the line from a to b, as a flap whose crease is first."""
    (ax, ay), (bx, by) = a, b
    length = hypot(bx - ax, by - ay)
    nx, ny = (by - ay) / length * height, -(bx - ax) / length * height
    return np.array(((bx, by), (ax, ay), (ax + nx, ay + ny), (bx + nx, by + ny)))


def _free_depth(line: tuple[Point, Point], held: PaperBody, others: Sequence[PaperBody], seat: float) -> float:
    """How high a wall on a crease may stand before it meets a body beside or joined to what is held."""
    crease = shapely.LineString(line)
    free = WALL_HEIGHTS_MM[0]
    for b in others:
        land = OWN_LAND_MM if b.shape.intersects(held.shape) else NEIGHBOUR_LAND_MM
        if b.shape.distance(crease) < land:
            free = min(free, b.start - seat - land)
    return free


def _flap(
    box: tuple[float, float, float, float], held: PaperBody, others: Sequence[PaperBody], seat: float
) -> Array | None:
    """The flap on the side of the centre, cut out of the pocket's floor."""
    x0, y0, x1, y1 = box
    middle, half = (y0 + y1) / 2, (y1 - y0) / 2 * FLAP_SHARE
    free = min(_free_depth(((x0, middle - half), (x0, middle + half)), held, others, seat), x1 - x0 - CREASE_LAND_MM)
    deep = next((h for h in WALL_HEIGHTS_MM if h <= free), None)
    if deep is None or x0 + HOLE_LAND_MM > x1 or half < 2 or held.start - seat > deep - 2:
        return None
    tip = x0 + deep
    return np.array(((x0, middle + half), (x0, middle - half), (tip, middle - half + 1), (tip, middle + half - 1)))


Lying = list[tuple[shapely.Polygon, float]]
"""Outlines of the part's bodies as it lies on the fixture, and how far above the floor each begins, mm."""


def _lying(floor: Array, bodies: Sequence[PaperBody], turn: float) -> Lying:
    """The part turned by an angle and put down: the body that lies on the floor is nearest."""
    rotation = np.array(((cos(turn), sin(turn)), (-sin(turn), cos(turn))))
    turned = [(shapely.Polygon(b.outline @ rotation), b.start) for b in bodies]
    area = shapely.Polygon(floor)
    seat = min((start for outline, start in turned if outline.intersects(area)), default=0.0)
    return [(outline, start - seat) for outline, start in turned]


def _keeps_off(flap: Array, lying: Lying) -> float:
    """How far a flap keeps the part from its seat, mm."""
    line = shapely.LineString(flap[:2])
    height = float(hypot(*(flap[2:].mean(axis=0) - flap[:2].mean(axis=0))))
    return max((height - start for outline, start in lying if outline.intersects(line)), default=0.0)


def stand_off(shape: FixtureShape, turn: float, bodies: Sequence[PaperBody]) -> float:
    """How far walls, flap and key keep the part, turned by an angle, from its seat, mm; 0 when seated."""
    lying = _lying(shape.floor, bodies, turn)
    return max(0.0, *(_keeps_off(flap, lying) for flap in (*shape.walls, *shape.windows)))


def _wrong_turns(shape: FixtureShape, bodies: Sequence[PaperBody]) -> tuple[float, ...]:
    """Turns of the part in which the fixture goes on over a body: nothing keeps walls, flap and key off its seat."""
    pocket = shapely.MultiPoint(np.vstack([w[:2] for w in shape.walls])).convex_hull
    height = float(hypot(*(shape.walls[0][2] - shape.walls[0][1])))
    found = []
    for k in range(round(2 * pi / TURN_STEP)):
        turn = k * TURN_STEP
        if not RIGHT_TURN < turn < 2 * pi - RIGHT_TURN or stand_off(shape, turn, bodies) > SLACK_MM:
            continue
        lying = _lying(shape.floor, bodies, turn)
        if any(start < height and outline.intersects(pocket) for outline, start in lying):
            found.append(turn)
    return tuple(found)


def _key(shape: FixtureShape, bodies: Sequence[PaperBody], height: float) -> tuple[Array | None, tuple[float, ...]]:
    """A tongue out of the half disc that clears the part as it lies right, and stops it in wrong turns; turns left.

    The one that stops most of them, the highest first.
    """
    room = shapely.Polygon(shape.floor).buffer(-CREASE_LAND_MM)
    radius = float(np.hypot(*shape.floor.T).max())
    taken = [
        shapely.Point(0, 0).buffer(HOLE_LAND_MM),
        *(shapely.Polygon(w).buffer(WINDOW_LAND_MM) for w in shape.windows),
    ]
    room = room.difference(shapely.union_all(taken))
    right = [(outline.buffer(KEY_LAND_MM), start - KEY_LAND_MM) for outline, start in _lying(shape.floor, bodies, 0.0)]
    turned = {t: _lying(shape.floor, bodies, t) for t in shape.wrong}
    best: tuple[Array | None, tuple[float, ...]] = (None, shape.wrong)
    for deep in (h for h in WALL_HEIGHTS_MM if h <= height):
        for key in _key_places(deep, radius):
            if not room.contains(shapely.Polygon(key)) or _keeps_off(key, right) > 0:
                continue
            left = tuple(t for t in shape.wrong if _keeps_off(key, turned[t]) < KEY_STOPS_MM)
            if len(left) < len(best[1]):
                best = key, left
            if not left:
                return best
    return best


@lru_cache(maxsize=64)
def _key_places(deep: float, radius: float) -> tuple[Array, ...]:
    """Windows of a key, (4, 2), crease first: all round the centre, lying outwards, inwards and to both sides."""
    found = []
    for r in np.arange(HOLE_LAND_MM + 0.5, radius, 1.5):
        for t in sorted(np.arange(pi / 2, 3 * pi / 2 + 1e-9, pi / 18), key=lambda t: abs(t - pi)):
            for lying in (t, t + pi, t + pi / 2, t - pi / 2):
                u = np.array((cos(lying), sin(lying)))
                v = np.array((-u[1], u[0])) * KEY_WIDTH_MM / 2
                p = r * np.array((cos(t), sin(t)))
                found.append(np.array((p + v, p - v, p + u * deep - v * 0.75, p + u * deep + v * 0.75)))
    return tuple(found)
