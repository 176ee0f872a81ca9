"""Every figure of a set-up with its formula, the numbers put in, and its value.

Lengths are in the unit of the part file; unbalance is in g mm throughout.
"""

from __future__ import annotations

from math import hypot, sqrt

from foldsketch.base.findings import Quantity
from foldsketch.base.units import normalized_degrees
from foldsketch.setup.cutters import TOOL_NAMES
from foldsketch.setup.formulas.indicator import stroke
from foldsketch.setup.formulas.jaws import corrected_packing, frictionless_offset_limit
from foldsketch.setup.formulas.turning_time import WantedSpeed
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.direction_text import direction_text
from foldsketch.setup.plan.limit_text import pull_of_the_work
from foldsketch.setup.work.clamping_limits import CLAMPED_WAYS

Row = tuple[str, str, str]
"""Name, formula with numbers, and value with unit of one figure."""


def explain_figures(plan: SetUpPlan) -> str:
    """Every figure of every set-up with its formula and the numbers put in."""
    lines: list[str] = []
    for s in plan.setups:
        c = s.clamping
        lines.append(
            f"set-up {s.number}: held on '{c.held_on}' ({c.holding_method}), axis {c.on_centreline} on the spindle"
        )
        lines += [f"  {name:<16} {formula} = {value}" for name, formula, value in figure_rows(s, plan.units)]
        lines.append("")
    for a in plan.alternatives:
        lines += [f"plan {a.number}, {a.label}:", *(f"  {step}" for step in a.steps)]
    cheapest = "the cheapest" if plan.number == 1 else "plan 1 is the cheapest"
    lines.append(f"searched: {plan.states_searched} states of the work; {cheapest} for {plan.batch}")
    if plan.rejected:
        lines.append("not possible on this machine:")
        lines += [f"  {f.text_in(plan.units)}" for f in plan.rejected]
    return "\n".join(lines)


def figure_rows(s: SetUp, units: str = "mm") -> list[Row]:
    """Name, formula with numbers, and value with unit of every figure of a set-up."""
    return _FigureRows(s, units).rows()


class _FigureRows:
    """The figures of one set-up; lengths in "mm" or "in"."""

    def __init__(self, s: SetUp, units: str) -> None:
        self.s, self.units = s, units

    def rows(self) -> list[Row]:
        return [*self._offsets(), *self._balance(), *self._packing(), *self._jaws(), *self._tools()]

    def _length(self, value: float, places: int = 3) -> str:
        return Quantity(value, "mm", places).text(self.units)

    def _offsets(self) -> list[Row]:
        s, c = self.s, self.s.clamping
        e = self._length(c.offset)
        widest = max(s.sweep, key=lambda w: w.outer)
        return [
            ("offset e", f"from axis {c.held_axis} (held) to axis {c.on_centreline} (on the spindle)", e),
            ("stroke", f"2 e = 2 x {e}", self._length(stroke(c.offset))),
            ("indicator", f"full reading 2 e = 2 x {e}", self._length(s.indicator)),
            (
                "spindle angle",
                "from the axis on the spindle before to this one, from the part's +x, seen from +z",
                f"{normalized_degrees(s.orientation):.3f}°",
            ),
            ("sub offset", "from the axis on the spindle before to this one", self._length(s.shift)),
            (
                "swing",
                f"2 x {self._length(widest.outer)}, the farthest of '{widest.feature}' from the centreline",
                self._length(s.swing),
            ),
        ]

    def _balance(self) -> list[Row]:
        s, v = self.s, self.s.speeds
        if not s.mass or s.unbalance is None:
            return []
        m, u = s.mass, s.unbalance
        distance = f"{u / m / 1000:.4f} (d: mm from the centre of mass to the centreline)"
        made = [
            ("mass m", "volume x density, of the work as it is", f"{m:.4f} kg"),
            ("unbalance U", f"1000 m d = 1000 x {m:.4f} x {distance}", f"{u:.1f} g mm"),
        ]
        if s.couple is not None:
            made.append(("couple D", "sqrt(Ixz^2 + Iyz^2) about the centre of mass", f"{hypot(*s.couple):.0f} g mm^2"))
        if v.balance:
            formula = f"30/pi x 1000 G (m_rotor + m) / U = 9549.3 x {s.grade:g} x (m_rotor + m) / U [ISO 21940-11]"
            made.append(("speed by balance", formula, f"{v.balance:.1f} r/min"))
        if v.balance_weighted:
            made.append(("with weight", "the same for 0.05 U", f"{v.balance_weighted:.1f} r/min"))
        if v.force:
            made.append(("speed by force", "30/pi sqrt(F_allow 10^6 / U)", f"{v.force:.1f} r/min"))
        if v.grip is not None:
            formula = "30/pi sqrt(fixture_pull 10^6 / U), of the whole U: no counterweight takes it off the clamps"
            if s.clamping.way not in CLAMPED_WAYS:
                formula = "30/pi sqrt((F_grip/S_sp - F_sp) / (F_loss/w_max^2 + U 10^-6)), at the fastest cut"
            made.append(("speed by grip", formula, f"{v.grip:.1f} r/min"))
        if v.cut is not None:
            made.append(("speed of the cut", self._wanted(v.fast), f"{v.cut:.1f} r/min"))
        if v.slow is not None and v.roughing is not None:
            limited = v.roughing < v.slow.speed - 0.05
            formula = f"wants {v.slow.speed:.1f} r/min, " * limited + self._wanted(v.slow) + "; limited to" * limited
            made.append(("slowest pass", formula, f"{v.roughing:.1f} r/min"))
        if v.recommended is not None:
            made.append(("speed at most", f"the highest that a cut uses: {s.speed_text}", f"{v.recommended:.1f} r/min"))
            left = "U/10^6 (2 pi n/60)^2" + (" of the 0.05 U that are left" if s.weighted else "")
            made.append(("pull of the work", "U/10^6 (2 pi n/60)^2, on what holds it", f"{pull_of_the_work(s):.1f} N"))
            made.append(("force on spindle", left, f"{s.force or 0:.1f} N"))
            left = ("of D" if len(s.weights) > 1 else "of D + U (z_c - z_w)") if s.weighted else "of D"
            left += ", 5 % of it" if s.weighted and len(s.weights) > 1 else ""
            made.append(("moment there", f"D/10^9 (2 pi n/60)^2, {left}", f"{s.moment or 0:.3f} N m"))
            if s.bearing_force is not None:
                made.append(("on each bearing", "moment / bearing span, opposite ways", f"{s.bearing_force:.1f} N"))
        for w in s.weights:
            place = f"{self._length(w.plane, 1)} behind the chuck's face, {direction_text(s, w.angle)}"
            made.append(("counterweight", f"U / (1000 r), r {self._length(w.radius, 1)}, {place}", f"{w.mass:.4f} kg"))
        if s.clamping_force:
            formula = "S_sp (F_sp + F_c + U w^2) at rest; F_sp by torque 2 S F r/(mu D) or tilting [VDI 3106]"
            made.append(("grip", formula, f"{s.clamping_force:.0f} N"))
        return made

    def _wanted(self, wanted: WantedSpeed | None) -> str:
        """The speed that a cut asks for, with the numbers put in; a face begins at its outside and rises inwards."""
        if wanted is None:
            return "1000 v_c / (pi d)"
        slowed = f" x {wanted.share:g} (interrupted cut or cast skin)" if wanted.share != 1 else ""
        d = wanted.diameter
        return f"1000 v_c / (pi d), v_c {wanted.cutting_speed:g} m/min{slowed}, d {self._length(d)}"

    def _packing(self) -> list[Row]:
        s, e = self.s, self.s.clamping.offset
        if not s.packing:
            return []
        narrow, flat, own, width = s.packing
        diameter, offset = self._length(s.held_diameter), self._length(e)
        limit = self._length(frictionless_offset_limit(s.held_diameter))
        verdict = "e is below it" if s.packable else "e is not below it: do not pack"
        short = 0.1
        return [
            (
                "packing, narrow",
                f"1.5 e + (sqrt(D^2 - 3 e^2) - D)/2, D {diameter}, e {offset}",
                self._length(narrow),
            ),
            (
                "packing, flat",
                f"1.5 e = 1.5 x {offset}",
                f"{self._length(flat)}, {100 * (flat / narrow - 1):+.1f} % beside narrow jaws",
            ),
            (
                "packing, jaws",
                f"1.5 e + sqrt(R^2 - h^2) - R, h = e sqrt 3 / 2 - w/2 or 0, w {self._length(width)}: this chuck's",
                self._length(own),
            ),
            (
                "packing, second trial",
                f"1.5 e + 1.5 (e - measured); if the first of 1.5 e comes out {self._length(short)} short",
                self._length(corrected_packing(e, e - short)),
            ),
            ("packing, limit", f"D / (2 sqrt 3) = {diameter} / {2 * sqrt(3):.4f}", f"{limit}; {verdict}"),
        ]

    def _jaws(self) -> list[Row]:
        made: list[Row] = []
        for j in self.s.jaws:
            formula = "R^2 = (e sin t)^2 + (c + e cos t)^2 for narrow jaws, t from the offset"
            value = f"{self._length(j.from_centre)} from the centre"
            value += f", packing {self._length(j.packing)}" if j.packing else ""
            made.append((f"jaw {j.number} at {normalized_degrees(j.angle):.0f}°", formula, value))
        for h in self.s.centre_holes:
            place = f"x {self._length(h.at[0])}, y {self._length(h.at[1])} in the {h.end} face"
            pilot, mouth = self._length(h.pilot), self._length(h.mouth)
            fits = "fits" if h.fits else "does not fit"
            distance = self._length(h.edge_distance, 2)
            made.append(("centre hole", f"{place}; {distance} to its edge", f"{pilot} pilot, {mouth} mouth: {fits}"))
        made.append(
            (
                "contact points",
                "of the jaws; rocking jaws with two inserts each double them",
                str(self.s.contact_points),
            )
        )
        return made

    def _tools(self) -> list[Row]:
        return [
            (
                "tool deflection",
                f"F L^3/(3 E I), {TOOL_NAMES[r.tool]} {self._length(r.size)}, L {self._length(r.overhang, 1)} "
                f"to '{r.feature}', {r.overhang_ratio:.1f} x its size",
                self._length(r.deflection, 4),
            )
            for r in self.s.reach
            if r.deflection is not None
        ]
