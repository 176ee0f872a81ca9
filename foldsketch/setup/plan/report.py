"""The set-up report: a plan as JSON, for scripts. The keys are listed in docs/set-up-report.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import Any

from foldsketch.base.findings import Finding
from foldsketch.base.units import normalized_degrees
from foldsketch.setup.access.sweep import swept_profile
from foldsketch.setup.formulas.clamping_force import CUT_SAFETY
from foldsketch.setup.formulas.cycle_time import TimeComparison
from foldsketch.setup.formulas.indicator import stroke
from foldsketch.setup.model import CutLine, SetUp, SetUpPlan
from foldsketch.setup.plan.castings_and_time import CastingCheck
from foldsketch.setup.plan.limit_text import pull_of_the_work
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
        "format": "foldsketch-setups 2",
        "part": plan.part,
        "machine": plan.machine,
        "mass": plan.mass,
        "complete": not plan.unturned,
        "setups": [_set_up_values(s) for s in plan.setups],
        "batch": plan.batch,
        "minutes": {
            "setting": plan.minutes.setting,
            "through": plan.minutes.through,
            "cycle": plan.minutes.cycle,
            "a_part": plan.minutes.a_part(plan.batch),
        },
        "runs": [
            {"setups": r.setups, "minutes_setting": r.setting, "minutes_each": r.cycle, "binding": r.binding}
            for r in plan.runs
        ],
        "timeline": _timeline(plan),
        "as_it_comes": plan.as_it_comes,
        "elsewhere": plan.elsewhere,
        "left": [{"feature": name, "why": "; ".join(f.text for f in reasons)} for name, reasons in plan.unturned],
        "refused": [{"what": f.where, "why": _text_without_place(f)} for f in plan.rejected],
        "plan": plan.number,
        "alternatives": [
            {"plan": a.number, "steps": a.steps, "ways": a.ways, "minutes": a.minutes, "why": a.reason.text}
            for a in plan.alternatives
        ],
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
        "waiting": t.waiting,
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
        "run": s.run,
        "way": "centred" if c.holding_method == "centred" else c.way,
        "jaw_kind": {"hard_jaws": "hard", "fed_bar": "hard", "pads": "pads"}.get(c.way, "soft"),
        "features": s.features,
        "faces": s.faces,
        "cut_by": {k.surface: k.how for k in s.cuts},
        "cuts": [_cut_values(k) for k in s.cuts],
        "state": {"mass": s.mass, "held_diameter": s.held_diameter, "raw": c.raw},
        "minutes": s.minutes,
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


def _cut_values(k: CutLine) -> dict[str, Any]:
    return {
        "surface": k.surface,
        "how": k.how,
        "band": k.band,
        "minutes": k.minutes,
        "speed": k.speed,
        "limit": k.limit,
        "tools": [{"kind": kind, "diameter": d} for kind, d in k.tools],
    }


def _timeline(plan: SetUpPlan) -> list[dict[str, Any]]:
    """What the spindles do for one part in steady state, run by run."""
    return [
        {"run": k, "spindle": v.spindle, "what": v.what, "start": v.start, "end": v.end}
        for k, run in enumerate(plan.runs, 1)
        for v in run.lanes
    ]


def _balance_values(s: SetUp) -> dict[str, Any]:
    v, couple = s.speeds, s.couple or (None, None)
    return {
        "unbalance": s.unbalance,
        "unbalance_angle": normalized_degrees(s.unbalance_angle),
        "offset_angle": normalized_degrees(s.angle),
        "speed": {"grade": s.grade, "limit": v.balance},
        "speeds": {
            "balance": v.balance,
            "balance_weighted": v.balance_weighted,
            "force": v.force,
            "grip": v.grip,
            "machine": v.machine,
            "cut": v.cut,
            "recommended": v.recommended,
            "limit": v.limit,
        },
        "force": s.force,
        "pull": None if s.unbalance is None else pull_of_the_work(s),
        "couple": {"Ixz": couple[0], "Iyz": couple[1], "moment": s.moment, "bearings": s.bearing_force},
        "weighted": s.weighted,
        "counterweight": [
            {"mass": w.mass, "radius": w.radius, "angle": normalized_degrees(w.angle), "plane": w.plane}
            for w in s.weights
        ],
    }


def _jaw_values(s: SetUp) -> dict[str, Any]:
    packing = None
    if s.packing is not None:
        narrow, flat, jaws, _ = s.packing
        packing = {"narrow": narrow, "flat": flat, "jaws": jaws, "holds": s.packable}
    return {
        "packing": packing,
        "jaws": [
            {
                "number": j.number,
                "angle": normalized_degrees(j.angle),
                "from_centre": j.from_centre,
                "packing": j.packing,
            }
            for j in s.jaws
        ],
        "clamping_force": {"needed": s.clamping_force, "available": s.grip_force, "safety": CUT_SAFETY},
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
