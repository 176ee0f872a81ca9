"""One set-up in words, for the printed plan and the set-up sheets: how it holds the work, and what it cuts."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from foldsketch.base.findings import Quantity, listed
from foldsketch.setup.model import CutLine, SetUp, SetUpPlan

WAY_TEXT = {
    "hard_jaws": "hard jaws",
    "fed_bar": "bar fed through the spindle",
    "pads": "pads on hard jaws",
    "soft_jaws": "soft jaws",
    "packed_three_jaw": "three-jaw, packed",
    "four_jaw": "four-jaw",
    "bored_jaws": "soft jaws bored off centre",
    "offset_fixture": "offset fixture",
    "face_plate": "face plate",
    "between_centres": "between centres",
}
"""Ways as they are printed."""

LABEL_TEXT = {"bored_jaws": "bored jaws", "packed_three_jaw": "packed jaws"}
"""Shorter words for the label of a plan."""

HOW_TEXT = {"turned": "turn", "driven": "mill", "drilled": "drill", "interpolated": "turn by interpolation"}


def length_text(value: float, units: str, places: int = 2) -> str:
    """A length in "mm" or "in", without its unit.

    >>> length_text(50.8, "mm"), length_text(50.8, "in")
    ('50.8', '2')
    """
    return Quantity(value, "mm", places).text(units).rsplit(" ", 1)[0]


def way_text(s: SetUp) -> str:
    """How the work is held, as it is printed."""
    c = s.clamping
    return "fixture" if c.way == "offset_fixture" and not c.offset else WAY_TEXT[c.way]


def held_text(s: SetUp, length: Callable[..., str]) -> str:
    """By what the work is held, and how long: "raw flange d94, grip 6".

    length: a length in words, with so many decimals.
    """
    c = s.clamping
    raw = "raw " if c.raw else ""
    if s.lies_flat:
        return f"{raw}{c.held_on} lying on its {'-z' if c.from_end == '+z' else '+z'} face"
    grip = c.grip_range[1] - c.grip_range[0]
    size = " x ".join(length(v) for v in s.held_across) or f"d{length(s.held_diameter)}"
    held = f"{raw}{c.held_on} {size}"
    if c.way in ("offset_fixture", "face_plate"):
        return f"located {'in' if s.held_inside else 'on'} {held}"
    return f"{held}, grip {length(grip, 1)}" if grip else held


def with_diameter_sign(text: str) -> str:
    """Words of a plan with the sign that sheets have.

    >>> with_diameter_sign("raw drive end d26, grip 8")
    'raw drive end Ø26, grip 8'
    """
    return re.sub(r"\bd(?=\d)", "Ø", text)


def cuts_text(s: SetUp, length: Callable[..., str]) -> list[str]:
    """What is cut, by the kind of tool. length: a length in words."""
    groups: dict[str, list[CutLine]] = {}
    for cut in s.cuts:
        groups.setdefault(cut.how, []).append(cut)

    def name(c: CutLine) -> str:
        return c.surface if c.band is None else f"{c.surface} from {length(c.band[0])} to {length(c.band[1])}"

    parted = ["part off"] if s.clamping.way == "fed_bar" else []
    return [*(f"{HOW_TEXT[how]} {listed(name(c) for c in cuts)}" for how, cuts in groups.items()), *parted]


def short_label(held: Sequence[tuple[str, bool, bool]], driven: bool, handed_over: bool) -> str:
    """How a plan holds the work, in short.

    held: of every clamping the key of its way, whether it is off centre, and whether it has a counterweight; driven:
    driven tools cut off centre; handed_over: the sub-spindle takes the work from the main spindle.

    >>> short_label([("hard_jaws", False, False), ("bored_jaws", True, True)], False, True)
    'bored jaws, weighted, main and sub'
    """
    ways = dict.fromkeys(LABEL_TEXT.get(way, WAY_TEXT[way]) for way, off, _ in held if off)
    words = [*ways, *(["driven tools"] if driven else [])] or [WAY_TEXT[held[-1][0]]]
    words += ["weighted"] if any(weighted for *_, weighted in held) else []
    return ", ".join([*words, *(["main and sub"] if handed_over else [])])


def plan_label(plan: SetUpPlan) -> str:
    """How a plan holds the work, in short."""
    held = [(s.clamping.way, s.clamping.offset > 0, s.weighted) for s in plan.setups]
    driven = any(c.how == "driven" for s in plan.setups for c in s.cuts)
    return short_label(held, driven, any(len(r.setups) > 1 for r in plan.runs))
