"""Options: every clamping that can be made of the work as it is, with its cuts, minutes and limits."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import product

from foldsketch.base.findings import Finding, Quantity, mm
from foldsketch.setup import messages
from foldsketch.setup.formulas.centre_holes import centre_holes
from foldsketch.setup.formulas.milling_time import NEXT_HOLE_MIN
from foldsketch.setup.formulas.turning_time import CENTRE_MIN, TOOL_CALL_MIN
from foldsketch.setup.formulas.way_cost import COUNTERWEIGHT_MIN, PROVE_MIN, SAWING_MIN, WayMinutes
from foldsketch.setup.formulas.work_limits import WorkLimits
from foldsketch.setup.formulas.workpiece_rules import support_for
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import PartEnd
from foldsketch.setup.plan.clamping_cuts import ClampingCuts
from foldsketch.setup.plan.option import Option, without_dominated
from foldsketch.setup.plan.target_groups import TargetGroups
from foldsketch.setup.plan.targets import Cut, Place, Target
from foldsketch.setup.plan.workholding import Workholding, fed_holding, is_covered, workholdings
from foldsketch.setup.spindle import Spindle
from foldsketch.setup.work.clamping_limits import grip_of, limits_of_clamping, speed_of_clamps, with_holder
from foldsketch.setup.work.fed_bar import fed_bar
from foldsketch.setup.work.holding import (
    HeldSurface,
    as_plate,
    free_length,
    held_surfaces,
    is_short_grip,
    length_for_jaws,
    on_fixture_face,
)
from foldsketch.setup.work.solid import Done
from foldsketch.setup.work.states import WorkStates
from foldsketch.setup.work.surface_cuts import Tool

PART_ENDS: tuple[PartEnd, ...] = ("+z", "-z")

JAW_LENGTH_MM = 40.0
"""Most that jaws grip along the axis [M]."""

CENTRE_TOOL = Tool("drill", 0.0)
"""The centre drill."""

PARTING_TOOL = Tool("blade", 0.0)
"""The blade that parts a piece off the bar."""

MIN_WEIGHTED_UNBALANCE_G_MM = 100.0
"""No counterweight is bolted on for less [C]."""


@dataclass(slots=True)
class OptionFinder:
    """Finds options. rejected: what cannot be held, and why, in the order found."""

    states: WorkStates
    machine: Machine
    cuts: ClampingCuts
    needed: frozenset[str]
    rejected: dict[Finding, None] = field(default_factory=dict)
    _found: dict[tuple[Done, frozenset[str], str], list[Option]] = field(default_factory=dict)
    groups: TargetGroups = field(init=False)

    def __post_init__(self) -> None:
        """Group the targets of the same part."""
        self.groups = TargetGroups(self.states, self.cuts)

    def options(self, done: Done, raw_used: frozenset[str], spindle: Spindle) -> list[Option]:
        """Clampings that cut something, none of them worse than another in setting and minutes with the same result."""
        key = (done, raw_used, spindle.name)
        if key not in self._found:
            found: list[Option] = []
            for place in self._places(done, spindle):
                targets = self.cuts.targets(done, place)
                if targets:
                    found += self._held(done, raw_used, place, targets)
            self._found[key] = without_dominated(found, len(self.machine.spindles) > 1)
        return self._found[key]

    def left(self, done: Done) -> tuple[str, ...]:
        """What this machine is asked for and is not done."""
        return tuple(n for n in self.states.left(done) if n in self.needed)

    def _places(self, done: Done, spindle: Spindle) -> list[Place]:
        """Every surface that jaws find, with every axis that has something left on it on the centreline.

        Nobody puts a screw hole there: where only such are left, it is the first axis along z.
        """
        left = self.left(done)
        turned = {self.groups.axis_of(n) for n in left if not self.groups.is_fastening(n)}
        upright = [a for a in self.states.part.axes if a.along_z]
        lines = [a for a in upright if a.name in turned] or upright[: len(left)][:1]
        made = []
        if self.states.blank.kind == "bar" and not done and spindle.name == "main":
            made = self._fed(spindle, [a.name for a in lines])
        surfaces = held_surfaces(self.states, done)
        for end, surface in product(PART_ENDS, surfaces):
            held = on_fixture_face(self.states, done, surface, end)
            span = length_for_jaws(self.states, done, held, end, spindle)
            if isinstance(span, Finding):
                self.rejected[span] = None
                lying = as_plate(self.states, done, held, end)
                if lying is None:
                    continue
                held, span = lying, (lying.low, lying.high)
            for grip in self._grips(done, held, span, end, spindle):
                for a in lines:
                    made.append(Place(spindle, end, held, grip, a.name, (a.point[0], a.point[1])))
        return made

    def _fed(self, spindle: Spindle, lines: list[str]) -> list[Place]:
        """The bar fed through a spindle, each end of the part outward; none where it does not go through."""
        blank = self.states.blank
        x, y, _ = self.states.part.axis(blank.axis).point
        made = []
        for end in PART_ENDS if blank.axis in lines else ():
            fed = fed_bar(blank, (x, y), spindle, end, self.machine.cutters)
            if isinstance(fed, Finding):
                self.rejected[fed] = None
            else:
                made.append(Place(spindle, end, fed.held, fed.grip, blank.axis, (x, y), fed.parting))
        return made

    def _grips(
        self, done: Done, held: HeldSurface, span: tuple[float, float], end: PartEnd, spindle: Spindle
    ) -> list[tuple[float, float]]:
        """Lengths that jaws may grip: least, most, and what stops short of heights at which something is cut."""
        low, high = span
        if held.kind == "plate":
            return [(low, low)] if end == "+z" else [(high, high)]
        most = min(high - low, JAW_LENGTH_MM)
        lengths = {min(spindle.grip, most), most}
        heights = {v for r in self.states.rounds.values() if not r.cut for v in (r.low, r.high)}
        for v in heights:
            length = (v - low if end == "+z" else high - v) - spindle.jaw_clearance
            if spindle.grip <= length < most:
                lengths.add(length)
        grips = [(low, low + v) if end == "+z" else (high - v, high) for v in sorted(lengths)]
        # With a centre too, jaws that could take more do not hold long work by its end.
        pieces = self.states.solid(done).pieces
        return [g for g in grips if not is_short_grip(pieces, held, g, end) or g[1] - g[0] >= most]

    # How it is held --------------------------------------------------------------------------------------------------

    def _held(self, done: Done, raw_used: frozenset[str], place: Place, targets: tuple[Target, ...]) -> list[Option]:
        states, spindle = self.states, place.spindle
        swing = states.swing(done, place.at)
        if swing > self.machine.swing:
            where = f"axis {place.line} on the spindle"
            self.rejected[messages.SWING_TOO_LARGE.at(where, swing=mm(swing, 1), most=mm(self.machine.swing))] = None
            return []
        mass = states.mass(done).mass
        if spindle.part_weight is not None and mass is not None and mass > spindle.part_weight:
            kg, most = Quantity(mass, "kg", 1), Quantity(spindle.part_weight, "kg", 1)
            self.rejected[messages.WORK_TOO_HEAVY.at(f"{spindle.name} spindle", mass=kg, most=most)] = None
            return []
        ways, refused = workholdings(
            states, done, raw_used, place.held, place.line, place.offset, spindle, self.machine
        )
        if place.parting:
            ways, refused = [fed_holding(spindle)], []
        self.rejected.update(dict.fromkeys(refused))
        raw_after = raw_used | ({place.held.of} if place.held.raw else set())
        centres = self._centres(done, place)
        made = []
        for chosen in self.groups.subsets(targets):
            after = states.settled(done | {t.surface for t in chosen})
            limits = limits_of_clamping(states, done, after, place.at, spindle, self.machine.grade)
            rotors = [r for d in (done, after) if (r := states.rotor(d, place.at)) is not None]
            worst = max((r.unbalance for r in rotors), default=0.0)
            weights = [False]
            placed = spindle.weight_radius is not None and spindle.weight_planes and spindle.force is not None
            if worst > MIN_WEIGHTED_UNBALANCE_G_MM and placed:
                weights.append(True)
            for holding, weighted, centre in product(ways, weights, centres):
                option = self._option(done, place, holding, weighted, centre, chosen, limits, worst, raw_after)
                if option is not None:
                    made.append(option)
        return made

    def _centres(self, done: Done, place: Place) -> list[bool]:
        """Without and with a tailstock centre, as the work asks for and allows."""
        solid, fits = self.states.solid(done), False
        if place.spindle.name == "main" and self.machine.tailstock:
            holes = centre_holes(solid.part, (place.line,))
            fits = any(h.fits and h.end == place.from_end for h in holes)
        return ([False] if self._holds_alone(done, place) else []) + ([True] if fits else [])

    def _holds_alone(self, done: Done, place: Place) -> bool:
        """Whether a chuck holds the work without a centre."""
        pieces = self.states.solid(done).pieces
        free = max(0.0, free_length(pieces, place.grip, place.from_end))
        supported = not self.machine.tailstock or support_for(free, place.held.diameter) == "chuck alone"
        return supported and not is_short_grip(pieces, place.held, place.grip, place.from_end)

    def _option(
        self,
        done: Done,
        place: Place,
        holding: Workholding,
        weighted: bool,
        centre: bool,
        chosen: tuple[Target, ...],
        limits: WorkLimits,
        worst: float,
        raw_after: frozenset[str],
    ) -> Option | None:
        limits = with_holder(limits, place.spindle, "fixture" if holding.way == "offset_fixture" else holding.chuck)
        cap = limits.cap(weighted, speed_of_clamps(place.spindle, holding.way, worst))
        grip = None
        if holding.in_jaws:
            length = place.grip[1] - place.grip[0]
            grip = grip_of(place.spindle, place.held, length, worst, centre)
        made: dict[str, Cut] = {}
        for t in chosen:
            covered = is_covered(self.states, place, holding, centre, t)
            cut = None if covered else self.cuts.cut(done, place, t, cap, grip)
            if cut is not None and (t.name not in made or cut.minutes < made[t.name].minutes):
                made[t.name] = cut
        cuts = tuple(made.values())
        if len({t.name for t in chosen}) > len(made):
            kept = self.groups.kept_together(tuple(c.target for c in cuts))
            cuts = tuple(c for c in cuts if c.target in kept)
        if not cuts:
            return None
        tools = frozenset(p.tool for c in cuts for p in c.parts) | ({CENTRE_TOOL} if centre else set())
        parting = 0.0
        if place.parting:
            tools |= {PARTING_TOOL}
            parting = self.cuts.parting(place.held.diameter, cap)
        way = self.machine.way_minutes[holding.way]
        extra = WayMinutes(0, 0, 0)
        if any(c.target.how == "driven" for c in cuts):
            extra = self.machine.way_minutes["driven"]
        elif any(c.target.how == "interpolated" for c in cuts):
            extra = self.machine.way_minutes["interpolated"]
        setting = way.make + way.set + extra.make + extra.set + PROVE_MIN + (COUNTERWEIGHT_MIN if weighted else 0.0)
        minutes = sum(c.minutes for c in cuts) + TOOL_CALL_MIN * len(tools)
        minutes += CENTRE_MIN if centre else 0.0
        holes = [p.tool for c in cuts if c.target.how == "drilled" for p in c.parts]
        minutes += NEXT_HOLE_MIN * (len(holes) - len(set(holes)))
        after = self.states.settled(done | {c.target.surface for c in cuts})
        each = way.each + extra.each
        if self.states.blank.kind == "bar" and not done and not place.parting:
            each += SAWING_MIN
        what = (holding, weighted, centre, done, after, raw_after, cuts, limits)
        return Option(place, *what, minutes, each, setting, tools, parting)
