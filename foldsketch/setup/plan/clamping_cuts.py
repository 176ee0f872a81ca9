"""What can be cut in one clamping, by fixed and driven tools and by interpolation turning, and how long it takes."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, inf

from foldsketch.part.cutting import CuttingData
from foldsketch.part.details import MAX_SMALL_HOLE_SHARE
from foldsketch.part.model import Cylinder, Feature, Part
from foldsketch.setup.formulas.clamping_force import Grip
from foldsketch.setup.formulas.off_centre_cutting import driven_travel, interpolation_allowed, interpolation_speed
from foldsketch.setup.formulas.turning_time import CutTime, part_off
from foldsketch.setup.formulas.work_limits import Cap
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM
from foldsketch.setup.plan.target_access import TargetAccess
from foldsketch.setup.plan.targets import Cut, Place, Target
from foldsketch.setup.work.clamping_limits import ClampingLimits
from foldsketch.setup.work.solid import Band, Done
from foldsketch.setup.work.states import WorkStates
from foldsketch.setup.work.surface_cuts import SurfaceCut, SurfaceCuts, Tool

MILLED_ROUNDNESS_MM = 0.02
"""Out of round by which a diameter comes from a cutter that goes around it under C and Y [M]."""

MIN_BAND_MM = 0.5
"""A shorter length beside the jaws is left for another clamping [C]."""


class ClampingCuts:
    """Targets and cuts of clampings of one part on one machine. data: None where the material has no cutting data."""

    def __init__(self, states: WorkStates, machine: Machine, data: CuttingData | None) -> None:
        self.states, self.machine, self.data = states, machine, data
        self.part = states.part
        self.features = {f.name: f for f in self.part.features}
        self.surface_cuts = SurfaceCuts(states, machine, data) if data else None
        self.access = TargetAccess(states, machine, self.surface_cuts)
        self.fixed_minutes = machine.times.cut if machine.times else 2.0
        self._targets: dict[tuple[Done, Place], tuple[Target, ...]] = {}
        self._timed: dict[tuple[object, ...], tuple[SurfaceCut, ...] | None] = {}

    def targets(self, done: Done, place: Place) -> tuple[Target, ...]:
        """What tools get at in a clamping, with all of it machined: the most that can be cut together."""
        key = (done, place)
        if key not in self._targets:
            wanted = self._wanted(done, place)
            while True:
                after = self.states.settled(done | {t.surface for t in wanted})
                reached = [t for t in wanted if self.access.reached(done, after, place, t)]
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
        found: list[Target] = []
        if f.turned or any(isinstance(d, Band) and d.feature == name for d in done):
            return []  # what is turned in part is turned to its end: a milled rest would not run true with it [C]
        if self.is_drilled(f):
            if place.spindle.c_axis:
                found.append(Target(name, "drilled"))
        elif r.axis == self.part.datum.name or (f.roundness is not None and f.roundness < MILLED_ROUNDNESS_MM):
            return []  # what all else is measured from is turned, and what must be rounder than a cutter makes it [C]
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
            low, high = (max(low, place.front), high) if place.from_end == "+z" else (low, min(high, place.front))
        if high - low < MIN_BAND_MM:
            return None
        whole = low <= r.low + LENGTH_TOLERANCE_MM and high >= r.high - LENGTH_TOLERANCE_MM
        return name if whole else Band(name, low, high)

    # How long it takes -----------------------------------------------------------------------------------------------

    def cut(self, done: Done, place: Place, target: Target, cap: Cap, grip: Grip | None) -> Cut | None:
        """A target with tools and times; None where the grip holds no pass or nothing is left to cut."""
        arm = (place.grip, cap, grip)
        key = (self._stock(done, place, target), target, place.from_end, place.at, arm)
        if key not in self._timed:
            self._timed[key] = self._cut(done, place, target, ClampingLimits(place.from_end, place.grip, cap, grip))
        parts = self._timed[key]
        return Cut(target, parts) if parts else None

    def parting(self, diameter: float, cap: Cap) -> float:
        """Minutes to part the work off a bar of a diameter, mm."""
        return self.fixed_minutes if self.data is None else part_off(diameter / 2, self.data, cap)

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


def small_hole(part: Part, machine: Machine) -> float:
    """Diameter, mm, up to which a hole on an axis of its own is drilled and no reason for a set-up."""
    widest = max((2 * f.radius for f in part.features if not f.cut), default=0.0)
    return min(machine.tools.drill, MAX_SMALL_HOLE_SHARE * widest)
