"""Flaps, lips, tongues and slide hooks: what a prism is tucked together with, drawn on its nets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi, sin, tan

import numpy as np

from foldsketch.net.edge_tabs import TabEdge, split_edge
from foldsketch.net.model import Piece, Tab
from foldsketch.net.unfolding.flatten import FlatPiece
from foldsketch.net.unfolding.tucked_prisms import (
    CARD_MM,
    MAX_LIP_DEPTH_MM,
    EndLock,
    TuckedPrism,
    flap_sides,
)

DRAWN_IN_MM, PLAY_MM = CARD_MM + 0.1, 0.3
"""An end is so much smaller where it has a flap or a tongue; play at each end of a slit, mm."""

FLAP_DEPTH_MM, CAP_DEPTH_MM, FLAP_TAPER_RAD = 8.0, 12.0, 18 * pi / 180
"""Depth of a flap, of one that holds an end by friction, and slant of its sides; so it clears the walls while it swings
in."""

LIP_INSET_MM, LIP_TAPER_RAD = 0.3, 8 * pi / 180
"""A lip is so much shorter than its side at either end, mm, and slanted so."""

MAX_NECK_MM, STRAIGHT_MARGIN_MM, EARED_MARGIN_MM = 14.0, 3.6, 5.4
"""Widest neck of a tongue, and what it leaves of its side, mm."""

EAR_MM, EAR_BELOW_MM, EARED_SLIT_MORE_MM, EARED_LENGTH_MM = 1.5, 1.5 * CARD_MM + 0.2, 1.8, 6.0
"""Width of an ear, its distance below the end, how much longer than the neck its slit is, and length of the tongue."""

LAND_TRIM_MM, MAX_LAND_MM, MAX_HOOK_MM = 0.5 + CARD_MM, 12.0, 9.0
"""A land is so much shorter than its wall at either end; greatest widths of land and hook, mm."""

MAX_HOOK_NECK_MM, LAND_REST_MM, TIP_CUT_MM, LOW_WALL_MM, TWO_HOOKS_FROM_MM = 12.0, 1.5, 1.5, 16.0, 40.0
"""Widest neck of a hook; what is left of the land beyond its slit; the hook's cut corners; walls that are lower have a
smaller ear; lands that are higher have two hooks; mm."""

HOOK_EARS_MM, MIN_HOOK_MM, HOOK_CLEARANCE_MM = (2.5, 2.0), 4.0, 1.0
"""Ear of a hook, and of one on a low wall; shortest hook; its distance from a tongue behind the same wall; mm."""


def tuck_prisms(pieces: Sequence[Piece], prisms: Sequence[TuckedPrism], laid: Sequence[FlatPiece]) -> list[Piece]:
    """The pieces with what tucks the prisms together in place of tape. laid: their faces, in the order of panels."""
    where = {f: (str(k), i) for k, p in enumerate(laid, 1) for i, f in enumerate(p.place)}
    made = {p.id: p for p in pieces}
    for prism in prisms:
        place = {where[f]: k for k, f in enumerate(prism.ring)}
        ends = {where[e.face]: k for k, e in enumerate(prism.ends)}
        names = [p.id for p in pieces if p.block == prism.block]
        tabs: list[tuple[str, Tab]] = []
        for name in names:
            left = []
            for b in made[name].butts:
                e = TabEdge(b.number, name, b.panel, b.line, b.meets, b.angle)
                found = [] if b.joint is not None else _tabs_at(prism, e, place, ends, made)
                tabs += found
                left.append(b if b.joint is not None else replace(b, bare=True, strips=0))
                if found:
                    left.pop()
            made[name] = replace(made[name], butts=tuple(left))
        for name in names:
            made[name] = _with_tabs(made[name], [t for own, t in tabs if own == name])
    return _renumber([made[p.id] for p in pieces])


def _renumber(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with the numbers of tucked edges first, in the order of building: seams, then end by end.

    They are in the booklet's pictures only.
    """

    def turn(piece: Piece, t: Tab) -> tuple[float, ...]:
        ends = {p.id for p in piece.panels if p.kind == "end"}
        end = next((k for k in (t.panel, t.meets.panel) if k in ends), -1)
        last = any(o.part == "lock" and o.bend is None and o.panel == end for o in piece.tabs)
        return (piece.block, end >= 0, last, end, t.part in ("lock", "lip"), t.number)

    tucked = sorted((turn(p, t), t.number) for p in pieces for t in p.tabs if t.part and t.part != "lip")
    rest = sorted([t.number for p in pieces for t in p.tabs] + [b.number for p in pieces for b in p.butts])
    new = {old: k for k, old in enumerate(dict.fromkeys([*(n for _, n in tucked), *rest]), 1)}
    return [
        replace(
            p,
            tabs=tuple(t._replace(number=new[t.number]) for t in p.tabs),
            butts=tuple(replace(b, number=new[b.number]) for b in p.butts),
        )
        for p in pieces
    ]


def _tabs_at(
    prism: TuckedPrism,
    e: TabEdge,
    place: dict[tuple[str, int], int],
    ends: dict[tuple[str, int], int],
    pieces: dict[str, Piece],
) -> list[tuple[str, Tab]]:
    """The tabs at a cut edge of a prism, each with its piece. place: number of a side in the ring; ends: of an end."""
    if (e.piece, e.panel) in ends:
        e = e.other
    k, across = place[e.piece, e.panel], (e.meets.piece, e.meets.panel)
    if across in place:
        first = e if k in (0, len(prism.ring) // 2) else e.other  # the first wall of a row
        return _seam(prism, first, _begins_below(prism, first, ends, pieces))
    end, n = prism.ends[ends[across]], len(prism.ring)
    lock, k = end.lock, (k - end.hinge) % n
    if k == n // 2 and lock != "cap":
        return _lock(prism, e, lock)
    if k in flap_sides(n, lock):
        return _flap(prism, e.other, lock)
    return []


def _begins_below(prism: TuckedPrism, e: TabEdge, ends: dict[tuple[str, int], int], pieces: dict[str, Piece]) -> bool:
    """Whether a wall's edge begins at the block's foot, or without one at the end that is closed first.

    Hooks slide that way: another end is laid on them then, and they cannot slide back.
    """
    piece, panel = next(at for at, order in ends.items() if order == 0)
    down = pieces[piece].panel(panel).to_space[:, 2] * (1 if len(ends) > 1 else -1)
    along = pieces[e.piece].panel(e.panel).to_space[:, :2] @ np.subtract(e.line[1], e.line[0])
    return float(along @ down) < 0


def flap_depth(prism: TuckedPrism, lock: EndLock) -> float:
    """Depth of the flaps of an end, mm: those of both ends leave 1.5 mm between them."""
    apothem = prism.side / 2 / tan(pi / len(prism.ring))
    most = min(CAP_DEPTH_MM, 0.9 * apothem) if lock == "cap" else FLAP_DEPTH_MM
    return min(most, prism.height - 2.0 if len(prism.ends) < 2 else (prism.height - 1.5) / 2)


def _flap(prism: TuckedPrism, e: TabEdge, lock: EndLock) -> list[tuple[str, Tab]]:
    """A flap on an end. e: on the end."""
    depth = flap_depth(prism, lock)
    inset = (DRAWN_IN_MM + CARD_MM) * tan(pi / len(prism.ring)) + 0.5
    depth = min(depth, (e.length - 2 * inset - 1.0) / 2 / tan(FLAP_TAPER_RAD))
    slant = depth * tan(FLAP_TAPER_RAD)
    a, b = inset, e.length - inset
    return [(e.piece, e.tab("flap", [(a, 0.0), (a + slant, depth), (b - slant, depth), (b, 0.0)], DRAWN_IN_MM))]


def _lock(prism: TuckedPrism, e: TabEdge, lock: EndLock) -> list[tuple[str, Tab]]:
    """The lip on a wall, and the tongue of the end through its slit. e: on the wall."""
    length, n = e.length, len(prism.ring)
    deep = min(MAX_LIP_DEPTH_MM, prism.side / tan(pi / n) / 4)
    a, b = LIP_INSET_MM, length - LIP_INSET_MM
    slant = deep * tan(LIP_TAPER_RAD)
    eared = lock == "eared"
    widest = MAX_NECK_MM
    if prism.halved:  # a hook lies behind the same wall
        widest = min(widest, length - 2 * (_hook_length(prism) + EAR_MM + HOOK_CLEARANCE_MM))
    if eared:
        neck = min(widest, length - EARED_MARGIN_MM)
        slit = neck + EARED_SLIT_MORE_MM
    else:
        neck = min(widest, length - STRAIGHT_MARGIN_MM - 2 * PLAY_MM)
        slit = neck + 2 * PLAY_MM
    # The slit is where the tongue comes down: as far from the lip's crease as the end is drawn in.
    opening = e.cross((length - slit) / 2, (length + slit) / 2, DRAWN_IN_MM - CARD_MM)
    lip = e.tab("lip", [(a, 0.0), (a + slant, deep), (b - slant, deep), (b, 0.0)], CARD_MM)
    lip = lip._replace(openings=(opening,))
    end = e.other
    c, d = (length - neck) / 2, (length + neck) / 2
    if eared:
        long, below = min(flap_depth(prism, lock), EARED_LENGTH_MM), EAR_BELOW_MM - DRAWN_IN_MM
        left = [(c, 0.0), (c, below), (c - EAR_MM, below + 0.2), (c - EAR_MM, below + 1.6), (c + 1.0, long)]
        tongue = end.tab("lock", [*left, *((length - x, y) for x, y in reversed(left))], DRAWN_IN_MM)
        return [(e.piece, lip), (end.piece, tongue)]
    crease = 2 * CARD_MM - DRAWN_IN_MM
    # Bent over behind the lip it ends before the lip does.
    long = crease + deep - DRAWN_IN_MM - 0.5
    left = [(c, 0.0), (c, long - 1.0), (c + 1.0, long)]
    profile = [*left, *((length - x, y) for x, y in reversed(left))]
    tongue = end.tab("lock", profile, DRAWN_IN_MM)._replace(bend=end.cross(c, d, crease))
    return [(e.piece, lip), (end.piece, tongue)]


def _seam(prism: TuckedPrism, first: TabEdge, down: bool) -> list[tuple[str, Tab]]:
    """The land on the first wall of a row, and the hooks of the wall beside it through its slits.

    down: the edge of the first wall begins at the end to which the hooks slide.
    """
    n, h = len(prism.ring), first.length
    shift = CARD_MM / sin(2 * pi / n)
    wide = min(prism.side - 2 * shift - 0.5, MAX_LAND_MM) - shift
    low, high = LAND_TRIM_MM, h - LAND_TRIM_MM
    ear = HOOK_EARS_MM[h < LOW_WALL_MM]
    count = 2 if high - low > TWO_HOOKS_FROM_MM else 1
    each = (high - low) / count
    neck = min(MAX_HOOK_NECK_MM, each - ear - 2 * PLAY_MM - LAND_REST_MM - (ear + 0.5))
    long = _hook_length(prism, shift) - shift
    slits, hooks = [], []
    last = first.other
    for k in range(count):
        bottom = low + k * each + ear + 0.5
        top = bottom + neck + ear + 2 * PLAY_MM
        start = bottom + PLAY_MM
        slits.append(first.cross(bottom, top, 0.0) if down else first.cross(h - top, h - bottom, 0.0))
        back = CARD_MM + 0.3
        corners = [
            (start, 0.0),
            (start, back),
            (start - ear, back),
            (start - ear, long - TIP_CUT_MM),
            (start - ear + TIP_CUT_MM, long),
            (start + neck - TIP_CUT_MM, long),
            (start + neck, long - TIP_CUT_MM),
            (start + neck, 0.0),
        ]
        if down:  # seen from the other wall the edge runs the other way
            corners = [(h - x, y) for x, y in reversed(corners)]
        hooks.append((last.piece, last.tab("hook", corners, shift)))
    tip = min(1.5, wide / 4)
    land = first.tab("land", [(low, 0.0), (low + tip, wide), (high - tip, wide), (high, 0.0)], shift)
    return [(first.piece, land._replace(openings=tuple(slits))), *hooks]


def _hook_length(prism: TuckedPrism, shift: float = 0.0) -> float:
    """How far a hook reaches from its crease, mm. shift: of the crease, from the corner."""
    most = min(prism.side - 2 * shift - 0.8, MAX_HOOK_MM)
    if prism.halved:
        most = min(most, max(MIN_HOOK_MM, (prism.side - MAX_NECK_MM) / 2 - EAR_MM - HOOK_CLEARANCE_MM))
    return most


def _with_tabs(piece: Piece, tabs: Sequence[Tab]) -> Piece:
    """A piece with more tabs, whose roots become edges of their panels."""
    panels = {p.id: p for p in piece.panels}
    for t in tabs:
        panels[t.panel] = split_edge(panels[t.panel], t.line)
    return replace(piece, panels=tuple(panels[p.id] for p in piece.panels), tabs=(*piece.tabs, *tabs))
