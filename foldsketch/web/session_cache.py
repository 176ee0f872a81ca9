"""The part, model and plan of a task: made once, and kept while text and choices stay the same."""

from __future__ import annotations

import json
from math import isfinite
from typing import TYPE_CHECKING, Any

from foldsketch.base.progress import ignore_progress

if TYPE_CHECKING:
    from foldsketch.job.pipeline import Choices, Model
    from foldsketch.part.model import Part
    from foldsketch.setup.model import SetUpPlan

MODEL_CHOICE_KEYS = ("paper", "scale", "sides", "radius", "join", "card", "walls", "quick")
"""What a model depends on beside the part file's text."""


class SessionCache:
    """What a process made last, and what there was to tell of it."""

    def __init__(self) -> None:
        self.text = self.key = ""
        self.part: Part | None = None
        self.made: Model | None = None
        self.plan: SetUpPlan | None = None
        self.findings: list[dict[str, str]] = []
        self.planned: list[dict[str, str]] | None = None

    def model(self, task: dict[str, Any]) -> tuple[Part, Model]:
        """The part and the model of a task. Raises FoldsketchError."""
        from foldsketch.job import quick_model
        from foldsketch.part.file.read import parse_part

        text = str(task.get("text", ""))
        if self.part is None or text != self.text:
            self.part = self.planned = None
            self.part, found = parse_part(text, "json" if text.lstrip().startswith("{") else "toml", "part file")
            self.text, self.key = text, ""
            self.findings = [f.as_dict() for f in found]
        key = json.dumps([task.get(k) for k in MODEL_CHOICE_KEYS], sort_keys=True)
        if self.made is None or key != self.key:
            self.made, self.key = (
                quick_model.model(self.part, choices_from_task(task), task.get("listener", ignore_progress)),
                key,
            )
        return self.part, self.made

    def plans(self, task: dict[str, Any]) -> tuple[SetUpPlan | None, list[dict[str, str]]]:
        """The set-ups of a task's part, or none and why."""
        from foldsketch.base.findings import FoldsketchError
        from foldsketch.setup.machine import DEFAULT_MACHINE
        from foldsketch.setup.plan.plan import plan

        part, _ = self.model(task)
        if self.planned is None:
            try:
                self.plan, self.planned = plan(part, DEFAULT_MACHINE), []
            except FoldsketchError as why:
                self.plan, self.planned = None, [{"level": "note", "text": f.text} for f in why.findings]
        return self.plan, self.planned


def choices_from_task(task: dict[str, Any]) -> Choices:
    """The choices that a task names; what is no choice is left at its usual value. Raises FoldsketchError."""
    from foldsketch.base.card import parse_card
    from foldsketch.job import pipeline
    from foldsketch.sheet.layout.paper import parse_scale
    from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets

    radius, join, quick = task.get("radius"), task.get("join"), task.get("quick") is True
    facets = FacetChoice(
        sides=_parse_sides(task.get("sides")),
        radius_rule=radius if radius in ("inside", "equal-area", "outside") else "equal-area",
        walls="rolled" if task.get("walls") == "rolled" else "folded",
    )
    return pipeline.Choices(
        paper=str(task.get("paper") or "A4"),
        scale=parse_scale(str(task.get("scale") or "auto")),
        facets=coarsen_facets(facets) if quick else facets,
        join=join if join in ("faces", "fuse") else "auto",
        quick=quick,
        card=parse_card(str(task.get("card") or "0mm")),
    )


def _parse_sides(sides: object) -> int | None:
    """A number of sides, None for an empty field or 0. Raises FoldsketchError for what is no whole number."""
    from foldsketch.base.findings import input_error

    if sides is None or sides == "":
        return None
    if isinstance(sides, bool) or not isinstance(sides, int | float) or not isfinite(sides) or sides != int(sides):
        raise input_error("sides", "is no whole number", "give a whole number, or nothing")
    return int(sides) or None
