"""Scenes: flat things in space painted from where the reader sits, the far ones first; and nets flat on the table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.net.marks.datum_lines import is_tick
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.net_lines import fold_lines, to_point_list
from foldsketch.sheet.page.draw import MARK_LINES, cut_strokes
from foldsketch.sheet.page.symbols import draw_letter_on_white

ACTIVE_FILL, TAB_FILL = (0.72, 0.72, 0.72), (0.9, 0.9, 0.9)
VIEW_AZIMUTH_RAD, VIEW_ELEVATION_RAD = -0.9, 0.62
"""Where the reader sits, radians."""

MAX_PICTURE_SCALE = 2.0
"""Pictures are drawn no larger than so many times the size on the sheets."""

MIN_AXIS_LETTER_DISTANCE_MM = 4.2
"""Letters in pictures are so far from the middle of anything that is written, mm."""

NUMBER_GAP_ACROSS_MM, NUMBER_GAP_UP_MM = 0.7, 0.7
"""Numbers in pictures are so far apart, beside and above each other, mm, or one is left out."""

PICTURE_TEXT_HEIGHT_MM = 1.8
"""Capital height of numbers and letters in pictures, mm."""

PaintRank = tuple[float, ...]
"""What is painted first has the lower rank; of one rank the farther first."""


@dataclass(frozen=True, slots=True, eq=False)
class PaintedFace:
    """Something flat in space. loops: each (n, 3) mm, the outline and its openings; label: a number on it."""

    loops: tuple[Array, ...]
    fill: Colour = WHITE
    rank: PaintRank = ()
    label: str = ""
    pen: float = 0.25


@dataclass(frozen=True, slots=True, eq=False)
class PaintedPath:
    """A line in space, drawn over the faces of its rank. points: (n, 3) mm."""

    points: Array
    colour: Colour = BLACK
    line: LineType = LineType.SOLID
    text: str = ""
    rank: PaintRank = ()


@dataclass(frozen=True, slots=True)
class PageRectangle:
    """Room on the page, mm."""

    x: float
    y: float
    width: float
    height: float


def camera_axes(up: Array | None = None, back: Array | None = None, aside: float = 0.4) -> Array:
    """(3, 3) rows: right, up and towards the reader. up: what points up from the table; back: what points away from
    the reader, who sits a little aside (radians); without them as the part stands."""
    if up is None:
        up = np.array([0.0, 0.0, 1.0])
    if back is None:
        towards = np.array([cos(VIEW_AZIMUTH_RAD), sin(VIEW_AZIMUTH_RAD), 0.0])
        aside = 0.0
    else:
        towards = -back
    towards = towards - up * float(towards @ up)
    length = float(np.linalg.norm(towards))
    if length < 1e-6:
        towards = np.cross(up, np.eye(3)[int(np.abs(up).argmin())])
        length = float(np.linalg.norm(towards))
    towards = towards / length
    level = cos(aside) * towards + sin(aside) * np.cross(up, towards)
    eye = cos(VIEW_ELEVATION_RAD) * level + sin(VIEW_ELEVATION_RAD) * up
    right = np.cross(up, level)
    return np.array([right, np.cross(eye, right), eye])


def loop_normal(loop: Array) -> Array:
    """Unit normal (3,) of a flat loop (n, 3), towards whoever sees it anticlockwise."""
    a, b = loop[1:-1] - loop[0], loop[2:] - loop[0]
    n: Array = np.cross(a, b).sum(axis=0)
    return n / max(float(np.linalg.norm(n)), 1e-12)


def translate_faces(faces: Iterable[PaintedFace], by: Array) -> list[PaintedFace]:
    """The same faces elsewhere."""
    return [replace(f, loops=tuple(loop + by for loop in f.loops)) for f in faces]


def paint_scene(
    things: Sequence[PaintedFace | PaintedPath], seen: Array, box: PageRectangle, largest: float = MAX_PICTURE_SCALE
) -> list[Item]:
    """Faces and lines in a box on the page; numbers that would lie on each other are left out."""
    if not things:
        return []
    flat = [[loop @ seen.T for loop in (t.loops if isinstance(t, PaintedFace) else (t.points,))] for t in things]
    points = np.concatenate([loops[0] for loops in flat])[:, :2]
    low, high = points.min(axis=0), points.max(axis=0)
    k = min(*(np.array((box.width, box.height)) / np.maximum(high - low, 1e-9)), largest)
    shift = np.array((box.x + box.width / 2, box.y + box.height / 2)) - (low + high) / 2 * k
    items: list[Item] = []
    numbers: list[tuple[list[Point], str, Colour]] = []
    leaders: list[tuple[Point, Point, str, Colour]] = []
    order = sorted(range(len(things)), key=lambda i: (things[i].rank, float(flat[i][0][:, 2].mean())))
    for i in order:
        thing, loops = things[i], [to_point_list(loop[:, :2] * k + shift) for loop in flat[i]]
        if isinstance(thing, PaintedPath):
            items.append(Stroke(Layer.MARK, tuple(loops[0]), width=0.18, line=thing.line, colour=thing.colour))
            if thing.text:
                leaders.append((loops[0][-2], loops[0][-1], thing.text, thing.colour))
            continue
        if len(loops) == 1:
            items.append(Stroke(Layer.MARK, tuple(loops[0]), closed=True, width=thing.pen, fill=thing.fill))
        else:
            # One line round outline and openings, so that what lies behind an opening stays in view.
            home = loops[0][0]
            round_all = tuple(p for loop in loops for p in (*loop, loop[0], home))
            items.append(Stroke(Layer.MARK, round_all, closed=True, colour=None, fill=thing.fill))
            items += [Stroke(Layer.MARK, tuple(loop), closed=True, width=thing.pen) for loop in loops]
        if thing.label:
            numbers.append((_number_positions(loops[0]), thing.label, BLACK))
    taken: list[Point] = []
    boxes: list[tuple[float, float, float]] = []
    # Those with the least room first: the others have more places to go to.
    for spots, text, colour in sorted(numbers, key=lambda n: round(_position_spread(n[0]), 3)):
        half = text_width(text, PICTURE_TEXT_HEIGHT_MM) / 2
        free = (
            (x, y)
            for x, y in spots
            if all(
                abs(x - u) > half + w + NUMBER_GAP_ACROSS_MM or abs(y - v) > PICTURE_TEXT_HEIGHT_MM + NUMBER_GAP_UP_MM
                for u, v, w in boxes
            )
        )
        spot = next(free, None)
        if spot is not None:
            taken.append(spot)
            boxes.append((*spot, half))
            items += draw_letter_on_white(
                (spot[0], spot[1] - PICTURE_TEXT_HEIGHT_MM / 2), text, PICTURE_TEXT_HEIGHT_MM, colour=colour
            )
    for (u, v), (x, y), text, colour in leaders:
        length = max(hypot(x - u, y - v), 1e-9)
        dx, dy, out = (x - u) / length, (y - v) / length, 0.0
        while (
            any(hypot(x + dx * out - a, y + dy * out - b) < MIN_AXIS_LETTER_DISTANCE_MM for a, b in taken) and out < 30
        ):
            out += 1.0
        x, y = x + dx * out, y + dy * out
        taken.append((x, y))
        items.append(Stroke(Layer.MARK, ((u, v), (x, y)), width=0.18, line=LineType.CENTRE, colour=colour))
        items += draw_letter_on_white((x, y - 1.25), text, 2.5, colour=colour)
    return items


def _number_positions(loop: Sequence[Point]) -> list[Point]:
    """Where the number of a tab may stand in a picture: in its middle, else half way from there to a corner, or
    farther."""
    x, y = np.mean(loop, axis=0).tolist()
    return [(x, y), *((x + (u - x) * k, y + (v - y) * k) for k in (0.5, 0.8) for u, v in loop)]


def _position_spread(spots: Sequence[Point]) -> float:
    """How far apart the spots of a number are."""
    return max(hypot(u - spots[0][0], v - spots[0][1]) for u, v in spots)


def draw_flat_net(piece: Piece, angle: float, box: PageRectangle, colours: Mapping[str, Colour]) -> list[Item]:
    """A net as it lies on its sheet, smaller: cuts, folds, tabs and marks; words only where they stay readable."""
    c, s = cos(angle), sin(angle)
    turn = np.array([(c, s), (-s, c)])
    points = np.concatenate([p.outline for p in piece.panels] + [t.outline for t in piece.tabs]) @ turn
    low, high = points.min(axis=0), points.max(axis=0)
    k = float(min(*(np.array((box.width, box.height)) / np.maximum(high - low, 1e-9)), MAX_PICTURE_SCALE))
    shift = np.array((box.x + box.width / 2, box.y + box.height / 2)) - (low + high) / 2 * k

    def place(some: Array) -> Array:
        there: Array = some @ turn * k + shift
        return there

    items: list[Item] = [
        Stroke(Layer.MARK, tuple(to_point_list(place(t.outline))), closed=True, colour=None, fill=TAB_FILL)
        for t in piece.tabs
    ]
    items += [i._replace(layer=Layer.MARK) for i in cut_strokes(piece, place, 0.25, BLACK)]
    for line, bend in fold_lines(piece, place):
        if abs(bend) > 1e-9:
            kind = LineType.DASH_DOT if bend > 0 else LineType.DASHED
            items.append(Stroke(Layer.MARK, line, width=0.13, line=kind))
    for mark in piece.marks:
        colour = colours.get(mark.axis, BLACK)
        size = mark.size * k
        if mark.text and size < PICTURE_TEXT_HEIGHT_MM:
            continue
        pen, kind = MARK_LINES[mark.kind]
        for path in mark.paths:
            run = tuple(to_point_list(place(np.array(path))))
            dots = LineType.SOLID if mark.kind == "datum" and is_tick(path) else kind
            items.append(Stroke(Layer.MARK, run, width=max(0.13, pen * k), line=dots, colour=colour))
        for x, y, r in mark.dots:
            (at,) = to_point_list(place(np.array([(x, y)])))
            items.append(Circle(Layer.MARK, at, max(r * k, 0.5), width=0.18, colour=colour))
        if mark.text:
            along = mark.angle + angle
            x, y = to_point_list(place(np.array([mark.at])))[0]
            base = (x + sin(along) * size / 2, y - cos(along) * size / 2)
            items.append(Text(Layer.MARK, base, mark.text, size, along, "middle", colour))
    return items


def faces_inward(piece: Piece) -> bool:
    """Whether the printed side of a net lies inside, as on a bore: its faces look towards the middle of them all."""
    middles = np.array([p.to_space[:, :2] @ p.outline.mean(axis=0) + p.origin for p in piece.panels])
    normals = np.array([p.to_space[:, 2] for p in piece.panels])
    return float(((middles - middles.mean(axis=0)) * normals).sum()) < -1e-6
