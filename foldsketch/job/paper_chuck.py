"""A chuck of paper: a disc whose jaws are cut out of it and stood up, and the cone that carries it on a skewer.

The skewer is the centreline and the clamp: it goes through the part and the disc, so that no cut and no fold enters
the centring. Jaws show where they are and keep the angle. Lengths are mm on paper; the disc's own frame has the spindle
axis at its origin and jaw 1 along +x, printed side towards the part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, cos, pi, sin, sqrt

import numpy as np
import shapely

from foldsketch.base.arrays import Array, Point
from foldsketch.base.findings import Finding, mm
from foldsketch.base.units import format_number
from foldsketch.job.messages import BEHIND_PAPER_JAWS, CHUCK_TOO_LARGE, JAW_DRAWN_ONLY, NO_PAPER_CHUCK
from foldsketch.job.model import Model
from foldsketch.job.paper_chuck_marks import disc_marks, jaw_direction, to_disc
from foldsketch.net.model import Fold, Mark, Panel, Piece
from foldsketch.net.refold import fold_transforms
from foldsketch.part.model import Part
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, SetUp

JAW_PLAY_MM, CARD_THICKNESS_MM = 0.3, 0.2
"""Play of a jaw, and the card that a crease is moved by: both are mid-sheet. Assumed, untried on paper."""

FLAP_DEPTHS_MM = (8.0, 7.0, 6.0, 5.0)
"""Heights of a jaw that are tried, the first is wanted."""

WIDTH_SHARES = (1.0, 0.75, 0.5)
"""Of the jaw's width that is tried."""

LAND_MM, CENTRE_LAND_MM, RIM_LAND_MM = 3.0, 4.0, 4.0
"""Card left between two windows, between a window and the skewer, and between a window and the rim."""

DISC_STEP_MM, LARGEST_DISC_MM = 5.0, 96.0
"""Discs are rounded up to a step; the radius that an A4 page takes."""

RIM_CORNERS = 72

CONE_FEET_MM, CONE_HEIGHT_MM, STICK_MM = (30.0, 25.0, 20.0, 15.0), 26.0, 3.0
"""Radii of the cone's foot that are tried, its height, and the skewer's diameter."""

PRICK_LAND_MM, LAP_MM = 2.0, 6.0
"""Card beside a prick, and the lap of the cone."""

PAPER_CHUCK_WAYS = ("hard_jaws", "pads", "soft_jaws", "bored_jaws", "packed_three_jaw", "four_jaw")
"""Ways of holding that are built: jaws around an outside."""


@dataclass(frozen=True, slots=True, eq=False)
class PaperChuck:
    """disc, cone: nets; radius: of the disc; foot: of the cone; held: outline (n, 2) of what stands in the jaws.

    creases: of each jaw that is folded, by its number, as (2, 2) ends; findings: jaws that are only drawn.
    """

    set_up: SetUp
    disc: Piece
    cone: Piece
    radius: float
    foot: float
    held: Array
    creases: dict[int, Array]
    findings: tuple[Finding, ...]


def paper_chuck(s: SetUp, machine: Machine, made: Model) -> PaperChuck:
    """The chuck of a set-up for a paper model.

    Raises FoldsketchError for a way of holding that has no chuck, or a disc that no page takes.
    """
    where = f"set-up {s.number}"
    if s.clamping.way not in PAPER_CHUCK_WAYS or s.held_inside or not s.jaws:
        raise NO_PAPER_CHUCK.error(where, way=s.clamping.holding_method)
    scale = made.nets.scale
    held = held_outline(s, made)
    spindle = machine.spindle(s.clamping.spindle)
    wide = spindle.soft_jaw_width if s.clamping.way in ("soft_jaws", "bored_jaws") else spindle.jaw_width
    farthest = max(float(np.hypot(*held.T).max()), *(j.from_centre * scale for j in s.jaws))
    radius = ceil((farthest + 5) / DISC_STEP_MM) * DISC_STEP_MM
    if radius > LARGEST_DISC_MM:
        raise CHUCK_TOO_LARGE.error(where, radius=mm(radius), most=mm(LARGEST_DISC_MM))
    flaps: dict[int, Array] = {}
    beside, behind = _held_lengths(s, made.part)
    depths = [d for d in FLAP_DEPTHS_MM if d <= beside * scale] or [beside * scale]
    findings = []
    for j in s.jaws if behind <= LENGTH_TOLERANCE_MM else ():
        flap = _flap(held, jaw_direction(s, j), wide * scale, radius, list(flaps.values()), depths)
        if flap is not None:
            flaps[j.number] = flap
    left_out = [j.number for j in s.jaws if j.number not in flaps]
    if behind > LENGTH_TOLERANCE_MM:
        findings.append(BEHIND_PAPER_JAWS.at(where, behind=mm(behind, 1)))
    elif left_out:
        findings.append(JAW_DRAWN_ONLY.at(where, jaws=", ".join(map(str, left_out))))
    pricks, foot = _pricks(list(flaps.values()), radius)
    disc = _disc(s, made, held, flaps, radius, pricks, wide * scale)
    creases = {k: flap[:2] for k, flap in flaps.items()}
    return PaperChuck(s, disc, _cone(s, foot), radius, foot, held, creases, tuple(findings))


def held_outline(s: SetUp, made: Model) -> Array:
    """What stands in the jaws, (n, 2) in the disc's frame: the model's own prism, or a circle where it has none."""
    scale = made.nets.scale
    prism = next((p for p in made.faceted.prisms if p.feature.name == s.clamping.held_on and not p.cut), None)
    if prism is None:
        t = np.linspace(0, 2 * pi, RIM_CORNERS, endpoint=False)
        ring = np.array(s.held_at) + s.held_diameter / 2 * np.column_stack((np.cos(t), np.sin(t)))
        points = to_disc(s, scale, ring)
    else:
        back = made.faceted.rotation_to_part
        end = max((f for f in prism.faces if f.kind == "end"), key=lambda f: len(f.loops[0]))
        corners = prism.corners[list(end.loops[0])] @ back.T
        points = to_disc(s, scale, corners[:, :2] / scale)
    hull = shapely.MultiPoint(points).convex_hull
    return np.array(shapely.geometry.polygon.orient(hull).exterior.coords[:-1])


def _held_lengths(s: SetUp, part: Part) -> tuple[float, float]:
    """Length that jaws may stand along, from the rear end of the grip on, and what of the part lies behind it, mm."""
    c, up = s.clamping, s.clamping.from_end == "+z"
    rear = c.grip_range[0] if up else c.grip_range[1]
    ends = {f.name: z_extent(part, f) for f in part.features if not f.cut and part.axis(f.axis).along_z}
    behind = max((rear - low if up else high - rear for low, high in ends.values()), default=0.0)
    low, high = ends.get(c.held_on, c.grip_range)
    return (high - rear if up else rear - low), (behind if c.held_on in ends else 0.0)


def _flap(
    held: Array, direction: float, wide: float, radius: float, others: list[Array], depths: Sequence[float]
) -> Array | None:
    """A jaw as (4, 2), anticlockwise, its crease first: as wide and deep as there is room for; None without."""
    u = np.array((cos(direction), sin(direction)))
    across = np.array((-u[1], u[0]))
    for share in WIDTH_SHARES:
        half = wide * share / 2
        strip = shapely.Polygon([u * far + across * half * w for far, w in ((0, -1), (1e3, -1), (1e3, 1), (0, 1))])
        touched = shapely.Polygon(held).intersection(strip)
        if touched.is_empty:
            return None
        reach = float((shapely.get_coordinates(touched) @ u).max()) + JAW_PLAY_MM + CARD_THICKNESS_MM
        for depth in depths:
            corners = np.array(
                [
                    u * reach + across * half,
                    u * reach - across * half,
                    u * (reach - depth) - across * (half - 1),
                    u * (reach - depth) + across * (half - 1),
                ]
            )
            window = shapely.Polygon(corners)
            corners = corners if shapely.is_ccw(shapely.LinearRing(corners)) else corners[[1, 0, 3, 2]]
            if (
                half > 1.5
                and window.distance(shapely.Point(0, 0)) >= CENTRE_LAND_MM
                and np.hypot(*corners.T).max() <= radius - RIM_LAND_MM
                and all(window.distance(shapely.Polygon(o)) >= LAND_MM for o in others)
            ):
                return corners
    return None


def _pricks(flaps: list[Array], radius: float) -> tuple[list[Point], float]:
    """Four places on the cone's foot where no window is near, and the foot's radius."""
    windows = shapely.union_all([shapely.Polygon(f) for f in flaps]) if flaps else shapely.Polygon()
    for foot in CONE_FEET_MM:
        for k in range(24):
            places = [(foot * cos(t), foot * sin(t)) for t in (k * pi / 48 + q * pi / 2 for q in range(4))]
            if foot < radius - RIM_LAND_MM and all(
                windows.is_empty or windows.distance(shapely.Point(p)) >= PRICK_LAND_MM for p in places
            ):
                return places, foot
    foot = CONE_FEET_MM[-1]
    return [(foot * cos(t), foot * sin(t)) for t in (k * pi / 2 for k in range(4))], foot


def _disc(
    s: SetUp, made: Model, held: Array, flaps: dict[int, Array], radius: float, pricks: list[Point], wide: float
) -> Piece:
    """The disc's net: one panel with windows, and a panel in each, hinged on its crease."""
    t = np.linspace(0, 2 * pi, RIM_CORNERS, endpoint=False)
    rim = radius * np.column_stack((np.cos(t), np.sin(t)))
    holes = tuple(flap[::-1].copy() for flap in flaps.values())
    name = f"chuck {s.number}"
    panels = [Panel(0, rim, holes, name, "end", 0, np.eye(3), np.zeros(3))]
    folds = []
    for k, (number, flap) in enumerate(flaps.items(), 1):
        a, b = (float(flap[0][0]), float(flap[0][1])), (float(flap[1][0]), float(flap[1][1]))
        # The disc is left of the line from b to a; the jaw comes up to the printed side.
        folds.append(Fold((0, k), (b, a), -pi / 2))
        panels.append(Panel(k, flap, (), f"jaw {number}", "side", k, *_stood_up(b, a)))
    c = s.clamping
    return Piece(
        str(s.number),
        0,
        tuple(panels),
        tuple(folds),
        marks=disc_marks(s, made.nets.scale, held, flaps, radius, pricks, wide),
        title=f"{c.spindle} chuck, axis {c.on_centreline}",
        size=f"disc Ø{format_number(2 * radius, 0)}",
    )


def _stood_up(a: Point, b: Point) -> tuple[Array, Array]:
    """Rotation and shift of a panel beyond a line from a to b that is folded a quarter turn to the printed side."""
    r, t = fold_transforms(np.array([[a, b]]), np.array([-pi / 2]))
    return r[0], t[0]


def _cone(s: SetUp, foot: float) -> Piece:
    """The cone behind the disc, as one flat panel that is rolled: a sector with a lap, its tip cut for the skewer."""
    slant = sqrt(foot * foot + CONE_HEIGHT_MM**2)
    sweep = 2 * pi * foot / slant
    tip = STICK_MM / 2 * slant / foot
    start = (pi - sweep) / 2 + pi  # the gap points down
    n = 48
    turns = [start + sweep * k / n for k in range(n + 1)]
    outer = [(slant * cos(t), slant * sin(t)) for t in turns]
    lap = LAP_MM / slant
    last = turns[-1]
    outer += [(slant * 0.97 * cos(last + lap), slant * 0.97 * sin(last + lap))]
    outer += [(tip * 2.5 * cos(last + lap * 2), tip * 2.5 * sin(last + lap * 2))]
    inner = [(tip * cos(t), tip * sin(t)) for t in reversed(turns)]
    outline = np.array(outer + inner)
    panel = Panel(0, outline, (), f"cone {s.number}", "other", 0, np.eye(3), np.zeros(3))
    seam = ((tip * cos(last), tip * sin(last)), (slant * cos(last), slant * sin(last)))
    middle = (start + last) / 2
    marks = (
        Mark("drawn", 0, "", (0.0, 0.0), paths=(seam,)),
        Mark("text", 0, "", (0.6 * slant * cos(middle), 0.6 * slant * sin(middle)), f"cone {s.number}", 3.5),
    )
    return Piece(f"{s.number}c", 0, (panel,), (), marks=marks, title="cone", size="roll, lap, tape")
