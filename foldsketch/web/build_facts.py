"""What the page's title block has to know: minutes, the steps that there are to choose from, sheets, hold."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from foldsketch.base.units import format_count
from foldsketch.job.budget import build_minutes
from foldsketch.job.choices import Choices
from foldsketch.job.model import Model
from foldsketch.sheet.layout.paper import scale_text


def build_facts(made: Model, chosen: Choices) -> dict[str, Any]:
    """The title block of a model: minutes to build it, paper, and the steps of the ladder, the quickest first.

    steps: each with its minutes by estimate, its words, and the budget that takes it, in minutes or "all"; step: index
    of the one that was taken, -1 where none is it.
    """
    steps = _distinct_steps(made)
    taken = made.step.value("step") if made.step else ""
    return {
        "minutes": round(build_minutes(made, chosen)),
        "steps": steps,
        "step": next((k for k, s in enumerate(steps) if taken in s["codes"]), -1),
        "paper": f"{len(made.sheets)} × {made.paper.name}, {scale_text(made.nets.scale)}",
        "pieces": format_count(len(made.nets.pieces), "piece"),
        "hold": made.nets.hold,
        "drawn": [f.name for f in made.drawn],
    }


def _distinct_steps(made: Model) -> list[dict[str, Any]]:
    """The steps whose minutes differ, the quickest first. Steps that come to the same are one, named by its richest."""
    if made.ladder is None:
        return []
    found: list[dict[str, Any]] = []
    for k in reversed(range(len(made.ladder.steps))):
        step, minutes = made.ladder.steps[k], made.ladder.minutes(k)
        if found and minutes <= found[-1]["minutes"] + 0.05:
            found[-1]["codes"].append(step.code)
            found[-1]["words"] = step.words if step.code != "everything" else found[-1]["words"]
            continue
        found.append({"minutes": minutes, "codes": [step.code], "words": step.words})
    for here, above in pairwise(found):
        # Half way to the next one: a model that comes out a little longer than its estimate keeps its step.
        here["budget"] = round((here["minutes"] + above["minutes"]) / 2, 1)
    if found:
        found[-1] |= {"budget": "all", "words": "everything is built"}
    for s in found:
        s["minutes"] = max(1, round(s["minutes"]))
    return found
