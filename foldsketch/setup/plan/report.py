"""The set-up report: a plan as JSON, for scripts and for whoever plans on from it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from foldsketch.base.units import degrees
from foldsketch.setup.access.sweep import profile
from foldsketch.setup.formulas.balance import FORCE_SPEED
from foldsketch.setup.formulas.cycle_time import Compared
from foldsketch.setup.formulas.indicator import stroke
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.castings_and_time import Casting
from foldsketch.setup.plan.plan_text import CAUTIONS

DIGITS = 6


def report_json(plan: SetUpPlan, castings: Sequence[Casting] = (), time: Compared | None = None) -> bytes:
    """The report's text. Lengths mm, angles degrees, mass kg, unbalance g mm, force N, speeds r/min, times minutes."""
    values = report(plan, castings, time)
    return (json.dumps(values, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def report(plan: SetUpPlan, castings: Sequence[Casting] = (), time: Compared | None = None) -> dict[str, Any]:
    """The report as plain values."""
    return {
        "format": "foldsketch-setups 1",
        "part": plan.part,
        "machine": plan.machine,
        "mass": _round(plan.mass),
        "complete": not plan.left,
        "setups": [_set_up(s) for s in plan.setups],
        "left": [{"feature": name, "why": why} for name, why in plan.left],
        "refused": [{"what": what, "why": why} for what, why in plan.refused],
        "alternatives": [{"steps": list(a.steps), "why": a.why} for a in plan.alternatives],
        "proof": {
            "states": plan.searched,
            "least_clampings": plan.bound[0],
            "because": plan.bound[1],
        },
        "castings": [_casting(c) for c in castings],
        "time": None if time is None else _time(time),
        "findings": [f.as_dict() for f in plan.findings],
        "cautions": list(CAUTIONS),
    }


def _casting(c: Casting) -> dict[str, Any]:
    return {
        "feature": c.feature,
        "set_up": c.set_up,
        "stock": _round(c.cast.stock),
        "least": _round(c.worst.least),
        "most": _round(c.worst.most),
        "cleans_up": c.worst.cleans_up,
        "take_up": _round(c.worst.take_up),
        "yield": _round(c.share.share),
        "yield_error": _round(c.share.error),
        "parts": c.share.parts,
    }


def _time(t: Compared) -> dict[str, Any]:
    return {
        "cuts": [_round(v) for v in t.cuts],
        "separate": {"part": _round(t.separate_part), "batch": _round(t.separate_batch)},
        "one_machine": {"part": _round(t.one_part), "batch": _round(t.one_batch)},
        "overlapped": t.overlapped,
        "break_even": t.break_even,
    }


def _set_up(s: SetUp) -> dict[str, Any]:
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
        "offset": _round(c.offset),
        "orient": _round(degrees(s.orient)),
        "shift": _round(s.shift),
        "by_hand": s.by_hand,
        "indicator": _round(s.indicator),
        "stroke": _round(stroke(c.offset)),
        "swing": _round(s.swing),
        "unbalance": _round(s.unbalance),
        "unbalance_angle": _round(degrees(s.unbalance_angle)),
        "offset_angle": _round(degrees(s.angle)),
        "speed": {
            "grade": s.grade,
            "limit": _round(s.speed_limit),
            "machine": s.machine_limit,
            "first_estimate": _round(s.speed[0]),
            "governed_by": s.speed[1],
        },
        "force": None if s.force is None else {"speed": FORCE_SPEED, "newton": _round(s.force)},
        "counterweight": None
        if s.counterweight is None
        else {
            "kg": _round(s.counterweight[0]),
            "radius": _round(s.counterweight[1]),
            "angle": _round((degrees(s.unbalance_angle) + 180) % 360),
        },
        "packing": None
        if s.packing is None
        else {
            "narrow": _round(s.packing.narrow),
            "flat": _round(s.packing.flat),
            "jaws": _round(s.packing.own),
            "holds": s.packable,
        },
        "four_jaw": [
            {
                "angle": _round(degrees(j.angle)),
                "from_centre": _round(j.reach),
                "moved": _round(j.moved),
                "reading": _round(j.reading),
            }
            for j in s.jaws
        ],
        "contacts": s.contacts,
        "centre_holes": [
            {
                "end": h.end,
                "at": [_round(h.at[0]), _round(h.at[1])],
                "pilot": h.pilot,
                "mouth": h.mouth,
                "room": _round(h.room),
                "fits": h.fits,
            }
            for h in s.centre_holes
        ],
        "grip": [_round(c.held[0]), _round(c.held[1])],
        "sweep": [
            {
                "feature": w.feature,
                "start": _round(w.start),
                "end": _round(w.end),
                "inner": _round(w.inner),
                "outer": _round(w.outer),
            }
            for w in s.sweep
        ],
        "profile": [[_round(v) for v in row] for row in profile(s.sweep)],
        "reach": [
            {
                "feature": r.feature,
                "open_length": _round(r.open_length),
                "overhang": _round(r.overhang),
                "room": _round(r.room),
                "ratio": _round(r.ratio),
                "deflection": _round(r.deflection),
            }
            for r in s.reach
        ],
        "findings": [f.as_dict() for f in s.findings],
    }


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, DIGITS) + 0.0
