"""Lessons: a worksheet for apprentices and the answer sheet to it, computed from the set-up plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from foldsketch.base.drawing import Drawing, Item, Layer, Stroke, Words
from foldsketch.base.lettering import shortened, width, wrapped
from foldsketch.base.units import MM_PER, degrees
from foldsketch.net.model import Nets
from foldsketch.net.words import length_text
from foldsketch.part.model import Part
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.words import CAUTIONS
from foldsketch.sheet.draw import colours_of
from foldsketch.sheet.joined import finished
from foldsketch.sheet.paper import scale_text
from foldsketch.sheet.scene import Box, painted

PAGE = (210.0, 297.0)
"""A4 upright, mm."""

EDGE = 14.0
WIDE = PAGE[0] - 2 * EDGE
"""Width between the edges, mm."""

BODY, SMALL = 2.5, 1.8
ROW, LINE = 7.5, 4.2
"""Height of a row of a table, and of one more line, mm."""

PICTURE = (56.0, 36.0)
"""Room for the picture of the model with its letters, mm."""

LETTERS = 7.0
"""So much of it, mm, is for the axes' letters, which stand above the model."""

SIGNED = (("name", 0, 12, 78), ("date", 84, 94, 120), ("measured with", 124, 150, WIDE))
"""What whoever works on the sheet fills in: where its word stands, where its line begins and ends, mm from the edge."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """Pages of the worksheet and of the answers."""

    worksheet: tuple[Drawing, ...]
    answers: tuple[Drawing, ...]


def lesson(part: Part, machine: Machine, plan: SetUpPlan, scale: float, nets: Nets | None = None) -> Lesson:
    """The lesson of a part. scale: of its paper model, paper over part; nets: of the model, for its picture."""
    return Lesson(
        _Writer(part, "worksheet", False, nets).pages(machine, plan, scale),
        _Writer(part, "answers", True, nets).pages(machine, plan, scale),
    )


class _Writer:
    """Writes tasks down a page and turns it when it is full. answered: fill the blanks in."""

    def __init__(self, part: Part, what: str, answered: bool, nets: Nets | None) -> None:
        self.part, self.what, self.answered = part, what, answered
        self.done: list[list[Item]] = []
        self.items: list[Item] = []
        self.y = 0.0
        self.number = 0
        self.picture = PAGE[1]  # the lower edge of the picture, beside which the first task stands
        self._turn()
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

    def _turn(self) -> None:
        self.items = []
        self.done.append(self.items)
        self.y = PAGE[1] - EDGE - 6
        self._put(EDGE, self.part.name, 5.0, bold=True)
        self._put(PAGE[0] - EDGE, self.what, 3.5, anchor="end")
        self.y -= 4
        self.items.append(Stroke(Layer.FRAME, ((EDGE, self.y), (PAGE[0] - EDGE, self.y)), width=0.5))
        self.y -= 7

    def _put(self, x: float, text: str, size: float, anchor: str = "start", bold: bool = False) -> None:
        self.items.append(Words(Layer.FRAME, (x, self.y), text, size, 0.0, anchor, bold=bold))

    def room(self, height: float) -> bool:
        """Turn the page when so many mm do not fit."""
        full = self.y - height < EDGE + 3.2 * len(CAUTIONS) + 4
        if full:
            self._turn()
        return full

    def task(self, title: str, words: str, rows: int, wide: float = WIDE) -> None:
        """A numbered task with its instruction, on one page with its table where a page has room for that."""
        told = wrapped(words, BODY, wide)
        self.room(min(6 + LINE * len(told) + 4 + ROW * rows, 200))
        self.number += 1
        self._put(EDGE, f"{self.number}  {title}", 3.5, bold=True)
        self.y -= 6
        for line in told:
            self._put(EDGE, line, BODY)
            self.y -= LINE
        self.y -= 2

    def table(self, heads: Sequence[str], widths: Sequence[float], rows: Sequence[Sequence[str]], given: int) -> None:
        """A table; the first given columns are printed on both sheets, the others only on the answers."""
        starts = [EDGE + sum(widths[:k]) for k in range(len(widths))]
        right = EDGE + sum(widths)
        self._heads(starts, heads)
        for row in rows:
            # As high on both sheets as its longest answer needs.
            cells = [wrapped(value, BODY, w - 2) for value, w in zip(row, widths, strict=True)]
            height = ROW + LINE * (max(map(len, cells)) - 1)
            if self.room(height):
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
        self.y -= 5.2

    def _heads(self, starts: Sequence[float], heads: Sequence[str]) -> None:
        for x, head in zip(starts, heads, strict=True):
            self._put(x + 1, head, SMALL)
        self.y -= 2

    def _length(self, mm: float, places: int = 2) -> str:
        """A length in the part's units, with a place more in inches."""
        units = self.part.units
        return f"{mm / MM_PER[units]:.{places + (units == 'in')}f} {units}"

    def pages(self, machine: Machine, plan: SetUpPlan, scale: float) -> tuple[Drawing, ...]:
        """All tasks on pages, cautions on each."""
        for work in (self._axes, self._offsets, self._order, self._readings, self._packing, self._clear):
            work(machine, plan, scale)
        made = []
        for k, items in enumerate(self.done, 1):
            y = EDGE + 3.2 * (len(CAUTIONS) - 1)
            for line in CAUTIONS:
                items.append(Words(Layer.FRAME, (EDGE, y), line, SMALL))
                y -= 3.2
            foot = f"{self.what}, page {k} of {len(self.done)}"
            items.append(Words(Layer.FRAME, (PAGE[0] - EDGE, EDGE), foot, SMALL, 0.0, "end"))
            made.append(Drawing(PAGE, tuple(items), f"{self.part.name}, {self.what}"))
        return tuple(made)

    def _axes(self, machine: Machine, plan: SetUpPlan, scale: float) -> None:
        rows = []
        for a in self.part.axes:
            own = [f.name for f in self.part.features if f.axis == a.name]
            if own:
                rows.append((a.name, ", ".join(own)))
        words = "Fold the model. Find every centre cross and its letter. Which features lie on which axis?"
        # Beside the picture where it is narrow enough for that and not much longer, below it elsewhere.
        beside = WIDE - PICTURE[0] - 6
        needed = max((width(own, BODY) for _, own in rows), default=0.0) + 2
        wide = beside if self.picture < PAGE[1] and needed <= beside - 20 else WIDE
        if wide == WIDE and self.picture < PAGE[1]:
            self.y = self.picture - 6
        self.task("Find the axes", words, len(rows), wide)
        self.table(("axis", "features"), (20, wide - 20), rows, 1)
        if len(self.done) == 1:
            self.y = min(self.y, self.picture - 6)

    def _offsets(self, machine: Machine, plan: SetUpPlan, scale: float) -> None:
        words = (
            f"The model is at {scale_text(scale)}. Lay a rule from the cross of axis {self.part.datum.name} to each "
            "other cross, and a protractor to the datum tick. Work out the offset of the part."
        )
        rows = []
        for a in self.part.axes[1:]:
            if a.along_z and any(f.axis == a.name for f in self.part.features):
                offset, angle = self.part.offset(a.name)
                value = degrees(angle) % 360
                rows.append((a.name, self._length(offset * scale, 1), self._length(offset), f"{value:.1f}°"))
        self.task("Measure the offsets on the model", words, len(rows))
        self.table(("axis", "on the model", "on the part", "angle from +x"), (20, 54, 54, 54), rows, 1)

    def _order(self, machine: Machine, plan: SetUpPlan, scale: float) -> None:
        words = (
            f"The machine: {machine.name}. Put the set-ups in order: the fewest clampings, then the fewest off centre. "
            "Turn the model in your hands for each: what is held, which axis lies on the centreline, what is turned?"
        )
        self.task("Order the set-ups", words, len(plan.setups))
        rows = [
            (
                str(s.number),
                s.clamping.spindle,
                f"{s.clamping.held_on}, {s.clamping.way}",
                s.clamping.on_centreline,
                ", ".join(s.features) or "takes the part over",
            )
            for s in plan.setups
        ]
        self.table(("", "spindle", "held on, how", "axis", "turned"), (8, 20, 68, 14, 72), rows, 1)

    def _readings(self, machine: Machine, plan: SetUpPlan, scale: float) -> None:
        words = (
            "An indicator stands on the held feature while the spindle is turned once by hand. What does it show from "
            "highest to lowest, and how far must the sub-spindle have moved off centre?"
        )
        self.task("Predict the indicator", words, len(plan.setups))
        self._each(plan, ("full reading", "shift"), lambda s: (self._length(s.indicator), self._length(s.shift)))

    def _packing(self, machine: Machine, plan: SetUpPlan, scale: float) -> None:
        packed = [s for s in plan.setups if s.packing]
        if not packed:
            return
        words = (
            "Suppose that a three-jaw chuck is to be packed under one jaw. How thick for narrow jaws, how thick for "
            "wide flat ones, and is it allowed: is the offset below 0.2887 of the held diameter?"
        )
        self.task("Choose the packing", words, len(packed))

        def values(s: SetUp) -> tuple[str, ...]:
            narrow, flat = s.packing[:2] if s.packing else (0.0, 0.0)
            allowed = not any("must not be packed" in f.text for f in s.findings)
            return (self._length(narrow), self._length(flat), "yes" if allowed else "no")

        self._each(plan, ("narrow jaws", "flat jaws", "allowed"), values, packed)

    def _clear(self, machine: Machine, plan: SetUpPlan, scale: float) -> None:
        words = (
            f"The machine swings {length_text(machine.swing, self.part.units)}; a tool needs "
            f"{length_text(machine.tools.room, self.part.units)} beside the surface. What "
            "does the part swing, and how much room is there beside what is turned? Will it clear?"
        )
        self.task("Will it clear?", words, len(plan.setups))

        def values(s: SetUp) -> tuple[str, ...]:
            rooms = [r.room for r in s.reach if r.room is not None]
            room = self._length(min(rooms), 1) if rooms else "nothing around it"
            clears = s.swing <= machine.swing and min(rooms, default=machine.tools.room) >= machine.tools.room
            return (self._length(s.swing, 1), room, "yes" if clears else "no")

        self._each(plan, ("swing", "room", "clears"), values)

    def _each(
        self,
        plan: SetUpPlan,
        heads: Sequence[str],
        values: Callable[[SetUp], tuple[str, ...]],
        setups: Sequence[SetUp] | None = None,
    ) -> None:
        # The worksheet must not give the order away: its rows stand by number alone.
        rows = [(f"set-up {s.number}", *values(s)) for s in (plan.setups if setups is None else setups)]
        rest = WIDE - 30
        self.table(("", *heads), (30, *[rest / len(heads)] * len(heads)), rows, 1)
