"""Turning time: minutes of turning a diameter and facing, at the speeds that a clamping allows.

Plain cutting formulas: t = L / (f n), n = 1000 v / (pi d), constant surface speed up to a cap when facing. Constants
are common practice or from memory [M]. Not in any time: chamfers, burrs, gauging, tool wear, spin-up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil, inf, pi
from typing import NamedTuple

from foldsketch.part.cutting import CuttingData
from foldsketch.setup.formulas.clamping_force import Grip, cutting_force
from foldsketch.setup.formulas.work_limits import Cap, SpeedLimit

FINISHING_STOCK_MM = 0.3
"""Left a side for the one finishing cut [M]."""

RUN_IN_MM = 2.0
"""Way of the tool before it cuts, at the feed of the cut [M]."""

PARTING_FEED_MM, PARTING_SPEED_SHARE = 0.08, 0.5
"""Feed a turn of a parting tool, and its share of the roughing speed [M]."""

SKIN_SPEED_SHARE = 0.7
"""Of the cutting speed, on the first pass under a cast skin and on every roughing pass of uneven stock [M]."""

FACING_SPEED_RISE = 3.0
"""Times the speed at the rim up to which the spindle is let run up towards the centre [C]."""

TOOL_CALL_MIN = 0.1
"""Minutes for one tool: turret index, approach, retract, rapids [M]."""

CENTRE_MIN = 0.4
"""Minutes a part for a tailstock centre: hole drilled, centre brought up [M]."""

MIN_PASS_MM = 0.1
"""Least depth of a roughing pass, mm: a thinner one rubs [C]."""


def speed_for(cutting_speed: float, diameter: float) -> float:
    """Spindle speed, r/min, for a cutting speed in m/min at a diameter in mm: 1000 v / (pi d).

    >>> round(speed_for(120, 90), 1)
    424.4
    """
    return 1000 * cutting_speed / (pi * diameter)


@dataclass(frozen=True, slots=True)
class Holding:
    """What limits every cut of a clamping.

    cap: from balance, force and machine; grip: of the chuck, or None where it is not asked (face plate, fixture); arm:
    mm from the middle of the grip to the far end of the cut.
    """

    cap: Cap
    grip: Grip | None = None
    arm: float = 0.0

    def speed(self, wanted: float, force: float, radius: float) -> Cap:
        """The speed of a pass and what sets it: the cut's own, the cap, or the grip for a cutting force at a radius."""
        found = [Cap(wanted, "cut"), self.cap, Cap(self.grip_speed(force, radius), "grip")]
        return min(found, key=lambda c: c.speed)

    def grip_speed(self, force: float, radius: float) -> float:
        """Speed, r/min, up to which the grip holds a cutting force at a radius; infinite where it is not asked."""
        return inf if self.grip is None else self.grip.speed_limit(force, radius, self.arm)

    def grip_at_rest(self, force: float, radius: float, speed: float) -> float:
        """Sum of jaw forces at rest, N, that a pass needs; 0 where the grip is not asked."""
        return self.grip.at_rest(force, radius, self.arm, speed) if self.grip else 0.0


class WantedSpeed(NamedTuple):
    """Where the spindle speed that a cut asks for comes from.

    cutting_speed: of the table, m/min; share: of it that is taken; diameter: at which it counts, mm.
    """

    cutting_speed: float
    share: float
    diameter: float

    @property
    def speed(self) -> float:
        """Spindle speed, r/min."""
        return speed_for(self.cutting_speed * self.share, self.diameter)


@dataclass(frozen=True, slots=True)
class CutTime:
    """One cut.

    minutes: without the tool call; passes: roughing passes, turns of a cutter, or holes; depth: of each, mm; speeds:
    r/min of the passes in order, the finishing one last (of a face, the highest that each reaches); speed, limit: the
    highest of them and what sets it; wanted, grip_speed: what the cut itself asks for there, and what the grip would
    hold, infinite where it is not asked or unknown; grip: N at rest, the most that a pass needs; lowest: r/min where
    the slowest pass begins (of a face at its outside), 0 where no pass is known; slow, fast: what is asked for there
    and at the highest speed.
    """

    minutes: float
    passes: int
    depth: float
    speeds: tuple[float, ...]
    speed: float
    limit: SpeedLimit
    wanted: float
    grip_speed: float = inf
    grip: float = 0.0
    lowest: float = 0.0
    slow: WantedSpeed | None = None
    fast: WantedSpeed | None = None


@dataclass(frozen=True, slots=True)
class _Pass:
    """One pass.

    minutes; cap: the highest speed and what sets it; wanted: the speed that the cut wants there; grip_speed: that the
    grip holds; grip: N at rest; lowest: the speed where it begins, r/min, and begins: what is wanted there.
    """

    minutes: float
    cap: Cap
    wanted: WantedSpeed
    grip_speed: float
    grip: float
    lowest: float
    begins: WantedSpeed


def highest_speed(cuts: Iterable[CutTime]) -> CutTime | None:
    """The cut that runs fastest: its speed is the one to recommend for a clamping, its limit what stops it there."""
    return max(cuts, key=lambda c: c.speed, default=None)


def turn(
    length: float,
    start_radius: float,
    end_radius: float,
    data: CuttingData,
    holding: Holding,
    skin: bool = False,
    uneven: bool = False,
) -> CutTime | None:
    """Turning or boring a diameter from one radius to another, mm; None where the grip holds no pass.

    t = sum (L + 2) / (f n). skin: the first pass runs under a cast skin; uneven: the stock lies off centre, and the
    radii are those of its deepest place. A roughing pass goes by its largest diameter, the finishing cut by the
    finished one.
    """

    def one(before: float, after: float, rough: bool, first: bool) -> _Pass | None:
        feed = data.rough_feed if rough else data.finish_feed
        force = cutting_force(data.force, abs(before - after), feed)
        radius = max(before, after) if rough else after
        wanted = _wanted(data, rough, (uneven and rough) or (first and (skin or uneven)), 2 * radius)
        cap = holding.speed(wanted.speed, force, max(before, after))
        if cap.speed <= 0:
            return None
        held, needed = (
            holding.grip_speed(force, max(before, after)),
            holding.grip_at_rest(force, max(before, after), cap.speed),
        )
        return _Pass((length + RUN_IN_MM) / (feed * cap.speed), cap, wanted, held, needed, cap.speed, wanted)

    return _least_time(abs(start_radius - end_radius), start_radius, end_radius, data, one)


def face(
    outer: float,
    inner: float,
    stock: float,
    data: CuttingData,
    holding: Holding,
    skin: bool = False,
    uneven: bool = False,
) -> CutTime | None:
    """Facing a ring between two radii, mm, at constant surface speed; None where the grip holds no pass.

    It begins at the outside with 1000 v_c / (pi d), d = 2 r1, and rises inwards to n_c, the least of three times that
    speed, the work limit and the grip; r_c is the radius where it gets there:
    t = pi (r1^2 - max(r_c, r2)^2) / (1000 v f) + max(0, min(r_c, r1) - r2) / (f n_c), r1 with the run-in.
    """

    def one(before: float, after: float, rough: bool, first: bool) -> _Pass | None:
        feed = data.rough_feed if rough else data.finish_feed
        force = cutting_force(data.force, before - after, feed)
        begins = _wanted(data, rough, (uneven and rough) or (first and (skin or uneven)), 2 * outer)
        cap = holding.speed(FACING_SPEED_RISE * begins.speed, force, outer)
        if cap.speed <= 0:
            return None
        v = begins.cutting_speed * begins.share
        minutes, top = _facing(outer + RUN_IN_MM, inner, v, feed, cap.speed)
        reached = Cap(top, cap.limit if top >= cap.speed else "cut")
        wanted = begins._replace(diameter=max(2 * outer / FACING_SPEED_RISE, 2 * inner))
        held, needed = holding.grip_speed(force, outer), holding.grip_at_rest(force, outer, top)
        return _Pass(minutes, reached, wanted, held, needed, min(begins.speed, cap.speed), begins)

    return _least_time(stock, stock, 0.0, data, one)


def part_off(radius: float, data: CuttingData, cap: Cap) -> float:
    """Minutes to part a bar of a radius in mm off: one cut to the middle at half the roughing speed and its own feed.

    The speed rises inwards as far as the cap.
    """
    v = PARTING_SPEED_SHARE * data.rough_speed
    return _facing(radius + RUN_IN_MM, 0.0, v, PARTING_FEED_MM, cap.speed)[0]


def _wanted(data: CuttingData, rough: bool, slowed: bool, diameter: float) -> WantedSpeed:
    speed = data.rough_speed if rough else data.finish_speed
    return WantedSpeed(speed, SKIN_SPEED_SHARE if slowed else 1.0, diameter)


def _facing(r1: float, r2: float, v: float, feed: float, cap: float) -> tuple[float, float]:
    """Minutes of one facing pass and the highest speed that it reaches."""
    rc = 1000 * v / (2 * pi * cap)
    surface = pi * max(0.0, r1**2 - max(rc, r2) ** 2) / (1000 * v * feed)
    capped = max(0.0, min(rc, r1) - r2) / (feed * cap)
    return surface + capped, cap if r2 < rc else speed_for(v, 2 * r2)


def _least_time(
    stock: float,
    start: float,
    end: float,
    data: CuttingData,
    one: Callable[[float, float, bool, bool], _Pass | None],
) -> CutTime | None:
    """Roughing passes of equal depth and one finishing cut, with the number of passes that takes least time.

    one: a pass from a level to another, roughing or not, the first or not. More passes than the depth asks for can be
    quicker where the grip limits the speed; the deepest cut that it carries would not always be.
    """
    sense = 1.0 if end > start else -1.0
    roughing = stock - FINISHING_STOCK_MM
    if roughing <= 1e-9:
        last = one(start, end, False, True)
        return _cut_time([last], 0.0) if last else None
    finish = one(end - sense * FINISHING_STOCK_MM, end, False, False)
    smallest = min(start, end)
    quickest = one(smallest, smallest, True, False)  # no roughing pass is quicker than one of no depth there
    if finish is None or quickest is None:
        return None
    least = max(1, ceil(stock / data.depth - 1e-9))
    best: CutTime | None = None
    for p in range(least, max(least, int(roughing / MIN_PASS_MM)) + 1):
        if best is not None and p * quickest.minutes + finish.minutes >= best.minutes:
            break
        depth = roughing / p
        made = []
        for k in range(p):
            before = start + sense * depth * k
            done = one(before, before + sense * depth, True, k == 0)
            if done is None:
                break
            made.append(done)
        if len(made) < p:
            continue
        found = _cut_time([*made, finish], depth)
        if best is None or found.minutes < best.minutes:
            best = found
    return best


def _cut_time(made: list[_Pass], depth: float) -> CutTime:
    top, slow = max(made, key=lambda m: m.cap.speed), min(made, key=lambda m: m.lowest)
    speeds, grip = tuple(m.cap.speed for m in made), max(m.grip for m in made)
    minutes, found = sum(m.minutes for m in made), (top.wanted.speed, top.grip_speed, grip)
    return CutTime(
        minutes, len(made) - 1, depth, speeds, *top.cap, *found, slow.lowest, slow=slow.begins, fast=top.wanted
    )
