"""Clamping force: what the cut, the jaws' centrifugal force and an unbalance need, and the speed that a chuck allows.

Torque and axial tilting follow guideline VDI 3106 as chuck makers' manuals print it, with safety S_sp = 1.5 on the
whole; the loss at speed goes with the square of the speed (DIN EN 1550 allows two thirds of the force at rest). Neither
counts the unbalance of the work: its centrifugal force U w2 is added here. A first estimate; the chuck maker's plate
decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sqrt

from foldsketch.setup.formulas.balance import centrifugal_force

PLAIN_JAW_FRICTION, SERRATED_JAW_FRICTION = 0.15, 0.2
"""Friction of jaws on the work: smooth or soft jaws, and serrated ones [M: chuck makers' manuals]."""

CUT_SAFETY, CHUCK_SAFETY = 2.0, 1.5
"""S on the forces of the cut and S_sp on the force of the chuck [VDI 3106 as quoted: S_z and S_sp at least 1.5; S = 2
for a chuck in new condition, DIN EN 1550 in its older form]."""

HAND_GRIP_N_PER_MM, POWER_GRIP_N_PER_MM = 200.0, 400.0
"""Sum of the jaws' force, N for each mm of the largest diameter that it holds, up to which a chuck of unknown force is
used: tightened by hand 50 kN for one of 250, closed by a cylinder 100 [M: tables of scroll chucks at the torque of
the key, and of power chucks below their full pressure]."""

MAX_GRIP_LOSS_SHARE = 0.67
"""Most of the force at rest that may be lost at speed [DIN EN 1550, as quoted]."""

THREE_JAW_TILT = 1 / sqrt(3)
"""Share of the sum of three jaw forces that resists tilting about the worst direction, 0.577 [D]."""


def cutting_force(specific: float, depth: float, feed: float) -> float:
    """Main cutting force, N: k_c a_p f, from N/mm2, mm and mm a turn.

    >>> cutting_force(1500, 2, 0.25)
    750.0
    """
    return specific * depth * feed


def grip_for_torque(force: float, radius: float, diameter: float, friction: float = PLAIN_JAW_FRICTION) -> float:
    """Sum of jaw forces, N, that carries the torque of a cutting force at a radius: S F 2 r / (mu D).

    >>> round(grip_for_torque(750, 45, 22))  # d 90 turned while held on d 22
    40909
    """
    return CUT_SAFETY * force * 2 * radius / (friction * diameter)


def grip_against_tilting(
    force: float, arm: float, diameter: float, length: float, friction: float = PLAIN_JAW_FRICTION
) -> float:
    """Sum of jaw forces, N, that keeps a cutting force from tilting the work out of three jaws without a centre.

    S F a / (0.577 (mu D / 2 + l / 6)): friction along the jaws and the shift of pressure along the gripped length l
    carry the moment about the middle of the grip [D]. arm: mm from there to the far end of the cut.
    """
    return CUT_SAFETY * force * arm / (THREE_JAW_TILT * (friction * diameter / 2 + length / 6))


@dataclass(frozen=True, slots=True)
class Grip:
    """Work in a chuck.

    diameter: held, mm; length: gripped, mm; force: sum of the jaws at rest, N, None where unknown; loss: N lost at
    top_speed, r/min, 0 where unknown; unbalance: g mm about the centreline, of work and counterweight; inside: held in
    a bore, where the jaws press harder at speed; centre: a tailstock centre carries the tilting.
    """

    diameter: float
    length: float
    force: float | None
    loss: float
    top_speed: float
    unbalance: float = 0.0
    inside: bool = False
    centre: bool = False
    friction: float = PLAIN_JAW_FRICTION

    def for_cut(self, force: float, radius: float, arm: float) -> float:
        """Sum of jaw forces, N, for a cutting force at a radius: the greater of torque and tilting."""
        torque = grip_for_torque(force, radius, self.diameter, self.friction)
        if self.centre:
            return torque
        return max(torque, grip_against_tilting(force, arm, self.diameter, self.length, self.friction))

    def at_rest(self, force: float, radius: float, arm: float, speed: float) -> float:
        """Sum of jaw forces at rest, N, that a cut at a speed needs.

        S_sp (F_sp + F_c + U w2), F_c the other way from inside.
        """
        lost = self.loss * (speed / self.top_speed) ** 2 * (-1 if self.inside else 1)
        need = self.for_cut(force, radius, arm) + lost + centrifugal_force(self.unbalance, speed)
        return CHUCK_SAFETY * max(need, 0.0)

    def speed_limit(self, force: float, radius: float, arm: float) -> float:
        """Speed, r/min, up to which the chuck holds a cut: 0 where it cannot, infinite where its force is unknown.

        n = (30 / pi) sqrt((F / S_sp - F_sp) / (loss / w_max2 + U 10^-6)).
        """
        if self.force is None:
            return inf
        spare = self.force / CHUCK_SAFETY - self.for_cut(force, radius, arm)
        if spare < 0:
            return 0.0
        falling = self.loss / (self.top_speed * pi / 30) ** 2 * (-1 if self.inside else 1) + self.unbalance * 1e-6
        return sqrt(spare / falling) * 30 / pi if falling > 0 else inf
