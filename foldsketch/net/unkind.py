"""What hands will not like: narrow panels, narrow tabs and slender necks, told before anyone cuts."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt

import numpy as np

from foldsketch.base.arrays import segments
from foldsketch.base.findings import Finding
from foldsketch.base.units import plain
from foldsketch.net.model import Panel, Piece, Tab

NARROW = 3.0
"""Panels and tabs narrower than this, mm, want tweezers [common practice]."""

NECK = 4.0
"""A fold shorter than this, mm, that alone holds two large parts of a net together tears."""

LARGE = 15.0
"""What a neck holds is large from this extent on, mm."""


def unkind(pieces: Sequence[Piece]) -> list[Finding]:
    """Notes on what will be hard to build, one for each kind."""
    found = []
    slim = [(w, p.feature) for piece in pieces for p in _creased(piece) for w in (breadth(p),) if w < NARROW]
    if slim:
        least, name = min(slim)
        what = f"{len(slim)} narrower than {NARROW:g} mm, the narrowest {plain(least, 1)} mm ('{name}')"
        cure = "--least-step merges small steps, --smallest gives wider sides, or print larger"
        found.append(Finding("note", "panels", what, cure))
    widths = _widths([t for piece in pieces for t in piece.tabs])
    thin = [w for w in widths if w < NARROW]
    if thin:
        what = f"{len(thin)} narrower than {NARROW:g} mm, the narrowest {plain(min(thin), 1)} mm"
        found.append(Finding("note", "tabs", what, "use a pointed brush for the glue, or print larger"))
    for piece in pieces:
        neck = _neck(piece)
        if neck is not None:
            what = f"hangs together by a fold of {plain(neck, 1)} mm"
            found.append(Finding("note", f"net {piece.id}", what, "back it with tape before you fold"))
    return found


def breadth(panel: Panel) -> float:
    """Width in mm of the rectangle that has the panel's area and perimeter; a compact panel has the side of a square
    of its area."""
    half = area = 0.0
    loop = panel.outline.tolist()
    ax, ay = loop[-1]
    for bx, by in loop:
        half += hypot(bx - ax, by - ay) / 2
        area += (ax * by - ay * bx) / 2
        ax, ay = bx, by
    area = abs(area)
    return (half - sqrt(half * half - 4 * area)) / 2 if half * half > 4 * area else sqrt(area)


def _creased(piece: Piece) -> list[Panel]:
    """The panels of a piece that are not part of a rolled strip."""
    rolled = {k for f in piece.folds if f.rolled for k in f.panels}
    return [p for p in piece.panels if p.id not in rolled]


def _widths(tabs: Sequence[Tab]) -> list[float]:
    """How far each tab, a flap of four corners, reaches from its root, mm."""
    if not tabs:
        return []
    roots = segments([t.line for t in tabs])
    corners = np.array([t.outline for t in tabs]) - roots[:, :1]
    x, y = (roots[:, 1] - roots[:, 0]).T
    away = np.abs(corners[:, :, 0] * y[:, None] - corners[:, :, 1] * x[:, None]).max(axis=1)
    found: list[float] = (away / np.hypot(x, y)).tolist()
    return found


def _neck(piece: Piece) -> float | None:
    """The shortest slender fold that alone joins two large parts of a piece, mm."""
    worst: float | None = None
    for f in piece.folds:
        (x0, y0), (x1, y1) = f.line
        long = hypot(x1 - x0, y1 - y0)
        if f.rolled or long >= NECK or (worst is not None and long >= worst):
            continue
        sides = _parted(piece, f.panels)
        if sides and all(_extent(piece, own) >= LARGE for own in sides):
            worst = long
    return worst


def _parted(piece: Piece, link: tuple[int, int]) -> tuple[set[int], set[int]] | None:
    """The panels on both sides of the folds between two panels; None where they hang together otherwise too."""
    links: dict[int, set[int]] = {}
    for f in piece.folds:
        if set(f.panels) != set(link):
            links.setdefault(f.panels[0], set()).add(f.panels[1])
            links.setdefault(f.panels[1], set()).add(f.panels[0])
    reached, queue = {link[0]}, [link[0]]
    for k in queue:
        for other in links.get(k, set()) - reached:
            reached.add(other)
            queue.append(other)
    if link[1] in reached:
        return None
    return reached, {p.id for p in piece.panels} - reached


def _extent(piece: Piece, own: set[int]) -> float:
    loops = np.concatenate([p.outline for p in piece.panels if p.id in own])
    return float(np.ptp(loops, axis=0).max())
