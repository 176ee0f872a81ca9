"""The tasks on the set-ups: which axis on the centreline, in which order, and the figures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from math import ceil

from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.net.marks.dimension_text import length_text
from foldsketch.part.model import Part
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUpPlan
from foldsketch.setup.plan.plan import asked_for
from foldsketch.setup.plan.set_up_text import WAY_TEXT
from foldsketch.setup.work.states import WorkStates
from foldsketch.sheet.lessons.form import (
    BOX_HEIGHT_MM,
    BOX_PITCH_MM,
    FORM_WIDTH_MM,
    HEAD_MM,
    INDENT_MM,
    LINE_MM,
    MARGIN_MM,
    TEXT_MM,
    Form,
)
from foldsketch.sheet.lessons.pictures import draw_set_up_picture, set_up_scale
from foldsketch.sheet.lessons.questions import Card, figures
from foldsketch.sheet.page.page_text import PageRectangle

MIN_CARD_MM, MAX_CARD_MM, CARD_WORDS_MM = 44.0, 90.0, 18.5
"""Bounds of the height of a set-up with its picture, and of that what is below the picture, mm."""

CARD_GAP_MM = 4.0
"""Free height below a row of set-ups, mm."""

FIGURES_MM = 36.0
"""Height of the task of figures without its boxes, mm."""


@dataclass(frozen=True, slots=True)
class SetUpTasks:
    """The tasks on the set-ups of a plan."""

    form: Form
    part: Part
    machine: Machine
    plan: SetUpPlan
    cards: tuple[Card, ...]

    def write(self) -> None:
        """Both tasks, on a page of their own."""
        if self.cards:
            self.form.new_page()
            self._order()
            self._figures()

    @property
    def boxes(self) -> int:
        """How many boxes there are about set-ups."""
        return sum(2 + len(figures(self.part, self.machine, c.setup, self._moved)) for c in self.cards)

    @property
    def _moved(self) -> bool:
        return any(c.setup.shift > 1e-6 for c in self.cards)

    def _order(self) -> None:
        form = self.form
        form.heading(
            "Which axis on the centreline, and in which order?",
            "Write the axis of the spindle in each ring and shade what is cut. Number the set-ups so that a batch of "
            f"{self.plan.batch} takes least time on the {self.machine.name}. A raw surface is held once, in hard jaws. "
            "What is not needed gets no number.",
        )
        for name, words in self._given():
            for k, line in enumerate(wrap_text(words, TEXT_MM, FORM_WIDTH_MM - INDENT_MM - 26)):
                if k == 0:
                    form.word(MARGIN_MM + INDENT_MM, name)
                form.word(MARGIN_MM + INDENT_MM + 26, line)
                form.y -= LINE_MM
        form.y -= 2
        columns = 2 if len(self.cards) in (1, 2, 4) else 3
        wide, rows = FORM_WIDTH_MM / columns, ceil(len(self.cards) / columns)
        left = form.y - form.floor - FIGURES_MM - BOX_PITCH_MM * len(self.cards)
        high = min(MAX_CARD_MM, max(MIN_CARD_MM, left / rows - CARD_GAP_MM - 0.1))
        scale = set_up_scale([c.setup for c in self.cards], self.machine, wide - 4, high - CARD_WORDS_MM)
        for start in range(0, len(self.cards), columns):
            form.need(high)
            top = form.y
            for k, card in enumerate(self.cards[start : start + columns]):
                self._card(card, PageRectangle(MARGIN_MM + k * wide, top - high, wide, high), scale)
            form.y = top - high - CARD_GAP_MM

    def _card(self, card: Card, box: PageRectangle, scale: float) -> None:
        """One set-up: picture, how it is held, and the box for its place in the order."""
        form, s = self.form, card.setup
        upper = PageRectangle(box.x, box.y + CARD_WORDS_MM, box.width - 4, box.height - CARD_WORDS_MM)
        form.items.extend(draw_set_up_picture(s, self.machine, upper, scale, form.answered))
        right = box.x + box.width - 4
        middle = box.y + CARD_WORDS_MM - 3 - BOX_HEIGHT_MM / 2
        form.box(right - 10, middle, str(s.number or "-"), 10.0)
        form.y = middle - TEXT_MM / 2
        form.word(right - 12, "set-up", TEXT_MM, "end")
        form.y = middle - HEAD_MM / 2
        form.word(box.x, card.letter, HEAD_MM, bold=True)
        x = box.x + text_width(card.letter, HEAD_MM) * 1.08 + 2
        room = right - 12 - text_width("set-up", TEXT_MM) - 2 - x
        size = HEAD_MM if text_width(f"{s.clamping.spindle} spindle", HEAD_MM) <= room else TEXT_MM
        form.word(x, truncate_text(f"{s.clamping.spindle} spindle", size, room), size)
        form.y = box.y + 5.0
        how = WAY_TEXT[s.clamping.way]
        if form.answered:
            how = f"{how}, held on {s.clamping.held_on}; cut: {', '.join((*s.features, *s.faces)) or 'nothing'}"
        lines = wrap_text(how, TEXT_MM, box.width - 5)
        for k, line in enumerate(lines[:2]):
            form.word(box.x, truncate_text(line if k == 0 else " ".join(lines[1:]), TEXT_MM, box.width - 5))
            form.y -= LINE_MM - 0.7

    def _given(self) -> list[tuple[str, str]]:
        """What is to be turned, and what the machine can do."""
        m, units = self.machine, self.part.units

        def length(mm: float) -> str:
            return length_text(mm, units)

        chucks = "; ".join(f"{s.name} {length(s.smallest)} to {length(s.largest)}" for s in m.spindles)
        ways = ", ".join(f"{way} up to {length(most)}" for way, most in m.max_offsets)
        hands = "taken out and put in again by hand"
        if m.kind == "twin":
            hands = f"by the other spindle, which takes the part over by its other end; or {hands}"
            if m.cross_travel:
                hands += f". The sub-spindle can move off centre by up to {length(m.cross_travel)}"
        return [
            ("from", self.plan.blank.replace(" d", " Ø")),
            ("to be cut", ", ".join(n for n in asked_for(self.part, m, WorkStates(self.part)))),
            ("next set-up", f"{hands}."),
            ("chucks hold", f"{chucks}; gripped over at least {length(max(s.grip for s in m.spindles))}"),
            ("off centre by", ways or "nothing"),
        ]

    def _figures(self) -> None:
        form, m, units = self.form, self.machine, self.part.units
        form.need(FIGURES_MM + BOX_PITCH_MM * len(self.cards))
        length = partial(length_text, units=units)
        moved = " Moved: how far the sub-spindle goes off centre." if self._moved else ""
        form.heading(
            "Predict the figures",
            f"All in {units}. Reading: of an indicator on the held feature, highest less lowest over one turn.{moved} "
            f"Swing: across all that turns, raw bar too; the machine takes {length(m.swing)}. "
            "Clearance: from the cut surface to "
            f"what passes beside it; a tool needs {length(m.tools.room)}. Stick-out: of a tool past a neighbour or "
            f"into a bore, at most {length(m.tools.overhang)}. Packing of one of three jaws, narrow or flat "
            "ones: allowed below 0.2887 × the held diameter, and within the machine's limit.",
        )
        form.grid([(c.letter, figures(self.part, m, c.setup, self._moved)) for c in self.cards])
