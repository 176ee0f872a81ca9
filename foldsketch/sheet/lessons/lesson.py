"""Lessons: a worksheet whose drawings are the form, and the same pages with the answers and a page for the teacher."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.drawing import Drawing
from foldsketch.part.model import Part
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.sheet.lessons.form import Form
from foldsketch.sheet.lessons.model_tasks import ModelTasks
from foldsketch.sheet.lessons.questions import LessonModel, cards, measures
from foldsketch.sheet.lessons.setup_tasks import SetUpTasks
from foldsketch.sheet.lessons.teacher_page import add_class_plan, add_working


@dataclass(frozen=True, slots=True)
class Lesson:
    """Pages of the worksheet and of the answers; the last one of the answers is the teacher's."""

    worksheet: tuple[Drawing, ...]
    answers: tuple[Drawing, ...]


def draw_lesson(
    part: Part, machine: Machine, plan: SetUpPlan, model: LessonModel, spare: SetUp | None = None
) -> Lesson:
    """The lesson of a part, for the paper model that the class folds. spare: a set-up that is not needed."""
    asked, shown = measures(part, model), cards(part, plan, spare)
    pages = []
    for sheet, answered in (("worksheet", False), ("answers", True)):
        form = Form(part.name, sheet, answered)
        ModelTasks(form, part, model, asked).write()
        tasks = SetUpTasks(form, part, machine, plan, shown)
        tasks.write()
        if answered:
            form.new_page()
            add_working(form, part, machine, plan, shown)
            add_class_plan(form, model, asked, tasks.boxes)
        pages.append(form.pages())
    return Lesson(*pages)
