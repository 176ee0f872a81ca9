"""The stand that carries a paper chuck's skewer: an upright tube with a floor for weight, the same net twice."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import pi

import numpy as np

from foldsketch.net.model import Fold, Mark, MatingEdge, Panel, Piece, Tab
from foldsketch.net.refold import fold_piece

STAND_WIDTH_MM, STAND_DEPTH_MM, STAND_FLOOR_MM, SEAM_MM = 56.0, 60.0, 45.0, 8.0
"""Front, sides, floor flap and seam of a stand, mm on paper."""

BELOW_DISC_MM, ABOVE_SKEWER_MM = 7.0, 10.0
"""Under the largest disc, and of the walls above the skewer, mm on paper."""


def paper_stand(radius: float, number: int) -> Piece:
    """A stand for discs up to a radius, mm. All walls stand along the load, so that it does not lean."""
    w, d = STAND_WIDTH_MM, STAND_DEPTH_MM
    level = radius + BELOW_DISC_MM
    high = level + ABOVE_SKEWER_MM
    edges = np.cumsum((0.0, w, d, w, d))
    name = f"stand {number}"
    flat = [np.array(((a, 0.0), (b, 0.0), (b, high), (a, high))) for a, b in pairwise(edges)]
    back, front = float(edges[3]), float(edges[2])
    flat.append(np.array(((front, -STAND_FLOOR_MM), (back, -STAND_FLOOR_MM), (back, 0.0), (front, 0.0))))
    panels = tuple(Panel(k, p, (), name, "side", k, np.eye(3), np.zeros(3)) for k, p in enumerate(flat))
    folds = [Fold((k, k + 1), ((float(x), 0.0), (float(x), high)), pi / 2) for k, x in enumerate(edges[1:4])]
    folds.append(Fold((2, 4), ((front, 0.0), (back, 0.0)), pi / 2))
    end = float(edges[4])
    seam = np.array(((end, 0.0), (end + SEAM_MM, 4.0), (end + SEAM_MM, high - 4.0), (end, high)))
    root = ((end, 0.0), (end, high))
    tab = Tab(1, 3, seam, root, MatingEdge(str(number), 0, ((0.0, high), (0.0, 0.0))), pi / 2)
    marks = []
    for k in (0, 2):
        x = float(flat[k][:, 0].mean())
        cross = (((x - 6, level), (x + 6, level)), ((x, level - 6), (x, level + 6)))
        marks.append(Mark("centre", k, "", (x, level), paths=cross))
        marks.append(Mark("text", k, "", (x, level - 20), "pierce last", 2.5))
    marks.append(Mark("text", 4, "", ((front + back) / 2, -STAND_FLOOR_MM / 2), "30 g of nuts here", 2.5))
    piece = Piece(
        str(number), 0, panels, tuple(folds), (tab,), marks=tuple(marks), title="stand", size="tube and floor"
    )
    folded = fold_piece(piece)
    placed = tuple(replace(p, to_space=folded[p.id][0], origin=folded[p.id][1]) for p in panels)
    return replace(piece, panels=placed)
