"""The files that come from a set-up plan: set-up sheets and lessons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from foldsketch.setup.machine import DEFAULT_MACHINE, Machine

if TYPE_CHECKING:
    from foldsketch.job.choices import Choices
    from foldsketch.part.model import Part
    from foldsketch.setup.formulas.cycle_time import TimeComparison
    from foldsketch.setup.model import SetUpPlan
    from foldsketch.setup.plan.castings_and_time import CastingCheck


def setup_sheets(
    part: Part,
    planned: SetUpPlan,
    machine: Machine = DEFAULT_MACHINE,
    castings: Sequence[CastingCheck] = (),
    time: TimeComparison | None = None,
) -> bytes:
    """The set-up sheets of a plan, as PDF.

    Parameters
    ----------
    part : Part
        The part that was planned.
    planned : SetUpPlan
        From `plan`.
    machine : Machine, optional
        The machine that it was planned for.
    castings : sequence of CastingCheck, optional
        Whether cast features clean up.
    time : TimeComparison, optional
        Time in one machine and in separate ones.

    Returns
    -------
    bytes
        The PDF file.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> foldsketch.setup_sheets(part, foldsketch.plan(part))[:4]
    b'%PDF'
    """
    from foldsketch.sheet.setup_sheets.talk_sheets import draw_talk_sheets
    from foldsketch.write.pdf import pdf

    return pdf(draw_talk_sheets(part, machine, planned, castings, time), f"{part.name}, set-ups")


def lesson(
    part: Part,
    machine: Machine = DEFAULT_MACHINE,
    choices: Choices | None = None,
    planned: SetUpPlan | None = None,
) -> dict[str, bytes]:
    """A lesson about a part: worksheet, answers with a class plan, and the model that they are about with its booklet.

    Parameters
    ----------
    part : Part
        The part that the apprentices turn over in their hands.
    machine : Machine, optional
        The machine that the set-ups are for.
    choices : Choices, optional
        Those of the paper model that the lesson is about.
    planned : SetUpPlan, optional
        The set-ups, when they have been planned already.

    Returns
    -------
    dict of str to bytes
        ``"worksheet"``, ``"answers"``, ``"model"`` and ``"booklet"``, each a PDF file.

    Raises
    ------
    FoldsketchError
        When the part cannot be modelled, or has nothing to turn.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/lessons/1-one-offset-spigot.toml")
    >>> sorted(foldsketch.lesson(part))
    ['answers', 'booklet', 'model', 'worksheet']
    """
    from foldsketch.job.budget import build_minutes, model
    from foldsketch.job.choices import Choices
    from foldsketch.job.outputs import booklet, sheet_pages
    from foldsketch.setup.plan.plan import plan
    from foldsketch.sheet.lessons.lesson import draw_lesson
    from foldsketch.sheet.lessons.questions import LessonModel, spare_set_up, without_answers
    from foldsketch.write.pdf import pdf

    chosen = choices or Choices()
    made = model(part, chosen)
    nets = made.nets
    flats = {p.feature.name: p.across_flats for p in made.faceted.prisms if p.sides and p.sides % 2 == 0}
    about = LessonModel(nets.scale, nets, nets.hold, build_minutes(made, chosen), len(made.sheets), flats)
    chosen_plan = planned or plan(part, machine)
    others = (plan(part, machine, number=a.number) for a in chosen_plan.alternatives)
    pages = draw_lesson(part, machine, chosen_plan, about, spare_set_up(chosen_plan, others))
    made = replace(made, nets=without_answers(nets))
    named = {"worksheet": pages.worksheet, "answers": pages.answers, "model": sheet_pages(made)}
    files = {what: pdf(drawn, f"{part.name}, {what}") for what, drawn in named.items()}
    return files | {"booklet": booklet(made, chosen.pace)}
