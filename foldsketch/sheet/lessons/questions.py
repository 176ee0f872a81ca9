"""What a lesson asks, with the answers: from the part, from the very model in hand, and from the set-up plan."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import atan2

from foldsketch.base.units import MM_PER_UNIT, format_count, normalized_degrees
from foldsketch.net.model import Hold, Nets
from foldsketch.part.model import Cylinder, Part, Ring
from foldsketch.setup.formulas.jaws import frictionless_offset_limit
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.solid.faceting.frame import align_datum_to_z, reference_direction

ALONG_THE_CENTRELINE = ("axial", "bar", "drill")
"""Tools that stand out past neighbours or into bores."""

CARD_LETTERS = "PQRSTUVWKLMN"
"""Letters of the pictures of set-ups; those that are axes of the part are left out."""

_DIAMETER = re.compile(r"\s*(\d+ × )?Ø.*")

MEASURING_ERROR_MM = 0.25
"""A rule on a model is not read finer, mm on paper."""


@dataclass(frozen=True, slots=True)
class LessonModel:
    """The paper model that a lesson is about.

    scale: paper over part; nets: of it, or None; hold: what holds its edges; minutes: to build it; sheets: that it is
    printed on; across_flats: of every round feature with an even number of sides, by name, mm on paper.
    """

    scale: float
    nets: Nets | None = None
    hold: Hold = "glue"
    minutes: float = 0.0
    sheets: int = 0
    across_flats: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Blank:
    """A box to fill in. before, after: what is printed beside it; answer: what belongs into it."""

    answer: str
    before: str = ""
    after: str = ""


@dataclass(frozen=True, slots=True)
class Measure:
    """Boxes about one length of the model.

    axes: from the first to the second, or one axis twice for a diameter; radius: mm of the part, 0 for an offset.
    """

    axes: tuple[str, str]
    radius: float
    blanks: tuple[Blank, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """A set-up as a picture to be put in order. letter: of the picture."""

    letter: str
    setup: SetUp


class LengthWriter:
    """Writes lengths in a part's units, with a place more in inches."""

    def __init__(self, part: Part) -> None:
        self.unit = part.units

    def figure(self, mm: float, places: int = 2) -> str:
        """A length without its unit."""
        return f"{mm / MM_PER_UNIT[self.unit]:.{places + (self.unit == 'in')}f}"


def without_answers(nets: Nets) -> Nets:
    """The nets as a class gets them: without offsets and diameters, which are to be measured on the model."""
    pieces = []
    for p in nets.pieces:
        drawn = [m._replace(text=_DIAMETER.sub("", m.text)) if m.kind == "drawn" else m for m in p.marks]
        marks = [m for m in drawn if m.kind != "offset"]
        pieces.append(replace(p, size="", marks=tuple(marks)))
    return replace(nets, pieces=tuple(pieces))


def lettered_axes(part: Part, nets: Nets | None) -> dict[str, tuple[str, ...]]:
    """Axes that bear a letter on the model, with the names of their round features; all where none has room for one."""
    shown = {m.axis for p in (nets.pieces if nets else ()) for m in p.marks if m.kind == "centre" and m.text}
    names = {a.name: tuple(f.name for f in part.features if f.axis == a.name and f.is_round) for a in part.axes}
    return {a: own for a, own in names.items() if own and (not shown or a in shown)}


def tick_angle(part: Part) -> float:
    """Angle of the datum tick on the paper model, radians from the part's +x, anticlockwise seen from +z."""
    turned, turn = align_datum_to_z(part)
    x, y, _ = (turn @ reference_direction(turned)).tolist()
    return atan2(y, x)


def measures(part: Part, model: LessonModel) -> tuple[Measure, ...]:
    """What is measured on the model: offsets, their angles unless all are 0, and the largest round of every axis."""
    lengths, s = LengthWriter(part), model.scale
    named = lettered_axes(part, model.nets)
    upright = [a.name for a in part.axes if a.along_z and a.name in named]
    other = [a for a in upright if a != part.datum.name] if part.datum.name in upright else []
    tick = normalized_degrees(tick_angle(part))
    offsets = {a: part.offset(a) for a in other}
    turns = {a: round((normalized_degrees(angle) - tick) % 360, 1) % 360 for a, (_, angle) in offsets.items()}

    def length(mm: float, what: str) -> tuple[Blank, ...]:
        shown = [Blank(lengths.figure(mm * s, 1), what, lengths.unit)]
        return (*shown, Blank(lengths.figure(mm), "on the part", lengths.unit)) if s != 1 else (*shown,)

    found = []
    for a, (offset, _) in offsets.items():
        blanks = length(offset, f"offset {part.datum.name} to {a}")
        if any(turns.values()):
            blanks += (Blank(f"{turns[a]:.1f}", "from the tick", "°"),)
        found.append(Measure((part.datum.name, a), 0.0, blanks))
    for a in upright:
        rounds = {
            f.name: f.shape.diameter
            for f in part.features
            if f.axis == a and not f.cut and isinstance(f.shape, (Cylinder, Ring)) and f.name in model.across_flats
        }
        if not rounds:
            continue
        name = max(rounds, key=lambda n: rounds[n])
        blanks = length(rounds[name], f"Ø {name}")
        flats = model.across_flats[name]
        if abs(flats - rounds[name] * s) > MEASURING_ERROR_MM:
            blanks = (Blank(lengths.figure(flats, 1), f"{name}, across flats", lengths.unit),)
        found.append(Measure((a, a), rounds[name] / 2, blanks))
    return tuple(found)


def cards(part: Part, plan: SetUpPlan, spare: SetUp | None = None) -> tuple[Card, ...]:
    """The set-ups by the names of what they cut, never in the order of the plan.

    spare: one that the plan does without, so that the pictures do not tell how many it takes; its number is 0.
    """
    spares = (replace(spare, number=0),) if spare and plan.setups else ()
    order = sorted((*plan.setups, *spares), key=lambda s: ((*s.features, *s.faces), s.number))
    if len(plan.setups) > 1 and [s.number for s in order if s.number] == [s.number for s in plan.setups]:
        order.reverse()
    taken = {a.name for a in part.axes}
    letters = [c for c in CARD_LETTERS if c not in taken]
    letters += [f"{a}{b}" for a in letters for b in letters]
    return tuple(Card(letter, s) for letter, s in zip(letters, order, strict=False))


def spare_set_up(planned: SetUpPlan, others: Iterable[SetUpPlan]) -> SetUp | None:
    """A set-up of other plans that this one does without: held otherwise, or on another axis; None if there is none."""
    own = {_how_held(s) for s in planned.setups}
    return next((s for other in others for s in other.setups if _how_held(s) not in own), None)


def _how_held(s: SetUp) -> tuple[object, ...]:
    return (s.clamping.spindle, s.clamping.way, s.clamping.held_on, s.clamping.on_centreline)


def figures(part: Part, machine: Machine, s: SetUp, moved: bool) -> tuple[Blank, ...]:
    """Indicator reading, swing, clearance, stick-out, does it clear; packing under one jaw, and is it allowed.

    moved: how far the sub-spindle moves is asked as well.
    """
    lengths, tools = LengthWriter(part), machine.tools
    rooms = [r.radial_clearance for r in s.reach if r.radial_clearance is not None]
    out = max((r.overhang for r in s.reach if r.tool in ALONG_THE_CENTRELINE), default=0.0)
    clears = s.swing <= machine.swing and min(rooms, default=tools.room) >= tools.room and out <= tools.overhang
    return (
        Blank(lengths.figure(s.indicator), "reading"),
        *((Blank(lengths.figure(s.shift), "moved"),) if moved else ()),
        Blank(lengths.figure(s.swing, 1), "swing"),
        Blank(lengths.figure(min(rooms), 1) if rooms else "none", "clearance"),
        Blank(lengths.figure(out, 1) if out else "none", "stick-out"),
        Blank("yes" if clears else "no", "clears?"),
        *(Blank(lengths.figure(mm) if s.packing else "none", jaws) for jaws, mm in _packings(s)),
        Blank(packing_verdict(part, machine, s).split(",")[0] if s.packing else "-", "allowed?"),
    )


def _packings(s: SetUp) -> tuple[tuple[str, float], ...]:
    narrow, flat = s.packing[:2] if s.packing else (0.0, 0.0)
    return (("narrow", narrow), ("flat", flat))


def packing_verdict(part: Part, machine: Machine, s: SetUp) -> str:
    """Whether one jaw of a three-jaw chuck may be packed for a set-up off centre, and if not, why."""
    lengths = LengthWriter(part)
    most = dict(machine.max_offsets).get("packed three-jaw")
    if not s.packable:
        return f"no, only below {lengths.figure(frictionless_offset_limit(s.held_diameter))} {lengths.unit}"
    if most is None or s.clamping.offset > most:
        return f"no, this machine to {lengths.figure(most, 0)} {lengths.unit}" if most else "no, not on this machine"
    return "yes"


def how_it_moves(setups: Sequence[SetUp]) -> str:
    """How the part comes from each set-up to the next one, as the plan has it."""
    over = [s.number for s in setups[1:] if not s.by_hand]
    hand = [s.number for s in setups[1:] if s.by_hand]
    said = []
    for numbers, how in ((over, "the other spindle takes the part over"), (hand, "it is put in again by hand")):
        if numbers:
            listed = " and ".join(filter(None, (", ".join(map(str, numbers[:-1])), str(numbers[-1]))))
            said.append(f"for {'set-ups' if len(numbers) > 1 else 'set-up'} {listed} {how}")
    words = "; ".join(said)
    return f"{words[0].upper()}{words[1:]}." if words else f"{format_count(len(setups), 'set-up')}."
