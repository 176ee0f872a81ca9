"""The booklet: step by step from the printed sheets to the model, with a picture of every step."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, sin

import numpy as np

from foldsketch.base.card import Card
from foldsketch.base.drawing import Drawing, Item, Layer, Stroke, Words
from foldsketch.base.lettering import shortened, wrapped
from foldsketch.net.model import Array, Nets, Piece
from foldsketch.net.partly import Standing, standing
from foldsketch.net.steps import Step, steps_of
from foldsketch.sheet.paper import scale_text
from foldsketch.sheet.views import lettered

PAGE = (210.0, 297.0)
EDGE = 14.0
BODY, SMALL = 2.5, 1.8
ROWS = 3
"""Steps on a page."""

PICTURE = (78.0, 72.0)
"""Room for a picture, mm."""

WHITE, LIT, TAB = (1.0, 1.0, 1.0), (0.72, 0.72, 0.72), (0.9, 0.9, 0.9)
AZIMUTH, ELEVATION = -0.9, 0.62
"""Where the reader stands, radians."""


def draw_booklet(nets: Nets, minutes: float, cut: float, folds: int, glued: int) -> tuple[Drawing, ...]:
    """The booklet of a model. minutes: to build it; cut: mm; folds, glued: how many."""
    steps = steps_of(nets)
    first = _first_page(nets, minutes, cut, folds, glued)
    pages = [first]
    for start in range(0, len(steps), ROWS):
        items: list[Item] = []
        for row, step in enumerate(steps[start : start + ROWS]):
            y = PAGE[1] - EDGE - 8 - row * 88.0
            items += _step(nets, step, start + row + 1, y)
        pages.append(items)
    return tuple(_page(nets, items, k + 1, len(pages)) for k, items in enumerate(pages))


def _page(nets: Nets, items: Sequence[Item], number: int, of: int) -> Drawing:
    head = [
        _words(EDGE, PAGE[1] - EDGE, f"{nets.part}: building the model", BODY),
        _words(PAGE[0] - EDGE, PAGE[1] - EDGE, f"{number} / {of}", BODY, "end"),
    ]
    return Drawing(PAGE, (*head, *items), f"{nets.part}, booklet")


def _first_page(nets: Nets, minutes: float, cut: float, folds: int, glued: int) -> list[Item]:
    items: list[Item] = [_words(EDGE, PAGE[1] - EDGE - 14, nets.part, 7.0, bold=True)]
    y = PAGE[1] - EDGE - 24
    for line in (
        f"{len(nets.pieces)} nets at {scale_text(nets.scale)}: {cut:.0f} mm to cut, {folds} folds, {glued} glue "
        f"joints; about {minutes:.0f} minutes at an ordinary pace.",
        "You need: scissors or a knife and a mat, a ruler, an empty ballpoint pen for creasing, paper glue, a needle.",
        f"Print the sheets at 100 % and check the 100 mm bars. {_card_words(nets.card)}",
        "Crease every fold along the ruler before you cut. Dash and dot: printed side out. Dashes: printed side in.",
        "A number on a tab and the same number on an edge belong together: the tab goes behind the edge.",
        "Pierce the small circles with the needle before you glue: you will spin the model about them.",
    ):
        for text in wrapped(line, BODY, PAGE[0] - 2 * EDGE):
            items.append(_words(EDGE, y, text, BODY))
            y -= 4.4
    y -= 6
    items.append(_words(EDGE, y, "The nets", 3.5, bold=True))
    y -= 4
    wide, high = 44.0, 40.0
    for k, piece in enumerate(nets.pieces[:16]):
        x = EDGE + (k % 4) * (wide + 2)
        top = y - (k // 4) * (high + 8)
        names = ", ".join(dict.fromkeys(p.feature for p in piece.panels))
        items += _picture(standing(piece, 0.0), (x, top - high), (wide, high), (0.0, 1.5707), frozenset())
        items.append(_words(x, top - high - 3.5, shortened(f"{piece.id}  {names}", SMALL, wide), SMALL))
    if len(nets.pieces) > 16:
        items.append(_words(EDGE, EDGE, f"and {len(nets.pieces) - 16} more", BODY))
    return items


def _card_words(card: Card) -> str:
    if not card:
        return "Card of 120 to 200 g/m2 stands best."
    advice = card.advice[0].upper() + card.advice[1:]
    return f"The nets allow for card of {card.text}. {advice}."


def _step(nets: Nets, step: Step, number: int, y: float) -> list[Item]:
    pieces = {p.id: p for p in nets.pieces}
    items: list[Item] = [
        Stroke(Layer.FRAME, ((EDGE, y + 3), (PAGE[0] - EDGE, y + 3)), width=0.25),
        _words(EDGE, y - 4, str(number), 5.0, bold=True),
    ]
    box = (EDGE + 10, y - 6 - PICTURE[1])
    title, text, shown, lit = _told(nets, step, pieces)
    view = (0.0, 1.5707) if step.kind == "cut" else (AZIMUTH, ELEVATION)
    items += _picture(shown, box, PICTURE, view, lit)
    x = EDGE + 14 + PICTURE[0]
    items.append(_words(x, y - 6, title, 3.5, bold=True))
    level = y - 13
    for line in text:
        for part in wrapped(line, BODY, PAGE[0] - EDGE - x):
            items.append(_words(x, level, part, BODY))
            level -= 4.4
        level -= 1.5
    return items


def _told(
    nets: Nets, step: Step, pieces: dict[str, Piece]
) -> tuple[str, list[str], list[Standing], frozenset[tuple[int, int]]]:
    """Title, words, what the picture shows, and which (panel, tab) of it are grey."""
    piece = pieces.get(step.piece)
    if step.kind == "join" and step.blocks is not None:
        one, two = (_block_name(nets, b) for b in step.blocks)
        shown = [s for p in nets.pieces if p.block in step.blocks for s in _facing(standing(p, 1.0, tabs=False))]
        words = [
            f"Glue the {two} onto the {one}, face to face.",
            "Its outline is printed where it goes. Bring the ticks at both edges in line: they are the datum.",
        ]
        return f"{two} onto {one}", words, shown, frozenset()
    assert piece is not None
    names = ", ".join(dict.fromkeys(p.feature for p in piece.panels))
    if step.kind == "cut":
        rims = {t.number: t.angle for t in piece.tabs}  # the teeth of one rim have one number and one crease
        angles = [f.angle for f in piece.folds if not f.rolled] + list(rims.values())
        out, in_ = sum(a > 1e-9 for a in angles), sum(a < -1e-9 for a in angles)
        words = [f"Cut net {piece.id} ({names}) out along the full lines."]
        if out or in_:
            words = [f"Crease net {piece.id} ({names}), then cut it out along the full lines."]
            words.append(f"{out} folds have the printed side out" + (f", {in_} have it in." if in_ else "."))
        if any(f.rolled for f in piece.folds):
            words.append(
                "Its wall is rolled, not creased: draw the strip over the edge of a table, printed side up, until it "
                "curls as the round does. Snip its teeth apart down to their crease."
            )
        if any(p.holes for p in piece.panels):
            words.append("Cut the openings in its faces first, while the paper is flat.")
        return f"Cut out net {piece.id}", words, standing(piece, 0.0), frozenset()
    tabs = ", ".join(str(n) for n in step.tabs[:24]) + (" …" if len(step.tabs) > 24 else "")
    lit = frozenset((t.panel, t.number) for t in piece.tabs if t.number in step.tabs)
    if step.kind == "glue":
        up = "Roll" if any(f.rolled for f in piece.folds) else "Fold"
        words = [f"{up} net {piece.id} up and glue its tabs behind their edges, in this order: {tabs}."]
        if len(step.tabs) == 1:
            words = [f"{up} net {piece.id} up and glue tab {tabs} behind its edge."]
        if step.last is not None:
            lit |= {(step.last, 0)}
            words.append("Close the grey face last: nothing behind it has to be reached, press it on from outside.")
        words += _tucked(step)
        return f"Glue net {piece.id}", words, standing(piece, 0.82), lit
    to = f"net {step.to[0]}" if len(step.to) == 1 else f"nets {', '.join(step.to[:-1])} and {step.to[-1]}"
    parts = [pieces[i] for i in (*step.to, piece.id)]
    if step.kind == "insert":
        words = [
            f"Set {to} into net {piece.id} while it is open, and glue {tabs}.",
            "Put glue on the tabs of one end only, set it in place, and hold it until it stays.",
        ]
        if _lid_of(piece, nets) is not None:
            words.append("The other end is glued when the lid closes.")
        shown = [s for p in parts if p is not piece for s in standing(p, 1.0, tabs=False)]
        shown += standing(piece, 0.9, tabs=False)
        return f"Set {to} into net {piece.id}", words, shown, frozenset()
    words = [f"Put glue on the tabs {tabs}, then close the lid over them all and press it on from outside."]
    alone = len(piece.panels) == 1
    if alone:
        words = [f"Put glue on the teeth and tabs {tabs} of {to} and set net {piece.id} on them, printed side out."]
        words.append("Bring the tick at its edge in line with the dotted line on the wall: that is the datum.")
    words += _tucked(step)
    whole = {p.id for p in nets.pieces if p.block == piece.block} <= {p.id for p in parts}
    both = [s for p in parts for s in standing(p, 1.0, tabs=False)]
    return f"{'Set on' if alone else 'Close'} net {piece.id}", words, _facing(both) if whole else both, frozenset()


def _tucked(step: Step) -> list[str]:
    """What to do with tabs on the panel that is closed last."""
    if not step.tucked:
        return []
    numbers = ", ".join(str(n) for n in step.tucked)
    one = len(step.tucked) == 1
    return [
        f"Tab{'' if one else 's'} {numbers} {'is' if one else 'are'} on that face itself: glue on the printed side, "
        "then slide in behind the edge."
    ]


def _lid_of(piece: Piece, nets: Nets) -> int | None:
    return next((s.last for s in steps_of(nets) if s.kind == "close" and s.piece == piece.id), None)


def _block_name(nets: Nets, block: int) -> str:
    return next((b.features[0] for b in nets.blocks if b.id == block and b.features), f"block {block}")


def _facing(shown: list[Standing]) -> list[Standing]:
    """Only what faces the reader: of a closed body the rest cannot be seen."""
    eye = _eye(AZIMUTH, ELEVATION)
    return [s for s in shown if float(_normal(s.loops[0]) @ eye) > 1e-6]


def _normal(loop: Array) -> Array:
    a, b = loop[1:-1] - loop[0], loop[2:] - loop[0]
    n: Array = np.cross(a, b).sum(axis=0)
    return n / max(float(np.linalg.norm(n)), 1e-12)


def _eye(azimuth: float, elevation: float) -> Array:
    return np.array([cos(elevation) * cos(azimuth), cos(elevation) * sin(azimuth), sin(elevation)])


def _picture(
    shown: Sequence[Standing],
    at: tuple[float, float],
    room: tuple[float, float],
    view: tuple[float, float],
    lit: frozenset[tuple[int, int]],
) -> list[Item]:
    """Flat things in space, the far ones painted first. view: azimuth and elevation; straight from above the paper's
    own x runs right."""
    if not shown:
        return []
    azimuth, elevation = view
    eye = _eye(azimuth, elevation)
    if elevation > 1.57:
        # Flat nets are looked at as they lie on the paper: in the plane of their first panel.
        n = _normal(shown[0].loops[0])
        right = shown[0].loops[0][1] - shown[0].loops[0][0]
        right = right / np.linalg.norm(right)
        eye, up = n, np.cross(n, right)
    else:
        right = np.array([-sin(azimuth), cos(azimuth), 0.0])
        up = np.cross(eye, right)
    points = np.concatenate([s.loops[0] for s in shown])
    x, y = points @ right, points @ up
    span = max(float(np.ptp(x)) / room[0], float(np.ptp(y)) / room[1], 1e-9)
    k = min(1 / span, 1.2)
    middle = np.array([(x.min() + x.max()) / 2, (y.min() + y.max()) / 2])
    centre = (at[0] + room[0] / 2, at[1] + room[1] / 2)

    def put(p: Array) -> tuple[float, float]:
        return (
            centre[0] + float(p @ right - middle[0]) * k,
            centre[1] + float(p @ up - middle[1]) * k,
        )

    items: list[Item] = []
    for s in sorted(shown, key=lambda s: float((s.loops[0] @ eye).mean())):
        grey = (s.panel, s.tab) in lit
        fill = LIT if grey else TAB if s.tab else WHITE
        pen = 0.18 if s.tab else 0.25
        items.append(Stroke(Layer.MARK, tuple(put(p) for p in s.loops[0]), closed=True, width=pen, fill=fill))
        for hole in s.loops[1:]:
            items.append(Stroke(Layer.MARK, tuple(put(p) for p in hole), closed=True, width=0.18, fill=WHITE))
    numbers = [s for s in shown if s.tab and (s.panel, s.tab) in lit]
    taken: list[tuple[float, float]] = []
    for s in numbers:
        u, v = put(s.loops[0].mean(axis=0))
        if all(hypot(u - a, v - b) > 4.2 for a, b in taken):
            taken.append((u, v))
            items += lettered((u, v - SMALL / 2), str(s.tab), SMALL)
    return items


def _words(x: float, y: float, text: str, size: float, anchor: str = "start", bold: bool = False) -> Words:
    return Words(Layer.FRAME, (x, y), text, size, 0.0, anchor, bold=bold)
