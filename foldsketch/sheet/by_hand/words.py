"""What the by-hand page says about a plan: rows, circles, holes, order and offsets. Figures are mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import NamedTuple

from foldsketch.base.findings import Finding, worst_first
from foldsketch.base.units import format_number, plural
from foldsketch.sheet.by_hand.model import HandBody, HandPlan, Offset, Placing, Ring, Spot
from foldsketch.sheet.by_hand.rounding import to_half

EXACT_MM = 0.005
"""An offset that is off by less than this is exact: it prints as 0.00."""


class Row(NamedTuple):
    """A row of the table of what is cut."""

    body: str
    squares: str
    strips: str
    height: str
    sides: str


HEADS = Row("", "squares", "strips, width × length", "height", "sides")


def cutting_rows(bodies: Sequence[HandBody]) -> list[Row]:
    """One row for each kind of body; bodies that are cut alike share one."""

    def alike(h: HandBody) -> object:
        return (h.width, h.depth, h.strip, h.squares, h.kind)

    kinds = {alike(h): [g for g in bodies if alike(g) == alike(h)] for h in bodies}
    return [_row(own) for own in kinds.values()]


def _row(own: Sequence[HandBody]) -> Row:
    h, n = own[0], len(own)
    names = ", ".join(g.name for g in own)
    size = _mm(h.width) if h.kind != "plate" else f"{_mm(h.width)} × {_mm(h.depth)}"
    where = f", {h.squares[0]}" if len(h.squares) == 1 else ""
    squares = f"{n * len(h.squares)} of {size}{where}" if h.squares else "none"
    s = h.strip
    strips = f"{n * s.count} of {_mm(s.width)} × {_mm(s.length + s.lap)}"
    if h.kind == "plate":
        sides = ", ".join(_mm(v) for v in s.sides * s.count)
    else:
        sides = f"{' + '.join([str(len(s.sides))] * s.count)}, each {_mm(s.sides[0], 1)}"
    named = {"round": f"Ø{size}", "flats": f"{size} A/F", "plate": size}[h.kind]
    return Row(f"{names} {named}", squares, strips, _mm(s.height), sides)


def corner_lines(bodies: Sequence[HandBody]) -> list[str]:
    """How eight corners are cut, with the length for every size of square."""
    sizes = sorted({h.width for h in bodies if h.sides == 8 and h.squares}, reverse=True)
    if not sizes:
        return ["Leave the corners on: these bodies have four sides."]
    each = ", ".join(f"{_mm(v)}: {_mm(v / 2)}" for v in sizes)
    kept = [f"{_mm(h.width)} × {_mm(h.depth)}" for h in bodies if h.sides == 4 and h.squares]
    more = [f"{', '.join(dict.fromkeys(kept))}: leave the corners on."] if kept else []
    return [f"Along each diagonal half the width from the centre: cut straight across ({each}).", *more]


def ring_lines(bodies: Sequence[HandBody], hole: bool) -> list[str]:
    """Circles to be drawn, a line for each body: outlines of what stands there, or holes."""
    lines = []
    for h in bodies:
        rings = [r for r in h.rings if r.hole == hole]
        texts = []
        for ends in sorted({r.ends for r in rings}):
            own = [r for r in rings if r.ends == ends]
            texts.append(f"{ends[0] if len(ends) == 1 else 'both ends'} {'; '.join(_ring_texts(h, own))}")
        lines += [f"{h.name}: {'; '.join(texts)}"] if texts else []
    return lines


def _ring_texts(h: HandBody, rings: Sequence[Ring]) -> Iterable[str]:
    named = [f"Ø{_mm(r.diameter)} at {r.spot.axis}" for r in rings if r.spot.axis]
    if named:
        yield ", ".join(named)
    drilled = sorted((r for r in rings if not r.spot.axis), key=lambda r: r.diameter)
    for diameter, same in groupby(drilled, key=lambda r: r.diameter):
        own = list(same)
        count = f"{len(own)} × " if len(own) > 1 else ""
        if on_diagonals(h, own):
            yield f"{count}Ø{_mm(diameter)} on the diagonals, {_mm(to_half(own[0].distance))} from the centre"
        else:
            at = "; ".join(f"left {_mm(r.spot.left)}, up {_mm(r.spot.up)}" for r in own)
            yield f"{count}Ø{_mm(diameter)} {at}"


def on_diagonals(h: HandBody, rings: Sequence[Ring]) -> bool:
    """Whether equal holes lie on all four diagonals of a square, equally far out."""
    away = {(r.spot.left - h.spot.left, r.spot.up - h.spot.up) for r in rings}
    x = max((abs(dx) for dx, _ in away), default=0.0)
    far = {to_half(r.distance) for r in rings}
    return h.sides == 8 and len(rings) == 4 and len(far) == 1 and away == {(x, x), (x, -x), (-x, x), (-x, -x)}


def mark_lines(groups: Sequence[Sequence[HandBody]]) -> list[str]:
    """Marks on squares that are not drawn, a line for those that are marked alike."""
    return [f"{', '.join(h.name for h in group)}: {'; '.join(map(_mark_text, group[0].spots))}" for group in groups]


def _mark_text(s: Spot) -> str:
    return f"{s.axis} left {_mm(s.left)}, up {_mm(s.up)}"


def order_lines(plan: HandPlan) -> list[str]:
    """The order of building, a line for each body.

    A body that has no square on the end that is glued stands on its circle; any other one is pinned through both marks.
    """
    return [f"{k}  {_order_text(plan, step)}" for k, step in enumerate(plan.placings, 1)]


def _order_text(plan: HandPlan, step: Placing) -> str:
    h = plan.bodies[step.body]
    if step.other is None:
        return h.name
    other = plan.bodies[step.other]
    near, far = ("under", "top") if step.above else ("top", "under")
    pinned = "pinned " if near in h.squares and far in other.squares else ""
    return f"{h.name} {'on' if step.above else 'under'} {other.name}, {pinned}at {step.axis}"


def together_text(plan: HandPlan) -> str:
    """How bodies are put together."""
    pinned = any("pinned" in line for line in order_lines(plan))
    more = " Pinned: a pin through both marks, edges parallel." if pinned else ""
    return f"Edges in, squares on. Stand each body on its circle, all ticks to you.{more}"


def offset_line(plan: HandPlan) -> str:
    """How the offsets come out after rounding."""
    if not plan.offsets:
        return f"All bodies are on axis {plan.origin}." if plan.origin else "No axis meets a face."
    return f"Offsets from {plan.origin}, mm: {'; '.join(map(_offset_text, plan.offsets))}."


def _offset_text(o: Offset) -> str:
    if o.error < EXACT_MM:
        return f"{o.axis} {format_number(o.asked, 2)} exact"
    return f"{o.axis} {format_number(o.by_hand, 2)} for {format_number(o.asked, 2)}, off by {format_number(o.error, 2)}"


def note_lines(plan: HandPlan) -> list[str]:
    """Notes at the foot of the page: rounding, scale, and what is left out or changed."""
    lines = [offset_line(plan)]
    if plan.scale != 1:
        larger, ratio = ("larger", 1 / plan.scale) if plan.scale < 1 else ("smaller", plan.scale)
        lines.append(f"All sizes are those of the model: the part is {format_number(ratio)} times {larger}.")
    lines.append(
        "Rounded: widths to 1 mm, all else to 0.5 mm. Strips of eight sides are 0.6 % long, for the paper's thickness."
    )
    return lines + [_sentence(f) for f in worst_first(plan.findings)]


def _sentence(f: Finding) -> str:
    text = f"{f.where}: {f.wording()[0]}."
    return text[0].upper() + text[1:]


def minutes_text(plan: HandPlan) -> str:
    """How long it takes."""
    minutes = round(plan.minutes)
    return f"about {minutes} {'minute' if minutes == 1 else plural('minute')}"


def _mm(value: float, places: int = 2) -> str:
    return format_number(value, places)
