"""What may be held: the surfaces of the work at a moment, how each may be held, and what length jaws find on it.

A raw surface is held once in the whole plan, in hard jaws and centred or on a fixture: jaws on it a second time would
not find it where they left it. Finished ones are held in pads, soft jaws or off centre. A surface that is made in a
clamping is never held in it: what may be held is asked of the state at its beginning [C].
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from operator import itemgetter
from typing import Literal

from foldsketch.base.findings import Finding, mm
from foldsketch.part.model import Cylinder, Plate, PrismShape, Ring
from foldsketch.setup import messages
from foldsketch.setup.access.sweep import sweep_of, z_extent
from foldsketch.setup.formulas.jaws import LOADING_STROKE_MM, jaw_stroke_needed
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, PartEnd, Sweep
from foldsketch.setup.spindle import Spindle
from foldsketch.setup.work.cut_ends import Piece
from foldsketch.setup.work.rectangle import Rectangle, rectangle_of
from foldsketch.setup.work.solid import Band, Done
from foldsketch.setup.work.states import Point, WorkStates

FIXTURE_LENGTH_MM = 3.0
"""Least length of a bore on which the pin of a fixture locates the work [C]."""

SHORT_GRIP_SHARE, SHORT_GRIP_OVERHANG = 1 / 3, 0.75
"""Jaws that grip less than so many diameters hold an overhang of so many without a centre [one chuck maker's text]."""

HeldKind = Literal["outside", "bore", "flats", "plate", "rectangle"]

RAW_WAYS = ("hard_jaws",)
CENTRED_WAYS = ("pads", "soft_jaws")
OFF_CENTRE_WAYS: dict[HeldKind, tuple[str, ...]] = {
    "outside": ("packed_three_jaw", "four_jaw", "bored_jaws", "offset_fixture", "face_plate"),
    "flats": ("four_jaw", "offset_fixture", "face_plate"),
    "bore": ("offset_fixture",),
    "plate": ("offset_fixture", "face_plate"),
    "rectangle": ("four_jaw",),
}
"""Keys of ways that a kind of surface can be held with off centre, where machine and size allow it."""


@dataclass(frozen=True, slots=True)
class HeldSurface:
    """A surface that jaws or a fixture can hold.

    of: feature, "" for the bar; name: as it is shown; axis: its own, at: x and y of that, mm; diameter: gripped, across
    flats for a prism, the shorter way of a rectangle, mm; low, high: heights, mm; raw: not yet machined; flats: of a
    prism, 0 for others; rectangle: of a plate whose sides are held.
    """

    of: str
    name: str
    kind: HeldKind
    axis: str
    at: Point
    diameter: float
    low: float
    high: float
    raw: bool
    flats: int = 0
    rectangle: Rectangle | None = None

    def ways(self, offset: float, raw_used: frozenset[str]) -> tuple[str, ...]:
        """Keys of the ways in which it may be held with its axis so far off centre, mm.

        raw_used: features, "" for the bar, whose raw surface was held before.
        """
        if self.raw and self.of in raw_used:
            return ()
        if self.kind in ("plate", "rectangle"):
            return OFF_CENTRE_WAYS[self.kind]
        if self.raw:
            return RAW_WAYS if offset <= LENGTH_TOLERANCE_MM else ()
        return CENTRED_WAYS if offset <= LENGTH_TOLERANCE_MM else OFF_CENTRE_WAYS[self.kind]


def held_surfaces(states: WorkStates, done: Done) -> tuple[HeldSurface, ...]:
    """The surfaces along z that can be held at the beginning of a clamping."""
    solid, found = states.solid(done), []
    for p in solid.pieces:
        axis = states.part.axis(p.feature.axis)
        kind: HeldKind | None = None
        diameter, flats = 2 * p.feature.radius, 0
        match p.feature.shape:
            case Cylinder() | Ring():
                kind = "outside"
            case PrismShape(n, across, _):
                kind, diameter, flats = "flats", across, n
            case Plate():
                kind = "plate"
        if kind is not None and axis.along_z:
            at = (axis.point[0], axis.point[1])
            found.append(
                HeldSurface(p.of, p.feature.name, kind, p.feature.axis, at, diameter, p.low, p.high, p.raw, flats)
            )
            sides = rectangle_of(solid.part, p)
            if sides is not None:
                across = sides.across[1]
                sides_held = replace(found[-1], kind="rectangle", at=sides.middle, diameter=across, rectangle=sides)
                found.append(sides_held)
    for f in solid.part.features:
        axis = states.part.axis(f.axis)
        if f.cut and axis.along_z and isinstance(f.shape, Cylinder):
            at, extent = (axis.point[0], axis.point[1]), z_extent(solid.part, f)
            raw = f.name not in done
            found.append(HeldSurface(f.name, f.name, "bore", f.axis, at, f.shape.diameter, *extent, raw))
    return tuple(found)


def on_fixture_face(states: WorkStates, done: Done, held: HeldSurface, from_end: PartEnd) -> HeldSurface:
    """A plate on a fixture: raw until the face below it is machined and a finished round locates it [C].

    Plates that lie side by side on the same face are raw together: the first of them stands for all. The sides of a
    rectangle are raw until something round is machined: from then on four jaws are set by an indicator on that.
    """
    located = any(isinstance(d, Band) or d in states.rounds for d in done)
    if held.kind == "rectangle" and located:
        return replace(held, raw=False)
    if held.kind != "plate":
        return held
    up = from_end == "+z"
    if located and f"{held.of} {'-z' if up else '+z'}" in done:
        return replace(held, raw=False)
    level = held.low if up else held.high
    beside = (
        p.of
        for p in states.solid(done).pieces
        if isinstance(p.feature.shape, Plate) and abs((p.low if up else p.high) - level) < LENGTH_TOLERANCE_MM
    )
    return replace(held, raw=True, of=next(beside, held.of))


def as_plate(states: WorkStates, done: Done, held: HeldSurface, from_end: PartEnd) -> HeldSurface | None:
    """A disc at the chuck end that jaws do not find long enough, strapped or bolted down by its face like a plate [C].

    None for other surfaces, and for what comes from a bar: its sawn end is no face to lie on.
    """
    pieces, up = states.solid(done).pieces, from_end == "+z"
    level = held.low if up else held.high
    last = min(p.low for p in pieces) if up else max(p.high for p in pieces)
    widest = max((p.feature.radius for p in pieces if p.of != held.of), default=0.0)
    if held.kind != "outside" or abs(level - last) > LENGTH_TOLERANCE_MM or held.diameter / 2 < widest:
        return None
    if states.blank.bar and f"{held.of} {'-z' if up else '+z'}" not in done:
        return None
    return on_fixture_face(states, done, replace(held, kind="plate"), from_end)


def length_for_jaws(
    states: WorkStates, done: Done, held: HeldSurface, from_end: PartEnd, spindle: Spindle
) -> tuple[float, float] | Finding:
    """Heights between which jaws find a surface, mm, from the end in the chuck on; or why they do not hold it.

    from_end: the end that is machined; the chuck is at the other one. A plate has no jaws: its own height.
    """
    where = f"{spindle.name} spindle on '{held.name}', machined from {from_end}"
    if held.kind == "plate":
        return held.low, held.high
    pieces = states.solid(done).pieces
    bottom, top = min(p.low for p in pieces), max(p.high for p in pieces)
    low, high = max(held.low, bottom), min(held.high, top)
    up = from_end == "+z"
    behind = low - bottom if up else top - high
    blocker = ""
    if held.kind == "bore":
        if behind > LENGTH_TOLERANCE_MM:
            return messages.BORE_CLOSED_AT_CHUCK.at(where)
    else:
        if behind > spindle.depth + LENGTH_TOLERANCE_MM:
            return messages.TOO_LONG_FOR_CHUCK.at(where, length=mm(behind, 1), depth=mm(spindle.depth))
        wider = _wider(states, done, held, pieces)
        passing = [(p, s) for p, s in wider if (p.low < low if up else p.high > high)]
        by, widest = max(((p.feature.name, 2 * s.outer) for p, s in passing), key=itemgetter(1), default=("", 0.0))
        if held.rectangle is not None:  # four jaws are opened one by one, as far as it takes
            widest = 0.0
        needed = jaw_stroke_needed(max(widest, held.diameter), held.diameter)
        if needed > spindle.jaw_stroke + LENGTH_TOLERANCE_MM:
            stroke = {"needed": mm(needed), "stroke": mm(spindle.jaw_stroke)}
            return messages.STROKE_TOO_SHORT.at(where, feature=by or held.name, **stroke)
        if by:
            return messages.BLOCKS_JAWS.at(where, feature=by)
        # Open jaws stand farther out by the stroke to load, and must not touch what is beside them.
        reach = held.diameter / 2 + LOADING_STROKE_MM + spindle.jaw_height
        for p, inner in ((p, s.inner) for p, s in wider):
            beside = p.high > low + LENGTH_TOLERANCE_MM and p.low < high - LENGTH_TOLERANCE_MM
            if beside and inner < reach:
                blocker = p.feature.name
                low, high = (low, min(high, p.low)) if up else (max(low, p.high), high)
    length = min(FIXTURE_LENGTH_MM, spindle.grip) if held.kind == "bore" else spindle.grip
    if high - low < length - LENGTH_TOLERANCE_MM:
        lengths = {"length": mm(max(high - low, 0.0), 1), "needed": mm(length)}
        if blocker:
            return messages.GRIP_BLOCKED.at(where, feature=blocker, **lengths)
        return messages.GRIP_TOO_SHORT.at(where, **lengths)
    return low, high


def _wider(states: WorkStates, done: Done, held: HeldSurface, pieces: tuple[Piece, ...]) -> list[tuple[Piece, Sweep]]:
    """Pieces that sweep wider than a held outside about its own axis, with what they sweep."""
    found = []
    for p in pieces:
        s = sweep_of(states.solid(done).part, p.feature, held.at)
        own = p.of == held.of and (p.low, p.high) == (held.low, held.high)
        if held.rectangle is not None:
            own = own or not held.rectangle.holds_back(states.part, p)
        if not own and s.outer > held.diameter / 2 + LENGTH_TOLERANCE_MM:
            found.append((p, s))
    return found


def free_length(pieces: tuple[Piece, ...], grip: tuple[float, float], end: PartEnd) -> float:
    """How far the work stands out of the jaws towards the end that is machined, mm."""
    return max(p.high for p in pieces) - grip[1] if end == "+z" else grip[0] - min(p.low for p in pieces)


def is_short_grip(pieces: tuple[Piece, ...], held: HeldSurface, grip: tuple[float, float], end: PartEnd) -> bool:
    """Whether a grip is too short for what stands out of the jaws."""
    d = held.diameter
    return grip[1] - grip[0] < SHORT_GRIP_SHARE * d and free_length(pieces, grip, end) > SHORT_GRIP_OVERHANG * d
