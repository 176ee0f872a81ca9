"""Pictures of flat faces in space, painted from back to front; and of nets flat on the table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.net.model import Piece
from foldsketch.sheet.booklet.arrow import arrow_items
from foldsketch.sheet.layout.net_lines import fold_lines, to_point_list
from foldsketch.sheet.page.draw import MARK_LINE_WIDTHS_MM, cut_strokes, mark_stroke
from foldsketch.sheet.page.line_widths import fold_line_type
from foldsketch.sheet.page.model_projection import VIEW_AZIMUTH_RAD, VIEW_ELEVATION_RAD, nets_facing_inward
from foldsketch.sheet.page.page_text import PageRectangle
from foldsketch.sheet.page.symbols import draw_letter_on_white

ACTIVE_FILL, TAB_FILL = (0.72, 0.72, 0.72), (0.9, 0.9, 0.9)
MAX_PICTURE_SCALE = 2.0
"""Largest scale of a picture, of the size on the sheets."""

MIN_AXIS_LETTER_DISTANCE_MM = 4.2
"""Least distance of an axis letter from the centre of other text, mm."""

NUMBER_GAP_ACROSS_MM, NUMBER_GAP_UP_MM = 0.7, 0.7
"""Least gaps between numbers in a picture, mm; a number that would be closer is left out."""

PICTURE_TEXT_HEIGHTS_MM = (2.5, 1.8)
"""Capital heights of numbers in pictures, mm: the second where the first finds no room for all."""

PaintRank = tuple[float, ...]
"""Lower ranks are painted first; of one rank the farther face first."""


@dataclass(frozen=True, slots=True, eq=False)
class PaintedFace:
    """A flat face in space.

    loops: each (n, 3) mm, the outline and its openings; fill: None for a face that is out of sight, of which only the
    label is drawn; label: a number on it; pen: line width, mm.
    """

    loops: tuple[Array, ...]
    fill: Colour | None = WHITE
    rank: PaintRank = ()
    label: str = ""
    pen: float = 0.25


@dataclass(frozen=True, slots=True, eq=False)
class PaintedPath:
    """A line in space, drawn over the faces of its rank. points: (n, 3) mm; arrow: of a motion of the hand."""

    points: Array
    colour: Colour = BLACK
    line: LineType = LineType.SOLID
    text: str = ""
    rank: PaintRank = ()
    arrow: bool = False


def camera_axes(up: Array | None = None, back: Array | None = None, aside: float = 0.4) -> Array:
    """(3, 3) rows: right, up on the picture, and towards the viewer.

    up: (3,) up from the table; back: (3,) away from the viewer, who sits aside by an angle, radians; without them the
    part stands on its -z end.
    """
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


def camera_up(camera: Array) -> Array:
    """Unit vector up from the table, (3,), of the axes that `camera_axes` returns."""
    up: Array = camera[1] * cos(VIEW_ELEVATION_RAD) + camera[2] * sin(VIEW_ELEVATION_RAD)
    return up


def loop_normal(loop: Array) -> Array:
    """Unit normal (3,) of a flat loop (n, 3); seen from its tip the loop is anticlockwise."""
    a, b = loop[1:-1] - loop[0], loop[2:] - loop[0]
    n: Array = np.cross(a, b).sum(axis=0)
    return n / max(float(np.linalg.norm(n)), 1e-12)


def translate_faces(faces: Iterable[PaintedFace], by: Array) -> list[PaintedFace]:
    """The same faces, moved by (3,) mm."""
    return [replace(f, loops=tuple(loop + by for loop in f.loops)) for f in faces]


def paint_scene(
    things: Sequence[PaintedFace | PaintedPath], camera: Array, box: PageRectangle, largest: float = MAX_PICTURE_SCALE
) -> list[Item]:
    """Faces and lines in a box on the page, the far ones first.

    camera: (3, 3) as of `camera_axes`; largest: scale. Numbers that would overlap are left out.
    """
    if not things:
        return []
    flat = [[loop @ camera.T for loop in (t.loops if isinstance(t, PaintedFace) else (t.points,))] for t in things]
    points = np.concatenate([loops[0] for loops in flat])[:, :2]
    low, high = points.min(axis=0), points.max(axis=0)
    k = min(*(np.array((box.width, box.height)) / np.maximum(high - low, 1e-9)), largest)
    shift = np.array(box.middle) - (low + high) / 2 * k
    items: list[Item] = []
    numbers: list[tuple[list[Point], str]] = []
    leaders: list[tuple[Point, Point, str, Colour]] = []
    order = sorted(range(len(things)), key=lambda i: (things[i].rank, float(flat[i][0][:, 2].mean())))
    for i in order:
        thing, loops = things[i], [to_point_list(loop[:, :2] * k + shift) for loop in flat[i]]
        if isinstance(thing, PaintedPath) and thing.arrow:
            items += arrow_items(loops[0])
        elif isinstance(thing, PaintedPath):
            items.append(Stroke(Layer.MARK, tuple(loops[0]), width=0.18, line=thing.line, colour=thing.colour))
            if thing.text:
                leaders.append((loops[0][-2], loops[0][-1], thing.text, thing.colour))
        else:
            items += _paint_face(thing, loops)
            if thing.label:
                numbers.append((_number_positions(loops[0]), thing.label))
    placed: list[tuple[Point, str]] = []
    for height in PICTURE_TEXT_HEIGHTS_MM:
        placed = _place_numbers(numbers, height)
        if len(placed) == len(numbers):
            break
    for (x, y), text in placed:
        items += draw_letter_on_white((x, y - height / 2), text, height)
    return items + _draw_leaders(leaders, [at for at, _ in placed])


def _paint_face(face: PaintedFace, loops: Sequence[Sequence[Point]]) -> list[Item]:
    """A face on the page. loops: its outline and openings there."""
    if face.fill is None:
        return []
    if len(loops) == 1:
        return [Stroke(Layer.MARK, tuple(loops[0]), closed=True, width=face.pen, fill=face.fill)]
    # One path round outline and openings, so that what is behind an opening stays visible.
    home = loops[0][0]
    path = tuple(p for loop in loops for p in (*loop, loop[0], home))
    return [
        Stroke(Layer.MARK, path, closed=True, colour=None, fill=face.fill),
        *(Stroke(Layer.MARK, tuple(loop), closed=True, width=face.pen) for loop in loops),
    ]


def _place_numbers(numbers: Sequence[tuple[list[Point], str]], height: float) -> list[tuple[Point, str]]:
    """Where numbers go that do not overlap: each at the first of its places that is free, or nowhere. height: mm."""
    placed: list[tuple[Point, str]] = []
    boxes: list[tuple[float, float, float]] = []
    # Those with the least room first: the others have more places to go to.
    for spots, text in sorted(numbers, key=lambda n: round(_position_spread(n[0]), 3)):
        half = text_width(text, height) / 2
        free = (
            (x, y)
            for x, y in spots
            if all(
                abs(x - u) > half + w + NUMBER_GAP_ACROSS_MM or abs(y - v) > height + NUMBER_GAP_UP_MM
                for u, v, w in boxes
            )
        )
        spot = next(free, None)
        if spot is not None:
            placed.append((spot, text))
            boxes.append((*spot, half))
    return placed


def _draw_leaders(leaders: Sequence[tuple[Point, Point, str, Colour]], taken: list[Point]) -> list[Item]:
    """Lines with a letter at the end, made longer until the letter is clear of what is written.

    taken: centres of that, mm.
    """
    items: list[Item] = []
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
    """Where the number of a tab may go in a picture: its middle, then half way to a corner, then farther."""
    x, y = np.mean(loop, axis=0).tolist()
    return [(x, y), *((x + (u - x) * k, y + (v - y) * k) for k in (0.5, 0.8) for u, v in loop)]


def _position_spread(spots: Sequence[Point]) -> float:
    """How far the positions of a number are from the first one."""
    return max(hypot(u - spots[0][0], v - spots[0][1]) for u, v in spots)


def flat_net_scale(piece: Piece, angle: float, width: float, height: float) -> float:
    """Largest scale at which a net, turned by an angle, radians, fits a picture, mm."""
    low, high, _ = _flat_extent(piece, angle)
    return float(min(*(np.array((width, height)) / np.maximum(high - low, 1e-9)), MAX_PICTURE_SCALE))


def _flat_extent(piece: Piece, angle: float) -> tuple[Array, Array, Array]:
    """Lowest and highest corner (2,) of a turned net, and the turn (2, 2) itself."""
    c, s = cos(angle), sin(angle)
    turn = np.array([(c, s), (-s, c)])
    points = np.concatenate([p.outline for p in piece.panels] + [t.outline for t in piece.tabs]) @ turn
    return points.min(axis=0), points.max(axis=0), turn


def draw_flat_net(
    piece: Piece, angle: float, box: PageRectangle, colours: Mapping[str, Colour], largest: float = MAX_PICTURE_SCALE
) -> list[Item]:
    """A net as on its sheet, smaller: cuts, folds, tabs and marks; text only where it stays readable.

    angle: radians; largest: scale.
    """
    low, high, turn = _flat_extent(piece, angle)
    k = min(flat_net_scale(piece, angle, box.width, box.height), largest)
    shift = np.array(box.middle) - (low + high) / 2 * k

    def place(some: Array) -> Array:
        there: Array = some @ turn * k + shift
        return there

    items: list[Item] = [
        Stroke(Layer.MARK, tuple(to_point_list(place(t.outline))), closed=True, colour=None, fill=TAB_FILL)
        for t in piece.tabs
        if t.glued
    ]
    items += [i._replace(layer=Layer.MARK) for i in cut_strokes(piece, place, 0.25, BLACK)]
    for line, bend in fold_lines(piece, place):
        if abs(bend) > 1e-9:
            items.append(Stroke(Layer.MARK, line, width=0.13, line=fold_line_type(bend)))
    for mark in piece.marks:
        colour = colours.get(mark.axis, BLACK)
        size = mark.size * k
        if mark.text and size < PICTURE_TEXT_HEIGHTS_MM[0]:
            continue
        pen = MARK_LINE_WIDTHS_MM[mark.kind]
        for path in mark.paths:
            run = tuple(to_point_list(place(np.array(path))))
            items.append(mark_stroke(mark, run, max(0.13, pen * k), colour))
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
    """Whether the printed side of a net is inside, as on a bore."""
    middles = np.array([p.in_space(p.outline.mean(axis=0)) for p in piece.panels])
    normals = np.array([p.to_space[:, 2] for p in piece.panels])
    return bool(nets_facing_inward(middles, normals, np.zeros(len(middles), dtype=np.int64))[0])
