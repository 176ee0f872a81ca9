"""What can be cut in one clamping: surfaces that fixed and driven tools get at, and by interpolation turning."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot, inf
from typing import Literal, NamedTuple

from foldsketch.part.cutting import CuttingData
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Cone, Cylinder, Feature
from foldsketch.setup.access.driven import check_drill_access
from foldsketch.setup.access.tool_access import Approach, Chuck, is_face_reached, is_reached
from foldsketch.setup.formulas.clamping_force import Grip
from foldsketch.setup.formulas.off_centre_cutting import driven_travel, interpolation_allowed, interpolation_speed
from foldsketch.setup.formulas.turning_time import CutTime
from foldsketch.setup.formulas.work_limits import Cap
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, PartEnd
from foldsketch.setup.spindle import Spindle
from foldsketch.setup.work.clamping_limits import ClampingLimits
from foldsketch.setup.work.holding import HeldSurface, length_beside_jaws
from foldsketch.setup.work.solid import Band, Done, Piece
from foldsketch.setup.work.states import Point, WorkStates
from foldsketch.setup.work.surface_cuts import SurfaceCut, SurfaceCuts, Tool

How = Literal["turned", "driven", "drilled", "interpolated"]

MIN_BAND_MM = 0.5
"""A shorter length beside the jaws is left for another clamping [C]."""


class Target(NamedTuple):
    """A surface that a clamping can cut. surface: feature, face or band; how: with which kind of tool."""

    surface: str | Band
    how: How

    @property
    def name(self) -> str:
        """The feature or face."""
        return self.surface.feature if isinstance(self.surface, Band) else self.surface


class Cut(NamedTuple):
    """A target with the tools and times of its cuts."""

    target: Target
    parts: tuple[SurfaceCut, ...]

    @property
    def minutes(self) -> float:
        """Minutes without tool calls."""
        return sum(p.time.minutes for p in self.parts)


@dataclass(frozen=True, slots=True)
class Place:
    """Work in a chuck, before anything is known of how it is held.

    line: axis on the centreline; at: its x and y, mm; grip: heights between which the work is held, mm.
    """

    spindle: Spindle
    from_end: PartEnd
    held: HeldSurface
    grip: tuple[float, float]
    line: str
    at: Point

    @property
    def offset(self) -> float:
        """From the held axis to the centreline, mm."""
        d = hypot(self.held.at[0] - self.at[0], self.held.at[1] - self.at[1])
        return 0.0 if d < LENGTH_TOLERANCE_MM else d


class ClampingCuts:
    """Targets and cuts of clampings of one part on one machine. data: None where the material has no cutting data."""

    def __init__(self, states: WorkStates, machine: Machine, data: CuttingData | None) -> None:
        self.states, self.machine, self.data = states, machine, data
        self.part = states.part
        self.features = {f.name: f for f in self.part.features}
        self.driven_cap = Cap(machine.driven_speed, "machine")
        self.surface_cuts = SurfaceCuts(states, machine, data) if data else None
        self.fixed_minutes = machine.times.cut if machine.times else 2.0
        self._targets: dict[tuple[Done, Place], tuple[Target, ...]] = {}
        self.finished: Done = frozenset(states.to_machine)
        self._always: dict[tuple[Target, Approach], bool | None] = {}
        self.widest = max(s.largest / 2 for s in machine.spindles)
        self._clear_of: dict[tuple[Done | None, Target, Approach], list[Chuck]] = {}
        self._access: dict[tuple[Target, Approach], tuple[list[Done], list[Done]]] = {}
        self._drilled: dict[tuple[Done, str, PartEnd], bool] = {}
        self._timed: dict[tuple[object, ...], tuple[SurfaceCut, ...] | None] = {}

    def targets(self, done: Done, place: Place) -> tuple[Target, ...]:
        """What tools get at in a clamping, with all of it machined: the most that can be cut together."""
        key = (done, place)
        if key not in self._targets:
            wanted = self._wanted(done, place)
            while True:
                after = self.states.settled(done | {t.surface for t in wanted})
                reached = [t for t in wanted if self._reached(done, after, place, t)]
                if len(reached) == len(wanted):
                    break
                wanted = reached
            self._targets[key] = tuple(wanted)
        return self._targets[key]

    # What is left to do here -----------------------------------------------------------------------------------------

    def _wanted(self, done: Done, place: Place) -> list[Target]:
        found: list[Target] = []
        for name in self.states.left(done):
            if name in self.states.faces:
                found += self._face_targets(name, place)
            elif name in self.states.rounds:
                found += self._round_targets(done, name, place)
        return found

    def _face_targets(self, name: str, place: Place) -> list[Target]:
        face = self.states.faces[name]
        if face.end != place.from_end:
            return []
        found = [Target(name, "turned")]
        if face.axis != place.line and face.free and self._indexes(place, face.axis, 2 * face.radius):
            found.insert(0, Target(name, "driven"))
        return found

    def _round_targets(self, done: Done, name: str, place: Place) -> list[Target]:
        r, f = self.states.rounds[name], self.features[name]
        if r.axis == place.line:
            surface = self._beside_jaws(done, name, place)
            return [Target(surface, "turned")] if surface is not None else []
        if f.turned:
            return []
        found = []
        if self.is_drilled(f):
            if place.spindle.c_axis:
                found.append(Target(name, "drilled"))
        elif isinstance(f.shape, Cylinder) and self._indexes(place, r.axis, 2 * r.radius):
            found.append(Target(name, "driven"))
        if not found and not r.cut and self._follows(place, r.axis, r.radius):
            found.append(Target(name, "interpolated"))
        return found

    def is_drilled(self, f: Feature) -> bool:
        """Whether a drill finishes a hole."""
        small = isinstance(f.shape, Cylinder) and f.shape.diameter <= self.machine.tools.drill + LENGTH_TOLERANCE_MM
        return f.cut and small and f.finish != "machined"

    def _offset(self, place: Place, axis: str) -> float:
        p = self.part.axis(axis).point
        return hypot(p[0] - place.at[0], p[1] - place.at[1])

    def _indexes(self, place: Place, axis: str, diameter: float) -> bool:
        """Whether driven tools with C and Y go around a diameter on an axis."""
        most, cutters = self.machine.driven, self.surface_cuts.cutters if self.surface_cuts else (8.0,)
        if most is None or not place.spindle.c_axis or not cutters:
            return False
        e = self._offset(place, axis)
        s = place.spindle
        return e <= most and driven_travel(diameter, e, min(cutters), s.y_axis, s.x_below).enough

    def _follows(self, place: Place, axis: str, radius: float) -> bool:
        """Whether interpolation turning gives enough cutting speed."""
        most, accel, e = self.machine.interpolated, self.machine.tools.accel, self._offset(place, axis)
        if most is None or accel is None or e > most or self.data is None or e < LENGTH_TOLERANCE_MM:
            return False
        return interpolation_allowed(interpolation_speed(accel, e), 2 * radius, self.data.finish_speed)

    def _beside_jaws(self, done: Done, name: str, place: Place) -> str | Band | None:
        """What of a diameter on the centreline the jaws leave free: all, a band, or nothing."""
        stock, r, held = self.states.round_stock(done, name), self.states.rounds[name], place.held
        if stock is None:
            return None
        low, high = stock.low, stock.high
        gripped = held.kind == "outside" and held.axis == place.line and not r.cut
        if gripped and low < place.grip[1] and high > place.grip[0] and held.of in (name, ""):
            low, high = length_beside_jaws(place.grip, low, high, place.from_end)
        if high - low < MIN_BAND_MM:
            return None
        whole = low <= r.low + LENGTH_TOLERANCE_MM and high >= r.high - LENGTH_TOLERANCE_MM
        return name if whole else Band(name, low, high)

    # Whether a tool gets there ---------------------------------------------------------------------------------------

    def _reached(self, done: Done, after: Done, place: Place, target: Target) -> bool:
        """Whether a tool gets at a target. after: all that is machined by the end of the clamping."""
        if target.how == "drilled":
            return self._drill_reaches(done, place, self.features[target.name])
        if target.how in ("driven", "interpolated"):
            return self._driven_reaches(done, place, target)
        return self._turned_reaches(after, target, self.approach(place))

    def _turned_reaches(self, after: Done, target: Target, approach: Approach) -> bool:
        """Whether a fixed tool gets at a surface that turns, in a state in which it is made.

        Taking material away opens ways and closes none: the blank and the finished part settle most of it.
        """
        if approach.chuck is not None:
            bare = replace(approach, chuck=None)
            if not self._turned_reaches(after, target, bare):
                return False
            clear = self._clear_of.setdefault((after if self._always[target, bare] is None else None, target, bare), [])
            if any(_is_inside(approach.chuck, c, approach.end) for c in clear):
                return True
            # The widest chuck with its jaws there: what gets past it gets past all others.
            wide = replace(approach.chuck, inner=0.0, outer=max(self.widest, approach.chuck.outer))
            for chuck in (wide, approach.chuck):
                if self._reaches_in_state(after, target, replace(approach, chuck=chuck)):
                    clear.append(chuck)
                    return True
            return False
        return self._reaches_in_state(after, target, approach)

    def _reaches_in_state(self, after: Done, target: Target, approach: Approach) -> bool:
        key = (target, approach)
        if key not in self._always:
            in_blank = self._checked(frozenset({target.surface}), target, approach)
            in_finished = in_blank or self._checked(self.finished, target, approach)
            self._always[key] = True if in_blank else None if in_finished else False
        always = self._always[key]
        if always is not None:
            return always
        yes, no = self._access.setdefault(key, ([], []))
        if any(_has_all(after, d) for d in yes):
            return True
        if any(_has_all(d, after) for d in no):
            return False
        found = self._checked(after, target, approach)
        (yes if found else no).append(after)
        return found

    def _checked(self, after: Done, target: Target, approach: Approach) -> bool:
        solid = self.states.solid(after)
        if target.name in self.states.faces:
            face = self.states.faces[target.name]
            own = [p for p in solid.pieces if p.of == face.feature and self._at_face(p.low, p.high, face.height)]
            return bool(own) and is_face_reached(solid.part, own[0].feature, approach, face.end == approach.end)
        if self.features[target.name].cut:
            made = next((g for g in solid.part.features if g.name == target.name), None)
            return made is not None and is_reached(solid.part, made, approach)
        low, high = self.span(target)
        own = [
            p for p in solid.pieces if p.of == target.name and not p.raw and p.low < high - 1e-6 and p.high > low + 1e-6
        ]
        return bool(own) and all(is_reached(solid.part, self._clipped(p, low, high), approach) for p in own)

    def _clipped(self, piece: Piece, low: float, high: float) -> Feature:
        """What of a piece lies between two heights: a tool need not get at the rest."""
        low, high = max(low, piece.low), min(high, piece.high)
        if isinstance(piece.feature.shape, Cone) or (low, high) == (piece.low, piece.high):
            return piece.feature
        axis = self.part.axis(piece.feature.axis)
        sense = 1.0 if axis.direction[2] > 0 else -1.0
        start, end = sorted((sense * (low - axis.point[2]), sense * (high - axis.point[2])))
        return replace(piece.feature, start=start, end=end)

    def _at_face(self, low: float, high: float, height: float) -> bool:
        return min(abs(low - height), abs(high - height)) < LENGTH_TOLERANCE_MM

    def span(self, target: Target) -> tuple[float, float]:
        """Heights of a target, mm."""
        if isinstance(target.surface, Band):
            return target.surface.low, target.surface.high
        if target.name in self.states.faces:
            height = self.states.faces[target.name].height
            return height, height
        r = self.states.rounds[target.name]
        return r.low, r.high

    def _drill_reaches(self, done: Done, place: Place, f: Feature) -> bool:
        key = (done, f.name, place.from_end)
        if key not in self._drilled:
            tools, work = self.machine.tools, self.states.solid(done).part
            made = check_drill_access(self.part, f, place.from_end, tools, self.machine.cutters, work)
            self._drilled[key] = made.reason is None
        return self._drilled[key]

    def _driven_reaches(self, done: Done, place: Place, target: Target) -> bool:
        """By gap and stick-out of the cutters there are, in front of the chuck."""
        if target.name in self.states.faces:
            return self._in_front(place, self.states.faces[target.name].height)
        r = self.states.rounds[target.name]
        foot = r.low if place.from_end == "+z" else r.high
        if not r.cut and not self._in_front(place, foot):
            return False
        if r.cut:
            return not self._closed(target.name, place)
        if not self._foot_free(target.name, place.from_end):
            return False
        return (
            self.surface_cuts is None or self.surface_cuts.milled_round(done, target.name, place.from_end) is not None
        )

    def _closed(self, name: str, place: Place) -> bool:
        """Whether material of the finished part covers a bore towards the tool."""
        r, solid = self.states.rounds[name], self.states.solid(self.finished)
        x, y = self.part.axis(r.axis).point[:2]
        over = []
        for p in solid.pieces:
            region = section_at_height(solid.part, p.feature, (p.low + p.high) / 2)
            if region is not None and region.contains(x, y):
                over.append((p.low, p.high))
        if place.from_end == "+z":
            return any(high > r.high + LENGTH_TOLERANCE_MM for _, high in over)
        return any(low < r.low - LENGTH_TOLERANCE_MM for low, _ in over)

    def _foot_free(self, name: str, from_end: PartEnd) -> bool:
        """Whether nothing wider stands on a round feature, so that a cutter comes down beside it."""
        r = self.states.rounds[name]
        x, y = self.part.axis(r.axis).point[:2]
        for o in self.states.rounds.values():
            beyond = o.high > r.high + LENGTH_TOLERANCE_MM if from_end == "+z" else o.low < r.low - LENGTH_TOLERANCE_MM
            if o.cut or o is r or not beyond:
                continue
            ox, oy = self.part.axis(o.axis).point[:2]
            away = hypot(ox - x, oy - y)
            if away + o.radius > r.radius + LENGTH_TOLERANCE_MM and away < o.radius + r.radius:
                return False
        return True

    def _front(self, place: Place) -> float:
        return place.grip[1] if place.from_end == "+z" else place.grip[0]

    def _in_front(self, place: Place, height: float) -> bool:
        """Whether a height is in front of the jaws."""
        front = self._front(place)
        return (
            height >= front - LENGTH_TOLERANCE_MM if place.from_end == "+z" else height <= front + LENGTH_TOLERANCE_MM
        )

    def approach(self, place: Place) -> Approach:
        """How tools come to the work, with chuck and jaws in the way."""
        held, s, e = place.held, place.spindle, place.offset
        r = held.diameter / 2
        # Jaws come as near to the centreline as the surface that they hold, or to its other side.
        inner = abs(r - e) if e < r else max(0.0, e - r - s.jaw_height)
        outer = max(e + r + s.jaw_height, s.largest / 2)
        if held.kind == "plate":
            inner = 0.0
        chuck = Chuck(place.grip, inner, outer, e + r if held.kind == "bore" else 0.0)
        return Approach(place.at, place.from_end, self.machine.tools, self.machine.cutters, chuck)

    # How long it takes -----------------------------------------------------------------------------------------------

    def cut(self, done: Done, place: Place, target: Target, cap: Cap, grip: Grip | None) -> Cut | None:
        """A target with tools and times; None where the grip holds no pass or nothing is left to cut."""
        arm = (place.grip, cap, grip)
        key = (self._stock(done, place, target), target, place.from_end, place.at, arm)
        if key not in self._timed:
            self._timed[key] = self._cut(done, place, target, ClampingLimits(place.from_end, place.grip, cap, grip))
        parts = self._timed[key]
        return Cut(target, parts) if parts else None

    def _stock(self, done: Done, place: Place, target: Target) -> object:
        """What decides the cuts of a target in a state."""
        if target.name in self.states.faces:
            return self.states.face_stock(done, target.name, place.at)
        if self.states.rounds[target.name].cut:
            return (self.states.round_stock(done, target.name), done)
        return (self.states.round_stock(done, target.name), done if target.how == "driven" else None)

    def _cut(self, done: Done, place: Place, target: Target, limits: ClampingLimits) -> tuple[SurfaceCut, ...] | None:
        cuts, name = self.surface_cuts, target.name
        if cuts is None:
            time = CutTime(self.fixed_minutes, 0, 0.0, (limits.cap.speed,), *limits.cap, inf)
            return (SurfaceCut(name, Tool("outside"), time),)
        if target.how == "drilled":
            return cuts.drilled_holes(done, (name,))
        if target.how == "driven":
            if name in self.states.faces:
                return cuts.milled_face(done, name)
            return cuts.milled_round(done, name, place.from_end)
        if name in self.states.faces:
            return cuts.faced(done, name, place.at, limits)
        if target.how == "interpolated":
            assert self.machine.tools.accel is not None
            speed = interpolation_speed(self.machine.tools.accel, self._offset(place, self.states.rounds[name].axis))
            cap = min(limits.cap, Cap(speed, "machine"), key=lambda c: c.speed)
            limits = replace(limits, cap=cap)
        return cuts.turned(done, target.surface, limits)


def _is_inside(chuck: Chuck, other: Chuck, end: PartEnd) -> bool:
    """Whether a chuck is in the way of nothing that another one is not in the way of."""
    front = chuck.grip[1] <= other.grip[1] if end == "+z" else chuck.grip[0] >= other.grip[0]
    return front and chuck.inner >= other.inner and chuck.outer <= other.outer and chuck.bore <= other.bore


def _has_all(done: Done, other: Done) -> bool:
    """Whether all that is machined in one state is machined in another one too."""
    return all(d in done or (isinstance(d, Band) and d.feature in done) for d in other)
