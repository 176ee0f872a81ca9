"""What there is to cut, crease and glue in a model, and how long it takes at a pace: common practice, or the user's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from math import hypot, isfinite
from typing import TYPE_CHECKING

from foldsketch.base.findings import input_error

if TYPE_CHECKING:
    from foldsketch.net.model import Nets


@dataclass(frozen=True, slots=True)
class Work:
    """What hands have to do. cut: mm on paper; folds: to be creased, roots of tabs included; tabs: numbers to be glued;
    joints: blocks to be set on each other; teeth: how many more tabs than numbers the rims of rolled walls have."""

    cut: float
    folds: int
    tabs: int
    joints: int
    teeth: int = 0

    @property
    def glued(self) -> int:
        """Tabs and joints."""
        return self.tabs + self.joints


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds [common practice]: to cut a millimetre, to score and crease a fold, to glue a tab, to set a joint, to
    press down one more tooth of a rolled rim."""

    cut: float = 0.12
    fold: float = 5.0
    glue: float = 18.0
    joint: float = 60.0
    tooth: float = 1.5

    @property
    def qualifier(self) -> str:
        """Whose pace it is, as said before the word pace."""
        return "an ordinary" if self == DEFAULT_PACE else "your"


DEFAULT_PACE = Pace()
"""An ordinary pace [common practice]."""


def measure_work(nets: Nets) -> Work:
    """The work in a model. The teeth of a rolled rim, which bear one number, are one fold and one tab."""
    cut = 0.0
    for piece in nets.pieces:
        edges = {f.line for f in piece.folds}
        total = sum(_perimeter(p.outline.tolist()) + sum(_perimeter(h.tolist()) for h in p.holes) for p in piece.panels)
        total -= 2 * sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in edges)
        for t in piece.tabs:
            root = hypot(t.line[1][0] - t.line[0][0], t.line[1][1] - t.line[0][1])
            total += _perimeter(t.outline.tolist()) - 2 * root
        cut += total
    tabs = sum(len(p.tabs) for p in nets.pieces)
    numbers = sum(len({t.number for t in p.tabs}) for p in nets.pieces)
    creased = sum(not f.rolled for p in nets.pieces for f in p.folds)
    return Work(cut, creased + numbers, numbers, len(nets.joints), tabs - numbers)


def _perimeter(loop: Sequence[Sequence[float]]) -> float:
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(loop, [*loop[1:], loop[0]], strict=True))


def work_minutes(work: Work, pace: Pace = DEFAULT_PACE) -> float:
    """How long the work takes, minutes.

    >>> work_minutes(Work(cut=600, folds=12, tabs=10, joints=1))
    6.2
    """
    glued = work.tabs * pace.glue + work.joints * pace.joint + work.teeth * pace.tooth
    return (work.cut * pace.cut + work.folds * pace.fold + glued) / 60


def parse_pace(text: str) -> Pace:
    """A pace from words such as "fold=4 glue=12"; what is not named keeps its usual seconds. Raises FoldsketchError.

    >>> parse_pace("fold=4, glue=12").fold
    4.0
    """
    known = [f.name for f in fields(Pace)]
    cure = f"give seconds as in fold=4 glue=12; known are {', '.join(known)}"
    values: dict[str, float] = {}
    for word in text.replace(",", " ").split():
        name, _, number = word.partition("=")
        try:
            value = float(number)
        except ValueError:
            raise input_error("--pace", f"{word!r} is no pace", cure) from None
        if name not in known:
            raise input_error("--pace", f"{name!r} is not known", cure)
        if not (isfinite(value) and 0 <= value <= 3600):
            raise input_error("--pace", f"{name} = {number} is out of range", "give 0 to 3600 seconds")
        values[name] = value
    return Pace(**values)
