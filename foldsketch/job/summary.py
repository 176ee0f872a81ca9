"""The short account that is printed after a run."""

from __future__ import annotations

from math import pi

from foldsketch.assembly.work_time import DEFAULT_PACE, Pace, measure_work, work_minutes
from foldsketch.base.card import crease_length_error
from foldsketch.base.units import format_count, format_number
from foldsketch.job.pipeline import Model
from foldsketch.net.marks.dimension_text import name_and_size
from foldsketch.sheet.layout.paper import scale_text


def summary(made: Model, pace: Pace = DEFAULT_PACE) -> str:
    """Features, counts, the work at a pace, and checks as lines of text."""
    work = measure_work(made.nets)
    checks = made.nets.checks
    lines = [f"{made.part.name}: scale {scale_text(made.nets.scale)} on {made.paper.name}", ""]
    rows = [("feature", "size", "axis", "sides", "strays")]
    for p in made.faceted.prisms:
        name, size = name_and_size(p.feature, made.part.units)
        stray = f"{p.chord_error:.2f} mm" if p.chord_error else "-"
        sides = "rolled" if p.rolled else str(p.sides or "-")
        rows.append((name + (" (cut)" if p.cut else ""), size, p.feature.axis, sides, stray))
    widths = [max(len(r[k]) for r in rows) for k in range(5)]
    lines += ["  " + "  ".join(c.ljust(w) for c, w in zip(r, widths, strict=True)).rstrip() for r in rows]
    lines.append("")
    pieces, sheets = format_count(len(made.nets.pieces), "piece"), format_count(len(made.sheets), "sheet")
    blocks = format_count(len(made.solids.blocks), "block")
    lines.append(f"{pieces} on {sheets} (by area no fewer than {made.bound}), {blocks}")
    folds, glued = format_count(work.folds, "fold"), format_count(work.glued, "glue joint")
    takes = f"about {format_count(round(work_minutes(work, pace)), 'minute')} at {pace.qualifier} pace"
    lines.append(f"cut {format_number(work.cut / 1000, 2)} m, {folds}, {glued}: {takes}")
    card = made.nets.card
    if card:
        left = crease_length_error(pi / 2, card.thickness)
        lines.append(
            f"card {card.text}: drawn {format_number(card.thickness / 2, 3)} mm inside every face, so "
            f"that the model measures "
            f"what it should outside; unallowed it would be {format_number(card.thickness, 2)} mm too "
            f"large, and each square "
            f"crease still gives {format_number(left, 2)} mm; {card.creasing_advice}"
        )
    if checks:
        lines.append(
            f"checks: refolded edges meet within {checks.refold_gap:.1e} mm, "
            f"overlap {format_number(checks.overlap_area, 6)} mm2, tabs inside: "
            f"{'yes' if checks.tabs_inside else 'no'}, "
            f"volume error {checks.volume_error:.1e}"
        )
    return "\n".join(lines)
