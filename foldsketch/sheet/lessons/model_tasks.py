"""The tasks on the model in hand: which axis is which, and what it measures."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.part.model import Part
from foldsketch.sheet.layout.paper import STANDARD_SCALES, scale_text
from foldsketch.sheet.lessons.form import (
    BOX_PITCH_MM,
    BOX_WIDTH_MM,
    FORM_WIDTH_MM,
    HEAD_MM,
    INDENT_MM,
    LINE_MM,
    MARGIN_MM,
    TEXT_MM,
    TITLE_MM,
    Form,
)
from foldsketch.sheet.lessons.pictures import draw_model_from_end, draw_ringed_model, end_view_size, outward_normal
from foldsketch.sheet.lessons.questions import LessonModel, Measure, lettered_axes, tick_angle
from foldsketch.sheet.page.page_text import PageRectangle

MODEL_PICTURE_MM = (78.0, 68.0)
"""Width and height of the picture of the model, mm."""

VIEW_WIDTH_MM, BOXES_AT_MM = 106.0, 124.0
"""Width of the view to be measured, and where its boxes begin, mm from the left edge of the page."""

AXIS_LINE_MM = 9.0
"""From the line for one axis to that for the next, mm."""

BELOW_BOXES_MM = 8.0
"""By so much the view is lower than the column of boxes beside it, mm."""

MAX_VIEW_HEIGHT_MM = 150.0
"""Greatest height of the view to be measured, mm."""


@dataclass(frozen=True, slots=True)
class ModelTasks:
    """The tasks on the model. measures: what is measured on it."""

    form: Form
    part: Part
    model: LessonModel
    measures: tuple[Measure, ...]

    def write(self) -> None:
        """Both tasks."""
        self._axes()
        self._measuring()

    def _axes(self) -> None:
        form, named = self.form, lettered_axes(self.part, self.model.nets)
        top, first = form.y, MARGIN_MM + INDENT_MM
        wide = FORM_WIDTH_MM - (MODEL_PICTURE_MM[0] + 4 if self.model.nets else 0.0)
        form.heading(
            "Which axis is which?",
            f"{_model_text(self.model)} Write the letters of the axes in the rings, and what is turned or bored about "
            "each on its line.",
            wide,
        )
        x = first + max(text_width(a, TITLE_MM) for a in named) * 1.08 + 4
        for axis, features in named.items():
            size = HEAD_MM
            lines = wrap_text(", ".join(features), size, MARGIN_MM + wide - x)
            if len(lines) > 1:
                size = TEXT_MM
                lines = wrap_text(", ".join(features), size, MARGIN_MM + wide - x)
            form.need(AXIS_LINE_MM * len(lines))
            for k, words in enumerate(lines):
                form.y -= AXIS_LINE_MM if k == 0 else LINE_MM + 1
                if k == 0:
                    form.word(first, axis, TITLE_MM, bold=True)
                if form.answered:
                    form.word(x, truncate_text(words, size, MARGIN_MM + wide - x), size)
                form.line((x, form.y - 1.2), (MARGIN_MM + wide, form.y - 1.2))
        form.y -= 8.0
        if self.model.nets is not None:
            width, height = MODEL_PICTURE_MM
            box = PageRectangle(MARGIN_MM + FORM_WIDTH_MM - width, top - height + 2, width, height)
            form.page_items[0].extend(draw_ringed_model(self.model.nets, box, form.answered))
            if len(form.page_items) == 1:
                form.y = min(form.y, box.y - 2.0)

    def _measuring(self) -> None:
        form, scale = self.form, self.model.scale
        blanks = [b for m in self.measures for b in m.blanks]
        if not blanks:
            return
        x0, y0, x1, y1 = end_view_size(self.part)
        room = max(form.y - form.floor - 26, 100.0) - 10
        fits = (s for s in (scale, *(t for t in STANDARD_SCALES if t < scale)) if _fits(x1 - x0, y1 - y0, s, room))
        shown = next(fits, STANDARD_SCALES[-1])
        words = "Lengths to half a millimetre."
        if self.part.units == "in":
            words = "Lengths to a sixty-fourth of an inch, written as a decimal."
        if any("tick" in b.before for b in blanks):
            words += " Angles anticlockwise from the datum tick, on a face that looks along +z."
        if scale != 1:
            words += f" The model is {scale_text(scale)}: divide by that for the part."
        if shown == scale:
            words += f" Then lay the model on the drawing, tick on tick: it is {scale_text(scale)}."
            words += " Does it cover it?" if any("Ø" in b.before for b in blanks) else ""
        else:
            words += f" The drawing is {scale_text(shown)}."
        beside = max((y1 - y0) * shown + 20, BOX_PITCH_MM * len(blanks))
        form.need(min(beside, 200.0) + 24)
        form.heading("Measure the model", words)
        left = form.y - form.floor
        pitch = max(BOX_PITCH_MM, min(17.0, left / len(blanks)))
        height = min(left, max((y1 - y0) * shown + 20, pitch * len(blanks)))
        box = PageRectangle(MARGIN_MM, form.y - height, VIEW_WIDTH_MM, height)
        self._measured_rows(box, shown, pitch)
        form.y = box.y - 4

    def _measured_rows(self, box: PageRectangle, scale: float, pitch: float) -> None:
        """The view with its boxes on the right, the highest target first."""
        form, part = self.form, self.part

        def order(m: Measure) -> tuple[float, float, float]:
            """Rounds, the farthest right ones above, between the offsets that are above the view and those below."""
            a, b = (part.axis(name).point[:2] for name in m.axes)
            if m.radius:
                return (1.0, -(a[0] + 0.7 * m.radius), 0.0)
            up = round(outward_normal(a, b, centres)[1], 6)
            return (0.0, -up, (a[0] + b[0]) / 2) if up >= 0 else (2.0, -up, -(a[0] + b[0]) / 2)

        centres = [part.axis(name).point[:2] for name in dict.fromkeys(n for m in self.measures for n in m.axes)]

        rows = sorted(self.measures, key=order)
        count = sum(len(m.blanks) for m in rows)
        y = box.middle[1] + pitch * (count - 1) / 2
        levels = []
        for m in rows:
            levels.append((m, y))
            for blank in m.blanks:
                form.box(BOXES_AT_MM, y, blank.answer)
                form.y = y - HEAD_MM / 2
                at = BOXES_AT_MM + BOX_WIDTH_MM + 2
                form.word(at, blank.after, HEAD_MM)
                at += text_width(blank.after, HEAD_MM) + 3
                size = HEAD_MM if at + text_width(blank.before, HEAD_MM) <= MARGIN_MM + FORM_WIDTH_MM else TEXT_MM
                form.word(at, truncate_text(blank.before, size, MARGIN_MM + FORM_WIDTH_MM - at), size)
                y -= pitch
        # Dimensions are above the view as a rule: it is lower than its boxes, so that their leaders come down to them.
        lower = PageRectangle(box.x, box.y - BELOW_BOXES_MM, box.width, box.height)
        form.items.extend(draw_model_from_end(part, lower, scale, tick_angle(part), levels, BOXES_AT_MM))


def _fits(width: float, height: float, scale: float, room: float) -> bool:
    return width * scale <= VIEW_WIDTH_MM - 8 and height * scale <= min(room, MAX_VIEW_HEIGHT_MM)


def _model_text(model: LessonModel) -> str:
    """How the model of this lesson is built."""
    made = f"Fold the model: {scale_text(model.scale)}"
    if not model.minutes:
        return f"{made}."
    held = {"glue": "glued", "tape": "taped", "tuck": "tucked together"}[model.hold]
    return f"{made}, {held}, about {ceil(model.minutes - 0.5)} minutes."
