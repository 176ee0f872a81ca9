"""The quick model: smaller or in one net where that brings the work down to some ten minutes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import degrees, radians
from typing import NamedTuple

from foldsketch.assembly.build_warnings import narrow_bridge_widths
from foldsketch.assembly.glue_batches import batch_tabs, tab_loops
from foldsketch.assembly.work_time import measure_work, work_minutes
from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.units import format_number
from foldsketch.job import pipeline
from foldsketch.job.choices import Choices
from foldsketch.job.messages import QUICK_CHANGED, QUICK_SMALLER
from foldsketch.job.model import Model
from foldsketch.part.model import Part
from foldsketch.sheet.layout.paper import STANDARD_SCALES, scale_text
from foldsketch.solid.faceting.sides import QUICK_MIN_SIDES

TARGET_MINUTES = 10
"""Minutes that a quick model should take, rounded."""

MIN_SAVING_MINUTES = 1.0
"""Minutes that a change must save."""

FACET_TURNS_RAD = tuple(radians(a) for a in (10, -10, 20, -20, 30))
"""By how much the sides of diameters may be turned: the sixths of the angle that one of six takes, least first."""

MAX_PANELS_FOR_VARIANTS = 300
"""Of a model with more panels nothing else is tried: the user would wait too long."""


class _Variant(NamedTuple):
    """A model with the minutes that it takes, and how far the sides of its diameters are turned, radians."""

    model: Model
    minutes: float
    turned: float = 0.0


def model(part: Part, choices: Choices | None = None, listener: Listener = ignore_progress) -> Model:
    """Make the checked paper model of a part.

    A quick model (``Choices(quick=True)``) that takes more than ten minutes is made in one net, at the next smaller
    scale, or both: the first of these that takes ten minutes, or the quickest. What you chose yourself stays, and
    nothing is changed that makes the model harder to build.

    Parameters
    ----------
    part : Part
        From `read_part`, `read_mesh`, or built in code.
    choices : Choices, optional
        Paper, scale, sides, card and so on.
    listener : callable, optional
        Called with the name of a stage and a share from 0 to 1.

    Returns
    -------
    Model
        Nets and sheets, checked by folding the nets up again in the computer.

    Raises
    ------
    FoldsketchError
        When the part has errors, a net fits no page, or the nets do not fold back to the part.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> made = foldsketch.model(part, foldsketch.Choices(paper="A3", scale=0.5))
    >>> len(made.sheets), made.nets.scale
    (1, 0.5)
    """
    chosen = choices or Choices()
    made = pipeline.make_model(part, chosen, listener)
    if not chosen.quick:
        return made
    first = _Variant(made, build_minutes(made, chosen))
    if round(first.minutes) <= TARGET_MINUTES or panel_count(made) > MAX_PANELS_FOR_VARIANTS:
        return made
    best = first
    for best in _better_variants(part, chosen, first, listener):
        if round(best.minutes) <= TARGET_MINUTES:
            break
    if best is first:
        return made
    return replace(best.model, findings=(*best.model.findings, _quick_model_finding(best, first)))


def _better_variants(part: Part, chosen: Choices, first: _Variant, listener: Listener) -> Iterator[_Variant]:
    """Acceptable models, each quicker than the one before.

    At the end the last one that would tear beside an opening is tried again with its sides turned.
    """
    least = first.minutes
    tearing: Choices | None = None

    def quicker(choices: Choices) -> _Variant | None:
        try:
            tried = pipeline.make_model(part, choices, listener)
        except FoldsketchError:
            return None
        minutes = build_minutes(tried, chosen)
        return _Variant(tried, minutes, choices.facets.rotation) if minutes <= least - MIN_SAVING_MINUTES else None

    for choices in _choices_to_try(first.model, chosen):
        found = quicker(choices)
        if found is None:
            continue
        if is_acceptable(found.model, first.model):
            least = found.minutes
            yield found
        elif _tears_more(found.model, first.model):
            tearing = choices
    if tearing is None:
        return
    for angle in FACET_TURNS_RAD:
        found = quicker(replace(tearing, facets=replace(tearing.facets, rotation=angle)))
        if found is not None and is_acceptable(found.model, first.model):
            least = found.minutes
            yield found


def build_minutes(made: Model, chosen: Choices) -> float:
    """Minutes that building a model takes at the user's working speed."""
    return work_minutes(measure_work(made.nets), chosen.pace)


def panel_count(made: Model) -> int:
    """How many panels a model has."""
    return sum(len(p.panels) for p in made.nets.pieces)


def is_acceptable(other: Model, made: Model) -> bool:
    """Whether another model is as easy to build.

    It has no more edges to tape, narrow bridges, warnings, sheets or glueing batches in one net, no feature missing,
    and no diameter with fewer sides than a quick model should have.
    """
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
    # The minutes do not say how much of a large net closes at once, where no finger reaches; the batches do.
    batches = max((len(batch_tabs(p, sorted(tab_loops(p)))) for p in made.nets.pieces), default=0)
    return taped, len(narrow_bridge_widths(made.nets.pieces)), warned, len(made.sheets), batches


def _choices_to_try(made: Model, chosen: Choices) -> list[Choices]:
    """What may be tried: one net first, then the next smaller scale, then both."""
    scale = made.nets.scale
    smaller = max((s for s in STANDARD_SCALES if s < scale), default=None) if chosen.scale is None else None
    fuse = chosen.join == "auto" and len(made.nets.joints) > 0
    found = [replace(chosen, scale=scale, join="fuse")] if fuse else []
    if smaller is not None:
        found.append(replace(chosen, scale=smaller))
        found += [replace(chosen, scale=smaller, join="fuse")] if fuse else []
    return found


def _quick_model_finding(best: _Variant, first: _Variant) -> Finding:
    after, before = best.model, first.model
    changes = []
    if after.nets.scale != before.nets.scale:
        changes.append(f"made at {scale_text(after.nets.scale)}")
    if after.join != before.join:
        changes.append("built in one net" if len(after.solids.blocks) == 1 else "built with touching features fused")
    if best.turned:
        changes.append(f"its flat sides are turned by {format_number(abs(degrees(best.turned)), 1)}°")
    message = QUICK_CHANGED if after.nets.scale == before.nets.scale else QUICK_SMALLER
    # Scale and joint rule are both named: what is left open would be changed again.
    return message.at(
        "the quick model",
        changes=" and ".join(changes),
        after=round(best.minutes),
        scale=scale_text(before.nets.scale),
        join=before.join,
        before=round(first.minutes),
    )
