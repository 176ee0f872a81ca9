"""Edge numbers: the number of every glued edge, small, just inside the panel that receives it."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot, pi

import numpy as np

from foldsketch.net.marked import Sheeted
from foldsketch.net.model import Butt, Mark, Piece, Tab

SHARES = (0.5, 0.35, 0.65, 0.25, 0.75)
"""Where along its edge a number is tried."""

SIZE = 1.8
"""Capital height of the numbers, mm."""

Wanted = tuple[str, tuple[float, float, float, float]]


def mark_numbers(pieces: Sequence[Piece], sheeted: Sequence[Sheeted]) -> int:
    """Print the edge numbers; returns how many found no room."""
    names = {piece.id: k for k, piece in enumerate(pieces)}
    by_panel = {(s.piece, s.panel.id): s for s in sheeted}
    wanted: dict[int, list[Wanted]] = {}
    first: dict[int, Sheeted] = {}
    for piece in pieces:
        joined: list[Tab | Butt] = [*piece.tabs, *piece.butts]
        for t in joined:
            (x0, y0), (x1, y1) = t.meets.line
            if hypot(x1 - x0, y1 - y0) < 1:
                continue
            s = by_panel[names[t.meets.piece], t.meets.panel]
            # Panels of a rolled strip share their room, and so the numbers on it.
            s = first.setdefault(id(s.room), s)
            wanted.setdefault(id(s), []).append((str(t.number), (x0, y0, x1, y1)))
    return sum(_numbers_on(s, _once(wanted[id(s)])) for s in sheeted if id(s) in wanted)


def _once(own: Sequence[Wanted]) -> list[Wanted]:
    """The teeth of a rim bear one number, which stands at the middle one of them."""
    alike: dict[str, list[Wanted]] = {}
    for w in own:
        alike.setdefault(w[0], []).append(w)
    return [lines[len(lines) // 2] for lines in alike.values()]


def _numbers_on(s: Sheeted, own: Sequence[Wanted]) -> int:
    """Edge numbers of one panel: first all at the middle of their edges, then those that clash elsewhere."""
    texts = [text for text, _ in own]
    lines = np.array([line for _, line in own])
    ahead = lines[:, 2:] - lines[:, :2]
    angles = np.array([atan2(y, x) for x, y in ahead.tolist()])
    inward = np.column_stack((-np.sin(angles), np.cos(angles)))
    middle = lines[:, :2] + ahead / 2 + inward * 1.75
    found = s.room.place_each(texts, SIZE, middle[:, None], angles[:, None], clear=0.25)
    left = [k for k, spot in enumerate(found) if spot is None]
    if left:
        spots = np.concatenate(
            [(lines[left, :2] + ahead[left] * u + inward[left] * d)[:, None] for d in (1.75, 2.2) for u in SHARES] * 2,
            axis=1,
        )
        turns = np.repeat(angles[left, None] + np.array([[0.0, pi / 2]]), spots.shape[1] // 2, axis=1)
        again = s.room.place_each([texts[k] for k in left], SIZE, spots, turns, clear=0.25)
        for k, spot in zip(left, again, strict=True):
            found[k] = spot
    for text, spot in zip(texts, found, strict=True):
        if spot is not None:
            s.marks.append(Mark("text", s.panel.id, "", spot[0], text, SIZE, spot[1]))
    return sum(spot is None for spot in found)
