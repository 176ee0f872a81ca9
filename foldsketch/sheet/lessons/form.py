"""A page as a form: numbered tasks, lines and boxes, blank on the worksheet, filled in on the answers."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import Drawing, Item, Layer, Point, Stroke, Text
from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.sheet.lessons.questions import Blank
from foldsketch.sheet.page.page_text import A4_PORTRAIT_MM

MARGIN_MM = 9.0
"""Nothing is nearer to the edge of the page, mm."""

FORM_WIDTH_MM = A4_PORTRAIT_MM[0] - 2 * MARGIN_MM

TITLE_MM, NUMBER_MM, HEAD_MM, TEXT_MM = 5.0, 7.0, 3.5, 2.5
"""Capital heights of the title, of a task's number, of headings and answers, and of words, mm."""

LINE_MM, INDENT_MM = 4.2, 9.0
"""From one line of words to the next, and from a task's number to its words, mm."""

BOX_WIDTH_MM, BOX_HEIGHT_MM, BOX_PITCH_MM = 22.0, 7.5, 9.5
"""Size of a box, and from one to the one below, mm."""

THIN_MM, RULE_MM = 0.25, 0.5
"""Line widths of boxes and of the rule below the title, mm."""

DIVIDER = (0xA6 / 255,) * 3

BOLD_SHARE = 1.08
"""By this much bold words are wider than they measure."""

FIELDS = (("name", 34.0), ("date", 18.0))
"""What the apprentice writes beside the title, and the length of its line, mm."""

SHORT_CAUTION = "On the machine: balanced, guards closed, proved at low speed, with a trained person."


class Form:
    """Pages that are written from the top down. answered: boxes and lines are filled in."""

    def __init__(self, title: str, sheet: str, answered: bool) -> None:
        self.title, self.sheet, self.answered = title, sheet, answered
        self.page_items: list[list[Item]] = []
        self.y = 0.0
        self.number = 0
        self.new_page()

    @property
    def items(self) -> list[Item]:
        """What is on the page that is being written."""
        return self.page_items[-1]

    @property
    def floor(self) -> float:
        """Lowest level of the page's own contents, mm."""
        return MARGIN_MM + (LINE_MM if len(self.page_items) == 1 else LINE_MM * len(CAUTIONS)) + 3

    def new_page(self) -> None:
        """Begin a page with the title and, on the first one of a worksheet, fields for the apprentice."""
        self.page_items.append([])
        right = MARGIN_MM + FORM_WIDTH_MM
        self.y = A4_PORTRAIT_MM[1] - MARGIN_MM - TITLE_MM
        beside = text_width(self.sheet, HEAD_MM) + 4
        title = truncate_text(self.title, TITLE_MM, (FORM_WIDTH_MM - beside) / BOLD_SHARE)
        self.word(MARGIN_MM, title, TITLE_MM, bold=True)
        if self.answered or len(self.page_items) > 1:
            self.word(right, self.sheet, HEAD_MM, "end")
        if len(self.page_items) == 1:
            self._fields(BOLD_SHARE * text_width(title, TITLE_MM))
        self.y -= 3.5
        self.line((MARGIN_MM, self.y), (right, self.y), RULE_MM)
        self.y -= 6.0

    def _fields(self, title: float) -> None:
        """What the apprentice fills in, below the title if that is too wide, mm; the answers have the same space."""
        right = MARGIN_MM + FORM_WIDTH_MM
        x = right - (sum(text_width(word, HEAD_MM) + line + 6 for word, line in FIELDS) - 4.5)
        if MARGIN_MM + title + 6 > x:
            self.y -= 9
        for word, line in () if self.answered else FIELDS:
            self.word(x, word, HEAD_MM)
            x += text_width(word, HEAD_MM) + 1.5
            self.line((x, self.y - 0.8), (x + line, self.y - 0.8))
            x += line + 4.5

    def word(self, x: float, text: str, size: float = TEXT_MM, anchor: str = "start", bold: bool = False) -> None:
        """A word with its base line at the level of the page."""
        self.items.append(Text(Layer.FRAME, (x, self.y), text, size, anchor=anchor, bold=bold))

    def line(self, a: Point, b: Point, width: float = THIN_MM) -> None:
        """A straight line."""
        self.items.append(Stroke(Layer.FRAME, (a, b), width=width))

    def need(self, height: float) -> None:
        """Begin a page unless a height, mm, is left."""
        if self.y - height < self.floor:
            self.new_page()

    def heading(self, head: str, words: str, width: float = FORM_WIDTH_MM) -> None:
        """A task's number, its heading and what to do."""
        self.number += 1
        top = self.y
        self.y = top - NUMBER_MM + 1.0
        self.word(MARGIN_MM, str(self.number), NUMBER_MM, bold=True)
        self.y = top - HEAD_MM
        self.word(MARGIN_MM + INDENT_MM, head, HEAD_MM, bold=True)
        self.y -= 5.2
        self.paragraph(words, MARGIN_MM + INDENT_MM, width - INDENT_MM)
        self.y = min(self.y, top - NUMBER_MM) - 1.5

    def paragraph(self, words: str, x: float = MARGIN_MM, width: float = FORM_WIDTH_MM) -> None:
        """Words in lines."""
        for text in wrap_text(words, TEXT_MM, width):
            self.word(x, text)
            self.y -= LINE_MM

    def box(self, x: float, middle: float, answer: str, width: float = BOX_WIDTH_MM) -> None:
        """A box with its left edge at x and its middle at a level; on the answers with what belongs into it."""
        low, high = middle - BOX_HEIGHT_MM / 2, middle + BOX_HEIGHT_MM / 2
        corners = ((x, low), (x + width, low), (x + width, high), (x, high))
        self.items.append(Stroke(Layer.FRAME, corners, closed=True, width=THIN_MM))
        if self.answered:
            size = HEAD_MM if BOLD_SHARE * text_width(answer, HEAD_MM) <= width - 2 else TEXT_MM
            at = (x + width / 2, middle - size / 2)
            self.items.append(Text(Layer.FRAME, at, answer, size, anchor="middle", bold=True))

    def grid(self, rows: Sequence[tuple[str, Sequence[Blank]]], width: float = FORM_WIDTH_MM) -> None:
        """Boxes with what they ask for above them: a row for every letter."""
        left = MARGIN_MM + INDENT_MM
        pitch = (width - INDENT_MM - 8) / len(rows[0][1])
        wide = min(pitch - 3, 30.0)
        self.y -= TEXT_MM
        for k, blank in enumerate(rows[0][1]):
            self.word(left + 8 + k * pitch, blank.before)
        self.y -= 2.2
        for letter, blanks in rows:
            middle = self.y - BOX_HEIGHT_MM / 2
            self.y = middle - HEAD_MM / 2
            self.word(left, letter, HEAD_MM, bold=True)
            for k, blank in enumerate(blanks):
                self.box(left + 8 + k * pitch, middle, blank.answer, wide)
            self.y = middle + BOX_HEIGHT_MM / 2 - BOX_PITCH_MM
        self.y -= 4.0

    def pages(self) -> tuple[Drawing, ...]:
        """The pages, with the cautions: one line on the first, which has no set-up, all of them on the others."""
        made = []
        for k, items in enumerate(self.page_items):
            lines = (SHORT_CAUTION,) if k == 0 else CAUTIONS
            y = MARGIN_MM + LINE_MM * (len(lines) - 1)
            top = y + LINE_MM + 0.3
            rule = Stroke(
                Layer.FRAME, ((MARGIN_MM, top), (MARGIN_MM + FORM_WIDTH_MM, top)), width=THIN_MM, colour=DIVIDER
            )
            foot: list[Item] = [rule]
            for text in lines:
                foot.append(Text(Layer.FRAME, (MARGIN_MM, y), text, TEXT_MM))
                y -= LINE_MM
            count = Text(
                Layer.FRAME,
                (MARGIN_MM + FORM_WIDTH_MM, MARGIN_MM),
                f"{k + 1} / {len(self.page_items)}",
                TEXT_MM,
                anchor="end",
            )
            made.append(Drawing(A4_PORTRAIT_MM, (*items, *foot, count), f"{self.title}, {self.sheet}"))
        return tuple(made)
