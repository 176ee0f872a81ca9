"""Unfold: a skin becomes as few pieces as the search finds, none of which overlaps itself."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.arrays import Array
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import (
    FlatPiece,
    all_folds,
    child_faces,
    cut_off_subtree,
    flatten,
    piece_polygons,
    subtree,
)
from foldsketch.net.unfolding.fold_trees import foldable_components, tube_rims
from foldsketch.net.unfolding.overlap_repair import repair_overlaps
from foldsketch.net.unfolding.overlaps import Overlap, find_overlaps, total_area
from foldsketch.net.unfolding.page_fit import fit_to_page, fits_on_page
from foldsketch.net.unfolding.steepest_edges import steepest_edge_layouts
from foldsketch.net.unfolding.strip_layouts import (
    disc_layout,
    feature_strip_layout,
    is_plainly_thin,
    paper_up_direction,
    single_strip_layout,
)

MAX_LAYOUTS_REPAIRED = 5
"""How many overlapping layouts the local search tries to repair before a piece is split."""

TAB_MARGIN_MM = 8.0
"""Room for tabs, mm, kept on each side of a piece that has to fit the page."""

LEVEL_TOLERANCE_MM = 1e-6
"""Corners of a strip that differ by less in height, mm, are on one line."""


def unfold(
    graph: FaceGraph,
    direction: Array,
    page: tuple[float, float] | None,
    listener: Listener = ignore_progress,
    apart: frozenset[int] = frozenset(),
    discs: bool = False,
    given: Sequence[FlatPiece] = (),
) -> list[FlatPiece]:
    """Pieces of a skin, body by body, largest first within what hangs together.

    direction: (3,) the datum direction; page: printable width and height in mm that every piece must fit with its
    tabs; None for no limit; apart: faces that are not built, each a piece of its own after all others;
    discs: a thin disc, or one whose belt is longer than the page, has every second wall on its end instead;
    given: pieces that are laid out already.
    """
    pieces: list[FlatPiece] = []
    laid = {f: piece for piece in given for f in piece.place}
    barred = tube_rims(graph) | graph.teeth
    parts = foldable_components(graph, [f for f in range(graph.count) if f not in apart], barred)
    for k, faces in enumerate(parts):
        listener("unfold", k / len(parts))
        if faces[0] in laid:
            pieces += {id(laid[f]): laid[f] for f in faces}.values()
            continue
        for piece in _unfold_without_overlap(graph, faces, direction, barred):
            fitted = fit_to_page(graph, piece, page, TAB_MARGIN_MM) if page else [piece]
            if page and discs and (len(fitted) > 1 or _is_thin(graph, piece)):
                disc = _fitting_disc(graph, piece, direction, page, barred)
                fitted = [disc] if disc else fitted
            pieces += fitted
    return pieces + [flatten(graph, f, {}, paper_up_direction(graph, f)) for f in sorted(apart)]


def _is_thin(graph: FaceGraph, piece: FlatPiece) -> bool:
    """Whether a piece is a disc that is better laid out without a belt."""
    sides = [graph.loops[f][0] for f in piece.place if graph.faces[f].kind == "side"]
    rims = [h for loop in sides for h in loop if graph.faces[graph.across(h)].kind == "end"]
    belt = float(sum(graph.length[h] for h in rims)) / 2
    around = float(sum(graph.length[h] for loop in sides for h in loop))
    return bool(sides) and is_plainly_thin(len(sides), belt, (around - 2 * belt) / (2 * len(sides)))


def _fitting_disc(
    graph: FaceGraph, piece: FlatPiece, direction: Array, page: tuple[float, float], barred: frozenset[int]
) -> FlatPiece | None:
    """The faces of a piece as a disc without a belt, if that lies flat and fits the page."""
    disc = disc_layout(graph, list(piece.place), direction, barred)
    if disc is None or not fits_on_page(graph, disc, page, TAB_MARGIN_MM):
        return None
    return None if _overlaps(graph, disc, list(disc.place)) else disc


def _unfold_without_overlap(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int]
) -> list[FlatPiece]:
    """Faces as one piece, or as few pieces as need be: strips if they lie flat, else the best tree that is found."""
    if len(faces) == 1:
        return [flatten(graph, faces[0], {}, paper_up_direction(graph, faces[0]))]
    strip = single_strip_layout(graph, faces, direction, barred)
    if strip is not None and (_is_overlap_free_strip(graph, strip) or not _overlaps(graph, strip, faces)):
        return [strip]
    strips = feature_strip_layout(graph, faces, direction, barred)
    polygons = piece_polygons(graph, strips, faces)
    if not find_overlaps(polygons):
        return [strips]
    clean: list[FlatPiece] = []
    # Strips are repaired first even if they overlap more: they are easier to fold than any other tree.
    overlapping: list[tuple[float, int, FlatPiece, RaggedPolygons]] = [(-1.0, 0, strips, polygons)]
    for piece in steepest_edge_layouts(graph, faces, direction, barred):
        polygons = piece_polygons(graph, piece, faces)
        area = total_area(find_overlaps(polygons))
        if area == 0:
            clean.append(piece)
        else:
            overlapping.append((round(area, 6), len(overlapping), piece, polygons))
    stuck = []
    for _, k, piece, polygons in sorted(overlapping, key=lambda o: o[:2])[: 1 if clean else MAX_LAYOUTS_REPAIRED]:
        better, area = repair_overlaps(graph, piece, polygons, faces, barred)
        # The search works on inset shapes, so its result is checked on the shapes themselves.
        if area == 0 and not _overlaps(graph, better, faces):
            clean.append(better)
            break
        stuck.append((round(area, 6), k, better))
    if clean:
        # All are one piece: the one with the longest folds has the least to cut and to glue.
        return [max(clean, key=lambda piece: round(_total_fold_length(graph, piece), 6))]
    return _split_at_overlaps(graph, min(stuck, key=lambda o: o[:2])[2], faces)


def _overlaps(graph: FaceGraph, piece: FlatPiece, faces: Sequence[int]) -> list[Overlap]:
    """The overlaps of a piece; positions count faces."""
    return find_overlaps(piece_polygons(graph, piece, faces))


def _total_fold_length(graph: FaceGraph, piece: FlatPiece) -> float:
    """Length of all folds, mm."""
    return sum(graph.length[h] for h in all_folds(graph, piece))


def _is_overlap_free_strip(graph: FaceGraph, strip: FlatPiece) -> bool:
    """Whether a strip is of a form that cannot overlap.

    A straight row of upright rectangles with at most one face above it and one below, each wholly beyond the row's
    edge.
    """

    def heights(f: int) -> list[float]:
        r, t = strip.place[f]
        return [(r * graph.flat[h] + t).imag for h in graph.loops[f][0]]

    sides = [f for f in strip.place if graph.faces[f].kind == "side"]
    first = heights(sides[0])
    low, high = min(first), max(first)
    for f in sides:
        if len(graph.loops[f]) != 1 or len(graph.loops[f][0]) != 4:
            return False
        if any(min(abs(y - low), abs(y - high)) > LEVEL_TOLERANCE_MM for y in heights(f)):
            return False
    others = [heights(f) for f in strip.place if graph.faces[f].kind != "side"]
    above = sum(min(y) > high - LEVEL_TOLERANCE_MM for y in others)
    below = sum(max(y) < low + LEVEL_TOLERANCE_MM for y in others)
    return above <= 1 and below <= 1 and above + below == len(others)


def _split_at_overlaps(graph: FaceGraph, piece: FlatPiece, faces: Sequence[int]) -> list[FlatPiece]:
    """Cut the fold that separates the most overlap, of equals the one nearest the middle, until all parts lie flat."""
    found = _overlaps(graph, piece, faces)
    if not found:
        return [piece]
    children = child_faces(graph, piece.tree)
    subtrees = [subtree(children, child) for child in piece.tree]

    def separated(sub: set[int]) -> tuple[float, int]:
        gain = sum(a for i, j, a in found if (faces[i] in sub) != (faces[j] in sub))
        return gain, -abs(2 * len(sub) - len(faces))

    parts = cut_off_subtree(graph, piece, max(subtrees, key=separated))
    return [part for own in parts for part in _split_at_overlaps(graph, own, sorted(own.place))]
