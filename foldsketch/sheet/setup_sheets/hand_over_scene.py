"""The set-up in the hand as solids in space: chucks, part, stands and tray, ordered for painting by separating planes.

The frame of the tray has x along the spindle from the main to the sub-spindle, y towards the fence, z up; its origin is
on the page under the main spindle, at the main disc. Lengths are mm on paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import atan2, cos, pi, sin

import numpy as np
import shapely

from foldsketch.base.arrays import Array
from foldsketch.base.drawing import BLACK, Colour, Item
from foldsketch.sheet.booklet.scene import PaintedFace, PaintedPath, camera_axes, loop_normal, paint_scene
from foldsketch.sheet.page.page_text import PageRectangle
from foldsketch.sheet.setup_sheets.in_hand_tray import STOP_BESIDE_MM, STOP_LEG_MM, STOP_LENGTH_MM

PART_FILL, CARD_FILL, SKEWER_FILL = (0.80, 0.87, 0.93), (1.0, 1.0, 1.0), (0.75, 0.75, 0.75)

CONE_SIDES, TOUCH_MM, SKEWER_MM = 16, 1e-6, 2.5

ALONG = np.array((1.0, 0.0, 0.0))

STAND_GAP_MM, SKEWER_OUT_MM, FENCE_MM, TRAY_EDGE_MM = 3.0, 20.0, 10.0, 8.0
"""Between cone and stand; skewer beyond a stand; height of the tray's fence; tray beyond the stands, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class ChuckPicture:
    """A paper chuck with its part, in the chuck's own frame: spindle axis at the origin, printed side towards +z.

    flat: the disc's or floor's outline and windows, (n, 2) each; flaps: what stands up from it, (n, 3) each; foot,
    height: of the cone behind; bodies: outline (n, 2), start and end of each body of the part, from the disc; axes: of
    the part by letter, (2,) each; loose: what is gripped is no body of the paper part, as of a raw bar.
    """

    number: int
    spindle: str
    axis: str
    flat: tuple[Array, ...]
    flaps: tuple[Array, ...]
    foot: float
    height: float
    bodies: tuple[tuple[Array, float, float], ...]
    axes: dict[str, Array]
    loose: bool = False


@dataclass(frozen=True, slots=True)
class Rig:
    """Stands on the tray. width, depth: across and along the spindle; level: of the skewer; high: mm."""

    width: float
    depth: float
    level: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class PaintedSolid:
    """A convex solid, a flat sheet or a line, painted as one. corners: (n, 3); things: its faces and lines."""

    corners: Array
    things: tuple[PaintedFace | PaintedPath, ...]
    normals: tuple[Array, ...] = ()


def prism_solid(outline: Array, low: float, high: float, place: tuple[Array, Array], fill: Colour) -> PaintedSolid:
    """A prism on an outline (n, 2), placed by a turn (3, 3), rows its axes in the scene, and a shift (3,)."""
    turn, shift = place
    rings = [np.column_stack((outline, np.full(len(outline), z))) @ turn + shift for z in (low, high)]
    sides = [np.array((rings[0][k - 1], rings[0][k], rings[1][k], rings[1][k - 1])) for k in range(len(outline))]
    return _convex([rings[0][::-1], rings[1], *sides], fill)


def sheet_solid(loops: Sequence[Array], fill: Colour = CARD_FILL) -> PaintedSolid:
    """A flat sheet in space; loops (n, 3): its outline and windows."""
    normal = loop_normal(loops[0])
    return PaintedSolid(loops[0], (PaintedFace(tuple(loops), fill, pen=0.18),), (normal,))


def line_solid(a: Array, b: Array, text: str = "") -> PaintedSolid:
    """A piece of the skewer as a level strip; with a text, the line to its axis letter at b."""
    if text:
        return PaintedSolid(np.array((a, b)), (PaintedPath(np.array((a, b)), BLACK, text=text),))
    up = np.array((0.0, 0.0, SKEWER_MM / 2))
    return sheet_solid([np.array((a - up, b - up, b + up, a + up))], SKEWER_FILL)


def arrow_solid(a: Array, b: Array, aside: Array) -> PaintedSolid:
    """A flat black arrow from a to b; aside: unit vector (3,) in its plane, across it."""
    along = (b - a) / float(np.linalg.norm(b - a))
    neck = b - 7.0 * along
    loop = [a + aside * 0.7, neck + aside * 0.7, neck + aside * 2.8, b, neck - aside * 2.8, neck - aside * 0.7]
    return sheet_solid([np.array([*loop, a - aside * 0.7])], BLACK)


def paint_solids(solids: Sequence[PaintedSolid], box: PageRectangle, largest: float = 1.0) -> list[Item]:
    """Solids in a box on the page, seen from the open side of the tray and a little from the sub-spindle."""
    camera = camera_axes(np.array((0.0, 0.0, 1.0)), np.array((0.0, 1.0, 0.0)), aside=0.62)
    things: list[PaintedFace | PaintedPath] = []
    for k, solid in enumerate(_back_to_front(solids, camera)):
        for thing in solid.things:
            if isinstance(thing, PaintedFace):
                hidden = len(solid.normals) > 1 and float(loop_normal(thing.loops[0]) @ camera[2]) <= 0
                if not hidden:
                    things.append(PaintedFace(thing.loops, thing.fill, (float(k),), thing.label, thing.pen))
            else:
                things.append(PaintedPath(thing.points, thing.colour, thing.line, thing.text, (float(k),)))
    return paint_scene(things, camera, box, largest)


def _convex(loops: Sequence[Array], fill: Colour, pen: float = 0.18) -> PaintedSolid:
    middle = np.concatenate(loops).mean(axis=0)
    outward = [p if float(loop_normal(p) @ (p.mean(axis=0) - middle)) >= 0 else p[::-1] for p in loops]
    faces = tuple(PaintedFace((p,), fill, pen=pen) for p in outward)
    return PaintedSolid(np.concatenate(outward), faces, tuple(loop_normal(p) for p in outward))


def _back_to_front(solids: Sequence[PaintedSolid], camera: Array) -> list[PaintedSolid]:
    """Solids in the order of painting: of two that a plane of either parts, the one on the eye's side comes later."""
    later: dict[int, set[int]] = {k: set() for k in range(len(solids))}
    seen = [shapely.MultiPoint((s.corners @ camera.T)[:, :2]).convex_hull for s in solids]
    eye = camera[2]
    for i, j in combinations(range(len(solids)), 2):
        nearer = _nearer(solids[i], solids[j], eye) if seen[i].intersects(seen[j]) else 0
        if nearer:
            later[i if nearer > 0 else j].add(j if nearer > 0 else i)
    left, order = set(later), list[PaintedSolid]()
    far = [float((s.corners @ eye).mean()) for s in solids]
    while left:
        free = [k for k in left if not later[k] & left] or list(left)
        k = min(free, key=lambda n: (far[n], n))
        left.remove(k)
        order.append(solids[k])
    return order


def _nearer(a: PaintedSolid, b: PaintedSolid, eye: Array) -> int:
    """1 if a lies on the eye's side of a plane between them, -1 if b does, 0 if no face's plane parts them."""
    best, found = 0.0, 0
    for n in (ALONG, *a.normals, *b.normals):
        towards = float(n @ eye)
        pa, pb = a.corners @ n, b.corners @ n
        over = 1 if pa.min() >= pb.max() - TOUCH_MM else -1 if pb.min() >= pa.max() - TOUCH_MM else 0
        if over and abs(towards) > best:
            best, found = abs(towards), over if towards > 0 else -over
    return found


def chuck_place(c: ChuckPicture, turn: float, at: Array) -> tuple[Array, Array]:
    """Turn (3, 3) and shift (3,) of a chuck whose own +x stands at an angle from y, radians, in the tray's frame."""
    way = 1.0 if c.spindle == "main" else -1.0
    u = np.array((0.0, cos(turn), sin(turn)))
    x = np.array((way, 0.0, 0.0))
    return np.array((u, np.cross(x, u), x)), at


def turned_for(c: ChuckPicture, axis: str, towards: float) -> float:
    """Turn of a chuck, radians, at which another axis of the part lies level towards +y or -y of the tray."""
    x, y = c.axes[axis]
    way = 1.0 if c.spindle == "main" else -1.0
    return (0.0 if towards > 0 else pi) - way * atan2(y, x)


def part_solids(c: ChuckPicture, place: tuple[Array, Array]) -> Iterator[PaintedSolid]:
    """The paper part in a chuck."""
    for outline, start, end in c.bodies:
        yield prism_solid(outline, start, end, place, PART_FILL)


def chuck_solids(c: ChuckPicture, place: tuple[Array, Array]) -> Iterator[PaintedSolid]:
    """Disc or fixture with what stands up from it, and the cone behind."""
    turn, shift = place
    yield sheet_solid([np.column_stack((p, np.zeros(len(p)))) @ turn + shift for p in c.flat])
    for flap in c.flaps:
        yield sheet_solid([flap @ turn + shift])
    angles = np.linspace(0.0, 2 * pi, CONE_SIDES, endpoint=False)
    foot = c.foot * np.column_stack((np.cos(angles), np.sin(angles), np.zeros(CONE_SIDES))) @ turn + shift
    tip = np.array((0.0, 0.0, -c.height)) @ turn + shift
    yield _convex([np.array((foot[k - 1], foot[k], tip)) for k in range(CONE_SIDES)], CARD_FILL, 0.05)


def stand_solids(x0: float, y: float, size: tuple[float, float, float], label: str) -> Iterator[PaintedSolid]:
    """The four walls of a stand from x0 on. size: along, across and up, mm."""
    along, across, high = size
    low, far = y - across / 2, y + across / 2
    corners = [(x0, low), (x0 + along, low), (x0 + along, far), (x0, far)]
    for k, (p, q) in enumerate(zip(corners, [*corners[1:], corners[0]], strict=True)):
        wall = np.array(((*p, 0.0), (*q, 0.0), (*q, high), (*p, high)))
        solid = sheet_solid([wall], (0.93, 0.93, 0.93) if k > 1 else CARD_FILL)
        if k == 0:  # its name on the upper half: a stop may stand in front of the lower one
            half = PaintedFace((wall + np.array((0.0, 0.0, high / 4)),), None, label=label)
            solid = PaintedSolid(solid.corners, (*solid.things, half), solid.normals)
        yield solid


def _way(c: ChuckPicture) -> float:
    """Behind a chuck is towards -x of the tray for main, towards +x for sub."""
    return -1.0 if c.spindle == "main" else 1.0


def rig_stand(c: ChuckPicture, at: Array, rig: Rig) -> Iterator[PaintedSolid]:
    """The stand of a chuck that is at (3,)."""
    near = float(at[0]) + _way(c) * (c.height + STAND_GAP_MM)
    x0 = near if _way(c) > 0 else near - rig.depth
    yield from stand_solids(x0, float(at[1]), (rig.depth, rig.width, rig.high), c.spindle)


def rig_skewer(c: ChuckPicture, at: Array, pulled: float, rig: Rig) -> Iterator[PaintedSolid]:
    """What is seen of the skewer: between cone and stand, and beyond the stand with the axis letter."""
    way = _way(c) * ALONG
    a, b = c.height, c.height + STAND_GAP_MM
    far = b + rig.depth
    yield line_solid(at + way * a, at + way * b)
    out = far + SKEWER_OUT_MM + pulled
    yield line_solid(at + way * far, at + way * out)
    yield line_solid(at + way * out, at + way * (out + 6), c.axis)


def bare_skewer(c: ChuckPicture, at: Array) -> Iterator[PaintedSolid]:
    """The skewer behind a chuck without its stand."""
    way = _way(c) * ALONG
    out = c.height + SKEWER_OUT_MM
    yield line_solid(at + way * c.height, at + way * out)
    yield line_solid(at + way * out, at + way * (out + 8), c.axis)


def rig_tray(main: ChuckPicture, on: float, x: float, shift: float, rig: Rig) -> Iterator[PaintedSolid]:
    """The page with its fence, and the stop on the line of its slits. on: from disc to disc as both hold the part."""
    behind = main.height + STAND_GAP_MM + rig.depth
    low, high = -behind - TRAY_EDGE_MM, x + behind + 24
    far, near = rig.width / 2, -rig.width / 2 - shift - 26
    page = np.array(((low, near, 0.0), (high, near, 0.0), (high, far, 0.0), (low, far, 0.0)))
    fence = np.array(((low, far, 0.0), (high, far, 0.0), (high, far, FENCE_MM), (low, far, FENCE_MM)))
    yield sheet_solid([page], (0.97, 0.97, 0.97))
    yield sheet_solid([fence])
    start = on + main.height + STAND_GAP_MM + STOP_BESIDE_MM
    line = -rig.width / 2 - shift
    ends = (start, line), (start + STOP_LENGTH_MM, line)
    low_edge = [(*p, 0.0) for p in ends]
    upright = np.array([*low_edge, *((*p, STOP_LEG_MM) for p in reversed(ends))])
    foot = np.array([*low_edge, *((p[0], p[1] - STOP_LEG_MM, 0.1) for p in reversed(ends))])
    yield sheet_solid([foot])
    yield sheet_solid([upright])
