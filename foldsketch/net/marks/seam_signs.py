"""Halves of a sign on either edge of a seam that could be doubted: glued rightly they make one whole sign.

A lid on its hinge closes one way, and feet go on an outline: nothing is printed there.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from math import atan2, cos, dist, pi, sin

from foldsketch.base.points import Point
from foldsketch.geometry.box_clearance import is_box_free
from foldsketch.net.marks.panel_view import PanelView
from foldsketch.net.model import ButtEdge, Mark, PaperLine, Piece, Tab

MAX_DOUBTED_SEAMS = 12
"""Seams of one net that signs tell apart: four signs, single, double and threefold."""

SIGN_RADII_MM, MIN_SIGN_RADIUS_MM = (3.0, 1.9, 1.5), 0.8
"""Radius of a single sign, of each of two and of each of three, mm; and the least on a short edge."""

SIGN_EDGE_SHARE, SIGN_GAP_MM = 0.8, 0.6
"""Share of its edge that a sign takes at most, and the gap between small ones side by side, mm."""

SIGN_FRACTIONS = (0.5, 0.35, 0.65, 0.25, 0.75)
"""Where along its edge a sign is tried."""

SIGN_EDGE_CLEARANCE_MM, SIGN_CLEARANCE_MM = 0.25, 0.4
"""Width of the line that the flat side lies on, and clear paper beside a sign, mm."""

_Side = tuple[str, int, PaperLine]
"""A piece, a panel of it and an edge of that panel."""


def mark_seam_signs(pieces: Sequence[Piece], views: Sequence[PanelView]) -> bool:
    """Print the signs of all seams that could be doubted; False, and nothing printed, where they are too many."""
    seams = _doubted_seams(pieces)
    signs = _choose_signs(seams)
    if signs is None:
        return False
    by_panel = {(pieces[s.piece].id, s.panel.id): s for s in views}
    for sides, sign in zip(seams, signs, strict=True):
        _draw_sign(by_panel, sides, sign)
    return True


def _doubted_seams(pieces: Sequence[Piece]) -> list[list[tuple[_Side, _Side]]]:
    """Seams, each as the edges that lie side by side, as pairs of sides: the longest first."""
    kinds = {(p.id, q.id): q.kind for p in pieces for q in p.panels}
    seams: dict[object, list[tuple[_Side, _Side]]] = {}
    for piece in pieces:
        edges: list[Tab | ButtEdge] = [*piece.tabs, *(b for b in piece.butts if not b.bare)]
        for e in edges:
            if e.joint is not None:
                continue
            one, other = (piece.id, e.panel), (e.meets.piece, e.meets.panel)
            ends = [k for k in (one, other) if kinds[k] == "end"]
            if piece.id == e.meets.piece and len(ends) == 1:
                continue
            # All walls of one net around an end or a hole of another are one seam.
            key: object = frozenset((one, other))
            if piece.id != e.meets.piece and ends:
                key = (ends[0], frozenset((piece.id, e.meets.piece)))
            seams.setdefault(key, []).append(((*one, e.line), (*other, e.meets.line)))
    return [sorted(sides, key=lambda pair: -round(dist(*pair[0][2]), 3)) for sides in seams.values()]


def _choose_signs(seams: Sequence[Sequence[tuple[_Side, _Side]]]) -> list[int] | None:
    """The number of each seam's sign. Those of one net begin anew; one that joins two nets has it for itself."""
    nets = [{sides[0][0][0], sides[0][1][0]} for sides in seams]
    own: dict[str, set[int]] = {name: set() for pair in nets for name in pair}
    between: set[int] = set()
    chosen = [0] * len(seams)
    for k in sorted(range(len(seams)), key=lambda k: len(nets[k]) == 1):
        taken = set.union(*(own[name] for name in nets[k]), between if len(nets[k]) > 1 else set())
        sign = next(n for n in count() if n not in taken)
        if sign >= MAX_DOUBTED_SEAMS:
            return None
        chosen[k] = sign
        for name in nets[k]:
            own[name].add(sign)
        if len(nets[k]) > 1:
            between.add(sign)
    return chosen


def _draw_sign(by_panel: dict[tuple[str, int], PanelView], sides: Sequence[tuple[_Side, _Side]], sign: int) -> None:
    """Both halves of a sign, at the first place along its edges where both find room, else where they must."""
    places = [(pair, share) for pair in sides for share in SIGN_FRACTIONS]
    number = sign // 4 + 1
    for pair, share in (*places, (sides[0], 0.5)):
        length = dist(*pair[0][2])
        radius = min(SIGN_RADII_MM[number - 1], (SIGN_EDGE_SHARE * length - (number - 1) * SIGN_GAP_MM) / (2 * number))
        views = [by_panel[side[:2]] for side in pair]
        halves = [_Half(pair[0][2], share, radius, number), _Half(pair[1][2], 1 - share, radius, number)]
        free = radius >= MIN_SIGN_RADIUS_MM and all(h.fits(s) for h, s in zip(halves, views, strict=True))
        if not free and (pair, share) != (sides[0], 0.5):
            continue
        for half, s in zip(halves, views, strict=True):
            shapes = tuple(half.shape(sign % 4, k) for k in range(number))
            s.marks.append(Mark("sign", s.panel.id, "", half.middle, paths=shapes))
            s.free_space.occupy(*half.box)
        return


class _Half:
    """Half a sign on an edge: where it is, and its shape, the flat side on the edge."""

    def __init__(self, line: PaperLine, share: float, radius: float, number: int) -> None:
        (x0, y0), (x1, y1) = line
        length = dist(*line)
        self.along = ((x1 - x0) / length, (y1 - y0) / length)
        self.middle: Point = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
        self.radius, self.number = max(radius, 0.1), number
        self.half = number * self.radius + (number - 1) * SIGN_GAP_MM / 2

    def put(self, x: float, y: float) -> Point:
        """A point x along the edge and y inwards."""
        u, v = self.along
        return (self.middle[0] + x * u - y * v, self.middle[1] + x * v + y * u)

    @property
    def box(self) -> tuple[Point, float, float, float]:
        """Centre, half width, half height and angle."""
        return self.put(0.0, self.radius / 2), self.half, self.radius / 2, atan2(self.along[1], self.along[0])

    def fits(self, s: PanelView) -> bool:
        """Whether nothing else is there, and the panel is wide enough."""
        _, w, h, angle = self.box
        at = self.put(0.0, h + SIGN_EDGE_CLEARANCE_MM)
        w += SIGN_CLEARANCE_MM
        return is_box_free(s.free_space.obstacles, *at, w, h, angle) and s.free_space.contains(at)

    def shape(self, kind: int, k: int) -> tuple[Point, ...]:
        """Half a disc, a square, a diamond or a ring: the k-th of those side by side."""
        r = self.radius
        start = -self.half + r + k * (2 * r + SIGN_GAP_MM)
        arc = [(cos(t * pi / 12), sin(t * pi / 12)) for t in range(13)]
        match kind:
            case 0:
                points = [(r * c, r * s) for c, s in arc]
            case 1:
                points = [(0.85 * r, 0.0), (0.85 * r, 0.85 * r), (-0.85 * r, 0.85 * r), (-0.85 * r, 0.0)]
            case 2:
                points = [(r, 0.0), (0.0, r), (-r, 0.0)]
            case _:
                points = [(r * c, r * s) for c, s in arc] + [(0.5 * r * c, 0.5 * r * s) for c, s in reversed(arc)]
        return tuple(self.put(start + x, y) for x, y in points)
