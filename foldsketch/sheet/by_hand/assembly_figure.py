"""The bodies one above another, lifted apart, as seen from above and in front."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin, tan

import shapely
from shapely import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Item, Layer, Point, Stroke
from foldsketch.base.lettering import text_width
from foldsketch.sheet.by_hand.model import HandBody, HandPlan
from foldsketch.sheet.by_hand.pens import TEXT_SIZE_MM, figure_on_white, thin, word
from foldsketch.sheet.page.page_text import PageRectangle

TURN_RAD, ELEVATION_RAD = 0.42, 0.5
"""From where the bodies are seen, radians."""

Page = Callable[[float, float, float], Point]
"""From a point in space to the page."""

LIFT_SHARE, MANY_LIFT_SHARE, MANY = 0.3, 0.18, 4
"""How far bodies are lifted apart, as a share of the widest one; less from so many levels on."""

LINE_MM = 0.35
"""Width of edges, mm."""


@dataclass(frozen=True, slots=True)
class _Solid:
    """A body in place: corners in the plane, bottom and top, number in the order of building."""

    number: int
    corners: tuple[Point, ...]
    low: float
    high: float
    body: HandBody
    own: Point


def draw_assembly(plan: HandPlan, box: PageRectangle, colours: Mapping[str, Colour]) -> list[Item]:
    """The bodies in a box, numbered in the order of building."""
    solids = _lift(_stand(plan))
    points = [_project((*c, z)) for s in solids for c in s.corners for z in (s.low, s.high)]
    xs, ys = zip(*points, strict=True)
    scale = min((box.width - 12) / (max(xs) - min(xs)), box.height / (max(ys) - min(ys)), 1.0)
    shift = (
        box.x + (box.width - 10) / 2 - scale * (min(xs) + max(xs)) / 2,
        box.y + box.height / 2 - scale * (min(ys) + max(ys)) / 2,
    )

    def page(x: float, y: float, z: float) -> Point:
        u, v = _project((x, y, z))
        return (shift[0] + scale * u, shift[1] + scale * v)

    behind = sorted(solids, key=lambda s: (s.low, -_depth(s.own)))
    items = [i for s in behind for i in (*_solid(s, page), *_circles(s, page, colours))]
    return items + _numbers(behind, page, PageRectangle(box.x, box.y, shift[0] + scale * max(xs) - box.x, box.height))


def _numbers(behind: Sequence[_Solid], page: Page, box: PageRectangle) -> list[Item]:
    """The number of every body on its front wall where that is seen, else beside them all with a line to it.

    behind: in the order of painting; box: of them all.
    """
    hidden: BaseGeometry = Polygon()
    beside: list[tuple[Point, str]] = []
    on_walls: list[Item] = []
    for s in reversed(behind):
        outline = MultiPoint([page(*c, z) for c in s.corners for z in (s.low, s.high)]).convex_hull
        wall, text = Polygon(_front_wall(s, page)), str(s.number)
        x, y = wall.centroid.x, wall.centroid.y
        w, h = text_width(text, TEXT_SIZE_MM) / 2 + 0.8, TEXT_SIZE_MM / 2 + 0.7
        room = shapely.box(x - w, y - h, x + w, y + h)
        if wall.contains(room) and not hidden.intersects(room):
            on_walls += figure_on_white((x, y), text, TEXT_SIZE_MM)
        else:
            seen = outline.difference(hidden)
            spot = (outline if seen.is_empty else seen).representative_point()
            beside.append(((spot.x, spot.y), text))
        hidden = hidden.union(outline)
    return [*_numbers_beside(beside, box), *on_walls]


def _numbers_beside(numbers: Sequence[tuple[Point, str]], box: PageRectangle) -> list[Item]:
    """Numbers to the right of a box, one above another, each with a line to its body."""
    items: list[Item] = []
    step = TEXT_SIZE_MM + 1.8
    level = box.y - step
    for k, ((x, y), text) in enumerate(sorted(numbers, key=lambda n: n[0][1])):
        highest = box.y + box.height - TEXT_SIZE_MM - step * (len(numbers) - 1 - k)
        level = max(level + step, min(y, highest))
        right = box.x + box.width
        items += [thin((x, y), (right + 2, level)), Circle(Layer.MARK, (x, y), 0.5, 0.0, colour=None, fill=BLACK)]
        items.append(word((right + 3, level - TEXT_SIZE_MM / 2), text, bold=True))
    return items


def _front_wall(s: _Solid, page: Page) -> tuple[Point, ...]:
    """The wall that looks most to the viewer: lower left and right, upper right and left."""
    walls = pairwise((*s.corners, s.corners[0]))
    (ax, ay), (bx, by) = max(walls, key=lambda w: _project((*w[1], 0.0))[0] - _project((*w[0], 0.0))[0])
    return (page(ax, ay, s.low), page(bx, by, s.low), page(bx, by, s.high), page(ax, ay, s.high))


def drawn_size(plan: HandPlan) -> Point:
    """Width and height that the bodies take at 1:1."""
    points = [_project((*c, z)) for s in _lift(_stand(plan)) for c in s.corners for z in (s.low, s.high)]
    xs, ys = zip(*points, strict=True)
    return (max(xs) - min(xs), max(ys) - min(ys))


def _project(p: tuple[float, float, float]) -> Point:
    x, y, z = p
    u, away = x * cos(TURN_RAD) + y * sin(TURN_RAD), -x * sin(TURN_RAD) + y * cos(TURN_RAD)
    return (u, away * sin(ELEVATION_RAD) + z * cos(ELEVATION_RAD))


def _depth(p: Point) -> float:
    return -p[0] * sin(TURN_RAD) + p[1] * cos(TURN_RAD)


def _stand(plan: HandPlan) -> list[_Solid]:
    """Every body where the order puts it."""
    found: list[_Solid] = []
    for k, step in enumerate(plan.placings):
        h = plan.bodies[step.body]
        own, low = (0.0, 0.0), 0.0
        if step.other is not None:
            under = found[step.other]
            (ax, ay), (bx, by) = under.body.from_own(step.axis), h.from_own(step.axis)
            own = (under.own[0] + ax - bx, under.own[1] + ay - by)
            low = under.high if step.above else under.low - h.strip.height
        x0, y0 = own[0] - h.spot.left, own[1] - h.spot.up
        found.append(_Solid(k + 1, _corners(h, x0, y0), low, low + h.strip.height, h, own))
    return found


def _corners(h: HandBody, x0: float, y0: float) -> tuple[Point, ...]:
    """Anticlockwise."""
    x1, y1 = x0 + h.width, y0 + h.depth
    if h.sides == 4:
        return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    s = h.width * (1 - tan(pi / 8)) / 2
    return (
        (x0 + s, y0),
        (x1 - s, y0),
        (x1, y0 + s),
        (x1, y1 - s),
        (x1 - s, y1),
        (x0 + s, y1),
        (x0, y1 - s),
        (x0, y0 + s),
    )


def _lift(solids: Sequence[_Solid]) -> list[_Solid]:
    """The bodies lifted apart: each by as many steps as there are bottoms below its own."""
    bottoms = sorted({round(s.low, 3) for s in solids})
    width = max(max(s.body.width, s.body.depth) for s in solids)
    step = width * (LIFT_SHARE if len(bottoms) < MANY else MANY_LIFT_SHARE)
    found = []
    for s in solids:
        by = step * sum(b < s.low - 1e-3 for b in bottoms)
        found.append(_Solid(s.number, s.corners, s.low + by, s.high + by, s.body, s.own))
    return found


def _solid(s: _Solid, page: Page) -> list[Item]:
    """The sides that are seen, and the top."""
    items: list[Item] = []
    n = len(s.corners)
    for k in range(n):
        (ax, ay), (bx, by) = s.corners[k], s.corners[(k + 1) % n]
        if _depth((by - ay, ax - bx)) < 0:  # its outer side looks to the front
            wall = (page(ax, ay, s.low), page(bx, by, s.low), page(bx, by, s.high), page(ax, ay, s.high))
            items.append(Stroke(Layer.MARK, wall, True, LINE_MM, fill=WHITE))
    items.append(Stroke(Layer.MARK, tuple(page(x, y, s.high) for x, y in s.corners), True, LINE_MM, fill=WHITE))
    return items


def _circles(s: _Solid, page: Page, colours: Mapping[str, Colour]) -> list[Item]:
    """Circles on the top, as ellipses, and the centre line up from each."""
    items: list[Item] = []
    for r in s.body.rings:
        if "top" not in r.ends or not r.spot.axis:
            continue
        x, y = (o + d for o, d in zip(s.own, s.body.from_own(r.spot.axis), strict=True))
        colour = colours[r.spot.axis]
        turns = [2 * pi * k / 36 for k in range(36)]
        loop = tuple(page(x + r.diameter / 2 * cos(t), y + r.diameter / 2 * sin(t), s.high) for t in turns)
        items.append(Stroke(Layer.MARK, loop, True, 0.25, colour=colour))
        items.append(Circle(Layer.MARK, page(x, y, s.high), 0.5, 0.0, colour=None, fill=colour))
    return items
