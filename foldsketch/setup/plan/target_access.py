"""Whether fixed and driven tools get at the targets of a clamping, past chuck, jaws and the work itself."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Cone, Feature
from foldsketch.setup.access.driven import check_drill_access
from foldsketch.setup.access.tool_access import Approach, Chuck, is_face_reached, is_reached
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, PartEnd
from foldsketch.setup.plan.targets import Place, Target
from foldsketch.setup.work.cut_ends import Piece
from foldsketch.setup.work.solid import Band, Done
from foldsketch.setup.work.states import WorkStates
from foldsketch.setup.work.surface_cuts import SurfaceCuts


class TargetAccess:
    """What tools get at, remembered by state. surface_cuts: None where the material has no cutting data."""

    def __init__(self, states: WorkStates, machine: Machine, surface_cuts: SurfaceCuts | None) -> None:
        self.states, self.machine, self.surface_cuts = states, machine, surface_cuts
        self.part = states.part
        self.features = {f.name: f for f in self.part.features}
        self.finished: Done = frozenset(states.to_machine)
        self.widest = max(s.largest / 2 for s in machine.spindles)
        self._always: dict[tuple[Target, Approach], bool | None] = {}
        self._clear_of: dict[tuple[Done | None, Target, Approach], list[Chuck]] = {}
        self._access: dict[tuple[Target, Approach], tuple[list[Done], list[Done]]] = {}
        self._drilled: dict[tuple[Done, str, PartEnd], bool] = {}

    def reached(self, done: Done, after: Done, place: Place, target: Target) -> bool:
        """Whether a tool gets at a target. after: all that is machined by the end of the clamping."""
        if target.how == "drilled":
            return self._drill_reaches(done, place, self.features[target.name])
        if target.how in ("driven", "interpolated"):
            return self._driven_reaches(done, place, target)
        approach = self.approach(place)
        return self._clears_jaws(done, place, target, approach) and self._turned_reaches(after, target, approach)

    def is_face_free(self, name: str, place: Place) -> bool:
        """Whether a tool gets past what stands on a face of the finished part, with nothing else in its way."""
        return self._checked(self.finished, Target(name, "turned"), replace(self.approach(place), chuck=None))

    def _clears_jaws(self, done: Done, place: Place, target: Target, approach: Approach) -> bool:
        """Whether a diameter is cut in front of the jaws, or deep inside them with no stock as far out as they are."""
        r = self.states.rounds.get(target.name)
        stock = None if r is None or r.cut else self.states.round_stock(done, target.name)
        if stock is None or approach.chuck is None:
            return True
        low, high = self.span(target)
        up = place.from_end == "+z"
        foot, jaws = (low, place.grip[1]) if up else (high, place.grip[0])
        if self._in_front(place, foot):
            return True
        inside = jaws - foot if up else foot - jaws
        return inside > LENGTH_TOLERANCE_MM and stock.start <= approach.chuck.inner + LENGTH_TOLERANCE_MM

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

    def _in_front(self, place: Place, height: float) -> bool:
        """Whether a height is in front of the jaws."""
        above = height - place.front if place.from_end == "+z" else place.front - height
        return above >= -LENGTH_TOLERANCE_MM

    def approach(self, place: Place) -> Approach:
        """How tools come to the work, with chuck and jaws in the way."""
        held, s, e = place.held, place.spindle, place.offset
        r = held.diameter / 2
        # Jaws come as near to the centreline as the surface that they hold, or to its other side.
        inner = abs(r - e) if e < r else max(0.0, e - r - s.jaw_height)
        outer = max(e + r + s.jaw_height, s.largest / 2)
        if held.kind == "plate":
            inner = 0.0
        if held.rectangle is not None:
            sides = held.rectangle.distances(place.at)
            inner, outer = min(sides), max(max(sides) + s.jaw_height, s.largest / 2)
        beside = abs(place.front - (place.grip[1] if place.from_end == "+z" else place.grip[0]))
        if place.parting:  # the bar goes on between part and jaws
            inner, beside = 0.0, place.parting
        grip = (place.grip[0] - beside, place.grip[1] + beside)
        chuck = Chuck(grip, inner, outer, e + r if held.kind == "bore" else 0.0)
        return Approach(place.at, place.from_end, self.machine.tools, self.machine.cutters, chuck)


def _is_inside(chuck: Chuck, other: Chuck, end: PartEnd) -> bool:
    """Whether a chuck is in the way of nothing that another one is not in the way of."""
    front = chuck.grip[1] <= other.grip[1] if end == "+z" else chuck.grip[0] >= other.grip[0]
    return front and chuck.inner >= other.inner and chuck.outer <= other.outer and chuck.bore <= other.bore


def _has_all(done: Done, other: Done) -> bool:
    """Whether all that is machined in one state is machined in another one too."""
    return all(d in done or (isinstance(d, Band) and d.feature in done) for d in other)
