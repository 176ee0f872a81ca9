"""Unfold: a skin becomes as few pieces as the search finds, none of which overlaps itself."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import FlatPiece, FoldTree, all_folds, find_overlaps, flatten, piece_polygons
from foldsketch.net.unfolding.overlap_repair import child_faces, repair_overlaps, subtree
from foldsketch.net.unfolding.spanning_trees import (
    feature_strip_layout,
    foldable_components,
    paper_up_direction,
    single_strip_layout,
    steepest_edge_layouts,
    tube_rims,
)

MAX_LAYOUTS_REPAIRED = 5
"""How many of the steepest-edge layouts the local search tries to mend before a piece is split."""


def unfold(
    graph: FaceGraph,
    direction: Array,
    page: tuple[float, float] | None,
    margin: float = 8.0,
    listener: Listener = ignore_progress,
) -> list[FlatPiece]:
    """Pieces of a skin, body by body, largest first within what hangs together.

    direction: (3,) the datum direction; page: printable width and height in mm that every piece must fit, with
    margin mm on each side kept for tabs; None for no limit.
    """
    pieces: list[FlatPiece] = []
    barred = tube_rims(graph) | graph.teeth
    parts = foldable_components(graph, range(graph.count), barred)
    for k, faces in enumerate(parts):
        listener("unfold", k / len(parts))
        for laid in _unfold_without_overlap(graph, faces, direction, barred):
            pieces += (
                _merge_small_pieces(graph, _split_to_fit(graph, laid, page, margin), page, margin) if page else [laid]
            )
    return pieces


def _unfold_without_overlap(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int]
) -> list[FlatPiece]:
    if len(faces) == 1:
        return [flatten(graph, faces[0], {}, paper_up_direction(graph, faces[0]))]
    row = single_strip_layout(graph, faces, direction, barred)
    if row is not None and (
        _is_overlap_free_strip(graph, row) or not find_overlaps(piece_polygons(graph, row, list(faces)))
    ):
        return [row]
    first = feature_strip_layout(graph, faces, direction, barred)
    if not find_overlaps(piece_polygons(graph, first, list(faces))):
        return [first]
    # The rows come first even when they overlap more: mended they still fold more kindly than any other tree.
    clean: list[FlatPiece] = []
    tried: list[tuple[float, int, FlatPiece]] = [(-1.0, 0, first)]
    for laid in steepest_edge_layouts(graph, faces, direction, barred):
        area = sum(a for _, _, a in find_overlaps(piece_polygons(graph, laid, list(faces))))
        if area == 0:
            clean.append(laid)
        else:
            tried.append((round(area, 6), len(tried), laid))
    stuck = []
    for _, k, laid in sorted(tried, key=lambda t: t[:2])[: 1 if clean else MAX_LAYOUTS_REPAIRED]:
        better, area = repair_overlaps(graph, laid, faces, barred)
        # The search asks shapes drawn in by a hair; what it finds is held against the shapes themselves.
        if area == 0 and not find_overlaps(piece_polygons(graph, better, list(faces))):
            clean.append(better)
            break
        stuck.append((round(area, 6), k, better))
    if clean:
        # All are one piece: the one with the longest folds has the least to cut and to glue.
        return [max(clean, key=lambda laid: round(_total_fold_length(graph, laid), 6))]
    return _split_at_overlaps(graph, min(stuck, key=lambda t: t[:2])[2], faces)


def _total_fold_length(graph: FaceGraph, laid: FlatPiece) -> float:
    """Length of all folds, mm."""
    return sum(graph.length[h] for h in all_folds(graph, laid))


def _is_overlap_free_strip(graph: FaceGraph, row: FlatPiece) -> bool:
    """A straight row of upright rectangles with at most one leaf above it and one below, each wholly beyond the row's
    edge: the belt that cannot overlap."""

    def heights(f: int) -> list[float]:
        r, t = row.place[f]
        return [(r * graph.flat[h] + t).imag for h in graph.loops[f][0]]

    sides = [f for f in row.place if graph.faces[f].kind == "side"]
    first = heights(sides[0])
    low, high = min(first), max(first)
    for f in sides:
        if len(graph.loops[f]) != 1 or len(graph.loops[f][0]) != 4:
            return False
        if any(min(abs(y - low), abs(y - high)) > 1e-6 for y in heights(f)):
            return False
    leaves = [heights(f) for f in row.place if graph.faces[f].kind != "side"]
    above = sum(min(y) > high - 1e-6 for y in leaves)
    below_row = sum(max(y) < low + 1e-6 for y in leaves)
    return above <= 1 and below_row <= 1 and above + below_row == len(leaves)


def _split_at_overlaps(graph: FaceGraph, laid: FlatPiece, faces: Sequence[int]) -> list[FlatPiece]:
    """Cut the fold that parts the most overlap, smaller part last, until every part lies flat."""
    order = list(faces)
    found = find_overlaps(piece_polygons(graph, laid, order))
    if not found:
        return [laid]
    best: tuple[float, int, set[int]] | None = None
    children = child_faces(graph, laid.tree)
    for child in laid.tree:
        sub = subtree(children, child)
        gain = sum(a for i, j, a in found if (order[i] in sub) != (order[j] in sub))
        score = (gain, -abs(2 * len(sub) - len(order)))
        if gain > 0 and (best is None or score > (best[0], best[1])):
            best = (gain, score[1], sub)
    assert best is not None, "two panels of a tree always have a fold between them"
    sub = best[2]
    return [
        part for own in _cut_off_subtree(graph, laid, sub) for part in _split_at_overlaps(graph, own, sorted(own.place))
    ]


def _cut_off_subtree(graph: FaceGraph, laid: FlatPiece, sub: set[int]) -> tuple[FlatPiece, FlatPiece]:
    head = next(f for f in sub if f not in laid.tree or graph.face[graph.twin[laid.tree[f]]] not in sub)
    inner: FoldTree = {f: h for f, h in laid.tree.items() if f in sub and f != head}
    outer: FoldTree = {f: h for f, h in laid.tree.items() if f not in sub}
    up = 1j / laid.place[head][0]
    return flatten(graph, laid.root, outer, 1j / laid.place[laid.root][0]), flatten(graph, head, inner, up)


FaceBounds = tuple[float, float, float, float]
"""Left, bottom, right and top, mm."""


def _face_bounds(graph: FaceGraph, laid: FlatPiece) -> dict[int, FaceBounds]:
    """The level box around every laid face."""
    boxes = {}
    for f, (r, t) in laid.place.items():
        z = [r * graph.flat[h] + t for h in graph.loops[f][0]]
        x, y = [v.real for v in z], [v.imag for v in z]
        boxes[f] = (min(x), min(y), max(x), max(y))
    return boxes


def _fits_page(boxes: Sequence[FaceBounds], page: tuple[float, float], margin: float) -> bool:
    """Whether all boxes together, with a margin around them, fit the page, upright or lying."""
    left, bottom, right, top = zip(*boxes, strict=True)
    w, h = float(max(right) - min(left) + 2 * margin), float(max(top) - min(bottom) + 2 * margin)
    return (w <= page[0] and h <= page[1]) or (w <= page[1] and h <= page[0])


def _split_to_fit(graph: FaceGraph, laid: FlatPiece, page: tuple[float, float], margin: float) -> list[FlatPiece]:
    """A net larger than the page is parted at a fold: the cut that leaves two pieces that fit, the second smallest;
    where one cut is not enough, the cut nearest the middle, and so on. A rolled strip is halved: its teeth hang on
    nothing else, and a scrap of wall is hard to bend."""
    boxes = _face_bounds(graph, laid)
    if _fits_page([*boxes.values()], page, margin) or not laid.tree:
        return [laid]
    options = []
    children = child_faces(graph, laid.tree)
    for child in laid.tree:
        sub = subtree(children, child)
        rest = [box for f, box in boxes.items() if f not in sub]
        fits = _fits_page(rest, page, margin) + _fits_page([boxes[f] for f in sub], page, margin)
        small = fits == 2 and laid.tree[child] not in graph.rolled
        size = min(len(sub), len(rest)) if small else -min(len(sub), len(rest))
        options.append((-fits, size, child, sub))
    sub = min(options, key=lambda o: o[:3])[3]
    return [part for own in _cut_off_subtree(graph, laid, sub) for part in _split_to_fit(graph, own, page, margin)]


def _merge_small_pieces(
    graph: FaceGraph, pieces: list[FlatPiece], page: tuple[float, float], margin: float
) -> list[FlatPiece]:
    """Hang small pieces on others wherever the whole still fits the page and does not overlap."""
    merged = True
    while merged and len(pieces) > 1:
        merged = False
        pieces.sort(key=lambda p: len(p.place))
        for k, small in enumerate(pieces):
            for other in reversed(pieces[k + 1 :]):
                whole = _attach_piece(graph, small, other, page, margin)
                if whole:
                    pieces = [p for p in pieces if p is not small and p is not other] + [whole]
                    merged = True
                    break
            if merged:
                break
    return sorted(pieces, key=lambda p: (-len(p.place), min(p.place)))


def _attach_piece(
    graph: FaceGraph, small: FlatPiece, other: FlatPiece, page: tuple[float, float], margin: float
) -> FlatPiece | None:
    middle = sum(r * graph.flat[h] + t for f, (r, t) in other.place.items() for h in graph.loops[f][0]) / sum(
        len(graph.loops[f][0]) for f in other.place
    )

    def away(h: int) -> float:
        g = graph.twin[h]
        r, t = other.place[graph.face[g]]
        return round(abs(r * graph.flat[g] + t - middle), 6)

    edges = [
        h
        for f in small.place
        for h in graph.loops[f][0]
        # An end is never a bridge between sides: such nets overlap from a dozen sides up, and they fold badly.
        if graph.face[graph.twin[h]] in other.place
        and graph.is_foldable(h)
        and not (graph.faces[f].kind == "side" and graph.faces[graph.face[graph.twin[h]]].kind == "end")
    ]
    boxes = [*_face_bounds(graph, other).values()]
    corners = np.array([r * graph.flat[h] + t for f, (r, t) in small.place.items() for h in graph.loops[f][0]])
    for h in sorted(edges, key=lambda h: (-round(graph.length[h], 6), away(h), h))[:24]:
        # Where the small piece would go: its edge onto the other's.
        (r, t), (q, s) = small.place[graph.face[h]], other.place[graph.face[graph.twin[h]]]
        tail, head = (r * graph.flat[k] + t for k in (h, graph.after[h]))
        onto, end = (q * graph.flat[k] + s for k in (graph.after[graph.twin[h]], graph.twin[h]))
        z = onto + (corners - tail) * ((end - onto) / (head - tail))
        own = (float(z.real.min()), float(z.imag.min()), float(z.real.max()), float(z.imag.max()))
        if not _fits_page([*boxes, own], page, margin):
            continue
        tree = {**other.tree, **_reroot(graph, small.tree, graph.face[h]), graph.face[h]: h}
        whole = flatten(graph, other.root, tree, 1j / other.place[other.root][0])
        if not find_overlaps(piece_polygons(graph, whole, list(whole.place))):
            return whole
    return None


def _reroot(graph: FaceGraph, tree: FoldTree, root: int) -> FoldTree:
    """The same folds with another face as the root."""
    turned = dict(tree)
    link = tree.get(root)
    turned.pop(root, None)
    while link is not None:
        parent = graph.face[graph.twin[link]]
        following = tree.get(parent)
        turned[parent] = graph.twin[link]
        link = following
    return turned
