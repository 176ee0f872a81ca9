"""The set-up report: a plan as JSON, for scripts and for whoever plans on from it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from foldsketch.base.units import normalized_degrees
from foldsketch.setup.access.sweep import swept_profile
from foldsketch.setup.formulas.balance import FORCE_REFERENCE_SPEED_RPM
from foldsketch.setup.formulas.cycle_time import TimeComparison
from foldsketch.setup.formulas.indicator import stroke
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.castings_and_time import CastingCheck
from foldsketch.setup.plan.plan_text import CAUTIONS

REPORT_DECIMALS = 6


def plan_report_json(
    plan: SetUpPlan, castings: Sequence[CastingCheck] = (), time: TimeComparison | None = None
) -> bytes:
    """The report's text. Lengths mm, angles degrees, mass kg, unbalance g mm, force N, speeds r/min, times minutes."""
    values = plan_report(plan, castings, time)
    return (json.dumps(values, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def plan_report(
    plan: SetUpPlan, castings: Sequence[CastingCheck] = (), time: TimeComparison | None = None
) -> dict[str, Any]:
    """The report as plain values."""
    return {
        "format": "foldsketch-setups 1",
        "part": plan.part,
        "machine": plan.machine,
        "mass": _rounded(plan.mass),
        "complete": not plan.left,
        "setups": [_set_up_values(s) for s in plan.setups],
        "left": [{"feature": name, "why": why} for name, why in plan.left],
        "refused": [{"what": what, "why": why} for what, why in plan.refused],
        "alternatives": [{"steps": list(a.steps), "why": a.why} for a in plan.alternatives],
        "proof": {
            "states": plan.searched,
            "least_clampings": plan.bound[0],
            "because": plan.bound[1],
        },
        "castings": [_casting_values(c) for c in castings],
        "time": None if time is None else _time_values(time),
        "findings": [f.as_dict() for f in plan.findings],
        "cautions": list(CAUTIONS),
    }


def _casting_values(c: CastingCheck) -> dict[str, Any]:
    return {
        "feature": c.feature,
        "set_up": c.set_up,
        "stock": _rounded(c.cast.stock),
        "least": _rounded(c.worst.least),
        "most": _rounded(c.worst.most),
        "cleans_up": c.worst.cleans_up,
        "take_up": _rounded(c.worst.take_up),
        "yield": _rounded(c.share.share),
        "yield_error": _rounded(c.share.error),
        "parts": c.share.parts,
    }


def _time_values(t: TimeComparison) -> dict[str, Any]:
    return {
        "cuts": [_rounded(v) for v in t.cuts],
        "separate": {"part": _rounded(t.separate_part), "batch": _rounded(t.separate_batch)},
        "one_machine": {"part": _rounded(t.one_part), "batch": _rounded(t.one_batch)},
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
        "way": c.way,
        "features": list(s.features),
        "offset": _rounded(c.offset),
        "orient": _rounded(normalized_degrees(s.orient)),
        "shift": _rounded(s.shift),
        "by_hand": s.by_hand,
        "indicator": _rounded(s.indicator),
        "stroke": _rounded(stroke(c.offset)),
        "swing": _rounded(s.swing),
        "unbalance": _rounded(s.unbalance),
        "unbalance_angle": _rounded(normalized_degrees(s.unbalance_angle)),
        "offset_angle": _rounded(normalized_degrees(s.angle)),
        "speed": {
            "grade": s.grade,
            "limit": _rounded(s.speed_limit),
            "machine": s.machine_limit,
            "first_estimate": _rounded(s.speed[0]),
            "governed_by": s.speed[1],
        },
        "force": None if s.force is None else {"speed": FORCE_REFERENCE_SPEED_RPM, "newton": _rounded(s.force)},
        "counterweight": None
        if s.counterweight is None
        else {
            "kg": _rounded(s.counterweight[0]),
            "radius": _rounded(s.counterweight[1]),
            "angle": _rounded((normalized_degrees(s.unbalance_angle) + 180) % 360),
        },
        "packing": None
        if s.packing is None
        else {
            "narrow": _rounded(s.packing.narrow),
            "flat": _rounded(s.packing.flat),
            "jaws": _rounded(s.packing.own),
            "holds": s.packable,
        },
        "four_jaw": [
            {
                "angle": _rounded(normalized_degrees(j.angle)),
                "from_centre": _rounded(j.reach),
                "moved": _rounded(j.moved),
                "reading": _rounded(j.reading),
            }
            for j in s.jaws
        ],
        "contacts": s.contacts,
        "centre_holes": [
            {
                "end": h.end,
                "at": [_rounded(h.at[0]), _rounded(h.at[1])],
                "pilot": h.pilot,
                "mouth": h.mouth,
                "room": _rounded(h.room),
                "fits": h.fits,
            }
            for h in s.centre_holes
        ],
        "grip": [_rounded(c.held[0]), _rounded(c.held[1])],
        "sweep": [
            {
                "feature": w.feature,
                "start": _rounded(w.start),
                "end": _rounded(w.end),
                "inner": _rounded(w.inner),
                "outer": _rounded(w.outer),
            }
            for w in s.sweep
        ],
        "profile": [[_rounded(v) for v in row] for row in swept_profile(s.sweep)],
        "reach": [
            {
                "feature": r.feature,
                "open_length": _rounded(r.open_length),
                "overhang": _rounded(r.overhang),
                "room": _rounded(r.room),
                "ratio": _rounded(r.ratio),
                "deflection": _rounded(r.deflection),
            }
            for r in s.reach
        ],
        "findings": [f.as_dict() for f in s.findings],
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, REPORT_DECIMALS) + 0.0
