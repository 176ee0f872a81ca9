"""Lines and tints of the sheets: what is thick is cut, dashed is folded, grey is glued, coloured belongs to an axis."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from foldsketch.base.drawing import LineType, Point

CUT_LINE_WIDTH_MM, THIN_LINE_WIDTH_MM = 0.5, 0.18
"""Line widths in mm [ISO 128: steps of the square root of 2]."""

TAPE_TICK_WIDTH_MM = 0.35
"""Line width of the ticks between which a strip of tape goes, mm."""

FOLD_BACK_WIDTH_MM, FOLD_FORWARD_WIDTH_MM = 0.25, 0.35
"""Line widths in mm of folds away from the printed side, dashed, and towards it, dotted."""

SHORT_FOLD_LENGTH_MM, SHORT_FOLD_BACK_WIDTH_MM = 8.0, 0.18
"""A fold back shorter than the first, mm, has a thinner line: the dashes get shorter with it, so that they show."""

GREY = (0x59 / 255,) * 3
"""Of what is on the other side, and of holes that are drawn: sRGB from 0 to 1."""

GLUE_TINT, DRAWN_TINT = (0xD6 / 255,) * 3, (0xEF / 255,) * 3
"""Of tabs, and of holes that are drawn and not cut."""


def fold_line_type(angle: float) -> LineType:
    """The line type of a fold. angle: radians, + folds away from the side that is looked at."""
    return LineType.DASHED if angle > 0 else LineType.DOTTED


def fold_line_width(line: Sequence[Point], kind: LineType) -> float:
    """Line width of a fold, or of several in a row, mm."""
    if kind is LineType.DOTTED:
        return FOLD_FORWARD_WIDTH_MM
    (x0, y0), (x1, y1) = line[0], line[-1]
    return FOLD_BACK_WIDTH_MM if hypot(x1 - x0, y1 - y0) >= SHORT_FOLD_LENGTH_MM else SHORT_FOLD_BACK_WIDTH_MM
