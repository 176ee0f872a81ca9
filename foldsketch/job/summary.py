"""The short summary that is printed after a run."""

from __future__ import annotations

from math import pi

from foldsketch.assembly.work_time import DEFAULT_PACE, Pace, measure_work, work_minutes
from foldsketch.base.card import Card, crease_length_error
from foldsketch.base.findings import listed
from foldsketch.base.units import format_count, format_number
from foldsketch.job.model import Model
from foldsketch.net.marks.dimension_text import name_and_size
from foldsketch.sheet.layout.paper import scale_text


def summary(made: Model, pace: Pace = DEFAULT_PACE) -> str:
    """Scale, features, nets, sheets and working time of a model, as lines of text.

    Parameters
    ----------
    made : Model
        From `model`.
    pace : Pace, optional
        Your working speed, seconds.

    Returns
    -------
    str
        Lines joined by line breaks. The column "off by" is the largest gap between a flat side and the true diameter,
        mm on paper.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> print(foldsketch.summary(foldsketch.model(part)).splitlines()[0])
    Eccentric shaft: scale 1:1 on A4
    """
    work = measure_work(made.nets)
    rows = [("feature", "size", "axis", "sides", "off by")]
    for p in made.faceted.prisms:
        name, size = name_and_size(p.feature, made.part.units)
        off = f"{p.chord_error:.2f} mm" if p.chord_error >= 0.005 else "-"
        sides = "rolled" if p.rolled else str(p.sides or "-")
        rows.append((name + (" (cut)" if p.cut else ""), size, p.feature.axis, sides, off))
    widths = [max(len(r[k]) for r in rows) for k in range(5)]
    nets, sheets = format_count(len(made.nets.pieces), "net"), format_count(len(made.sheets), "sheet")
    minutes = format_count(round(work_minutes(work, pace)), "minute")
    folds, held = format_count(work.folds, "fold"), work.hold_text
    block = "glued block" if made.nets.hold == "glue" else "block"
    lines = [
        f"{made.part.name}: scale {scale_text(made.nets.scale)} on {made.paper.name}",
        "",
        *("  " + "  ".join(c.ljust(w) for c, w in zip(r, widths, strict=True)).rstrip() for r in rows),
        "",
        f"{nets} on {sheets}, {format_count(len(made.solids.blocks), block)}",
        f"cut {format_number(work.cut / 1000, 2)} m, {folds}, {held}: about {minutes} at {pace.qualifier} pace",
    ]
    if made.drawn:
        lines.append(f"drawn, not built: {listed(f.name for f in made.drawn)} (--minutes all builds everything)")
    for found, head in ((made.step, "step"), (made.step_up, "next up"), (made.step_down, "next down")):
        if found is not None:
            lines.append(f"{head}: {found.text.partition(': ')[2]}")
    if made.nets.card:
        lines.append(_card_line(made.nets.card))
    if checks := made.nets.checks:
        lines.append(f"fold-up check: {'passed' if checks.passed() else 'failed'} (figures in the net file)")
    return "\n".join(lines)


def _card_line(card: Card) -> str:
    """How the card's thickness is compensated."""
    half, full = format_number(card.thickness / 2, 3), format_number(card.thickness, 2)
    left = format_number(crease_length_error(pi / 2, card.thickness), 2)
    return (
        f"card {card.text}: every face is drawn {half} mm inside, so that the outside of the model is to size; "
        f"otherwise it would be {full} mm too large. Each square crease still adds {left} mm; {card.creasing_advice}"
    )
