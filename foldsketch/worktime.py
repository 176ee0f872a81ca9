"""How long a model takes to build: a stated model, its seconds common practice and the user's to change."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import isfinite

from foldsketch.base.findings import refuse


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds [common practice]: to cut a millimetre, to score and crease a fold, to glue a tab, to set a joint, to
    press down one more tooth of a rolled rim."""

    cut: float = 0.12
    fold: float = 5.0
    glue: float = 18.0
    joint: float = 60.0
    tooth: float = 1.5


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
            raise refuse("--pace", f"{word!r} is no pace", cure) from None
        if name not in known:
            raise refuse("--pace", f"{name!r} is not known", cure)
        if not (isfinite(value) and 0 <= value <= 3600):
            raise refuse("--pace", f"{name} = {number} is out of range", "give 0 to 3600 seconds")
        values[name] = value
    return Pace(**values)


def minutes(
    cut: float, folds: float, tabs: float, joints: float, pace: Pace | None = None, teeth: float = 0.0
) -> float:
    """Minutes to cut so many millimetres, crease so many folds, and glue so many tabs and joints.

    >>> minutes(600, 12, 10, 1)
    6.2
    """
    own = pace or Pace()
    return (cut * own.cut + folds * own.fold + tabs * own.glue + joints * own.joint + teeth * own.tooth) / 60
