"""Lessons: a worksheet for apprentices and the answer sheet to it, computed from the set-up plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import atan2

from foldsketch.base.drawing import Drawing
from foldsketch.base.lettering import text_width
from foldsketch.base.units import MM_PER_UNIT, normalized_degrees
from foldsketch.net.marks.dimension_text import length_text
from foldsketch.net.model import Nets
from foldsketch.part.model import Part
from foldsketch.setup.formulas.jaws import frictionless_offset_limit
from foldsketch.setup.machine import Machine
from foldsketch.setup.messages import ORDER_EQUALLY_GOOD
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.clampings import features_to_turn
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.lessons.worksheet import BODY_TEXT_HEIGHT_MM, TEXT_WIDTH_MM, WorksheetWriter
from foldsketch.solid.faceting.frame import align_datum_to_z, reference_direction

ALONG_THE_CENTRELINE = ("axial", "bar", "drill")
"""Tools that stand out past neighbours or into bores."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """Pages of the worksheet and of the answers."""

    worksheet: tuple[Drawing, ...]
    answers: tuple[Drawing, ...]


def lesson(part: Part, machine: Machine, plan: SetUpPlan, scale: float, nets: Nets | None = None) -> Lesson:
    """The lesson of a part. scale: of its paper model, paper over part; nets: of the model, for its picture."""
    pages = []
    for what, answered in (("worksheet", False), ("answers", True)):
        writer = WorksheetWriter(part.name, what, answered, nets)
        _Tasks(writer, part, machine, plan, scale).write()
        pages.append(writer.pages())
    return Lesson(*pages)


def tick_angle_deg(part: Part) -> float:
    """Where the datum tick on the paper model lies, degrees from the part's +x, anticlockwise seen from +z."""
    turned, turn = align_datum_to_z(part)
    x, y, _ = (turn @ reference_direction(turned)).tolist()
    return normalized_degrees(atan2(y, x)) % 360


@dataclass(frozen=True, slots=True)
class _Tasks:
    """What an apprentice is asked about a part; scale: of its paper model."""

    writer: WorksheetWriter
    part: Part
    machine: Machine
    plan: SetUpPlan
    scale: float

    def write(self) -> None:
        """All tasks, in order."""
        for work in (self._axes, self._offsets, self._order, self._readings, self._packing, self._clear):
            work()

    def _length(self, mm: float, places: int = 2) -> str:
        """A length in the part's units, with a place more in inches."""
        units = self.part.units
        return f"{mm / MM_PER_UNIT[units]:.{places + (units == 'in')}f} {units}"

    def _plain(self, mm: float) -> str:
        return length_text(mm, self.part.units)

    def _axes(self) -> None:
        rows = []
        for a in self.part.axes:
            own = [f.name for f in self.part.features if f.axis == a.name]
            if own:
                rows.append((a.name, ", ".join(own)))
        words = "Fold the model. Find every centre cross and its letter. Which features have which axis as their own?"
        needed = max((text_width(own, BODY_TEXT_HEIGHT_MM) for _, own in rows), default=0.0) + 22
        wide = self.writer.beside(needed)
        self.writer.task("Find the axes", words, len(rows), wide)
        self.writer.table(("axis", "features"), (20, wide - 20), rows, 1)
        self.writer.below()

    def _offsets(self) -> None:
        tick = tick_angle_deg(self.part)
        words = (
            f"The model is at {scale_text(self.scale)}. On a face with both centres lay a rule from that of axis "
            f"{self.part.datum.name} to the other one, half a millimetre is good measuring, and a protractor from the "
            "datum tick, anticlockwise seen from the end to which the arrow z points. The tick lies at "
            f"{tick:.1f}° from the part's +x. What is it on the part? Then look for what is printed."
        )
        rows = []
        for a in self.part.axes[1:]:
            if a.along_z and any(f.axis == a.name for f in self.part.features):
                offset, angle = self.part.offset(a.name)
                value = normalized_degrees(angle) % 360
                measured = (value - tick) % 360
                rows.append(
                    (
                        a.name,
                        self._length(offset * self.scale, 1),
                        f"{0.0 if measured > 359.95 else measured:.1f}°",
                        self._length(offset),
                        f"{value:.1f}°",
                    )
                )
        heads = ("axis", "on the model", "from the tick", "on the part", "from +x")
        self.writer.task("Measure the offsets on the model", words, len(rows))
        self.writer.table(heads, (18, 41, 41, 41, 41), rows, 1)

    def _order(self) -> None:
        plan, given = self.plan, self._given()
        words = (
            "Put the set-ups in order: the fewest clampings, then the fewest off centre, then the least out of "
            "balance. Turn the model in your hands for each: what is held, which axis lies on the centreline, what is "
            "turned?"
        )
        rows = [
            (
                str(s.number),
                s.clamping.spindle,
                f"{s.clamping.held_on}, {s.clamping.holding_method}",
                s.clamping.on_centreline,
                ", ".join(s.features) or "takes the part over",
            )
            for s in plan.setups
        ]
        least, why = plan.lower_bound
        notes = [f"{least} clampings at least: {why}. No order with fewer than {len(plan.setups)} turns it all."]
        if plan.unturned:
            notes = [f"Not turned on this machine: {', '.join(name for name, _ in plan.unturned)}."]
        equal = [a for a in plan.alternatives if a.reason.code == ORDER_EQUALLY_GOOD.code]
        notes += [f"As good: {' | '.join(a.steps)}." for a in equal]
        heads = ("", "spindle", "held on, how", "axis", "turned")
        self.writer.task("Order the set-ups", words, len(plan.setups) + len(given) + 2, notes=notes)
        self.writer.table(("", ""), (26, TEXT_WIDTH_MM - 26), given, 2, after=3.0)
        self.writer.table(heads, (8, 20, 68, 14, 72), rows, 1, notes)
        self.writer.turn()

    def _given(self) -> list[tuple[str, str]]:
        """What is to be turned, and what the machine can do."""
        m = self.machine
        chucks = "; ".join(f"{s.name}: {self._plain(s.smallest)} to {self._plain(s.largest)}" for s in m.spindles)
        ways = ", ".join(f"{way} to {self._plain(most)}" for way, most in m.max_offsets)
        hands = "The part is taken out and put in again by hand."
        if m.kind == "twin":
            hands = (
                "The main spindle begins. For every set-up after that the other spindle takes the part over, by its "
                f"other end; for that the sub-spindle moves off centre by up to {self._plain(m.cross_travel)}."
            )
        return [
            ("to be turned", ", ".join(f.name for f in features_to_turn(self.part, m))),
            ("machine", m.name),
            ("next set-up", hands),
            ("diameters held", f"{chucks}; at least {self._plain(max(s.grip for s in m.spindles))} of their length"),
            ("off centre by", f"{ways}: the first of these that can" if ways else "nothing"),
        ]

    def _readings(self) -> None:
        twin = self.machine.kind == "twin"
        words = (
            "An indicator stands on the held feature while the spindle is turned once by hand. What does it show from "
            "highest to lowest?"
        )
        notes = ["Full reading: twice the distance of the held axis from the centreline."]
        if twin:
            words += " And how far was the sub-spindle moved off centre when the part was handed over?"
            notes[0] += " Moved: the distance of this centreline from the one before."

        def values(s: SetUp) -> tuple[str, ...]:
            return (self._length(s.indicator), self._length(s.shift))[: 1 + twin]

        self._each("Predict the indicator", words, ("full reading", "moved")[: 1 + twin], values, notes)

    def _packing(self) -> None:
        packed = [s for s in self.plan.setups if s.packing]
        if not packed:
            return
        most = dict(self.machine.max_offsets).get("packed three-jaw")
        words = (
            "Suppose that a three-jaw chuck is to be packed under one jaw. How thick for narrow jaws, how thick for "
            "wide flat ones? May it be done: is the offset below 0.2887 of the held diameter, and does this machine "
            "pack as much?"
        )
        notes = [
            "Flat jaws: 1.5 e, with e the offset. Narrow jaws: 1.5 e + (sqrt(D x D - 3 e x e) - D) / 2, with D the "
            "held diameter.",
            "0.2887 is 1 / (2 sqrt 3): there the other two jaws bear on a diameter; beyond it they hold nothing "
            "without friction.",
        ]

        def values(s: SetUp) -> tuple[str, ...]:
            narrow, flat = s.packing[:2] if s.packing else (0.0, 0.0)
            allowed = "yes"
            if not s.packable:
                allowed = f"no, below {self._length(frictionless_offset_limit(s.held_diameter))} only"
            elif most is None or s.clamping.offset > most:
                allowed = f"no, this machine to {self._plain(most)}" if most else "no, not on this machine"
            return (self._length(narrow), self._length(flat), allowed)

        self._each("Choose the packing", words, ("narrow jaws", "flat jaws", "may it be done"), values, notes, packed)

    def _clear(self) -> None:
        tools = self.machine.tools
        words = (
            f"The machine swings {self._plain(self.machine.swing)}; a tool needs {self._plain(tools.room)} beside the "
            f"surface, and may stand out by {self._plain(tools.overhang)} where it reaches past a neighbour or into a "
            "bore. What does the part swing, how much room is there beside what is turned, and how far must the tool "
            "stand out? Will it clear?"
        )
        notes = [
            "Swing: twice the farthest point from the centreline. Room: from the turned surface to the ring through "
            "which a neighbour sweeps. Standing out: from the far end of the surface past all that turns around it."
        ]

        def values(s: SetUp) -> tuple[str, ...]:
            rooms = [r.radial_clearance for r in s.reach if r.radial_clearance is not None]
            out = max((r.overhang for r in s.reach if r.tool in ALONG_THE_CENTRELINE), default=0.0)
            room = self._length(min(rooms), 1) if rooms else "nothing around it"
            clears = s.swing <= self.machine.swing and min(rooms, default=tools.room) >= tools.room
            clears = clears and out <= tools.overhang
            shown = (room, self._length(out, 1) if out else "-") if s.reach else ("nothing is turned", "-")
            return (self._length(s.swing, 1), *shown, "yes" if clears else "no")

        self._each("Will it clear?", words, ("swing", "room", "tool stands out", "clears"), values, notes)

    def _each(
        self,
        title: str,
        words: str,
        heads: Sequence[str],
        values: Callable[[SetUp], tuple[str, ...]],
        notes: Sequence[str],
        setups: Sequence[SetUp] | None = None,
    ) -> None:
        """A task with a row for every set-up."""
        # The worksheet must not give the order away: its rows stand by number alone.
        rows = [(f"set-up {s.number}", *values(s)) for s in (self.plan.setups if setups is None else setups)]
        rest = TEXT_WIDTH_MM - 30
        self.writer.task(title, words, len(rows), notes=notes)
        self.writer.table(("", *heads), (30, *[rest / len(heads)] * len(heads)), rows, 1, notes)
