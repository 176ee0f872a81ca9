"""A note on a model that takes long to build: how long, and which options were tried and are quicker."""

from __future__ import annotations

from dataclasses import replace
from time import monotonic
from typing import TYPE_CHECKING, Any

from foldsketch.base.findings import Finding, FoldsketchError, Message
from foldsketch.commands.messages import (
    LONG,
    LONG_PANELS,
    LONG_QUICK_MANY_PANELS,
    LONG_QUICK_NO_OPTION,
    LONG_QUICK_OPTIONS,
)
from foldsketch.job.quick_model import (
    MAX_PANELS_FOR_VARIANTS,
    MIN_SAVING_MINUTES,
    TARGET_MINUTES,
    build_minutes,
    is_acceptable,
    panel_count,
)

if TYPE_CHECKING:
    from foldsketch.job.choices import Choices
    from foldsketch.job.model import Model
    from foldsketch.solid.joining.blocks import JoinRule

LONG_BUILD_MINUTES = 30
"""Minutes of work above which a note is printed; for a quick model it is TARGET_MINUTES."""

MAX_SUGGESTIONS = 3
"""Options that are suggested at most."""

MAX_SEARCH_SECONDS = 2.0
"""Time limit for the search, seconds."""


def build_time_findings(made: Model, choices: Choices) -> tuple[Finding, ...]:
    """A note for a model that takes long to build, with what can still be tried."""
    minutes = build_minutes(made, choices)
    quick = choices.quick and made.part.features  # for a model of flat panels there is no quicker way
    if round(minutes) <= (TARGET_MINUTES if quick else LONG_BUILD_MINUTES):
        return ()
    message, values = _suggestion(made, choices, minutes)
    return (message.at("building the model", minutes=round(minutes), whose=choices.pace.qualifier, **values),)


def _suggestion(made: Model, choices: Choices, minutes: float) -> tuple[Message, dict[str, Any]]:
    """The message that says what would be quicker, and its values."""
    if not made.part.features:
        return LONG_PANELS, {}
    if not choices.quick:
        return LONG, {}
    if panel_count(made) > MAX_PANELS_FOR_VARIANTS:
        return LONG_QUICK_MANY_PANELS, {"most": MAX_PANELS_FOR_VARIANTS}
    found = find_quicker_choices(made, choices, minutes - MIN_SAVING_MINUTES)
    if not found:
        return LONG_QUICK_NO_OPTION, {}
    named = ", ".join(f"{words} {'takes ' if k == 0 else ''}about {t:.0f}" for k, (t, words) in enumerate(found))
    return LONG_QUICK_OPTIONS, {"options": named}


def find_quicker_choices(made: Model, choices: Choices, most: float) -> list[tuple[float, str]]:
    """Options with which the same part takes at most so many minutes and is as easy to build.

    Returns minutes and the options' words, quickest first.
    """
    from foldsketch.job import pipeline

    found = []
    began = monotonic()
    for words, other in _other_choices(made, choices).items():
        if monotonic() - began > MAX_SEARCH_SECONDS:
            break
        try:
            tried = pipeline.make_model(made.part, other)
        except FoldsketchError:
            continue
        minutes = build_minutes(tried, choices)
        if minutes <= most and is_acceptable(tried, made):
            found.append((minutes, words))
    # Of two that take the same time only the shorter is suggested.
    found = [f for f in found if not any(g is not f and _asks_less(g, f) for g in found)]
    return sorted(found)[:MAX_SUGGESTIONS]


def _other_choices(made: Model, choices: Choices) -> dict[str, Choices]:
    """Options to try and the choices that they give: this scale and the next smaller, each joint rule, each wall."""
    from foldsketch.sheet.layout.paper import STANDARD_SCALES, scale_text

    as_now = replace(choices, scale=made.nets.scale, join=made.join)
    rules: tuple[JoinRule, ...] = ("faces", "fuse") if made.nets.joints else (made.join,)
    smaller = max((s for s in STANDARD_SCALES if s < made.nets.scale), default=made.nets.scale)
    others: dict[str, Choices] = {}
    # Scale and joint rule are always named: what is left open would be changed again.
    for scale in dict.fromkeys((made.nets.scale, smaller)):
        for rule in rules:
            one = replace(as_now, scale=scale, join=rule)
            words = f"--scale {scale_text(scale)} --join {rule}"
            others[words] = one
            if choices.facets.walls == "folded":
                others[f"--walls rolled {words}"] = replace(one, facets=replace(choices.facets, walls="rolled"))
    return {words: one for words, one in others.items() if one != as_now}


def _asks_less(one: tuple[float, str], other: tuple[float, str]) -> bool:
    """Whether one option takes no longer than another that asks for it and for more."""
    return set(one[1].split()) < set(other[1].split()) and round(one[0]) <= round(other[0])
