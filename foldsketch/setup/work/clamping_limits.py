"""Limits of a clamping, from the work at its beginning and end, the machine's spindle and what its jaws hold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from foldsketch.setup.formulas.clamping_force import HAND_GRIP_N_PER_MM, POWER_GRIP_N_PER_MM, Grip
from foldsketch.setup.formulas.turning_time import Holding
from foldsketch.setup.formulas.work_limits import Cap, SpeedLimit, WorkLimits, speed_at_force, work_limits
from foldsketch.setup.model import PartEnd
from foldsketch.setup.spindle import Spindle
from foldsketch.setup.work.holding import HeldSurface
from foldsketch.setup.work.solid import Done
from foldsketch.setup.work.states import Point, WorkStates

CLAMPED_WAYS = ("offset_fixture", "face_plate")
"""Ways in which clamps hold the work, not jaws or centres."""


@dataclass(frozen=True, slots=True)
class ClampingLimits:
    """What limits the cuts of one clamping.

    grip_range: heights between which the jaws hold, mm; cap: from balance, force and machine; grip: of the chuck, None
    on fixture, face plate and centres; from_end: the end that is machined.
    """

    from_end: PartEnd
    grip_range: tuple[float, float]
    cap: Cap
    grip: Grip | None

    def holding(self, low: float, high: float) -> Holding:
        """For a cut between two heights: its far end counts against tilting."""
        far = high if self.from_end == "+z" else low
        return Holding(self.cap, self.grip, abs(far - (self.grip_range[0] + self.grip_range[1]) / 2))


def limits_of_clamping(
    states: WorkStates, before: Done, after: Done, at: Point, spindle: Spindle, grade: float
) -> WorkLimits:
    """Speeds that balance, force and machine allow about a centreline, at the worse of beginning and end."""
    found = [r for done in (before, after) if (r := states.rotor(done, at)) is not None]
    return work_limits(tuple(found) or None, spindle.rotating_mass, grade, spindle.force, spindle.speed)


def with_holder(limits: WorkLimits, spindle: Spindle, holder: SpeedLimit | None) -> WorkLimits:
    """The same limits with a chuck, face plate or fixture on the spindle that may have a lower one of its own."""
    own = spindle.speed if holder is None else spindle.speed_on(holder)
    return limits if holder is None or own >= limits.machine else replace(limits, machine=own, machine_limit=holder)


def speed_of_clamps(spindle: Spindle, way: str, unbalance: float) -> float:
    """Speed, r/min, at which the work pulls as much as the clamps of a fixture or face plate may take; inf elsewhere.

    unbalance: g mm of the work about the centreline, whether or not a counterweight is fitted.
    """
    return speed_at_force(unbalance, spindle.fixture_pull) if way in CLAMPED_WAYS else inf


def usual_grip(spindle: Spindle) -> float:
    """Sum of the jaws' force, N, that a chuck of this size usually has, closed by a cylinder or by a key."""
    return (POWER_GRIP_N_PER_MM if spindle.power else HAND_GRIP_N_PER_MM) * spindle.largest


def grip_of(spindle: Spindle, held: HeldSurface, length: float, unbalance: float = 0.0, centre: bool = False) -> Grip:
    """The grip of a spindle's chuck on a held surface over a length, mm. unbalance: g mm about the centreline.

    Of a chuck whose force is not known no cut asks for more than is usual.
    """
    inside = held.kind == "bore"
    force = usual_grip(spindle) if spindle.grip_force is None else spindle.grip_force
    return Grip(held.diameter, length, force, spindle.grip_loss or 0.0, spindle.speed, unbalance, inside, centre)
