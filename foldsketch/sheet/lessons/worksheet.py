"""Worksheet: pages with numbered tasks and tables, blank on one sheet, filled in at the same places on the other."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import Drawing, Item, Layer, Stroke, Words
from foldsketch.base.lettering import shortened, wrapped
from foldsketch.net.model import Nets
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.sheet.booklet.joint_views import finished
from foldsketch.sheet.booklet.scene import Box, painted
from foldsketch.sheet.page.draw import colours_of

PAGE = (210.0, 297.0)
"""A4 upright, mm."""

EDGE = 14.0
WIDE = PAGE[0] - 2 * EDGE
"""Width between the edges, mm."""

BODY, SMALL = 2.5, 1.8
ROW, LINE, CLOSE = 7.5, 4.2, 3.2
"""Height of a row of a table, of one more line, and of one more small line, mm."""

AFTER = 9.0
"""From a table to the next title, mm."""

PICTURE = (56.0, 36.0)
"""Room for the picture of the model with its letters, mm."""

LETTERS = 7.0
"""So much of it, mm, is for the axes' letters, which stand above the model."""

SIGNED = (("name", 0, 12, 78), ("date", 84, 94, 120), ("measured with", 124, 150, WIDE))
"""What whoever works on the sheet fills in: where its word stands, where its line begins and ends, mm from the edge."""


class Writer:
    """Writes tasks down a page and turns it when it is full. title: of every page; what: which sheet it is; answered:
    fill the blanks in; nets: of the model that is shown, or None."""

    def __init__(self, title: str, what: str, answered: bool, nets: Nets | None) -> None:
        self.title, self.what, self.answered = title, what, answered
        self.done: list[list[Item]] = []
        self.items: list[Item] = []
        self.y = 0.0
        self.number = 0
        self.picture = PAGE[1]  # the lower edge of the picture, beside which the first task stands
        self.turn()
        self._begin(nets)

    def _begin(self, nets: Nets | None) -> None:
        """Who works on this sheet, and what the model looks like."""
        if not self.answered:
            for what, x, start, end in SIGNED:
                self._put(EDGE + x, what, BODY)
                line = ((EDGE + start, self.y - 1), (EDGE + end, self.y - 1))
                self.items.append(Stroke(Layer.FRAME, line, width=0.18))
            self.y -= 8
        if nets is not None:
            stage = finished(nets, colours_of(nets.pieces))
            top = self.y + 6
            box = Box(PAGE[0] - EDGE - PICTURE[0], top - PICTURE[1], PICTURE[0], PICTURE[1] - LETTERS)
            self.items += painted(stage.things, stage.seen, box)
            self.picture = top - PICTURE[1]

    def turn(self) -> None:
        """Begin a page."""
        self.items = []
        self.done.append(self.items)
        self.y = PAGE[1] - EDGE - 6
        self._put(EDGE, self.title, 5.0, bold=True)
        self._put(PAGE[0] - EDGE, self.what, 3.5, anchor="end")
        self.y -= 4
        self.items.append(Stroke(Layer.FRAME, ((EDGE, self.y), (PAGE[0] - EDGE, self.y)), width=0.5))
        self.y -= 7

    def _put(self, x: float, text: str, size: float, anchor: str = "start", bold: bool = False) -> None:
        self.items.append(Words(Layer.FRAME, (x, self.y), text, size, 0.0, anchor, bold=bold))

    def beside(self, needed: float) -> float:
        """Width for the first task: beside the picture where its words, so many mm wide, fit there; else it begins
        below the picture."""
        wide = WIDE - PICTURE[0] - 6
        if self.picture < PAGE[1] and needed <= wide:
            return wide
        self.below()
        return WIDE

    def below(self) -> None:
        """Go on below the picture."""
        if len(self.done) == 1 and self.picture < PAGE[1]:
            self.y = min(self.y, self.picture - 6)

    def _room(self, height: float) -> bool:
        """Turn the page when so many mm do not fit."""
        full = self.y - height < EDGE + CLOSE * len(CAUTIONS) + 4
        if full:
            self.turn()
        return full

    def task(self, title: str, words: str, rows: int, wide: float = WIDE, notes: Sequence[str] = ()) -> None:
        """A numbered task with its instruction, on one page with its table and notes where a page has room for that."""
        told = wrapped(words, BODY, wide)
        after = sum(len(wrapped(n, SMALL, WIDE - 2)) for n in notes)
        self._room(min(6 + LINE * len(told) + 4 + ROW * rows + CLOSE * after, 200))
        self.number += 1
        self._put(EDGE, f"{self.number}  {title}", 3.5, bold=True)
        self.y -= 6
        for line in told:
            self._put(EDGE, line, BODY)
            self.y -= LINE
        self.y -= 2

    def table(
        self,
        heads: Sequence[str],
        widths: Sequence[float],
        rows: Sequence[Sequence[str]],
        given: int,
        notes: Sequence[str] = (),
        after: float = AFTER,
    ) -> None:
        """A table; the first given columns are printed on both sheets, the others only on the answers. So are the notes
        below it, which say how the answers come about."""
        starts = [EDGE + sum(widths[:k]) for k in range(len(widths))]
        right = EDGE + sum(widths)
        if any(heads):
            self._heads(starts, heads)
        for row in rows:
            # As high on both sheets as its longest answer needs.
            cells = [wrapped(value, BODY, w - 2) for value, w in zip(row, widths, strict=True)]
            height = ROW + LINE * (max(map(len, cells)) - 1)
            if self._room(height) and any(heads):
                self._heads(starts, heads)
            top = self.y
            for k, (x, lines) in enumerate(zip(starts, cells, strict=True)):
                self.y = top - ROW + 1.9
                for line in lines if k < given or self.answered else ():
                    self._put(x + 1, shortened(line, BODY, widths[k] - 2), BODY, bold=k >= given)
                    self.y -= LINE
            self.y = top - height
            for x in (*starts, right):
                self.items.append(Stroke(Layer.FRAME, ((x, top), (x, self.y)), width=0.18))
            for level in (top, self.y):
                self.items.append(Stroke(Layer.FRAME, ((EDGE, level), (right, level)), width=0.18))
        self._notes(notes)
        self.y -= after

    def _notes(self, notes: Sequence[str]) -> None:
        for k, line in enumerate(line for n in notes for line in wrapped(n, SMALL, WIDE - 2)):
            self.y -= CLOSE if k else CLOSE + 0.4
            if self.answered:
                self._put(EDGE + 1, line, SMALL)

    def _heads(self, starts: Sequence[float], heads: Sequence[str]) -> None:
        for x, head in zip(starts, heads, strict=True):
            self._put(x + 1, head, SMALL)
        self.y -= 2

    def pages(self) -> tuple[Drawing, ...]:
        """The pages, cautions on each."""
        made = []
        for k, items in enumerate(self.done, 1):
            y = EDGE + CLOSE * (len(CAUTIONS) - 1)
            for line in CAUTIONS:
                items.append(Words(Layer.FRAME, (EDGE, y), line, SMALL))
                y -= CLOSE
            foot = f"{self.what}, page {k} of {len(self.done)}"
            items.append(Words(Layer.FRAME, (PAGE[0] - EDGE, EDGE), foot, SMALL, 0.0, "end"))
            made.append(Drawing(PAGE, tuple(items), f"{self.title}, {self.what}"))
        return tuple(made)
