"""Lessons: a worksheet for apprentices and its answer sheet, computed from the set-up plan."""

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
from foldsketch.setup.messages import ORDER_COSTS_MORE, ORDER_EQUALLY_GOOD
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.plan import asked_for
from foldsketch.setup.plan.plan_text import WAY_TEXT
from foldsketch.setup.work.states import WorkStates
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.lessons.worksheet import TEXT_WIDTH_MM, WorksheetWriter
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM
from foldsketch.solid.faceting.frame import align_datum_to_z, reference_direction

ALONG_THE_CENTRELINE = ("axial", "bar", "drill")
"""Tools that stand out past neighbours or into bores."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """Pages of the worksheet and of the answers."""

    worksheet: tuple[Drawing, ...]
    answers: tuple[Drawing, ...]


def draw_lesson(part: Part, machine: Machine, plan: SetUpPlan, scale: float, nets: Nets | None = None) -> Lesson:
    """The lesson of a part. scale: of its paper model, paper over part; nets: of the model, for its picture."""
    pages = []
    for what, answered in (("worksheet", False), ("answers", True)):
        writer = WorksheetWriter(part.name, what, answered, nets)
        _Tasks(writer, part, machine, plan, scale).write()
        pages.append(writer.pages())
    return Lesson(*pages)


def tick_angle_deg(part: Part) -> float:
    """Angle of the datum tick on the paper model, degrees from the part's +x, anticlockwise seen from +z."""
    turned, turn = align_datum_to_z(part)
    x, y, _ = (turn @ reference_direction(turned)).tolist()
    return normalized_degrees(atan2(y, x)) % 360


@dataclass(frozen=True, slots=True)
class _Tasks:
    """The tasks of a lesson. scale: of the paper model."""

    writer: WorksheetWriter
    part: Part
    machine: Machine
    plan: SetUpPlan
    scale: float

    def write(self) -> None:
        """All tasks, in order."""
        for work in (self._axes, self._offsets, self._order, self._indicator_readings, self._packing, self._clearance):
            work()

    def _length(self, mm: float, places: int = 2) -> str:
        """A length in the part's units, with a place more in inches."""
        units = self.part.units
        return f"{mm / MM_PER_UNIT[units]:.{places + (units == 'in')}f} {units}"

    def _length_text(self, mm: float) -> str:
        return length_text(mm, self.part.units)

    def _axes(self) -> None:
        rows = []
        for a in self.part.axes:
            own = [f.name for f in self.part.features if f.axis == a.name]
            if own:
                rows.append((a.name, ", ".join(own)))
        words = "Fold the model. Find every centre cross and its letter. List the features on each axis."
        needed = max((text_width(own, BODY_TEXT_HEIGHT_MM) for _, own in rows), default=0.0) + 22
        wide = self.writer.width_beside_picture(needed)
        self.writer.add_task("Find the axes", words, len(rows), wide)
        self.writer.add_table(("axis", "features"), (20, wide - 20), rows, 1)
        self.writer.move_below_picture()

    def _offsets(self) -> None:
        tick = tick_angle_deg(self.part)
        words = (
            f"The model is at {scale_text(self.scale)}. On a face with both centres, measure from centre "
            f"{self.part.datum.name} to the other centre, to half a millimetre. Measure the angle anticlockwise from "
            f"the datum tick, on a face that looks along +z. The tick is at {tick:.1f}° from the part's +x. For the "
            "part, divide lengths by the scale and add the angle of the tick. Check against the printed figures."
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
        self.writer.add_task("Measure the offsets on the model", words, len(rows))
        self.writer.add_table(heads, (18, 41, 41, 41, 41), rows, 1)

    def _order(self) -> None:
        plan, given = self.plan, self._given()
        words = (
            f"Put the set-ups in order so that a batch of {plan.batch} takes least time. A raw surface is held once, "
            "in hard jaws. For each, with the model in hand: what is held, which axis is on the spindle, what is cut?"
        )
        rows = [
            (
                str(s.number),
                s.clamping.spindle,
                f"{s.clamping.held_on}, {WAY_TEXT[s.clamping.way]}",
                s.clamping.on_centreline,
                ", ".join((*s.features, *s.faces)),
            )
            for s in plan.setups
        ]
        m = plan.minutes
        notes = [f"Least time: {m.a_part(plan.batch):.1f} min a part, of it {m.setting:.0f} min setting for the batch."]
        if plan.unturned:
            notes = [f"Not cut on this machine: {', '.join(name for name, _ in plan.unturned)}."]
        equal = [a for a in plan.alternatives if a.reason.code == ORDER_EQUALLY_GOOD.code]
        notes += [f"Equally good: {' | '.join(a.steps)}." for a in equal]
        notes += [
            f"{' | '.join(a.steps)}: {a.minutes:.1f} min a part."
            for a in plan.alternatives[:2]
            if a.reason.code == ORDER_COSTS_MORE.code
        ]
        heads = ("", "spindle", "held on, how", "axis", "cut")
        self.writer.add_task("Order the set-ups", words, len(plan.setups) + len(given) + 2, notes=notes)
        self.writer.add_table(("", ""), (26, TEXT_WIDTH_MM - 26), given, 2, after=3.0)
        self.writer.add_table(heads, (8, 20, 68, 14, 72), rows, 1, notes)
        self.writer.new_page()

    def _given(self) -> list[tuple[str, str]]:
        """What is to be turned, and what the machine can do."""
        m, length = self.machine, self._length_text
        chucks = "; ".join(f"{s.name}: {length(s.smallest)} to {length(s.largest)}" for s in m.spindles)
        ways = ", ".join(f"{way} up to {length(most)}" for way, most in m.max_offsets)
        hands = "The part is taken out and put in again by hand."
        if m.kind == "twin":
            hands = (
                "Start in the main spindle. For each further set-up the other spindle picks up the part by its other "
                f"end; the sub-spindle can move off centre by up to {self._length_text(m.cross_travel)}."
            )
        return [
            ("to be cut", ", ".join(n for n in asked_for(self.part, m, WorkStates(self.part)))),
            ("machine", m.name),
            ("next set-up", hands),
            (
                "diameters held",
                f"{chucks}; gripped over at least {self._length_text(max(s.grip for s in m.spindles))}",
            ),
            ("off centre by", ways or "nothing"),
        ]

    def _indicator_readings(self) -> None:
        twin = self.machine.kind == "twin"
        words = (
            "An indicator touches the held feature. Turn the spindle once by hand: what is the difference between the "
            "highest and the lowest reading?"
        )
        notes = ["Full reading: twice the distance of the held axis from the centreline."]
        if twin:
            words += " How far did the sub-spindle move off centre at the transfer?"
            notes[0] += " Moved: the distance of this centreline from the one before."

        def values(s: SetUp) -> tuple[str, ...]:
            return (self._length(s.indicator), self._length(s.shift))[: 1 + twin]

        self._add_task_per_set_up(
            "Predict the indicator reading", words, ("full reading", "moved")[: 1 + twin], values, notes
        )

    def _packing(self) -> None:
        packed = [s for s in self.plan.setups if s.packing]
        if not packed:
            return
        most = dict(self.machine.max_offsets).get("packed three-jaw")
        words = (
            "You pack one jaw of a three-jaw chuck. How thick, for narrow and for wide flat jaws? Allowed only if the "
            "offset is under 0.2887 x the held diameter and within this machine's limit."
        )
        notes = [
            "Flat jaws: 1.5 e, with e the offset. Narrow jaws: 1.5 e + (sqrt(D x D - 3 e x e) - D) / 2, with D the "
            "held diameter.",
            "At 0.2887 D the two unpacked jaws are opposite each other; beyond that they cannot grip.",
        ]

        def values(s: SetUp) -> tuple[str, ...]:
            narrow, flat = s.packing[:2] if s.packing else (0.0, 0.0)
            allowed = "yes"
            if not s.packable:
                allowed = f"no, only below {self._length(frictionless_offset_limit(s.held_diameter))}"
            elif most is None or s.clamping.offset > most:
                allowed = f"no, this machine to {self._length_text(most)}" if most else "no, not on this machine"
            return (self._length(narrow), self._length(flat), allowed)

        self._add_task_per_set_up(
            "Choose the packing", words, ("narrow jaws", "flat jaws", "allowed"), values, notes, packed
        )

    def _clearance(self) -> None:
        tools = self.machine.tools
        words = (
            f"The machine swings {self._length_text(self.machine.swing)}. A tool needs "
            f"{self._length_text(tools.room)} beside the surface and may stick out {self._length_text(tools.overhang)} "
            "to reach past a neighbour or into a bore. What does the part swing, how much clearance is beside the "
            "surface, and how far must the tool stick out? Does it clear?"
        )
        notes = [
            "Swing: twice the farthest point from the centreline. Clearance: from the turned surface to the ring that "
            "a neighbour sweeps. Stick-out: from the far end of the surface past all that turns around it."
        ]

        def values(s: SetUp) -> tuple[str, ...]:
            rooms = [r.radial_clearance for r in s.reach if r.radial_clearance is not None]
            out = max((r.overhang for r in s.reach if r.tool in ALONG_THE_CENTRELINE), default=0.0)
            room = self._length(min(rooms), 1) if rooms else "no neighbour"
            clears = s.swing <= self.machine.swing and min(rooms, default=tools.room) >= tools.room
            clears = clears and out <= tools.overhang
            shown = (room, self._length(out, 1) if out else "-") if s.reach else ("only driven tools", "-")
            return (self._length(s.swing, 1), *shown, "yes" if clears else "no")

        self._add_task_per_set_up("Does it clear?", words, ("swing", "clearance", "stick-out", "clears"), values, notes)

    def _add_task_per_set_up(
        self,
        title: str,
        words: str,
        heads: Sequence[str],
        values: Callable[[SetUp], tuple[str, ...]],
        notes: Sequence[str],
        setups: Sequence[SetUp] | None = None,
    ) -> None:
        """A task with a row for every set-up."""
        # Rows by number alone: the worksheet must not give the order away.
        rows = [(f"set-up {s.number}", *values(s)) for s in (self.plan.setups if setups is None else setups)]
        rest = TEXT_WIDTH_MM - 30
        self.writer.add_task(title, words, len(rows), notes=notes)
        self.writer.add_table(("", *heads), (30, *[rest / len(heads)] * len(heads)), rows, 1, notes)
