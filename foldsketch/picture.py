"""The picture of the folded model, from its skins and axes."""

from __future__ import annotations

import numpy as np

from foldsketch.base.lettering import font_path
from foldsketch.job import Model
from foldsketch.solid.skin import triangles
from foldsketch.write.png import AxisLine, Face3, picture

SHADES = (0.98, 0.86, 0.92, 0.8, 0.95, 0.83)
"""Shades that neighbouring blocks take in turn."""


def preview_of(made: Model) -> bytes:
    """A PNG of the folded model as it stands on the table, its axes drawn through it."""
    back = made.faceted.turn.T
    faces = []
    for block in made.solids.blocks:
        corners = block.skin.corners @ back
        for f in block.skin.faces:
            cut = np.array(triangles(block.skin.corners, f))
            loops = tuple(corners[list(loop)] for loop in f.loops)
            faces.append(Face3(corners[cut], loops, SHADES[block.id % len(SHADES)]))
    everything = np.concatenate([b.skin.corners @ back for b in made.solids.blocks])
    lines = []
    used = {f.axis for f in made.part.features}
    size = float(np.ptp(everything, axis=0).max())
    for a in made.part.axes:
        if a.name not in used:
            continue
        p, d = np.array(a.point) * made.nets.scale, np.array(a.direction)
        reach = (everything - p) @ d
        lines.append(AxisLine(a.name, p + d * (reach.min() - 0.08 * size), p + d * (reach.max() + 0.12 * size)))
    return picture(faces, lines, str(font_path()))
