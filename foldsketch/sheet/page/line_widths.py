"""Line widths on the sheets."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from foldsketch.base.drawing import LineType, Point

CUT_LINE_WIDTH_MM, FOLD_LINE_WIDTH_MM, THIN_LINE_WIDTH_MM = 0.35, 0.25, 0.13
"""Line widths in mm [ISO 128: steps of the square root of 2]."""

TAPE_TICK_WIDTH_MM = 0.35
"""Line width of the ticks between which a strip of tape goes, mm."""

SHORT_FOLD_LENGTH_MM, SHORT_FOLD_LINE_WIDTH_MM = 8.0, 0.18
"""A fold shorter than the first, mm, has a thinner line: the dashes get shorter with it, so that the pattern shows."""

GREY = (0.45, 0.45, 0.45)
"""Of hatching and of what is on the other side, sRGB from 0 to 1."""


def fold_line_width(line: Sequence[Point], kind: LineType) -> float:
    """Line width of a fold, or of several in a row, mm."""
    (x0, y0), (x1, y1) = line[0], line[-1]
    if hypot(x1 - x0, y1 - y0) >= SHORT_FOLD_LENGTH_MM:
        return FOLD_LINE_WIDTH_MM
    return THIN_LINE_WIDTH_MM if kind is LineType.DASHED else SHORT_FOLD_LINE_WIDTH_MM
