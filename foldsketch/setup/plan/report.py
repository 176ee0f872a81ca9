"""The set-up report: a plan as JSON, for scripts. The keys are listed in docs/set-up-report.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import Any

from foldsketch.base.findings import Finding
from foldsketch.base.units import normalized_degrees
from foldsketch.setup.access.sweep import swept_profile
from foldsketch.setup.formulas.balance import FORCE_REFERENCE_SPEED_RPM
from foldsketch.setup.formulas.cycle_time import TimeComparison
from foldsketch.setup.formulas.indicator import stroke
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.castings_and_time import CastingCheck
from foldsketch.setup.plan.plan_text import CAUTIONS

REPORT_DECIMALS = 6


def plan_report(
    plan: SetUpPlan, castings: Sequence[CastingCheck] = (), time: TimeComparison | None = None
) -> dict[str, Any]:
    """A plan as plain values: what ``foldsketch setups --json`` prints.

    Parameters
    ----------
    plan : SetUpPlan
        From `plan`.
    castings : sequence of CastingCheck, optional
        Whether cast features clean up.
    time : TimeComparison, optional
        Time in one machine and in separate ones.

    Returns
    -------
    dict
        Keys as in the set-up report; lengths mm, angles degrees, speeds r/min.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> [s["on_centreline"] for s in foldsketch.plan_report(foldsketch.plan(part))["setups"]]
    ['A', 'A', 'B']
    """
    values = {
        "format": "foldsketch-setups 1",
        "part": plan.part,
        "machine": plan.machine,
        "mass": plan.mass,
        "complete": not plan.unturned,
        "setups": [_set_up_values(s) for s in plan.setups],
        "left": [{"feature": name, "why": "; ".join(f.text for f in reasons)} for name, reasons in plan.unturned],
        "refused": [{"what": f.where, "why": _text_without_place(f)} for f in plan.rejected],
        "alternatives": [{"steps": a.steps, "why": a.reason.text} for a in plan.alternatives],
        "proof": {
            "states": plan.states_searched,
            "least_clampings": plan.lower_bound[0],
            "because": plan.lower_bound[1],
        },
        "castings": [_casting_values(c) for c in castings],
        "time": None if time is None else _time_values(time),
        "findings": [f.as_dict() for f in plan.findings],
        "cautions": CAUTIONS,
    }
    rounded: dict[str, Any] = _rounded(values)
    return rounded


def _text_without_place(f: Finding) -> str:
    return replace(f, where="").text


def _casting_values(c: CastingCheck) -> dict[str, Any]:
    return {
        "feature": c.feature,
        "set_up": c.set_up,
        "stock": c.cast.stock,
        **asdict(c.worst_case),
        "yield": c.clean_up_yield.fraction,
        "yield_error": c.clean_up_yield.error,
        "parts": c.clean_up_yield.parts,
    }


def _time_values(t: TimeComparison) -> dict[str, Any]:
    return {
        "cuts": t.cuts,
        "separate": {"part": t.separate_part, "batch": t.separate_batch},
        "one_machine": {"part": t.one_part, "batch": t.one_batch},
        "overlapped": t.overlapped,
        "break_even": t.break_even,
    }


def _set_up_values(s: SetUp) -> dict[str, Any]:
    c = s.clamping
    return {
        "number": s.number,
        "spindle": c.spindle,
        "from_end": c.from_end,
        "on_centreline": c.on_centreline,
        "held_on": c.held_on,
        "held_axis": c.held_axis,
        "way": c.holding_method,
        "features": s.features,
        "offset": c.offset,
        "orient": normalized_degrees(s.orientation),
        "shift": s.shift,
        "by_hand": s.by_hand,
        "indicator": s.indicator,
        "stroke": stroke(c.offset),
        "swing": s.swing,
        **_balance_values(s),
        **_jaw_values(s),
        "grip": c.grip_range,
        "sweep": [asdict(w) for w in s.sweep],
        "profile": swept_profile(s.sweep),
        "reach": [
            {
                "feature": r.feature,
                "open_length": r.open_length,
                "overhang": r.overhang,
                "room": r.radial_clearance,
                "ratio": r.overhang_ratio,
                "deflection": r.deflection,
                "tool": r.tool,
                "size": r.size,
            }
            for r in s.reach
        ],
        "findings": [f.as_dict() for f in s.findings],
    }


def _balance_values(s: SetUp) -> dict[str, Any]:
    weight = None
    if s.counterweight is not None:
        angle = (normalized_degrees(s.unbalance_angle) + 180) % 360
        weight = {"kg": s.counterweight[0], "radius": s.counterweight[1], "angle": angle}
    return {
        "unbalance": s.unbalance,
        "unbalance_angle": normalized_degrees(s.unbalance_angle),
        "offset_angle": normalized_degrees(s.angle),
        "speed": {
            "grade": s.grade,
            "limit": s.speed_limit,
            "machine": s.machine_limit,
            "first_estimate": s.speed[0],
            "governed_by": s.speed[1],
        },
        "force": None if s.force is None else {"speed": FORCE_REFERENCE_SPEED_RPM, "newton": s.force},
        "counterweight": weight,
    }


def _jaw_values(s: SetUp) -> dict[str, Any]:
    packing = None
    if s.packing is not None:
        narrow, flat, jaws, _ = s.packing
        packing = {"narrow": narrow, "flat": flat, "jaws": jaws, "holds": s.packable}
    return {
        "packing": packing,
        "four_jaw": [
            {
                "angle": normalized_degrees(j.angle),
                "from_centre": j.contact_radius,
                "moved": j.moved,
                "reading": j.reading,
            }
            for j in s.jaws
        ],
        "contacts": s.contact_points,
        "centre_holes": [
            {
                "end": h.end,
                "at": h.at,
                "pilot": h.pilot,
                "mouth": h.mouth,
                "room": h.edge_distance,
                "fits": h.fits,
            }
            for h in s.centre_holes
        ],
    }


def _rounded(value: Any) -> Any:
    """The value with every number rounded, no negative zero, and lists for tuples, as JSON has them."""
    if isinstance(value, float):
        return round(value, REPORT_DECIMALS) + 0.0
    if isinstance(value, dict):
        return {k: _rounded(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(v) for v in value]
    return value
