"""The teacher's page behind the answers: the working of the figures, and the plan for a class of eight."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from foldsketch.assembly.sequence import assembly_steps
from foldsketch.base.lettering import text_width, wrap_text
from foldsketch.base.units import format_count
from foldsketch.part.model import Part
from foldsketch.setup.machine import Machine
from foldsketch.setup.messages import ORDER_COSTS_MORE, ORDER_EQUALLY_GOOD
from foldsketch.setup.model import SetUpPlan
from foldsketch.sheet.booklet.context import BookletContext, tools_needed
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.lessons.form import FORM_WIDTH_MM, HEAD_MM, INDENT_MM, LINE_MM, MARGIN_MM, TEXT_MM, Form
from foldsketch.sheet.lessons.questions import Card, LessonModel, Measure, how_it_moves, packing_verdict

CLASS_SIZE = 8

FIRST_MODEL_FACTOR = 1.5
"""A first model takes so many times the minutes of the estimate [C]."""

MINUTES_A_BOX, MINUTES_AROUND = 0.5, (5, 10)
"""To fill in one box; to hand out and check the bars, and to compare the answers, minutes [C]."""


def add_working(form: Form, part: Part, machine: Machine, plan: SetUpPlan, shown: Sequence[Card]) -> None:
    """How the answers come about."""
    _heading(form, "How the answers come about")
    for name, words in _working(part, machine, plan, shown):
        _row(form, name, words)
    form.y -= 4


def _working(part: Part, machine: Machine, plan: SetUpPlan, shown: Sequence[Card]) -> list[tuple[str, str]]:
    m = plan.minutes
    rows = []
    if plan.unturned:
        rows.append(("not cut", f"On this machine: {', '.join(name for name, _ in plan.unturned)}."))
    elif plan.setups:
        rows.append(
            ("order", f"Least time: {m.a_part(plan.batch):.1f} min a part, of it {m.setting:.0f} min setting a batch.")
        )
    if plan.setups:
        rows.append(("from one to next", how_it_moves(plan.setups)))
    rows += [("not needed", f"{c.letter}: it belongs to another plan.") for c in shown if not c.setup.number]
    rows += [
        ("equally good", f"{'; '.join(a.steps)}.")
        for a in plan.alternatives
        if a.reason.code == ORDER_EQUALLY_GOOD.code
    ]
    rows += [
        ("slower", f"{'; '.join(a.steps)}: {a.minutes:.1f} min a part.")
        for a in plan.alternatives[:2]
        if a.reason.code == ORDER_COSTS_MORE.code
    ]
    rows += [
        ("full reading", "twice the distance of the held axis from the centreline"),
        ("swing", "twice the farthest point from the centreline"),
        ("clearance", "from the turned surface to the ring that a neighbour sweeps"),
        ("stick-out", "from the far end of the surface past all that turns around it"),
    ]
    if any(s.shift > 1e-6 for s in plan.setups):
        rows.append(("sub moved", "the distance of this centreline from the one before"))
    if any(s.packing for s in plan.setups):
        rows.append(
            (
                "packing",
                "Flat jaws: 1.5 e, with e the offset. Narrow jaws: 1.5 e + (√(D² - 3 e²) - D) / 2, with D the held "
                "diameter. At 0.2887 D the two unpacked jaws are opposite each other; beyond that they cannot grip.",
            )
        )
        said = [f"{c.letter}: {packing_verdict(part, machine, c.setup)}" for c in shown if c.setup.packing]
        rows.append(("packing allowed", f"{'; '.join(said)}."))
    return rows


def add_class_plan(form: Form, model: LessonModel, asked: Sequence[Measure], boxes: int) -> None:
    """Sheets, tools and minutes for a class."""
    measured = sum(len(m.blanks) for m in asked)
    first = ceil(model.minutes * FIRST_MODEL_FACTOR)
    around = MINUTES_AROUND
    tasks = (
        ("hand out, check the 100 mm bars", around[0]),
        (f"build: {model.minutes:.0f} by the estimate, half as long again for a first model", first),
        ("tasks 1 and 2, on the model", ceil(MINUTES_A_BOX * (measured + 2))),
        *((("the other tasks, on the set-ups", ceil(MINUTES_A_BOX * boxes)),) if boxes else ()),
        ("compare the answers", around[1]),
    )
    half = CLASS_SIZE // 2
    paper = "A4 sheets of card of 120 to 200 g/m²"
    form.need(30 + LINE_MM * (len(tasks) + 8))
    _heading(form, f"A class of {CLASS_SIZE}")
    held = {"glue": "held with glue", "tape": "held with tape", "tuck": "tucked together"}[model.hold]
    if model.sheets:
        _row(
            form,
            "model",
            f"{scale_text(model.scale)}, {held}; {format_count(model.sheets, 'sheet')} each. One between "
            f"two: {half * model.sheets} {paper.replace('A4 ', '')}; one each: {CLASS_SIZE * model.sheets}.",
        )
    _row(form, "worksheets", f"{CLASS_SIZE}, both sides of one leaf. Answers: one.")
    _row(form, "each two", f"{', '.join(_tools(model))}, a protractor, a calculator, one booklet of the model.")
    form.y -= 1
    for words, minutes in tasks:
        _row(form, f"{minutes} min", words)
    total = sum(minutes for _, minutes in tasks)
    form.y -= 1.5
    form.word(MARGIN_MM, f"{total} minutes", HEAD_MM, bold=True)
    at = MARGIN_MM + text_width(f"{total} minutes", HEAD_MM) * 1.08 + 4
    form.word(
        at, f"all together. Reckoned with {60 * MINUTES_A_BOX:.0f} seconds a box: change it as you know your class."
    )
    form.y -= 6


def _tools(model: LessonModel) -> tuple[str, ...]:
    nets = model.nets
    if nets is None:
        return ("scissors", "a ruler", "paper glue")
    return tools_needed(BookletContext(nets, {p.id: p for p in nets.pieces}, {}, {}, assembly_steps(nets)))


def _heading(form: Form, words: str) -> None:
    form.y -= HEAD_MM - 1
    form.word(MARGIN_MM, words, HEAD_MM, bold=True)
    form.y -= 6


def _row(form: Form, name: str, words: str) -> None:
    """A name at the margin and words beside it."""
    for k, line in enumerate(wrap_text(words, TEXT_MM, FORM_WIDTH_MM - 4 * INDENT_MM)):
        form.need(LINE_MM)
        if k == 0:
            form.word(MARGIN_MM, name)
        form.word(MARGIN_MM + 4 * INDENT_MM, line)
        form.y -= LINE_MM
    form.y -= 0.6
