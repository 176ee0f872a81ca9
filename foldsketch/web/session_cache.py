"""The part, model and plan of a task: made once, and kept while text and choices stay the same."""

from __future__ import annotations

import json
from math import isfinite
from typing import TYPE_CHECKING, Any, get_args

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.progress import ignore_progress
from foldsketch.web.messages import MINUTES_NOT_A_NUMBER, NO_MACHINE, NOT_WHOLE

if TYPE_CHECKING:
    from foldsketch.job.choices import Choices
    from foldsketch.job.model import Model
    from foldsketch.part.model import Part
    from foldsketch.setup.machine import Machine
    from foldsketch.setup.model import SetUpPlan

MODEL_CHOICE_KEYS = ("paper", "scale", "sides", "radius", "join", "card", "walls", "minutes", "hold")
"""Keys of a task that a model depends on, beside the part file's text."""

NO_MACHINE_CHOSEN = "none"
"""In place of a machine file's text: only what needs no machine is wanted."""


MACHINE_SOURCE = "machine file"
"""What findings call the file of the machine."""


class SessionCache:
    """What a process made last.

    findings: about the part file; plan_findings: why there is no plan, None before planning.
    """

    def __init__(self) -> None:
        self.text = self.key = self.machine_text = ""
        self.part: Part | None = None
        self.built_model: Model | None = None
        self.plan: SetUpPlan | None = None
        self.findings: tuple[Finding, ...] = ()
        self.plan_findings: tuple[Finding, ...] | None = None

    def part_and_model(self, task: dict[str, Any]) -> tuple[Part, Model]:
        """The part and the model of a task. Raises FoldsketchError."""
        from foldsketch.job.budget import model
        from foldsketch.part.file.read import parse_part

        text = str(task.get("text", ""))
        if self.part is None or text != self.text:
            self.part = self.plan_findings = None
            kind: Any = "json" if text.lstrip().startswith("{") else "toml"
            self.part, self.findings = parse_part(text, kind, "part file")
            self.text, self.key = text, ""
        key = json.dumps([task.get(k) for k in MODEL_CHOICE_KEYS], sort_keys=True)
        if self.built_model is None or key != self.key:
            listener = task.get("listener", ignore_progress)
            self.built_model, self.key = model(self.part, choices_from_task(task), listener), key
        return self.part, self.built_model

    def plan_and_findings(self, task: dict[str, Any]) -> tuple[SetUpPlan | None, tuple[Finding, ...]]:
        """The set-ups of a task's part on its machine; or None, and why."""
        from foldsketch.setup.plan.plan import plan

        part, _ = self.part_and_model(task)
        text = str(task.get("machine") or "")
        if text == NO_MACHINE_CHOSEN:
            return None, (NO_MACHINE.at("set-ups"),)
        if self.plan_findings is None or text != self.machine_text:
            self.machine_text = text
            try:
                self.plan, self.plan_findings = plan(part, machine_from_task(task)), ()
            except FoldsketchError as why:
                self.plan, self.plan_findings = None, why.findings
        return self.plan, self.plan_findings


def machine_from_task(task: dict[str, Any]) -> Machine:
    """The machine that a task gives as the text of a machine file; the usual one for none. Raises FoldsketchError."""
    from foldsketch.setup.machine import DEFAULT_MACHINE
    from foldsketch.setup.machine_file.read import parse_machine

    text = str(task.get("machine") or "")
    if text in ("", NO_MACHINE_CHOSEN):
        return DEFAULT_MACHINE
    return parse_machine(text, "json" if text.lstrip().startswith("{") else "toml", MACHINE_SOURCE)


def choices_from_task(task: dict[str, Any]) -> Choices:
    """The choices that a task names; for an unknown word the default is taken. Raises FoldsketchError."""
    from foldsketch.base.card import parse_card
    from foldsketch.job.choices import RADIUS_RULES, Choices
    from foldsketch.net.model import Hold
    from foldsketch.sheet.layout.paper import parse_scale
    from foldsketch.solid.faceting.sides import FacetChoice, WallStyle
    from foldsketch.solid.joining.blocks import JoinRule

    def known(key: str, words: tuple[str, ...], default: str) -> Any:
        return task[key] if task.get(key) in words else default

    return Choices(
        paper=str(task.get("paper") or "A4"),
        scale=parse_scale(str(task.get("scale") or "auto")),
        facets=FacetChoice(
            sides=_parse_sides(task.get("sides")),
            radius_rule=known("radius", RADIUS_RULES, "equal-area"),
            walls=known("walls", get_args(WallStyle), "folded"),
        ),
        join=known("join", get_args(JoinRule), "auto"),
        minutes=_parse_minutes(task.get("minutes")),
        hold=known("hold", get_args(Hold), "glue"),
        card=parse_card(str(task.get("card") or "0mm")),
        fixed=frozenset(
            name
            for name, key, words in (("radius_rule", "radius", RADIUS_RULES), ("hold", "hold", get_args(Hold)))
            if task.get(key) in words
        ),
    )


def _parse_minutes(minutes: object) -> float | None:
    """A budget of minutes; None for "all", the usual one for an empty field. Raises FoldsketchError."""
    from foldsketch.job.choices import DEFAULT_MINUTES

    if minutes is None or minutes == "":
        return DEFAULT_MINUTES
    if minutes == "all":
        return None
    try:
        return float(str(minutes))
    except ValueError:
        raise MINUTES_NOT_A_NUMBER.error("minutes") from None


def _parse_sides(sides: object) -> int | None:
    """A number of sides, None for an empty field or 0. Raises FoldsketchError for anything but a whole number."""
    if sides is None or sides == "":
        return None
    if isinstance(sides, bool) or not isinstance(sides, int | float) or not isfinite(sides) or sides != int(sides):
        raise NOT_WHOLE.error("sides")
    return int(sides) or None
