"""Pieces that fit the page: a net that is too large is cut at folds, and small pieces are joined where they fit."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import (
    FlatPiece,
    FoldTree,
    child_faces,
    cut_off_subtree,
    flatten,
    hinged_place,
    piece_polygons,
    subtree,
)
from foldsketch.net.unfolding.overlaps import find_overlaps

MAX_EDGES_TRIED = 24
"""Edges on which a small piece may be tried on another one: a bound on time."""

FaceBounds = tuple[float, float, float, float]
"""Left, bottom, right and top, mm."""


def fit_to_page(graph: FaceGraph, piece: FlatPiece, page: tuple[float, float], margin: float) -> list[FlatPiece]:
    """A piece as few pieces that fit a page, each with a margin around it, largest first. All in mm."""
    return _join_small_pieces(graph, _split_to_fit(graph, piece, page, margin), page, margin)


def fits_on_page(graph: FaceGraph, piece: FlatPiece, page: tuple[float, float], margin: float) -> bool:
    """Whether a piece fits a page with a margin around it. All in mm."""
    return _fits_page(_face_bounds(graph, piece).values(), page, margin)


def _face_bounds(graph: FaceGraph, piece: FlatPiece) -> dict[int, FaceBounds]:
    """The bounding box of every face of a piece."""
    boxes = {}
    for f, (r, t) in piece.place.items():
        z = [r * graph.flat[h] + t for h in graph.loops[f][0]]
        x, y = [v.real for v in z], [v.imag for v in z]
        boxes[f] = (min(x), min(y), max(x), max(y))
    return boxes


def _fits_page(boxes: Iterable[FaceBounds], page: tuple[float, float], margin: float) -> bool:
    """Whether all boxes together, with a margin around them, fit the page, upright or lying."""
    left, bottom, right, top = zip(*boxes, strict=True)
    w, h = float(max(right) - min(left) + 2 * margin), float(max(top) - min(bottom) + 2 * margin)
    return (w <= page[0] and h <= page[1]) or (w <= page[1] and h <= page[0])


def _split_to_fit(graph: FaceGraph, piece: FlatPiece, page: tuple[float, float], margin: float) -> list[FlatPiece]:
    """Cut a piece at a fold until every part fits.

    If one cut is enough, the smaller part is as small as can be; if not, the cut is the one nearest the middle. A
    rolled strip is always halved: its teeth hang on nothing else, and a short end of wall is hard to bend.
    """
    boxes = _face_bounds(graph, piece)
    if _fits_page(boxes.values(), page, margin) or not piece.tree:
        return [piece]
    options = []
    children = child_faces(graph, piece.tree)
    for child, hinge in piece.tree.items():
        sub = subtree(children, child)
        rest = [box for f, box in boxes.items() if f not in sub]
        fits = _fits_page(rest, page, margin) + _fits_page([boxes[f] for f in sub], page, margin)
        size = min(len(sub), len(rest))
        options.append((-fits, size if fits == 2 and hinge not in graph.rolled else -size, child, sub))
    sub = min(options, key=lambda o: o[:3])[3]
    return [part for own in cut_off_subtree(graph, piece, sub) for part in _split_to_fit(graph, own, page, margin)]


def _join_small_pieces(
    graph: FaceGraph, pieces: list[FlatPiece], page: tuple[float, float], margin: float
) -> list[FlatPiece]:
    """Pieces joined while the whole fits the page and does not overlap.

    The smallest is tried first, on the largest first.
    """
    while True:
        pieces.sort(key=lambda p: len(p.place))
        pairs = ((small, other) for k, small in enumerate(pieces) for other in reversed(pieces[k + 1 :]))
        joined = next(filter(None, (_attach_piece(graph, *pair, page, margin) for pair in pairs)), None)
        if joined is None:
            return sorted(pieces, key=lambda p: (-len(p.place), min(p.place)))
        pieces = [p for p in pieces if p.root not in joined.place] + [joined]


def _attach_piece(
    graph: FaceGraph, small: FlatPiece, other: FlatPiece, page: tuple[float, float], margin: float
) -> FlatPiece | None:
    """A small piece folded to another one; None where the whole fits at no edge.

    The longest edge is tried first, of equals the one nearest the middle.
    """
    others = [r * graph.flat[h] + t for f, (r, t) in other.place.items() for h in graph.loops[f][0]]
    middle = sum(others) / len(others)

    def away(h: int) -> float:
        g = graph.twin[h]
        r, t = other.place[graph.face[g]]
        return round(abs(r * graph.flat[g] + t - middle), 6)

    edges = [
        h
        for f in small.place
        for h in graph.loops[f][0]
        # An end never joins two sides: such nets overlap from a dozen sides up, and they are hard to fold.
        if graph.across(h) in other.place
        and graph.is_foldable(h)
        and not (graph.faces[f].kind == "side" and graph.faces[graph.across(h)].kind == "end")
    ]
    boxes = _face_bounds(graph, other).values()
    corners = np.array([r * graph.flat[h] + t for f, (r, t) in small.place.items() for h in graph.loops[f][0]])
    for h in sorted(edges, key=lambda h: (-round(graph.length[h], 6), away(h), h))[:MAX_EDGES_TRIED]:
        old_turn, old_shift = small.place[graph.face[h]]
        turn, shift = hinged_place(graph, h, other.place[graph.across(h)])
        z = (corners - old_shift) * (turn / old_turn) + shift
        box = (float(z.real.min()), float(z.imag.min()), float(z.real.max()), float(z.imag.max()))
        if not _fits_page([*boxes, box], page, margin):
            continue
        tree = {**other.tree, **_reroot(graph, small.tree, graph.face[h]), graph.face[h]: h}
        whole = flatten(graph, other.root, tree, other.up)
        if not find_overlaps(piece_polygons(graph, whole, list(whole.place))):
            return whole
    return None


def _reroot(graph: FaceGraph, tree: FoldTree, root: int) -> FoldTree:
    """The same folds with another face as the root."""
    turned = dict(tree)
    link = turned.pop(root, None)
    while link is not None:
        parent = graph.across(link)
        turned[parent], link = graph.twin[link], turned.get(parent)
    return turned
