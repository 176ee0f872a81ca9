"""What a model that takes long to build is told: how long it takes, and what has been tried and found quicker."""

from __future__ import annotations

from dataclasses import replace
from time import monotonic
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.worktime import Pace, minutes, work_of

if TYPE_CHECKING:
    from foldsketch.job import Choices, Model

LONG, LONG_FOR_QUICK = 30.0, 10.0
"""Minutes of work above which the user is told: of any model, and of a quick one, which should take ten."""

WORTH = 1.0
"""Minutes that a cure must save to be named."""

NAMED = 3
"""Cures that are named, no more."""

PATIENCE = 2.0
"""Seconds after which nothing more is tried."""

MOST_PANELS = 300
"""Of a model with more panels nothing else is tried: that would keep the user waiting."""


def takes_long(made: Model, choices: Choices, pace: Pace | None) -> tuple[Finding, ...]:
    """A note for a model that takes long to build, with what is left to be tried."""
    takes = minutes(work_of(made.nets), pace)
    quick = choices.quick and made.part.features  # flat panels all round know no quicker way
    if round(takes) <= (LONG_FOR_QUICK if quick else LONG):
        return ()
    own = pace is not None and pace != Pace()
    what = f"building it takes about {takes:.0f} minutes at {'your' if own else 'an ordinary'} pace"
    return (Finding("note", "work", what, _cure(made, choices, pace, takes)),)


def _cure(made: Model, choices: Choices, pace: Pace | None, takes: float) -> str:
    if not made.part.features:
        return "fewer --panels give a quicker one"
    if not choices.quick:
        return "--quick gives a quicker one"
    panels = sum(len(p.panels) for p in made.nets.pieces)
    found = quicker_still(made, choices, pace, takes - WORTH) if panels <= MOST_PANELS else []
    if not found:
        return "a part with less on it is quicker"
    return ", ".join(f"{words} {'takes ' if k == 0 else ''}about {t:.0f}" for k, (t, words) in enumerate(found))


def quicker_still(made: Model, choices: Choices, pace: Pace | None, most: float) -> list[tuple[float, str]]:
    """Options with which the same part takes no more than so many minutes, and no more edges want tape: the minutes
    and the words to add, the quickest first."""
    from foldsketch import job
    from foldsketch.sheet.paper import SCALES, scale_text

    as_now = replace(choices, scale=made.nets.scale)
    others = {"": as_now}
    if choices.join == "faces" and made.nets.joints:
        others["--join fuse"] = replace(as_now, join="fuse")
    if choices.facets.walls == "folded":
        others["--walls rolled"] = replace(as_now, facets=replace(choices.facets, walls="rolled"))
    smaller = max((s for s in SCALES if s < made.nets.scale), default=None)
    if smaller is not None:
        scale = f"--scale {scale_text(smaller)}"
        others |= {f"{words} {scale}".strip(): replace(c, scale=smaller) for words, c in others.items()}
    others.pop("")
    found = []
    began = monotonic()
    for words, other in others.items():
        if monotonic() - began > PATIENCE:
            break
        try:
            tried = job.model(made.part, other)
        except FoldsketchError:
            continue
        t = minutes(work_of(tried.nets), pace)
        if t <= most and all(a <= b for a, b in zip(_trouble(tried), _trouble(made), strict=True)):
            found.append((t, words))
    return sorted(found)[:NAMED]


def _trouble(made: Model) -> tuple[int, int]:
    """Edges on which no tab fits, and warnings."""
    taped = sum(not b.bare for p in made.nets.pieces for b in p.butts)
    return taped, sum(f.level == "warning" for f in made.findings)
