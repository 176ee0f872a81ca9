"""Pages with numbered tasks and tables: blank on the worksheet, filled in at the same places on the answer sheet."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import Drawing, Item, Layer, Stroke
from foldsketch.base.lettering import truncate_text, wrap_text
from foldsketch.net.model import Nets
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.sheet.booklet.joint_views import finished_model_view
from foldsketch.sheet.booklet.scene import paint_scene
from foldsketch.sheet.page.draw import marked_axis_colours
from foldsketch.sheet.page.page_text import (
    A4_PORTRAIT_MM,
    BODY_TEXT_HEIGHT_MM,
    SMALL_TEXT_HEIGHT_MM,
    TEXT_MARGIN_MM,
    PageRectangle,
    frame_text,
)

TEXT_WIDTH_MM = A4_PORTRAIT_MM[0] - 2 * TEXT_MARGIN_MM
"""Width between the edges, mm."""

ROW_HEIGHT_MM, LINE_HEIGHT_MM, SMALL_LINE_HEIGHT_MM = 7.5, 4.2, 3.2
"""Height of a row of a table, of one more line, and of one more small line, mm."""

GAP_AFTER_TABLE_MM = 9.0
"""Gap between a table and the next title, mm."""

WORKSHEET_PICTURE_SIZE_MM = (56.0, 36.0)
"""Largest width and height of the picture of the model with its letters, mm."""

PICTURE_LETTERS_HEIGHT_MM = 7.0
"""Height in it for the letters of the axes above the model, mm."""

FORM_FIELDS = (("name", 0, 12, 78), ("date", 84, 94, 120), ("measured with", 124, 150, TEXT_WIDTH_MM))
"""Fields for the apprentice: label, its start, start and end of its line, mm from the margin."""


class WorksheetWriter:
    """Writes tasks down the page and starts a new page when one is full.

    title: of every page; what: name of the sheet; answered: fill in the blanks; nets: of the model in the picture, or
    None.
    """

    def __init__(self, title: str, what: str, answered: bool, nets: Nets | None) -> None:
        self.title, self.sheet_name, self.answered = title, what, answered
        self.page_items: list[list[Item]] = []
        self.items: list[Item] = []
        self.y = 0.0
        self.number = 0
        self.picture_bottom = A4_PORTRAIT_MM[1]  # the lower edge of the picture, beside which the first task is
        self.new_page()
        self._add_header(nets)

    def _add_header(self, nets: Nets | None) -> None:
        """Fields for the apprentice, and the picture of the model."""
        if not self.answered:
            for what, x, start, end in FORM_FIELDS:
                self._add_text(TEXT_MARGIN_MM + x, what, BODY_TEXT_HEIGHT_MM)
                line = ((TEXT_MARGIN_MM + start, self.y - 1), (TEXT_MARGIN_MM + end, self.y - 1))
                self.items.append(Stroke(Layer.FRAME, line, width=0.18))
            self.y -= 8
        if nets is not None:
            view = finished_model_view(nets, marked_axis_colours(nets.pieces))
            top = self.y + 6
            box = PageRectangle(
                A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM - WORKSHEET_PICTURE_SIZE_MM[0],
                top - WORKSHEET_PICTURE_SIZE_MM[1],
                WORKSHEET_PICTURE_SIZE_MM[0],
                WORKSHEET_PICTURE_SIZE_MM[1] - PICTURE_LETTERS_HEIGHT_MM,
            )
            self.items += paint_scene(view.things, view.camera, box)
            self.picture_bottom = top - WORKSHEET_PICTURE_SIZE_MM[1]

    def new_page(self) -> None:
        """Begin a page."""
        self.items = []
        self.page_items.append(self.items)
        self.y = A4_PORTRAIT_MM[1] - TEXT_MARGIN_MM - 6
        self._add_text(TEXT_MARGIN_MM, self.title, 5.0, bold=True)
        self._add_text(A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM, self.sheet_name, 3.5, anchor="end")
        self.y -= 4
        self.items.append(
            Stroke(Layer.FRAME, ((TEXT_MARGIN_MM, self.y), (A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM, self.y)), width=0.5)
        )
        self.y -= 7

    def _add_text(self, x: float, text: str, size: float, anchor: str = "start", bold: bool = False) -> None:
        self.items.append(frame_text(x, self.y, text, size, anchor, bold))

    def width_beside_picture(self, needed: float) -> float:
        """Width for the first task, mm.

        Beside the picture if the width needed fits there, else it starts below the picture.
        """
        wide = TEXT_WIDTH_MM - WORKSHEET_PICTURE_SIZE_MM[0] - 6
        if self.picture_bottom < A4_PORTRAIT_MM[1] and needed <= wide:
            return wide
        self.move_below_picture()
        return TEXT_WIDTH_MM

    def move_below_picture(self) -> None:
        """Go on below the picture."""
        if len(self.page_items) == 1 and self.picture_bottom < A4_PORTRAIT_MM[1]:
            self.y = min(self.y, self.picture_bottom - 6)

    def _ensure_space(self, height: float) -> bool:
        """Start a new page when a height, mm, does not fit. Whether it did."""
        full = self.y - height < TEXT_MARGIN_MM + SMALL_LINE_HEIGHT_MM * len(CAUTIONS) + 4
        if full:
            self.new_page()
        return full

    def add_task(
        self, title: str, words: str, rows: int, wide: float = TEXT_WIDTH_MM, notes: Sequence[str] = ()
    ) -> None:
        """A numbered task with its instruction, on one page with its table and notes if they fit a page."""
        lines = wrap_text(words, BODY_TEXT_HEIGHT_MM, wide)
        after = sum(len(wrap_text(n, SMALL_TEXT_HEIGHT_MM, TEXT_WIDTH_MM - 2)) for n in notes)
        self._ensure_space(
            min(6 + LINE_HEIGHT_MM * len(lines) + 4 + ROW_HEIGHT_MM * rows + SMALL_LINE_HEIGHT_MM * after, 200)
        )
        self.number += 1
        self._add_text(TEXT_MARGIN_MM, f"{self.number}  {title}", 3.5, bold=True)
        self.y -= 6
        for line in lines:
            self._add_text(TEXT_MARGIN_MM, line, BODY_TEXT_HEIGHT_MM)
            self.y -= LINE_HEIGHT_MM
        self.y -= 2

    def add_table(
        self,
        heads: Sequence[str],
        widths: Sequence[float],
        rows: Sequence[Sequence[str]],
        given: int,
        notes: Sequence[str] = (),
        after: float = GAP_AFTER_TABLE_MM,
    ) -> None:
        """A table whose first `given` columns are printed on both sheets.

        The others and the notes, which show the working, are only on the answer sheet.
        """
        starts = [TEXT_MARGIN_MM + sum(widths[:k]) for k in range(len(widths))]
        right = TEXT_MARGIN_MM + sum(widths)
        if any(heads):
            self._add_heads(starts, heads)
        for row in rows:
            # As high on both sheets as its longest answer needs.
            cells = [wrap_text(value, BODY_TEXT_HEIGHT_MM, w - 2) for value, w in zip(row, widths, strict=True)]
            height = ROW_HEIGHT_MM + LINE_HEIGHT_MM * (max(map(len, cells)) - 1)
            if self._ensure_space(height) and any(heads):
                self._add_heads(starts, heads)
            top = self.y
            for k, (x, lines) in enumerate(zip(starts, cells, strict=True)):
                self.y = top - ROW_HEIGHT_MM + 1.9
                for line in lines if k < given or self.answered else ():
                    self._add_text(
                        x + 1,
                        truncate_text(line, BODY_TEXT_HEIGHT_MM, widths[k] - 2),
                        BODY_TEXT_HEIGHT_MM,
                        bold=k >= given,
                    )
                    self.y -= LINE_HEIGHT_MM
            self.y = top - height
            for x in (*starts, right):
                self.items.append(Stroke(Layer.FRAME, ((x, top), (x, self.y)), width=0.18))
            for level in (top, self.y):
                self.items.append(Stroke(Layer.FRAME, ((TEXT_MARGIN_MM, level), (right, level)), width=0.18))
        self._add_notes(notes)
        self.y -= after

    def _add_notes(self, notes: Sequence[str]) -> None:
        for k, line in enumerate(line for n in notes for line in wrap_text(n, SMALL_TEXT_HEIGHT_MM, TEXT_WIDTH_MM - 2)):
            self.y -= SMALL_LINE_HEIGHT_MM if k else SMALL_LINE_HEIGHT_MM + 0.4
            if self.answered:
                self._add_text(TEXT_MARGIN_MM + 1, line, SMALL_TEXT_HEIGHT_MM)

    def _add_heads(self, starts: Sequence[float], heads: Sequence[str]) -> None:
        for x, head in zip(starts, heads, strict=True):
            self._add_text(x + 1, head, SMALL_TEXT_HEIGHT_MM)
        self.y -= 2

    def pages(self) -> tuple[Drawing, ...]:
        """The pages, cautions on each."""
        made = []
        for k, items in enumerate(self.page_items, 1):
            y = TEXT_MARGIN_MM + SMALL_LINE_HEIGHT_MM * (len(CAUTIONS) - 1)
            for line in CAUTIONS:
                items.append(frame_text(TEXT_MARGIN_MM, y, line, SMALL_TEXT_HEIGHT_MM))
                y -= SMALL_LINE_HEIGHT_MM
            foot = f"{self.sheet_name}, page {k} of {len(self.page_items)}"
            right = A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM
            items.append(frame_text(right, TEXT_MARGIN_MM, foot, SMALL_TEXT_HEIGHT_MM, "end"))
            made.append(Drawing(A4_PORTRAIT_MM, tuple(items), f"{self.title}, {self.sheet_name}"))
        return tuple(made)
