"""Nets of paper chucks: a sheet with flaps that stand up from it, and the cone that carries it on a skewer."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin, sqrt

import numpy as np

from foldsketch.base.arrays import Array, Point
from foldsketch.net.model import Fold, Mark, Panel, Piece
from foldsketch.net.refold import fold_transforms

CONE_HEIGHT_MM, STICK_MM, LAP_MM = 26.0, 3.0, 6.0
"""Height of the cone, diameter of the skewer, and lap of the cone, mm on paper."""


def flap_panels(
    name: str, outline: Array, flaps: Sequence[tuple[str, Array]], windows: int
) -> tuple[tuple[Panel, ...], tuple[Fold, ...]]:
    """A flat panel with flaps that are folded a quarter turn to the printed side.

    outline: (n, 2) anticlockwise; flaps: name and corners of each, anticlockwise, its crease first, the first ones
    (windows of them) cut out of the panel, the others beside it.
    """
    holes = tuple(flap[::-1].copy() for _, flap in flaps[:windows])
    panels = [Panel(0, outline, holes, name, "end", 0, np.eye(3), np.zeros(3))]
    folds = []
    for k, (title, flap) in enumerate(flaps, 1):
        a, b = (float(flap[0][0]), float(flap[0][1])), (float(flap[1][0]), float(flap[1][1]))
        # The sheet is left of the line from b to a.
        folds.append(Fold((0, k), (b, a), -pi / 2))
        panels.append(Panel(k, flap, (), title, "side", k, *_stood_up(b, a)))
    return tuple(panels), tuple(folds)


def _stood_up(a: Point, b: Point) -> tuple[Array, Array]:
    """Rotation and shift of a panel beyond a line from a to b that is folded a quarter turn to the printed side."""
    r, t = fold_transforms(np.array([[a, b]]), np.array([-pi / 2]))
    return r[0], t[0]


def cone_piece(number: int, foot: float) -> Piece:
    """The cone behind the disc, as one flat panel that is rolled: a sector with a lap, its tip cut for the skewer."""
    slant = sqrt(foot * foot + CONE_HEIGHT_MM**2)
    sweep = 2 * pi * foot / slant
    tip = STICK_MM / 2 * slant / foot
    start = (pi - sweep) / 2 + pi  # the gap points down
    n = 48
    turns = [start + sweep * k / n for k in range(n + 1)]
    outer = [(slant * cos(t), slant * sin(t)) for t in turns]
    lap = LAP_MM / slant
    last = turns[-1]
    outer += [(slant * 0.97 * cos(last + lap), slant * 0.97 * sin(last + lap))]
    outer += [(tip * 2.5 * cos(last + lap * 2), tip * 2.5 * sin(last + lap * 2))]
    inner = [(tip * cos(t), tip * sin(t)) for t in reversed(turns)]
    outline = np.array(outer + inner)
    panel = Panel(0, outline, (), f"cone {number}", "other", 0, np.eye(3), np.zeros(3))
    seam = ((tip * cos(last), tip * sin(last)), (slant * cos(last), slant * sin(last)))
    middle = (start + last) / 2
    marks = (
        Mark("outline", 0, "", (0.0, 0.0), paths=(seam,)),
        Mark("text", 0, "", (0.6 * slant * cos(middle), 0.6 * slant * sin(middle)), f"cone {number}", 3.5),
    )
    return Piece(f"{number}c", 0, (panel,), (), marks=marks, title="cone", size="roll, lap, tape")
