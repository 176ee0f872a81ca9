"""The ten-minute model: what --quick still changes about a model that takes longer, and what it tells of it."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians

from foldsketch.assembly.build_warnings import narrow_bridge_widths
from foldsketch.assembly.glue_batches import batch_tabs, tab_loops
from foldsketch.assembly.work_time import measure_work, work_minutes
from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.units import format_number
from foldsketch.job import pipeline
from foldsketch.job.pipeline import Choices, Model
from foldsketch.part.model import Part
from foldsketch.sheet.layout.paper import STANDARD_SCALES, scale_text
from foldsketch.solid.faceting.sides import QUICK_MIN_SIDES

TARGET_MINUTES = 10
"""Minutes that a quick model should take, rounded."""

MIN_SAVING_MINUTES = 1.0
"""Minutes that a change must save."""

FACET_TURNS_RAD = tuple(radians(a) for a in (10, -10, 20, -20, 30))
"""By how much the sides of rounds may be turned: the sixths of what one of six takes up, least first."""

MAX_PANELS_FOR_VARIANTS = 300
"""Of a model with more panels nothing else is tried: that would keep the user waiting."""


def model(part: Part, choices: Choices | None = None, listener: Listener = ignore_progress) -> Model:
    """The model of a part as pipeline.model makes, unless it is a quick one of more than ten minutes: then the first of
    these that takes ten, or the quickest of them: in one body, at the next smaller scale, both; and the last of these
    that would tear beside an opening, with the sides of its rounds turned. Tried is only what the user left open; what
    makes trouble is not taken. Raises FoldsketchError."""
    chosen = choices or Choices()
    made = pipeline.make_model(part, chosen, listener)
    if not chosen.quick:
        return made
    before = build_minutes(made, chosen)
    if round(before) <= TARGET_MINUTES or panel_count(made) > MAX_PANELS_FOR_VARIANTS:
        return made
    best, least, turned = made, before, 0.0
    tearing: Choices | None = None
    ways = _choices_to_try(made, chosen)
    while ways:
        other = ways.pop(0)
        tried = _try_model(part, other, listener)
        if tried is not None and (t := build_minutes(tried, chosen)) <= least - MIN_SAVING_MINUTES:
            if is_acceptable(tried, made):
                best, least, turned = tried, t, other.facets.rotation
                if round(t) <= TARGET_MINUTES:
                    break
            elif _tears_more(tried, made) and not other.facets.rotation:
                tearing = other
        if not ways and tearing is not None:
            ways = [replace(tearing, facets=replace(tearing.facets, rotation=a)) for a in FACET_TURNS_RAD]
            tearing = None
    return (
        best
        if best is made
        else replace(best, findings=(*best.findings, _quick_model_finding(best, made, turned, before, least)))
    )


def _try_model(part: Part, choices: Choices, listener: Listener) -> Model | None:
    """A model with other choices, or None where there is none."""
    try:
        return pipeline.make_model(part, choices, listener)
    except FoldsketchError:
        return None


def build_minutes(made: Model, chosen: Choices) -> float:
    """Minutes that building a model takes at the user's pace."""
    return work_minutes(measure_work(made.nets), chosen.pace)


def panel_count(made: Model) -> int:
    """How many panels a model has."""
    return sum(len(p.panels) for p in made.nets.pieces)


def is_acceptable(other: Model, made: Model) -> bool:
    """Whether another model has no more edges on which no tab fits, bridges that tear, warnings or sheets, no net that
    is glued in more goes than any was, lacks no feature, and has no round of fewer sides than a quick one should
    have."""
    sides = {p.feature.name: p.sides for p in other.faceted.prisms}
    whole = all(
        p.feature.name in sides and sides[p.feature.name] >= min(p.sides, QUICK_MIN_SIDES) for p in made.faceted.prisms
    )
    return whole and all(a <= b for a, b in zip(_difficulty_counts(other), _difficulty_counts(made), strict=True))


def _tears_more(other: Model, made: Model) -> bool:
    """Whether another model has more bridges that tear."""
    return len(narrow_bridge_widths(other.nets.pieces)) > len(narrow_bridge_widths(made.nets.pieces))


def _difficulty_counts(made: Model) -> tuple[int, int, int, int, int]:
    taped = sum(not b.bare for p in made.nets.pieces for b in p.butts)
    warned = sum(f.level == "warning" for f in made.findings)
    # The minutes do not tell of a net of many features how much of it closes at once, where no finger reaches.
    goes = max((len(batch_tabs(p, sorted(tab_loops(p)))) for p in made.nets.pieces), default=0)
    return taped, len(narrow_bridge_widths(made.nets.pieces)), warned, len(made.sheets), goes


def _choices_to_try(made: Model, chosen: Choices) -> list[Choices]:
    """What may be tried, the kindest first."""
    scale = made.nets.scale
    smaller = max((s for s in STANDARD_SCALES if s < scale), default=None) if chosen.scale is None else None
    fuse = chosen.join == "auto" and len(made.nets.joints) > 0
    found = [replace(chosen, scale=scale, join="fuse")] if fuse else []
    if smaller is not None:
        found.append(replace(chosen, scale=smaller))
        found += [replace(chosen, scale=smaller, join="fuse")] if fuse else []
    return found


def _quick_model_finding(best: Model, made: Model, turned: float, before: float, after: float) -> Finding:
    ways = []
    if best.nets.scale != made.nets.scale:
        ways.append(f"made at {scale_text(best.nets.scale)}")
    if best.join != made.join:
        ways.append("built as one body" if len(best.solids.blocks) == 1 else "built with all that touches in one")
    sides = f", the sides of its rounds turned by {format_number(abs(degrees(turned)), 1)} degrees" if turned else ""
    what = f"is {' and '.join(ways)}{sides}, which takes about {after:.0f} minutes"
    # Both are named, for what is left open would be changed again.
    back = f"--scale {scale_text(made.nets.scale)} --join {made.join}"
    return Finding("note", "the quick model", what, f"{back} takes about {before:.0f}")
