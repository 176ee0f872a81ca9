"""What there is to cut, crease and glue in a model, and how long it takes at a working speed."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import dist, isfinite
from typing import TYPE_CHECKING

from foldsketch.assembly.messages import PACE_NOT_A_NUMBER, PACE_OUT_OF_RANGE, PACE_UNKNOWN_STEP
from foldsketch.base.units import format_count
from foldsketch.geometry.polygon_loops import perimeter
from foldsketch.net.tabs.taped_edges import tape_strips

if TYPE_CHECKING:
    from foldsketch.net.model import Nets

MAX_SECONDS_PER_STEP = 3600.0
"""More than this is not a working speed, s."""


@dataclass(frozen=True, slots=True)
class Work:
    """The work in a model.

    cut: mm on paper; folds: to be creased, roots of tabs included; tabs: numbers to be glued; joints: blocks to be
    glued to each other, those on tabs of their own not counted; teeth: how many more tabs than numbers the rims of
    rolled walls have; strips: of tape, those that hold a block to another included; tongues: that go through a slit;
    slits: to cut with the knife; flaps: to tuck in, and lips and lands with a slit, to bend.
    """

    cut: float
    folds: int
    tabs: int
    joints: int
    teeth: int = 0
    strips: int = 0
    tongues: int = 0
    slits: int = 0
    flaps: int = 0

    @property
    def glued(self) -> int:
        """Tabs and joints."""
        return self.tabs + self.joints

    @property
    def hold_text(self) -> str:
        """What holds the model, and how much of it.

        >>> Work(0, 0, 5, 1).hold_text, Work(0, 0, 0, 0, strips=7).hold_text
        ('6 glue joints', '7 strips of tape')
        """
        held = []
        if self.flaps:
            held.append(f"{format_count(self.flaps, 'flap')} to tuck in")
        if self.strips:
            held.append(f"{format_count(self.strips, 'strip')} of tape")
        if self.glued or not held:
            held.insert(0, format_count(self.glued, "glue joint"))
        return ", ".join(held) + (f", {format_count(self.tongues, 'tongue')} in slits" if self.tongues else "")


@dataclass(frozen=True, slots=True)
class Pace:
    """Working speed, seconds [common practice].

    Attributes
    ----------
    cut : float
        To cut a millimetre.
    fold : float
        To score and crease a fold.
    glue : float
        To glue a tab.
    joint : float
        To glue a block to another one.
    tooth : float
        To press down one more tooth of a rolled rim.
    tape : float
        To stick on a strip of tape.
    slit : float
        To cut a slit for a tongue.
    tongue : float
        To push a tongue through its slit and bend it in, or to hook it.
    flap : float
        To tuck a flap in.

    Examples
    --------
    >>> Pace(glue=12).fold
    5.0
    """

    cut: float = 0.12
    fold: float = 5.0
    glue: float = 18.0
    joint: float = 60.0
    tooth: float = 1.5
    tape: float = 8.0
    slit: float = 8.0
    tongue: float = 6.0
    flap: float = 6.0

    @property
    def qualifier(self) -> str:
        """Whose pace it is, as said before the word pace."""
        return "an ordinary" if self == DEFAULT_PACE else "your"


DEFAULT_PACE = Pace()
"""An ordinary pace [common practice]."""


def measure_work(nets: Nets) -> Work:
    """The work in a model. The teeth of a rolled rim, which share one number, are one fold and one tab."""
    cut = 0.0
    for piece in nets.pieces:
        loops = [loop for p in piece.panels for loop in (p.outline, *p.holes)]
        folded = [dist(*line) for line in {f.line for f in piece.folds}]
        roots = [dist(*t.line) for t in piece.tabs]
        # A fold is no cut though it is in two outlines, nor is a root that is in the outlines of panel and tab.
        outlines = [*loops, *(t.outline for t in piece.tabs)]
        cut += sum(perimeter(outline.tolist()) for outline in outlines) - 2 * sum(folded) - 2 * sum(roots)
    every = [t for p in nets.pieces for t in p.tabs]
    flaps = sum(t.part in ("flap", "lip", "land") for t in every)
    tongues = sum(not t.glued for t in every) - flaps
    slits = sum(t.slit is not None for t in every) + sum(len(t.openings) for t in every)
    more = sum(t.bend is not None for t in every)
    tabs = len(every) - tongues - flaps
    numbers = sum(len({t.number for t in p.tabs if t.glued}) for p in nets.pieces)
    creased = sum(not f.rolled for p in nets.pieces for f in p.folds)
    strips = sum(b.strips for p in nets.pieces for b in p.butts)
    strips += sum(len(tape_strips(dist(*edge))) for j in nets.joints for edge in j.taped_edges)
    standing = {j for p in nets.pieces for j in p.open}
    joints = sum(not j.taped and k not in standing for k, j in enumerate(nets.joints))
    folds = creased + numbers + tongues + flaps + more
    return Work(cut, folds, numbers, joints, tabs - numbers, strips, tongues, slits, flaps)


def work_minutes(work: Work, pace: Pace = DEFAULT_PACE) -> float:
    """How long the work takes, minutes.

    >>> work_minutes(Work(cut=600, folds=12, tabs=10, joints=1))
    6.2
    """
    glued = work.tabs * pace.glue + work.joints * pace.joint + work.teeth * pace.tooth
    held = work.strips * pace.tape + work.slits * pace.slit + work.tongues * pace.tongue + work.flaps * pace.flap
    return (work.cut * pace.cut + work.folds * pace.fold + glued + held) / 60


def parse_pace(text: str) -> Pace:
    """A pace from words such as "fold=4 glue=12"; steps that are not named keep their usual seconds.

    Raises FoldsketchError.

    >>> parse_pace("fold=4, glue=12").fold
    4.0
    """
    known = ", ".join(f.name for f in fields(Pace))
    values: dict[str, float] = {}
    for word in text.replace(",", " ").split():
        name, _, number = word.partition("=")
        try:
            value = float(number)
        except ValueError:
            raise PACE_NOT_A_NUMBER.error("--pace", word=word, known=known) from None
        if name not in known.split(", "):
            raise PACE_UNKNOWN_STEP.error("--pace", name=name, known=known)
        if not (isfinite(value) and 0 <= value <= MAX_SECONDS_PER_STEP):
            raise PACE_OUT_OF_RANGE.error("--pace", name=name, number=number, most=int(MAX_SECONDS_PER_STEP))
        values[name] = value
    return Pace(**values)
