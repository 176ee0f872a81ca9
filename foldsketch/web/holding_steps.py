"""The steps in which a set-up comes to be: put in by hand, or handed over by the other spindle, where everything is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.units import normalized_degrees
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.model import SetUp
from foldsketch.setup.plan.hand_over import hand_over
from foldsketch.setup.plan.set_up_text import held_text, length_text, way_text, with_diameter_sign
from foldsketch.web.rounded import rounded_values

AIR_MM = 25.0
"""Between the part and a chuck from which it has been drawn out, as it is shown, mm of the part."""


@dataclass(frozen=True, slots=True)
class HoldingStep:
    """One step: what is done, and where part and chucks then are, (x, y, z) mm from where they are in the end.

    now: the chuck that takes the part; was: the one that had it; now_open, was_open: whether its jaws are open;
    axis: the one on the centreline of the spindle that holds the part.
    """

    words: str
    part: Array
    now: Array
    was: Array
    now_open: bool
    was_open: bool = False
    axis: str = ""


def holding_steps(s: SetUp, before: SetUp | None, scale: float) -> list[dict[str, Any]]:
    """The steps of a set-up as plain values, paper mm. before: the set-up that hands the part over, None by hand."""
    steps = _handed_over(before, s) if before is not None else _put_in(s)
    return [
        {
            "words": v.words,
            **{key: rounded_values(getattr(v, key) * scale) for key in ("part", "now", "was")},
            "open": [int(v.now_open), int(v.was_open)],
            "axis": v.axis or s.clamping.on_centreline,
        }
        for v in steps
    ]


def _put_in(s: SetUp) -> list[HoldingStep]:
    """Put in by hand: in front of the chuck, against it, held."""
    c, still = s.clamping, np.zeros(3)
    front = _out(s) * (_gripped(s) + AIR_MM)
    where = f"{spindle_name(c.spindle)}: {way_text(s)}"
    rear = "-z" if c.from_end == "+z" else "+z"
    on = "its face on the plate" if s.lies_flat else "jaws open" if s.jaws else "against the plate"
    held = "Clamped down" if s.lies_flat else f"Held: {_held(s)}"
    return [
        HoldingStep(f"By hand, {rear} end first, to the {where}.", front, still, still, True),
        HoldingStep(f"Seated, {on}.", still, still, still, True),
        HoldingStep(f"{held}. Axis {c.on_centreline} is on the centreline.", still, still, still, False),
    ]


def _handed_over(before: SetUp, s: SetUp) -> list[HoldingStep]:
    """Handed over: one spindle holds, the other comes, both hold, the first lets go, the part is drawn out."""
    over, units = hand_over(before, s), s.work.units
    one, other = (spindle_name(v.clamping.spindle) for v in (before, s))
    off = np.array((s.clamping.at[0] - before.clamping.at[0], s.clamping.at[1] - before.clamping.at[1], 0.0))
    away = -_out(s) * (_gripped(s) + AIR_MM)  # the taking chuck comes from the part's other end
    drawn = _out(before) * (over.draw_back + AIR_MM)

    def length(value: float, places: int = 2) -> str:
        return f"{length_text(value, units, places)} {units}"

    main, sub = (f"C {normalized_degrees(v) % 360:.1f}°" for v in (over.main, over.sub))
    steps = [HoldingStep(f"The {one} holds {before.clamping.held_on}.", off, away, off, True)]
    if s.shift:
        turned = f"{one.capitalize()} to {main}, {other} to {sub}"
        moved = f"{turned}; the {other} moves {length(s.shift)} off centre in X, jaws open."
        steps.append(HoldingStep(moved, off, off + away, off, True))
    between = f"{length(over.gap, 1)} between the jaws" if over.gap > 0 else f"its jaws between those of the {one}"
    out, least = off + drawn, length(over.draw_back, 1)
    steps += [
        HoldingStep(f"The {other} comes up, jaws open; {between}.", off, off, off, True),
        HoldingStep(f"The {other} clamps {_held(s)}: both hold.", off, off, off, False),
        HoldingStep(f"The {one} opens.", off, off, off, False, True),
        HoldingStep(f"The {other} draws the part out, {least} at least.", out, out, off, False, True),
    ]
    steps = [replace(v, axis=before.clamping.on_centreline) for v in steps]
    if s.shift:
        steps.append(HoldingStep(f"The {other} goes back to X 0.", drawn, drawn, off, False, True))
    done = f"Axis {s.clamping.on_centreline} is on the centreline of the {other}."
    return [*steps, HoldingStep(done, np.zeros(3), np.zeros(3), off - 3 * drawn, False, True)]


def spindle_name(spindle: str) -> str:
    """What a spindle is called.

    >>> spindle_name("main"), spindle_name("sub")
    ('main spindle', 'sub-spindle')
    """
    return "sub-spindle" if spindle == "sub" else f"{spindle} spindle"


def _out(s: SetUp) -> Array:
    """The way out of the set-up's chuck."""
    return np.array((0.0, 0.0, 1.0 if s.clamping.from_end == "+z" else -1.0))


def _gripped(s: SetUp) -> float:
    """How deep the work is in what holds it, from its rear end, mm."""
    ends = [z for f in s.work.features if not f.cut for z in z_extent(s.work, f)]
    low, high = s.clamping.grip_range
    return high - min(ends) if s.clamping.from_end == "+z" else max(ends) - low


def _held(s: SetUp) -> str:
    """What is held, each length with its unit."""
    units = s.work.units
    return with_diameter_sign(held_text(s, lambda value, places=2: f"{length_text(value, units, places)} {units}"))
