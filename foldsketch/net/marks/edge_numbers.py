"""Edge numbers: the number of every glued edge, small, just inside the panel that receives it."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist

import numpy as np

from foldsketch.base.arrays import Array, Point, segments_to_array
from foldsketch.net.labels.panel_space import PanelSpace
from foldsketch.net.labels.place_labels import place_texts
from foldsketch.net.marks.panel_view import PanelView
from foldsketch.net.model import ButtEdge, Mark, PaperLine, Piece, Tab

EDGE_NUMBER_FRACTIONS = (0.5, 0.35, 0.65, 0.25, 0.75)
"""Where along its edge a number is tried."""

EDGE_NUMBER_CLEARANCE_MM, ALL_ONES_CLEARANCE_MM = 0.25, 0.9
"""Clear paper around a number, mm; and around one that is all ones."""

EDGE_NUMBER_HEIGHTS_MM = (2.5, 1.8)
"""Capital heights of the numbers, mm: the second only on panels where the first does not fit."""

EDGE_NUMBER_INSETS_MM = (0.85, 1.3, 1.8)
"""From an edge to the foot of its number, mm, one after the other."""

MIN_NUMBERED_EDGE_MM = 1.0
"""Beside an edge shorter than this, mm, a number would be taken for that of the next one."""


def mark_edge_numbers(pieces: Sequence[Piece], views: Sequence[PanelView]) -> int:
    """Print the edge numbers; returns how many do not fit."""
    every = _numbers_to_print(pieces, views)
    wanted = [(s, text, own) for s, text, own in every if dist(*own[len(own) // 2]) >= MIN_NUMBERED_EDGE_MM]
    if not wanted:
        return len(every)
    lines = segments_to_array([own[len(own) // 2] for _, _, own in wanted])
    left, missing = list(range(len(wanted))), 0
    for size in EDGE_NUMBER_HEIGHTS_MM:
        spaces = {id(wanted[k][0].free_space): wanted[k][0].free_space for k in left}
        before = {name: len(space.obstacles) for name, space in spaces.items()}
        spots = _place_all([wanted[k] for k in left], lines[left], size)
        # Where one of a panel's numbers does not fit they are all smaller, so that most have room.
        failed = {id(wanted[k][0].free_space) for k, spot in zip(left, spots, strict=True) if spot is None}
        last = size == EDGE_NUMBER_HEIGHTS_MM[-1]
        for name in () if last else failed:
            del spaces[name].obstacles[before[name] :]
        again = []
        for k, spot in zip(left, spots, strict=True):
            s, text, _ = wanted[k]
            if not last and id(s.free_space) in failed:
                again.append(k)
            elif spot is None:
                missing += 1
            else:
                s.marks.append(Mark("text", s.panel.id, "", spot[0], text, size, spot[1]))
        left = again
        if not left:
            break
    return len(every) - len(wanted) + missing


def _place_all(
    wanted: Sequence[tuple[PanelView, str, list[PaperLine]]], lines: Array, size: float
) -> list[tuple[Point, float] | None]:
    """Where numbers of one size go; those of a rim also beside its other teeth."""
    found = _place_numbers([s.free_space for s, _, _ in wanted], [text for _, text, _ in wanted], lines, size)
    return [
        spot or (_place_along_rim(s.free_space, text, own, size) if len(own) > 1 else None)
        for spot, (s, text, own) in zip(found, wanted, strict=True)
    ]


def _place_along_rim(space: PanelSpace, text: str, own: Sequence[PaperLine], size: float) -> tuple[Point, float] | None:
    """Where a rim's number goes if it does not fit at its middle tooth: at the nearest one where it does."""
    middle = len(own) // 2
    lines = np.array([own[k] for k in sorted(range(len(own)), key=lambda k: (abs(k - middle), k))])
    start, ahead = lines[:, 0], lines[:, 1] - lines[:, 0]
    angles = np.arctan2(ahead[:, 1], ahead[:, 0])
    inward = np.column_stack((-np.sin(angles), np.cos(angles)))
    spots = np.concatenate([start + ahead / 2 + inward * (d + size / 2) for d in EDGE_NUMBER_INSETS_MM[:2]])
    return place_texts([space], [text], size, spots[None], np.tile(angles, 2)[None], clear=0.25)[0]


def _numbers_to_print(
    pieces: Sequence[Piece], views: Sequence[PanelView]
) -> list[tuple[PanelView, str, list[PaperLine]]]:
    """The numbers to be printed, each with its panel and its edges, in the order of the panels.

    The edge that a tab goes behind, both of two edges that meet without one, and the rims of rolled walls whose teeth
    are too small for their number.
    """
    names = {piece.id: k for k, piece in enumerate(pieces)}
    by_panel = {(s.piece, s.panel.id): s for s in views}
    # Panels of a rolled strip share their space, and so the numbers on it.
    first: dict[int, PanelView] = {}
    # A panel's numbers; an edge that is set against one of its own panel has the same number a second time.
    on: dict[int, dict[tuple[str, bool], list[PaperLine]]] = {}

    def want(piece: int, panel: int, number: int, line: PaperLine, second: bool = False) -> None:
        s = by_panel[piece, panel]
        s = first.setdefault(id(s.free_space), s)
        on.setdefault(id(s), {}).setdefault((str(number), second), []).append(line)

    for k, piece in enumerate(pieces):
        butts = [b for b in piece.butts if not b.bare]
        joined: list[Tab | ButtEdge] = [*(t for t in piece.tabs if not t.part), *butts]
        for t in (t for t in joined if t.joint is None):
            want(names[t.meets.piece], t.meets.panel, t.number, t.meets.line)
        for b in butts:
            want(k, b.panel, b.number, b.line, second=True)
    for k, piece in enumerate(pieces):
        rims: dict[int, list[Tab]] = {}
        for t in (t for t in piece.tabs if not t.part):
            rims.setdefault(t.number, []).append(t)
        for number, teeth in rims.items():
            if len(teeth) > 1 and not any(t.label_size for t in teeth):
                for t in teeth:
                    want(k, teeth[0].panel, number, t.line)
    # The teeth of a rim share one number, which goes to the middle one of them.
    return [(s, text, own) for s in views for (text, _), own in on.get(id(s), {}).items()]


def _place_numbers(
    spaces: Sequence[PanelSpace], texts: Sequence[str], lines: Array, size: float
) -> list[tuple[Point, float] | None]:
    """Where each number goes and its angle, its bottom towards its edge; None where it does not fit.

    lines: (n, 2, 2) mm. First all are tried at the middle of their edges, then those that collide elsewhere. A number
    that is all ones is placed before them, away from strokes: with one beside it, it would read as a number with a
    figure more.
    """
    start, ahead = lines[:, 0], lines[:, 1] - lines[:, 0]
    angles = np.arctan2(ahead[:, 1], ahead[:, 0])
    inward = np.column_stack((-np.sin(angles), np.cos(angles)))
    found: list[tuple[Point, float] | None] = [None] * len(texts)

    def put(some: Sequence[int], spots: Sequence[tuple[float, float]], clear: float) -> None:
        """Try spots, a share along the edge and how far inside each."""
        if not some:
            return
        u, d = np.array(spots).T[:, :, None]
        at = start[some, None] + ahead[some, None] * u + inward[some, None] * d
        turned = np.repeat(angles[some, None], len(spots), axis=1)
        new = place_texts([spaces[k] for k in some], [texts[k] for k in some], size, at, turned, clear)
        for k, spot in zip(some, new, strict=True):
            found[k] = spot

    def left() -> list[int]:
        return [k for k, spot in enumerate(found) if spot is None]

    beside = [(u, d + size / 2) for d in EDGE_NUMBER_INSETS_MM for u in EDGE_NUMBER_FRACTIONS]
    put([k for k in left() if set(texts[k]) == {"1"}], beside, ALL_ONES_CLEARANCE_MM)
    put(left(), beside[:1], EDGE_NUMBER_CLEARANCE_MM)
    put(left(), beside, EDGE_NUMBER_CLEARANCE_MM)
    return found
