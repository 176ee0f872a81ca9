"""Draw: sheets with placed pieces become drawings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import cos, hypot, sin

import numpy as np

from foldsketch.base.collector import collector_at_rest
from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Drawing, Item, Layer, LineType, Point, Stroke, Words
from foldsketch.base.lettering import UNDERLINE, reads_otherwise, width
from foldsketch.base.units import plain
from foldsketch.net.marks.datum_lines import ticked
from foldsketch.net.model import Array, Mark, Nets, Piece
from foldsketch.sheet.layout.caption import captioned
from foldsketch.sheet.layout.inset_spots import free_places
from foldsketch.sheet.layout.model import Placed, Sheet
from foldsketch.sheet.layout.net_lines import Place, cut_paths, fold_lines, hatches, points_of
from foldsketch.sheet.layout.paper import FOOT, MARGIN, SIDE
from foldsketch.sheet.page.axis_colours import axis_colours
from foldsketch.sheet.page.legend import CUT, GREY, THIN, fold_pen, furniture
from foldsketch.sheet.page.thumbnails import figure

Put = Callable[[Point], Point]

PENS: dict[str, tuple[float, LineType]] = {
    "centre": (0.18, LineType.SOLID),
    "datum": (0.5, LineType.DOTTED),
    "outline": (0.18, LineType.PHANTOM),
    "pin": (0.18, LineType.SOLID),
    "offset": (0.18, LineType.SOLID),
    "text": (0.18, LineType.SOLID),
}
"""Line width in mm and type of every kind of mark."""


@collector_at_rest()
def draw_sheets(nets: Nets, sheets: Sequence[Sheet], duplex: bool = False, insets: bool = True) -> tuple[Drawing, ...]:
    """One drawing a sheet: nets with their cuts, folds, tabs and marks, captions, check bars, title and legend.

    duplex: with registration crosses, for sheets whose backs are printed too; insets: with small pictures of where each
    net goes, which need filled areas to hide what lies behind.
    """
    pieces = {p.id: p for p in nets.pieces}
    slants = _slants(nets.pieces)
    colours = colours_of(nets.pieces)
    # Where a net goes is worth a picture when there is more than one, and a model that it goes to.
    small = figure(nets) if insets and len(nets.pieces) > 1 and nets.blocks else None
    bare = any(b.bare for p in nets.pieces for b in p.butts)
    absent = set() if nets.joints else {"tick", "outline"}
    if not any(n for p in nets.pieces for n, _ in p.key):
        absent.add("ring")
    kinds = {m.kind for p in nets.pieces for m in p.marks if m.paths}
    absent |= {kind for kind in ("offset", "datum") if kind not in kinds}
    if "pin" not in {m.kind for p in nets.pieces for m in p.marks}:
        absent.add("centre")
    if not any(m.text == "z" and m.paths for p in nets.pieces for m in p.marks):
        absent.add("z")
    pages = []
    for number, sheet in enumerate(sheets, 1):
        items: list[Item] = []
        page = (sheet.size[0] - 2 * MARGIN - SIDE, sheet.size[1] - 2 * MARGIN - FOOT)
        for placed in sheet.placed:
            items += _piece(pieces[placed.piece], placed, page, slants[placed.piece], colours)
        if small:
            for name, at in free_places(sheet, pieces, small.box).items():
                items += small.inset(pieces[name], at)
        items += furniture(titled(nets), nets.scale, sheet, number, len(sheets), duplex, bare, absent)
        pages.append(Drawing(sheet.size, tuple(items), f"{nets.part}, sheet {number} of {len(sheets)}"))
    return tuple(pages)


def titled(nets: Nets) -> str:
    """The part's name with the card that the nets are made for."""
    return f"{nets.part}  ·  card {plain(nets.card.thickness, 2)} mm" if nets.card else nets.part


def draw_piece(piece: Piece, part: str, edge: float = 3.0) -> Drawing:
    """One piece alone, with its caption, on a page just large enough; edge: mm of white around it."""
    made = captioned(piece, ALONE)
    loops = [p.outline for p in piece.panels] + [t.outline for t in piece.tabs]
    points = np.concatenate(loops)
    x, y, w, h = made.box
    low = np.minimum(points.min(axis=0), (x, y))
    high = np.maximum(points.max(axis=0), (x + w, y + h))
    size = high - low + 2 * edge
    placed = Placed(piece.id, 0.0, (float(edge - low[0]), float(edge - low[1])))
    return Drawing(
        (float(size[0]), float(size[1])),
        tuple(_piece(piece, placed, ALONE, _slants([piece])[piece.id], colours_of([piece]))),
        f"{part}, net {piece.id}",
    )


ALONE = (1e4, 1e4)
"""Room for the caption of a piece that has a page to itself, mm."""


def _slants(pieces: Sequence[Piece]) -> dict[str, list[Array]]:
    """The hatching of every piece's tabs, formed for all of them at once."""
    outlines = [t.outline for p in pieces for t in p.tabs]
    made = iter(hatches(np.array(outlines)) if outlines else [])
    return {p.id: [next(made) for _ in p.tabs] for p in pieces}


def colours_of(pieces: Sequence[Piece]) -> dict[str, Colour]:
    """The colour of every axis that is marked on these pieces."""
    return axis_colours(sorted({m.axis for p in pieces for m in p.marks if m.axis}))


def _piece(
    piece: Piece,
    placed: Placed,
    page: tuple[float, float],
    slants: Sequence[Array],
    colours: Mapping[str, Colour],
) -> list[Item]:
    c, s = cos(placed.angle), sin(placed.angle)
    dx, dy = placed.shift
    turn = np.array([(c, s), (-s, c)])

    def put(p: Point) -> Point:
        return (c * p[0] - s * p[1] + dx, s * p[0] + c * p[1] + dy)

    def place(points: Array) -> Array:
        placed_: Array = points @ turn + placed.shift
        return placed_

    items: list[Item] = []
    drawn = [own for own in slants if len(own)]
    if drawn:
        points, first = points_of(place(np.concatenate(drawn))), 0
        for own in drawn:
            run = tuple(points[first : first + len(own)])
            first += len(own)
            items.append(Stroke(Layer.GLUE, run, width=THIN, colour=GREY))
    numbers = [
        boxed(put(t.label_at), str(t.number), t.label_size, t.label_angle + placed.angle)
        for t in piece.tabs
        if t.label_size
    ]
    items += [ground for ground, _ in numbers]
    items += cut_strokes(piece, place, CUT, BLACK)
    for line, angle in sorted(fold_lines(piece, place), key=lambda f: f[1] < 0):
        if abs(angle) < 1e-9:
            continue
        layer, kind = (Layer.MOUNTAIN, LineType.DASH_DOT) if angle > 0 else (Layer.VALLEY, LineType.DASHED)
        items.append(Stroke(layer, line, width=fold_pen(line, kind), line=kind))
    for _, words in numbers:
        items += told_apart(words)
    for mark in piece.marks:
        items += _mark(mark, put, placed.angle, colours.get(mark.axis, BLACK))
    made = captioned(piece, page)
    for start, text, size in made.baselines():
        at, angle = made.upright(start, placed.angle)
        items.append(Words(Layer.MARK, put(at), text, size, angle, bold=size > 2))
    return items


def cut_strokes(piece: Piece, place: Place, pen: float, colour: Colour) -> list[Item]:
    """What scissors follow, placed on the page; pen: mm."""
    items: list[Item] = []
    for path in cut_paths(piece, place):
        closed = len(path) > 2 and hypot(path[0][0] - path[-1][0], path[0][1] - path[-1][1]) < 1e-4
        items.append(Stroke(Layer.CUT, path[:-1] if closed else path, closed=closed, width=pen, colour=colour))
    return items


def boxed(at: Point, text: str, size: float, angle: float) -> tuple[Stroke, Words]:
    """A number on hatching: a white ground, to be drawn before any line, so that it hides none, and the words."""
    w, h = width(text, size) / 2 + 0.4, size / 2 + 0.4
    c, s = cos(angle), sin(angle)
    (x, y), wx, wy, hx, hy = at, w * c, w * s, -h * s, h * c
    box = (
        (x - wx - hx, y - wy - hy),
        (x + wx - hx, y + wy - hy),
        (x + wx + hx, y + wy + hy),
        (x - wx + hx, y - wy + hy),
    )
    return Stroke(Layer.GLUE, box, closed=True, colour=None, fill=WHITE), _centred(at, text, size, angle)


def _centred(at: Point, text: str, size: float, angle: float, colour: Colour = BLACK) -> Words:
    """Words whose capitals are centred on a point; never upside down on the page by more than need be."""
    base = (at[0] + sin(angle) * size / 2, at[1] - cos(angle) * size / 2)
    return Words(Layer.MARK, base, text, size, angle, "middle", colour)


def _mark(mark: Mark, put: Put, angle: float, colour: Colour) -> list[Item]:
    pen, kind = PENS[mark.kind]
    items: list[Item] = [
        Stroke(
            Layer.MARK,
            tuple([put(p) for p in path]),
            width=pen,
            line=LineType.SOLID if mark.kind == "datum" and ticked(path) else kind,
            colour=colour,
        )
        for path in mark.paths
    ]
    for x, y, r in mark.dots:
        items.append(Circle(Layer.MARK, put((x, y)), r, width=pen, colour=colour))
        items.append(Circle(Layer.MARK, put((x, y)), 0.15, width=0.1, colour=colour, fill=colour))
    if mark.text and mark.size:
        words = _centred(put(mark.at), mark.text, mark.size, mark.angle + angle, colour)
        items += told_apart(words) if mark.kind == "text" and not mark.axis and not mark.paths else [words]
    return items


def told_apart(words: Words) -> list[Item]:
    """A number, underlined where it would read as another one upside down: 6 and 9, 16 and 91."""
    if not reads_otherwise(words.text):
        return [words]
    half, below = width(words.text, words.size) / 2, UNDERLINE * words.size
    c, s = cos(words.angle), sin(words.angle)
    x, y = words.at[0] + s * below, words.at[1] - c * below
    ends = ((x - half * c, y - half * s), (x + half * c, y + half * s))
    return [words, Stroke(words.layer, ends, width=THIN, colour=words.colour)]
