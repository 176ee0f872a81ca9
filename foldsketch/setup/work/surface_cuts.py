"""Cuts of one surface: what a clamping does to it, with which tool, how long and how fast.

The stock comes from the state of the work, the speeds from what limits the clamping, the tools from the machine file.
"""

from __future__ import annotations

from math import hypot
from typing import NamedTuple

from foldsketch.part.cutting import CuttingData
from foldsketch.part.mass.section import section_at_height
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.cutters import CutterKind
from foldsketch.setup.formulas.milling_time import (
    MAX_CUTTER_STICK_OUT,
    drill,
    largest_cutter,
    mill_bore,
    mill_face,
    mill_outside,
)
from foldsketch.setup.formulas.turning_time import CutTime, Holding, face, turn
from foldsketch.setup.formulas.work_limits import Cap
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, PartEnd
from foldsketch.setup.work.clamping_limits import ClampingLimits
from foldsketch.setup.work.solid import Band, Done
from foldsketch.setup.work.states import Point, WorkStates

PILOT_STEP_MM = 2.0
"""A bore that is finished by a bar or a cutter is drilled so much smaller in diameter at least [C]."""

CUTTER_CLEARANCE_MM = 2.0
"""Between a driven cutter and the drilled hole that it enters, in diameter, and between its shank's end and the work
[C]."""


class Tool(NamedTuple):
    """A tool that is called. kind and diameter, mm, 0 where its size does not matter."""

    kind: CutterKind
    diameter: float = 0.0


class SurfaceCut(NamedTuple):
    """One cut. surface: feature or face; tool; time."""

    surface: str
    tool: Tool
    time: CutTime


class SurfaceCuts:
    """Cuts on the work of one part, on one machine. data: cutting data of its material."""

    def __init__(self, states: WorkStates, machine: Machine, data: CuttingData) -> None:
        self.states, self.machine, self.data = states, machine, data
        self.driven_cap = Cap(machine.driven_speed, "machine")
        sizes = [c.diameter for c in machine.cutters_of("cutter")]
        self.cutters = tuple(s for s in sizes if s <= machine.tools.driven_diameter + LENGTH_TOLERANCE_MM)
        self.drills = tuple(sorted(c.diameter for c in machine.cutters_of("drill")))

    # On the centreline -----------------------------------------------------------------------------------------------

    def faced(self, done: Done, name: str, at: Point, limits: ClampingLimits) -> tuple[SurfaceCut, ...] | None:
        """A face turned about a centreline; empty where nothing is left to do, None where the grip holds no pass."""
        stock, surface = self.states.face_stock(done, name, at), self.states.faces[name]
        if stock is None:
            return ()
        raw = surface.height + (stock.depth if surface.end == "+z" else -stock.depth)
        holding = limits.holding(min(raw, surface.height), max(raw, surface.height))
        time = face(stock.outer, stock.inner, stock.depth, self.data, holding, stock.skin, stock.uneven)
        return None if time is None else (SurfaceCut(name, Tool("outside"), time),)

    def turned(
        self, done: Done, cut: str | Band, limits: ClampingLimits, kind: CutterKind = "outside"
    ) -> tuple[SurfaceCut, ...] | None:
        """A round feature, or a band of it, turned or drilled and bored on its own axis.

        None where the grip holds no pass. kind: outside tool, or axial beside a neighbour.
        """
        name = cut.feature if isinstance(cut, Band) else cut
        stock, r = self.states.round_stock(done, name), self.states.rounds[name]
        if stock is None:
            return ()
        if r.cut:
            return self._bored(done, name, limits)
        low, high = stock.low, stock.high
        if isinstance(cut, Band):
            low, high = max(low, cut.low), min(high, cut.high)
        holding = limits.holding(low, high)
        time = turn(high - low, stock.start, stock.end, self.data, holding, stock.skin, stock.uneven)
        if time is None:
            return None
        made = [SurfaceCut(name, Tool(kind), time)]
        if r.bore and not isinstance(cut, Band):
            inside = self._bore(name, r.bore, self._cored_ring(name), high - low, holding)
            if inside is None:
                return None
            made += inside
        return tuple(made)

    def _bored(self, done: Done, name: str, limits: ClampingLimits) -> tuple[SurfaceCut, ...] | None:
        """A bore on the centreline, drilled first where it is solid."""
        low, high = self.depth(done, name)
        stock = self.states.round_stock(done, name)
        assert stock is not None
        found = self._bore(name, stock.end, stock.start, high - low, limits.holding(low, high))
        return None if found is None else tuple(found)

    def _bore(self, name: str, radius: float, start: float, length: float, holding: Holding) -> list[SurfaceCut] | None:
        made = []
        if start <= 0:
            size = self.drill_for(name, 2 * radius)
            made.append(SurfaceCut(name, Tool("drill", size), drill(size, length, self.data, holding.cap)))
            start = size / 2
        if radius - start > LENGTH_TOLERANCE_MM or not made:
            time = turn(length, start, radius, self.data, holding)
            if time is None:
                return None
            made.append(SurfaceCut(name, Tool("bar"), time))
        return made

    def _cored_ring(self, name: str) -> float:
        """Radius from which the bore of a ring is bored: as it is cast, or 0 from a solid bar."""
        r, blank = self.states.rounds[name], self.states.blank
        return 0.0 if blank.bar else max(0.0, r.bore - blank.rounds.get(name, 0.0))

    # With driven tools -----------------------------------------------------------------------------------------------

    def milled_face(self, done: Done, name: str) -> tuple[SurfaceCut, ...]:
        """A face milled with the largest driven cutter."""
        surface = self.states.faces[name]
        stock = self.states.face_stock(done, name, self._at(surface.axis))
        if stock is None or not self.cutters:
            return ()
        size = max(self.cutters)
        time = mill_face(stock.area, stock.depth, size, self.data, self.driven_cap)
        return (SurfaceCut(name, Tool("cutter", size), time),)

    def milled_round(self, done: Done, name: str, from_end: PartEnd) -> tuple[SurfaceCut, ...] | None:
        """A round feature milled while the spindle indexes: its outside, or a bore that is drilled and milled.

        None where no cutter goes between it and its neighbours or reaches far enough.
        """
        stock, r = self.states.round_stock(done, name), self.states.rounds[name]
        if stock is None:
            return ()
        if r.cut:
            return self._milled_bore(done, name)
        own = [p for p in self.states.solid(done).pieces if p.of in (name, "")]
        deep = max(p.high for p in own) - r.low if from_end == "+z" else r.high - min(p.low for p in own)
        stick_out = deep + CUTTER_CLEARANCE_MM
        size = largest_cutter(self.gap(name), stick_out, self.cutters)
        if size is None:
            return None
        depth = stock.start - stock.end
        time = mill_outside(2 * r.radius, r.high - r.low, depth, size, self.data, self.driven_cap)
        return (SurfaceCut(name, Tool("cutter", size), time),)

    def _milled_bore(self, done: Done, name: str) -> tuple[SurfaceCut, ...] | None:
        low, high = self.depth(done, name)
        r, stock = self.states.rounds[name], self.states.round_stock(done, name)
        assert stock is not None
        made, hole = [], 2 * stock.start
        if hole <= 0:
            hole = self.drill_for(name, 2 * r.radius, driven=True)
            made.append(SurfaceCut(name, Tool("drill", hole), drill(hole, high - low, self.data, self.driven_cap)))
        if 2 * r.radius - hole > LENGTH_TOLERANCE_MM:
            reach = [
                c for c in self.cutters if c <= hole - CUTTER_CLEARANCE_MM and high - low <= MAX_CUTTER_STICK_OUT * c
            ]
            if not reach:
                return None
            size = max(reach)
            time = mill_bore(2 * r.radius, high - low, size, self.data, self.driven_cap)
            made.append(SurfaceCut(name, Tool("cutter", size), time))
        return tuple(made)

    def drilled_holes(self, done: Done, names: tuple[str, ...]) -> tuple[SurfaceCut, ...]:
        """Equal holes drilled one after the other with a driven drill; the first one carries the time of them all."""
        low, high = self.depth(done, names[0])
        size = 2 * self.states.rounds[names[0]].radius
        time = drill(size, high - low, self.data, self.driven_cap, holes=len(names))
        return (SurfaceCut(names[0], Tool("drill", size), time),)

    # Sizes -----------------------------------------------------------------------------------------------------------

    def drill_for(self, name: str, diameter: float, driven: bool = False) -> float:
        """The drill for a bore, mm.

        Its own size where a drill finishes it, else the largest that leaves enough to a bar or cutter; of a driven one
        not above [tool] drill.
        """
        f = next(f for f in self.states.part.features if f.name == name)
        most = self.machine.tools.drill
        if diameter <= most + LENGTH_TOLERANCE_MM and f.finish != "machined":
            return diameter
        fitting = [d for d in self.drills if d <= diameter - PILOT_STEP_MM and (not driven or d <= most)]
        return max(fitting, default=min(diameter - PILOT_STEP_MM, most))

    def depth(self, done: Done, name: str) -> tuple[float, float]:
        """Heights between which a bore goes through material, on its own axis, mm."""
        made = self.states.solid(done | {name})
        cut = next(f for f in made.part.features if f.name == name)
        low, high = z_extent(made.part, cut)
        at = self._at(cut.axis)
        solid = self.states.solid(done)
        there = []
        for p in solid.pieces:
            region = section_at_height(solid.part, p.feature, (p.low + p.high) / 2)
            if region is not None and region.contains(*at):
                there.append((p.low, p.high))
        if not there:
            return low, high
        return max(low, min(a for a, _ in there)), min(high, max(b for _, b in there))

    def gap(self, name: str) -> float:
        """Least distance between a round feature and the finished rounds that stand beside it, mm."""
        r = self.states.rounds[name]
        x, y = self._at(r.axis)
        found = [1e9]
        for o in self.states.rounds.values():
            if o.cut or o.axis == r.axis or o.high <= r.low or o.low >= r.high:
                continue
            ox, oy = self._at(o.axis)
            distance = hypot(ox - x, oy - y)
            if distance > abs(o.radius - r.radius):
                found.append(distance - o.radius - r.radius)
        return min(found)

    def _at(self, axis: str) -> Point:
        p = self.states.part.axis(axis).point
        return p[0], p[1]
