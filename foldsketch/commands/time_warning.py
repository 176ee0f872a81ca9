"""What a model that takes long to build is told: how long it takes, and what has been tried and found quicker."""

from __future__ import annotations

from dataclasses import replace
from time import monotonic
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.job.quick_model import (
    MAX_PANELS_FOR_VARIANTS,
    MIN_SAVING_MINUTES,
    TARGET_MINUTES,
    build_minutes,
    is_acceptable,
    panel_count,
)

if TYPE_CHECKING:
    from foldsketch.job.pipeline import Choices, Model
    from foldsketch.solid.joining.blocks import JoinRule

LONG_BUILD_MINUTES = 30
"""Minutes of work above which the user is told, of any model but a quick one, which should take ten."""

MAX_SUGGESTIONS = 3
"""Cures that are named, no more."""

MAX_SEARCH_SECONDS = 2.0
"""Seconds after which nothing more is tried."""


def build_time_findings(made: Model, choices: Choices) -> tuple[Finding, ...]:
    """A note for a model that takes long to build, with what is left to be tried."""
    minutes = build_minutes(made, choices)
    quick = choices.quick and made.part.features  # flat panels all round know no quicker way
    if round(minutes) <= (TARGET_MINUTES if quick else LONG_BUILD_MINUTES):
        return ()
    what = f"building it takes about {minutes:.0f} minutes at {choices.pace.qualifier} pace"
    return (Finding("note", "work", what, _suggestion(made, choices, minutes)),)


def _suggestion(made: Model, choices: Choices, minutes: float) -> str:
    if not made.part.features:
        return "fewer --panels give a quicker one"
    if not choices.quick:
        return "--quick gives a quicker one"
    if panel_count(made) > MAX_PANELS_FOR_VARIANTS:
        return (
            f"with more than {MAX_PANELS_FOR_VARIANTS} panels none is tried; a smaller --scale or "
            f"another --join may be quicker"
        )
    found = find_quicker_choices(made, choices, minutes - MIN_SAVING_MINUTES)
    if not found:
        return "a part with less on it is quicker"
    return ", ".join(f"{words} {'takes ' if k == 0 else ''}about {t:.0f}" for k, (t, words) in enumerate(found))


def find_quicker_choices(made: Model, choices: Choices, most: float) -> list[tuple[float, str]]:
    """Options with which the same part takes no more than so many minutes and makes no more trouble: the minutes and
    the words to add, the quickest first."""
    from foldsketch.job import pipeline
    from foldsketch.sheet.layout.paper import STANDARD_SCALES, scale_text

    as_now = replace(choices, scale=made.nets.scale, join=made.join)
    rules: tuple[JoinRule, ...] = ("faces", "fuse") if made.nets.joints else (made.join,)
    smaller = max((s for s in STANDARD_SCALES if s < made.nets.scale), default=made.nets.scale)
    others: dict[str, Choices] = {}
    # Scale and joints are always named: what is left open would be changed again.
    for scale in dict.fromkeys((made.nets.scale, smaller)):
        for rule in rules:
            one = replace(as_now, scale=scale, join=rule)
            words = f"--scale {scale_text(scale)} --join {rule}"
            others[words] = one
            if choices.facets.walls == "folded":
                others[f"--walls rolled {words}"] = replace(one, facets=replace(choices.facets, walls="rolled"))
    others = {words: one for words, one in others.items() if one != as_now}
    found = []
    began = monotonic()
    for words, other in others.items():
        if monotonic() - began > MAX_SEARCH_SECONDS:
            break
        try:
            tried = pipeline.make_model(made.part, other)
        except FoldsketchError:
            continue
        minutes = build_minutes(tried, choices)
        if minutes <= most and is_acceptable(tried, made):
            found.append((minutes, words))
    # Of two that take the same only the shorter is named.
    found = [f for f in found if not any(g is not f and _asks_less(g, f) for g in found)]
    return sorted(found)[:MAX_SUGGESTIONS]


def _asks_less(one: tuple[float, str], other: tuple[float, str]) -> bool:
    """Whether one option takes no longer than another that asks for it and for more."""
    return set(one[1].split()) < set(other[1].split()) and round(one[0]) <= round(other[0])
