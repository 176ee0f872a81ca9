"""Pieces of a workshop drawing: dimensions, leaders, hatching, breaks, and sentences with blanks to fill in by hand."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import atan2, cos, hypot, pi, radians, sin
from typing import NamedTuple

from shapely import LineString, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from foldsketch.base.drawing import BLACK, WHITE, Colour, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.sheet.page.line_widths import GREY, THIN_LINE_WIDTH_MM
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text

ARROW_LENGTH_MM, ARROW_WIDTH_MM = 2.8, 0.9
"""Head of a dimension's arrow, mm [ISO 129-1, quoted from memory]."""

ARROWS_OUTSIDE_BELOW_MM = 14.0
"""A dimension shorter than this on paper has its arrows outside, mm."""

DIMENSION_WIDTH_MM, HATCH_STEP_MM = 0.25, 3.0

BLANK_DROP_MM = 0.7
"""The line of a blank lies so far below the words, mm."""

FIGURE_HEIGHT_MM = 3.5
"""Capital height of dimensions, mm."""

BOLD_WIDTH = 1.08
"""Bold letters are at most so much wider than the default weight, of which widths are known."""

LINE_PITCH_MM = 4.2
"""From one line of a note to the next, mm."""

_BLANK = re.compile(r"\[(\d+)\](.*)")


def polyline(
    points: Sequence[Point], width: float = DIMENSION_WIDTH_MM, colour: Colour = BLACK, line: LineType = LineType.SOLID
) -> Stroke:
    """An open line on the layer of marks."""
    return Stroke(Layer.MARK, tuple(points), width=width, colour=colour, line=line)


def fill_area(points: Sequence[Point], colour: Colour) -> Stroke:
    """A filled area without outline, below all lines."""
    return Stroke(Layer.GLUE, tuple(points), closed=True, colour=None, fill=colour)


def arrow_head(tip: Point, direction: float, colour: Colour = BLACK) -> Stroke:
    """A filled head that points in a direction, radians."""
    c, s = cos(direction), sin(direction)
    barbs = [
        (tip[0] - ARROW_LENGTH_MM * c - w * s, tip[1] - ARROW_LENGTH_MM * s + w * c)
        for w in (ARROW_WIDTH_MM / 2, -ARROW_WIDTH_MM / 2)
    ]
    return Stroke(Layer.MARK, (barbs[0], tip, barbs[1]), closed=True, width=0.1, colour=colour, fill=colour)


def dimension(a: Point, b: Point, colour: Colour = BLACK) -> list[Item]:
    """A dimension line between two points, level or upright, with its arrows; outside where it is short."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    if length < 1e-6:
        return []
    u = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    along = atan2(u[1], u[0])
    out = ARROW_LENGTH_MM + 3.0 if length < ARROWS_OUTSIDE_BELOW_MM else 0.0
    line = ((a[0] - u[0] * out, a[1] - u[1] * out), (b[0] + u[0] * out, b[1] + u[1] * out))
    inward = 0.0 if out else pi
    heads = arrow_head(a, along + inward, colour), arrow_head(b, along + inward + pi, colour)
    return [polyline(line, colour=colour), *heads]


def leader(points: Sequence[Point], colour: Colour = BLACK) -> list[Item]:
    """A bent line with a head at its first point."""
    (x0, y0), (x1, y1) = points[0], points[1]
    return [polyline(points, colour=colour), arrow_head(points[0], atan2(y0 - y1, x0 - x1), colour)]


def hatch(area: BaseGeometry, slope: float = 45.0, step: float = HATCH_STEP_MM) -> list[Item]:
    """Narrow grey lines over an area, at a slope in degrees."""
    if area.is_empty:
        return []
    turned = affinity.rotate(area, -slope, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    lines: list[Item] = []
    y = (int(y0 / step) + 1) * step
    t = radians(slope)
    while y < y1:
        cut = turned.intersection(LineString(((x0 - 1, y), (x1 + 1, y))))
        for piece in getattr(cut, "geoms", (cut,)):
            if piece.length > 0.2:
                ends = [(x * cos(t) - v * sin(t), x * sin(t) + v * cos(t)) for x, v in piece.coords]
                lines.append(polyline(ends, THIN_LINE_WIDTH_MM, GREY))
        y += step
    return lines


def wave(a: Point, b: Point, height: float = 0.5, length: float = 8.0) -> list[Point]:
    """Points of a freehand break line from one point to another, mm."""
    span = hypot(b[0] - a[0], b[1] - a[1])
    n = max(12, round(span))
    u = ((b[0] - a[0]) / span, (b[1] - a[1]) / span)
    made = []
    for k in range(n + 1):
        s = span * k / n
        w = height * sin(2 * pi * s / length) * (1.0 if 0 < k < n else 0.0)
        made.append((a[0] + u[0] * s - u[1] * w, a[1] + u[1] * s + u[0] * w))
    return made


def loops_of(area: BaseGeometry) -> list[list[Point]]:
    """The outer outlines of an area."""
    pieces = [g for g in getattr(area, "geoms", (area,)) if isinstance(g, Polygon) and not g.is_empty]
    return [[(x, y) for x, y in g.exterior.coords[:-1]] for g in pieces]


def lines_of(geometry: BaseGeometry) -> list[list[Point]]:
    """The lines of a geometry, longest pieces joined."""
    from shapely.ops import linemerge

    parts = [g for g in getattr(geometry, "geoms", (geometry,)) if g.geom_type == "LineString" and g.length > 1e-9]
    if not parts:
        return []
    joined = linemerge(parts) if len(parts) > 1 else parts[0]
    return [[(x, y) for x, y in g.coords] for g in getattr(joined, "geoms", (joined,))]


def on_white(at: Point, text: str, size: float, bold: bool = False, colour: Colour = BLACK) -> list[Item]:
    """Text centred on a point, on a white ground that hides what is under it."""
    w, h = text_width(text, size) / 2 + 0.8, size / 2 + 0.8
    box = tuple((at[0] + i * w, at[1] + j * h) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    ground = Stroke(Layer.MARK, box, closed=True, colour=None, fill=WHITE)
    word = Text(Layer.FRAME, (at[0], at[1] - size / 2), text, size, anchor="middle", colour=colour, bold=bold)
    return [ground, word]


def text_box(t: Text) -> Polygon:
    """The ground of a level text with a rim of 0.5 mm."""
    w = text_width(t.text, t.size) * (BOLD_WIDTH if t.bold else 1.0)
    x = t.at[0] - {"start": 0.0, "middle": w / 2, "end": w}[t.anchor]
    return box(x - 0.5, t.at[1] - 0.5, x + w + 0.5, t.at[1] + t.size + 0.5)


class Segment(NamedTuple):
    """A stretch of a line. text: words, or "" for a blank; x, width: mm from the line's start; bold: of the letters."""

    text: str
    x: float
    width: float
    bold: bool = False


def sentence_lines(
    text: str, width: float, size: float = BODY_TEXT_HEIGHT_MM, bold_words: int = 0
) -> list[list[Segment]]:
    """A sentence in lines no wider than a width, mm. "[12]" is a blank 12 mm long, "~" a space that holds.

    What follows a blank without a space stays beside it.

    >>> [[s.text for s in line] for line in sentence_lines("Plate [20]~r/min, or so", 40)]
    [['Plate'], ['', ' r/min, or'], ['so']]
    """
    space = text_width(" ", size)
    lines: list[list[Segment]] = [[]]
    x = 0.0
    for k, raw in enumerate(text.split()):
        word, bold = raw.replace("~", " "), k < bold_words
        blank = _BLANK.fullmatch(word)
        after = blank[2] if blank else ""
        wide = (float(blank[1]) + text_width(after, size)) if blank else text_width(word, size)
        if x and x + wide > width:
            lines.append([])
            x = 0.0
        line = lines[-1]
        if not blank and line and line[-1].text and line[-1].bold == bold:
            before = line.pop()
            line.append(Segment(f"{before.text} {word}", before.x, x + wide - before.x, bold))
        else:
            gap = float(blank[1]) if blank else wide
            line.append(Segment("" if blank else word, x, gap, bold))
            if after:
                line.append(Segment(after, x + gap, wide - gap))
        x += wide + space + (0.4 if bold else 0.0)
    return lines


def draw_sentence(
    x: float, y: float, text: str, width: float, size: float = BODY_TEXT_HEIGHT_MM, bold_words: int = 0
) -> tuple[list[Item], int]:
    """A sentence with blanks, wrapped, its first words bold; and how many lines it takes."""
    items: list[Item] = []
    lines = sentence_lines(text, width, size, bold_words)
    for k, line in enumerate(lines):
        row = y - k * LINE_PITCH_MM
        for s in line:
            if s.text:
                items.append(frame_text(x + s.x, row, s.text, size, bold=s.bold))
            else:
                ends = ((x + s.x, row - BLANK_DROP_MM), (x + s.x + s.width, row - BLANK_DROP_MM))
                items.append(Stroke(Layer.FRAME, ends, width=DIMENSION_WIDTH_MM))
    return items, len(lines)
