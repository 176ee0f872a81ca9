"""What a page has to know about the set-ups of a plan, as plain values for JSON."""

from __future__ import annotations

from typing import Any

import numpy as np

from foldsketch.base.findings import Quantity
from foldsketch.base.units import normalized_degrees
from foldsketch.job.model import Model
from foldsketch.net.marks.dimension_text import length_text
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.figure_text import figure_rows
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.setup.plan.set_up_text import WAY_TEXT
from foldsketch.setup.speed_text import rounded_down, speed_limit_text
from foldsketch.web.holding_facts import heights_in_sight, holding_facts
from foldsketch.web.holding_steps import spindle_name
from foldsketch.web.rounded import model_bounds, rounded_values


def set_up_facts(made: Model, plan: SetUpPlan | None, machine: Machine | None = None) -> dict[str, Any]:
    """The set-ups alone, with the machine that they are for and the cautions that go with them.

    machine: the one that was planned for; without it chuck and jaws are not drawn.
    """
    setups = plan.setups if plan else ()
    handed = [None if s.by_hand or not k else setups[k - 1] for k, s in enumerate(setups)]
    return {
        "setups": [_one_set_up_facts(s, before, made, machine) for before, s in zip(handed, setups, strict=True)],
        "machine": plan.machine if plan else "",
        "cautions": list(CAUTIONS) if plan else [],
    }


def _one_set_up_facts(s: SetUp, before: SetUp | None, made: Model, machine: Machine | None) -> dict[str, Any]:
    c, units, scale = s.clamping, made.part.units, made.nets.scale
    low, high = (float(end[2]) for end in model_bounds(made))
    holding = holding_facts(s, before, _lie(s), made, machine)
    return {
        "number": s.number,
        "spindle": c.spindle,
        "spindle_name": spindle_name(c.spindle),
        "from_end": c.from_end,
        "axis": c.on_centreline,
        "shift": length_text(s.shift, units) if s.shift else "",
        "orient": f"{normalized_degrees(s.orientation):.1f}°",
        "held": c.held_on,
        "way": WAY_TEXT[c.way],
        "features": [*s.features, *s.faces],
        "at": rounded_values(np.array(c.at) * scale),
        "low": round(low, 3),
        "high": round(high, 3),
        "holding": holding,
        "sight": heights_in_sight(holding, low, high),
        "lie": _lie(s),
        "swing": round(s.swing * scale / 2, 3),
        "rings": [[round(v * scale, 3) for v in (w.start, w.end, w.inner, w.outer)] for w in s.sweep],
        "main": _main_figures(s, units),
        "figures": [[name, value] for name, _, value in figure_rows(s, units)],
        "findings": [f.text_in(units) for f in s.findings],
    }


def _lie(s: SetUp) -> int:
    """Which way the part lies in the machine: 1 with +z to the right, -1 to the left.

    The main spindle holds it from the left and its worked end points right; the sub-spindle the other way round.
    """
    right = (s.clamping.from_end == "+z") == (s.clamping.spindle == "main")
    return 1 if right else -1


def _main_figures(s: SetUp, units: str) -> list[dict[str, str]]:
    """The figures that a meeting asks for: name, value, unit, and what it is of."""
    c, speed = s.clamping, s.speeds

    def length(name: str, value: float, of: str, sign: str = "") -> dict[str, str]:
        number, unit = Quantity(value, "mm", 2).text(units).rsplit(" ", 1)
        return {"name": name, "value": sign + number, "unit": unit, "of": of}

    found = [length("Off centre", c.offset, f"axis {c.on_centreline} from axis {c.held_axis}, which is held")]
    if not c.offset:
        found = [length("Off centre", 0.0, f"held on the axis that runs true, {c.on_centreline}")]
    found.append(length("Indicator", s.indicator, f"full reading on {c.held_on}"))
    if c.offset or s.shift:
        turn = {"value": f"{normalized_degrees(s.orientation):.1f}", "unit": "°"}
        found.append({"name": "Turn spindle to", **turn, "of": "from the part's +x, seen from +z"})
    found.append(length("Swings", s.swing, "widest circle of the part", "Ø"))
    limit = speed_limit_text(speed.limit, s.weighted) or "unknown"
    shown = "–" if speed.recommended is None else str(rounded_down(speed.recommended))
    found.append({"name": "First speed, at most", "value": shown, "unit": "r/min", "of": f"estimate; limit: {limit}"})
    return found
