"""The picture of the folded model, from its skins and axes."""

from __future__ import annotations

from itertools import pairwise
from math import inf, pi

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.net.model import Nets
from foldsketch.part.model import Axis, Part
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import Solids
from foldsketch.write.png import AxisLine, ShadedFace, render_png, view_matrix

BLOCK_SHADES = (0.98, 0.86, 0.92, 0.8, 0.95, 0.83)
"""Shades that neighbouring blocks take in turn."""

CIRCLE_POINTS = 73
"""Points of a circle that is drawn on a face."""

PREVIEW_ELEVATION_RAD = 0.6
PREVIEW_AZIMUTHS_RAD = tuple(-pi / 3 + k * pi / 12 for k in (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5))
"""Where the viewer may stand, the usual place first."""


def preview_png(part: Part, faceted: FacetedPart, solids: Solids, scale: float, nets: Nets | None = None) -> bytes:
    """A PNG of the folded model with its axes drawn through it."""
    back = faceted.rotation_to_part.T
    faces = []
    skins = []
    for block in solids.blocks:
        corners = block.skin.corners @ back
        skins.append(corners)
        for f in block.skin.faces:
            faces.append(
                ShadedFace(tuple(corners[list(loop)] for loop in f.loops), BLOCK_SHADES[block.id % len(BLOCK_SHADES)])
            )
    everything = np.concatenate(skins)
    spans: dict[str, tuple[float, float]] = {}
    for g in part.features:
        low, high = spans.get(g.axis, (inf, -inf))
        spans[g.axis] = (min(low, g.start, g.end), max(high, g.start, g.end))
    used = [a for a in part.axes if a.name in spans]
    lines = [_axis_line(a, spans[a.name], scale, everything) for a in used]
    return render_png(
        faces, lines, azimuth=_choose_azimuth(used), elevation=PREVIEW_ELEVATION_RAD, drawn=_drawn_lines(nets)
    )


def _drawn_lines(nets: Nets | None) -> list[Array]:
    """What is drawn on the faces and not built, in space."""
    names = {f.name for f in nets.drawn} if nets else set()
    found = []
    for piece in nets.pieces if nets else ():
        for d in piece.drawn:
            if d.hidden or d.feature not in names:
                continue
            found.append(piece.panel(d.panel).in_space(d.points(CIRCLE_POINTS)))
    return found


def _axis_line(axis: Axis, span: tuple[float, float], scale: float, everything: Array) -> AxisLine:
    """The axis from end to end of its own features, sticking out on both sides; it may go on to the end of the part.

    A bore may be given longer than the body, so the body's own reach bounds it. everything: (n, 3) corners, mm.
    """
    p, d = np.array(axis.point) * scale, np.array(axis.direction)
    reach = (everything - p) @ d
    size = float(np.ptp(everything, axis=0).max())
    low, high = max(span[0] * scale, float(reach.min())), min(span[1] * scale, float(reach.max()))
    return AxisLine(
        axis.name,
        p + d * (low - 0.08 * size),
        p + d * (high + 0.1 * size),
        p + d * (max(high, float(reach.max())) + 0.16 * size),
    )


def _choose_azimuth(axes: list[Axis]) -> float:
    """Where to stand so that no axis hides the next: the first place whose narrowest gap is near the widest."""
    if len(axes) < 2:
        return PREVIEW_AZIMUTHS_RAD[0]

    def gap(azimuth: float) -> float:
        right = view_matrix(azimuth, PREVIEW_ELEVATION_RAD)[0]
        places = sorted(float(np.array(a.point) @ right) for a in axes)
        return min(b - a for a, b in pairwise(places))

    gaps = [gap(a) for a in PREVIEW_AZIMUTHS_RAD]
    return next(a for a, g in zip(PREVIEW_AZIMUTHS_RAD, gaps, strict=True) if g >= 0.6 * max(gaps))
