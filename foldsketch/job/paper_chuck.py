"""A chuck of paper: a disc whose jaws are cut out of it and stood up, and the cone that carries it on a skewer.

The skewer is the centreline and the clamp: it goes through the part and the disc, so that no cut and no fold enters
the centring. Jaws show where they are and keep the angle. Lengths are mm on paper; the disc's own frame has the spindle
axis at its origin and jaw 1 along +x, printed side towards the part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, cos, pi, sin

import numpy as np
import shapely

from foldsketch.base.arrays import Array, Point
from foldsketch.base.findings import Finding, mm
from foldsketch.job.messages import (
    BEHIND_PAPER_JAWS,
    CHUCK_TOO_LARGE,
    FIXTURE_GOES_ON_WRONG,
    FIXTURE_HAS_KEY,
    FIXTURE_WITHOUT_FLAP,
    JAW_DRAWN_ONLY,
    PLAIN_PAPER_DISC,
)
from foldsketch.job.model import Model
from foldsketch.job.paper_chuck_marks import disc_marks, jaw_direction
from foldsketch.job.paper_chuck_net import cone_piece, flap_panels
from foldsketch.job.paper_fixture import CARD_THICKNESS_MM, FixtureShape, fits_fixture, fixture_shape
from foldsketch.job.paper_fixture_net import FIXTURE_FOOT_MM, fixture_piece
from foldsketch.job.paper_held import PaperBody, bodies, held_body, held_outline, jaws_or_stops, swing_text
from foldsketch.net.model import Piece
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, SetUp
from foldsketch.setup.plan.set_up_text import way_text

JAW_PLAY_MM = 0.3
"""Play of a jaw; creases are moved by the card as well, for both are mid-sheet. Assumed, untried on paper."""

FLAP_DEPTHS_MM = (8.0, 7.0, 6.0, 5.0)
"""Heights of a jaw that are tried, the first is wanted."""

WIDTH_SHARES = (1.0, 0.75, 0.5)
"""Of the jaw's width that is tried."""

LAND_MM, CENTRE_LAND_MM, RIM_LAND_MM = 3.0, 4.0, 4.0
"""Card left between two windows, between a window and the skewer, and between a window and the rim."""

DISC_STEP_MM, LARGEST_DISC_MM = 5.0, 96.0
"""Discs are rounded up to a step; the radius that an A4 page takes."""

RIM_CORNERS = 72

CONE_FEET_MM, PRICK_LAND_MM = (30.0, 25.0, 20.0, 15.0), 2.0
"""Radii of the cone's foot that are tried, and card beside a prick."""

PLAIN_DISC_TITLES = {"between_centres": "driving plate", "fed_bar": "bar chuck"}
"""Ways of holding that get a plain disc: centres and a bar chuck have nothing that card could show; and its name."""

FIXTURE_WAYS = ("offset_fixture", "face_plate")
"""Ways of holding that are built as a fixture, or as stops where the centre lies inside what is held."""


@dataclass(frozen=True, slots=True, eq=False)
class PaperChuck:
    """disc, cone: nets; radius: of the disc; foot: of the cone; held: outline (n, 2) of what stands in the jaws.

    creases: of each jaw that is folded, by its number, as (2, 2) ends; findings: jaws that are only drawn; fixture: its
    shape, where there are no jaws.
    """

    set_up: SetUp
    disc: Piece
    cone: Piece
    radius: float
    foot: float
    held: Array
    creases: dict[int, Array]
    findings: tuple[Finding, ...]
    fixture: FixtureShape | None = None


def paper_chuck(s: SetUp, machine: Machine, made: Model) -> PaperChuck:
    """The chuck of a set-up for a paper model.

    Around an outside jaws stand up; between centres, for a fed bar and in a bore the disc is plain. Raises
    FoldsketchError for a disc that no page takes.
    """
    where = f"set-up {s.number}"
    plate = s.clamping.way in FIXTURE_WAYS
    plain = not plate and (s.clamping.way in PLAIN_DISC_TITLES or s.held_inside or not s.jaws)
    scale = made.nets.scale
    held = held_outline(s, made)
    if plate and fits_fixture(held):
        fixture = _paper_fixture(s, made)
        if fixture is not None:
            return fixture
    jaws = jaws_or_stops(s)
    spindle = machine.spindle(s.clamping.spindle)
    wide = spindle.soft_jaw_width if s.clamping.way in ("soft_jaws", "bored_jaws") else spindle.jaw_width
    farthest = max(float(np.hypot(*held.T).max()), *(j.from_centre * scale for j in jaws))
    radius = ceil((farthest + 5) / DISC_STEP_MM) * DISC_STEP_MM
    if radius > LARGEST_DISC_MM:
        raise CHUCK_TOO_LARGE.error(where, radius=mm(radius), most=mm(LARGEST_DISC_MM))
    flaps: dict[int, Array] = {}
    part = bodies(s, made)
    own, behind = held_body(s, made), _behind(s, made)
    beside = own.end if own is not None else FLAP_DEPTHS_MM[0]
    depths = [d for d in FLAP_DEPTHS_MM if d <= beside] or [beside]
    findings = []
    for j in () if plain or behind > LENGTH_TOLERANCE_MM else jaws:
        flap = _flap(held, jaw_direction(s, j), wide * scale, radius, list(flaps.values()), depths, part)
        if flap is not None:
            flaps[j.number] = flap
    left_out = [j.number for j in jaws if j.number not in flaps]
    if plain:
        findings.append(PLAIN_PAPER_DISC.at(where, way=f"{way_text(s)} in a bore" if s.held_inside else way_text(s)))
    elif behind > LENGTH_TOLERANCE_MM:
        findings.append(BEHIND_PAPER_JAWS.at(where, behind=mm(behind / scale, 1)))
    elif left_out:
        findings.append(JAW_DRAWN_ONLY.at(where, jaws=f"{'jaw' if s.jaws else 'stop'} {', '.join(map(str, left_out))}"))
    pricks, foot = _pricks(list(flaps.values()), radius)
    disc = _disc(s, made, held, flaps, radius, pricks, wide * scale)
    creases = {k: flap[:2] for k, flap in flaps.items()}
    return PaperChuck(s, disc, cone_piece(s.number, foot), radius, foot, held, creases, tuple(findings))


def _behind(s: SetUp, made: Model) -> float:
    """What of the part lies behind the grip and meets the disc, mm on paper; 0 for what the model has no body of."""
    return max(0.0, *(-b.start for b in bodies(s, made))) if held_body(s, made) is not None else 0.0


def _paper_fixture(s: SetUp, made: Model) -> PaperChuck | None:
    """Three walls and a flap; None where they have no room."""
    held, all_bodies = held_body(s, made), bodies(s, made)
    if held is None:
        return None
    shape = fixture_shape(held, [b for b in all_bodies if b.name != held.name])
    if shape is None:
        return None
    where = f"set-up {s.number}"
    far = float(np.hypot(*shape.floor.T).max())
    if far > LARGEST_DISC_MM:
        raise CHUCK_TOO_LARGE.error(where, radius=mm(far), most=mm(LARGEST_DISC_MM))
    net = fixture_piece(s, made, shape, held)
    said = (
        (bool(shape.wrong), FIXTURE_GOES_ON_WRONG),
        (shape.key is not None and not shape.wrong, FIXTURE_HAS_KEY),
        (shape.flap is None, FIXTURE_WITHOUT_FLAP),
    )
    findings = tuple(message.at(where) for holds, message in said if holds)
    cone = cone_piece(s.number, FIXTURE_FOOT_MM)
    return PaperChuck(s, net, cone, far, FIXTURE_FOOT_MM, held.outline, {}, findings, shape)


def _flap(
    held: Array,
    direction: float,
    wide: float,
    radius: float,
    others: list[Array],
    depths: Sequence[float],
    part: Sequence[PaperBody],
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
                and not any(b.start < depth and b.shape.intersects(shapely.LineString(corners[:2])) for b in part)
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
    what = "jaw" if s.jaws else "stop"
    named = [(f"{what} {number}", flap) for number, flap in flaps.items()]
    panels, folds = flap_panels(f"chuck {s.number}", rim, named, len(named))
    c = s.clamping
    return Piece(
        str(s.number),
        0,
        panels,
        folds,
        marks=disc_marks(s, made.nets.scale, held, flaps, radius, pricks, wide),
        title=f"{c.spindle} {PLAIN_DISC_TITLES.get(c.way, 'chuck' if s.jaws else 'plate')}, axis {c.on_centreline}",
        size=swing_text(s, made),
    )
