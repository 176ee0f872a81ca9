"""States of the work: the solid after what is done, with its mass, unbalance and sweep, kept by what is done."""

from __future__ import annotations

from math import hypot
from typing import NamedTuple

from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.mass.mass_properties import MassProperties, mass_properties
from foldsketch.part.mass.moments import section_moments
from foldsketch.part.mass.region import Region
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Feature, Part
from foldsketch.setup.access.sweep import sweep_of, sweeps, swing
from foldsketch.setup.formulas.couple import Unbalance, unbalance_about
from foldsketch.setup.formulas.work_limits import RotorState
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, Sweep
from foldsketch.setup.work.blank import lathe_form, work_blank
from foldsketch.setup.work.solid import Band, Done, WorkSolid, work_solid
from foldsketch.setup.work.surfaces import Face, Round, faces_of, features_along_z, rounds_of

Point = tuple[float, float]


class RoundStock(NamedTuple):
    """What is to be taken off a round feature.

    start, end: radii about its own axis, mm, start 0 where a bore is still solid; uneven: the stock lies off centre;
    skin: it is a cast surface; low, high: heights of what is left to do, mm.
    """

    start: float
    end: float
    uneven: bool
    skin: bool
    low: float
    high: float


class FaceStock(NamedTuple):
    """What is to be taken off a face.

    outer, inner: radii of the ring that it sweeps about a centreline, mm, inner that of what stands in front of it
    (outer where that leaves nothing); depth: mm; area: of the raw face, mm2; uneven: the face does not fill the ring;
    skin: it is a cast surface.
    """

    outer: float
    inner: float
    depth: float
    area: float
    uneven: bool
    skin: bool


class WorkStates:
    """All states of the work on one part. Figures are worked out once for each state."""

    def __init__(self, part: Part, tolerance: Tolerance = DEFAULT_TOLERANCE) -> None:
        part = lathe_form(part)
        self.part, self.tolerance = part, tolerance
        self.blank = work_blank(part)
        self.rounds: dict[str, Round] = {r.feature: r for r in rounds_of(part)}
        self.faces: dict[str, Face] = {f.name: f for f in faces_of(part)}
        self.to_machine: tuple[str, ...] = (
            *(f.name for f in features_along_z(part) if self._is_machined(f)),
            *self.blank.faces,
        )
        self._solids: dict[Done, WorkSolid] = {}
        self._settled: dict[Done, Done] = {}
        self._round_stocks: dict[tuple[Done, str], RoundStock | None] = {}
        self._face_stocks: dict[tuple[Done, str, Point], FaceStock | None] = {}
        self._swings: dict[tuple[Done, Point], float] = {}
        self._masses: dict[Done, MassProperties] = {}

    def _is_machined(self, f: Feature) -> bool:
        """Whether a feature along z is to be machined: all of a bar.

        Of a casting rounds and cuts that do not stay as cast, and whatever has stock.
        """
        if self.blank.bar or f.stock > 0:
            return True
        return (f.is_round or f.cut) and f.finish != "cast"

    def solid(self, done: Done) -> WorkSolid:
        """The work with some surfaces done."""
        if done not in self._solids:
            self._solids[done] = work_solid(self.part, self.blank, done)
        return self._solids[done]

    def mass(self, done: Done) -> MassProperties:
        """Its mass properties, exact as those of the part."""
        if done not in self._masses:
            self._masses[done] = mass_properties(self.solid(done).part, self.tolerance)
        return self._masses[done]

    def unbalance(self, done: Done, at: Point) -> Unbalance | None:
        """Its resultant and couple about the upright centreline through a point; None without a density."""
        return unbalance_about(self.mass(done), at)

    def rotor(self, done: Done, at: Point) -> RotorState | None:
        """Its mass and unbalance about a centreline, for the limits; None without a density."""
        u, mass = self.unbalance(done, at), self.mass(done).mass
        return None if u is None or mass is None else RotorState(mass, u.amount)

    def sweeps(self, done: Done, at: Point) -> tuple[Sweep, ...]:
        """The rings of its features about a centreline."""
        return sweeps(self.solid(done).part, at)

    def swing(self, done: Done, at: Point) -> float:
        """Diameter that it sweeps about a centreline, mm."""
        if (done, at) not in self._swings:
            self._swings[done, at] = swing(self.sweeps(done, at))
        return self._swings[done, at]

    def left(self, done: Done) -> tuple[str, ...]:
        """What is to be machined and is not done, features and faces."""
        settled = self.settled(done)
        return tuple(name for name in self.to_machine if name not in settled)

    def settled(self, done: Done) -> Done:
        """The same state in one form: touching bands joined, and a feature by its name where they cover it all."""
        if done not in self._settled:
            self._settled[done] = self._in_one_form(done)
        return self._settled[done]

    def _in_one_form(self, done: Done) -> Done:
        names = {d for d in done if not isinstance(d, Band)}
        found: set[str | Band] = set(names)
        for feature in {d.feature for d in done if isinstance(d, Band)} - names:
            joined = _joined([d for d in done if isinstance(d, Band) and d.feature == feature])
            r = self.rounds[feature]
            tolerance = LENGTH_TOLERANCE_MM
            if any(b.low <= r.low + tolerance and b.high >= r.high - tolerance for b in joined):
                found.add(feature)
            else:
                found.update(joined)
        return frozenset(found)

    def round_stock(self, done: Done, name: str) -> RoundStock | None:
        """What is to be taken off a round feature, or off its bore for a cut; None where it is done."""
        if (done, name) not in self._round_stocks:
            self._round_stocks[done, name] = self._find_round_stock(done, name)
        return self._round_stocks[done, name]

    def _find_round_stock(self, done: Done, name: str) -> RoundStock | None:
        r = self.rounds[name]
        axis = self.part.axis(r.axis)
        at = (axis.point[0], axis.point[1])
        if r.cut:
            if name in done:
                return None
            stock = self.blank.rounds.get(name, 0.0) if name in self.blank.cores else r.radius
            return RoundStock(r.radius - stock, r.radius, False, name in self.blank.cores, r.low, r.high)
        solid = self.solid(done)
        own = [p for p in solid.pieces if p.raw and p.of in (name, "") and p.low < r.high and p.high > r.low]
        if not own:
            return None
        low, high = max(r.low, min(p.low for p in own)), min(r.high, max(p.high for p in own))
        bar = [p for p in own if not p.of]
        if not bar:
            start = max(sweep_of(solid.part, p.feature, at).outer for p in own)
            return RoundStock(start, start - self.blank.rounds.get(name, 0.0), False, not self.blank.bar, low, high)
        middle = self.part.axis(self.blank.axis).point
        offset = hypot(middle[0] - at[0], middle[1] - at[1])
        uneven = offset > LENGTH_TOLERANCE_MM
        return RoundStock(self.blank.diameter / 2 + offset, self._least_radius(r), uneven, False, low, high)

    def _least_radius(self, r: Round) -> float:
        """Smallest radius of the outside of a round feature, mm."""
        f = next(f for f in self.part.features if f.name == r.feature)
        levels = [r.low + 1e-9 * (r.high - r.low), r.high - 1e-9 * (r.high - r.low)]
        at = self.part.axis(f.axis).point[:2]
        regions = [section_at_height(self.part, f, z) for z in levels]
        return min(region.distance_range(*at)[1] for region in regions if region is not None)

    def face_stock(self, done: Done, name: str, at: Point) -> FaceStock | None:
        """What is to be taken off a face that is faced about a centreline; None where it is done or has no stock."""
        if (done, name, at) not in self._face_stocks:
            self._face_stocks[done, name, at] = self._find_face_stock(done, name, at)
        return self._face_stocks[done, name, at]

    def _find_face_stock(self, done: Done, name: str, at: Point) -> FaceStock | None:
        face = self.faces[name]
        depth = 0.0 if name in done else self.blank.faces.get(name, 0.0)
        if not depth:
            return None
        sense = 1.0 if face.end == "+z" else -1.0
        solid, tolerance = self.solid(done), 10 * LENGTH_TOLERANCE_MM
        level = face.height + sense * depth
        regions = _regions(solid, level - sense * LENGTH_TOLERANCE_MM, face.feature)
        if not regions:
            return None
        spans = [r.distance_range(*at) for r in regions]
        outer = max(s[1] for s in spans)
        pieces = [p for p in solid.pieces if (p.high > level + tolerance if sense > 0 else p.low < level - tolerance)]
        rings = [sweep_of(solid.part, p.feature, at) for p in pieces]
        in_front = max((s.outer for s in rings if s.inner < outer), default=0.0)
        inner = min(outer, max(in_front, min(s[0] for s in spans)))
        round_face = len(regions) == 1 and _is_disc(regions[0], at)
        area = section_moments([(r, False) for r in regions])[0]
        return FaceStock(outer, inner, depth, area, not round_face, not self.blank.bar)


def _joined(bands: list[Band]) -> list[Band]:
    """Bands of one feature, those that touch joined."""
    made: list[Band] = []
    for b in sorted(bands):
        if made and b.low <= made[-1].high + LENGTH_TOLERANCE_MM:
            made[-1] = made[-1]._replace(high=max(made[-1].high, b.high))
        else:
            made.append(b)
    return made


def _regions(solid: WorkSolid, level: float, feature: str) -> list[Region]:
    """Sections of a feature, or of the bar, at a height."""
    found = []
    for p in solid.pieces:
        if p.of in (feature, "") and p.low < level < p.high:
            region = section_at_height(solid.part, p.feature, level)
            if region is not None:
                found.append(region)
    return found


def _is_disc(region: Region, at: Point) -> bool:
    """Whether a region is a full round about a point."""
    least, most = region.distance_range(*at)
    return least == 0 and abs(region.distance_to_edge(*at) - most) < LENGTH_TOLERANCE_MM
