"""Steepest-edge trees: each is a tree of folds, and every corner cuts the edge that climbs most steeply."""

import numpy as np
import pytest

import parts
from foldsketch.net.unfolding.fold_trees import foldable_components
from foldsketch.net.unfolding.steepest_edges import STEEPEST_EDGE_DIRECTION_COUNT, steepest_edge_layouts
from foldsketch.part.model import Cone, Cylinder, Feature, Part, PrismShape
from nets import graph_of, one

CONVEX = [one(PrismShape(5, 40.0), 30), one(Cone(60, 20), 40), one(Cone(40, 0), 30)]


@pytest.mark.parametrize("part", [*CONVEX, parts.INTERLOCKED, parts.HEX], ids=lambda p: p.name)
def test_every_layout_is_a_tree_over_all_faces(part):
    g, direction = graph_of(part)
    for faces in foldable_components(g, range(g.count)):
        layouts = [*steepest_edge_layouts(g, faces, direction)]
        assert len(layouts) == STEEPEST_EDGE_DIRECTION_COUNT
        for piece in layouts:
            assert set(piece.place) == set(faces) and set(piece.tree) == set(faces) - {piece.root}
            assert g.area[piece.root] == pytest.approx(max(g.area[f] for f in faces))


@pytest.mark.parametrize("part", CONVEX, ids=range(3))
def test_on_a_convex_body_some_direction_explains_every_cut(part):
    """Cuts are a tree over the corners in which each climbs to its parent by its steepest edge: on a convex body as
    many cuts as corners less one, and one corner, the highest, that cuts no edge of its own."""
    g, direction = graph_of(part)
    faces = list(range(g.count))
    corners = sorted({*g.tail})
    for piece in steepest_edge_layouts(g, faces, direction):
        folds = {x for h in piece.tree.values() for x in (h, g.twin[h])}
        cut = {(g.tail[h], g.tail[g.after[h]]) for h in range(len(g.face)) if h not in folds}
        assert len(cut) == 2 * (len(corners) - 1)
        ends = {c: {b for a, b in cut if a == c} for c in corners}
        assert all(ends.values()), "every corner is reached by a cut"


@pytest.mark.parametrize("angle", [90.0, 200.0])
def test_directions_turn_with_the_datum(angle):
    """A block with a peg that gives the datum direction: turned as a whole it has the same layouts."""

    def shapes(turn):
        axes = (parts.A, parts.polar("B", 20, turn))
        block = Feature("block", "A", Cylinder(50.0), 0, 20)
        g, direction = graph_of(Part("p", axes, (block, Feature("peg", "B", Cylinder(16.0), 20, 30))), sides=6)
        layouts = steepest_edge_layouts(g, range(g.count), direction)
        return [sorted(np.round([g.length[h] for h in p.tree.values()], 6)) for p in layouts]

    assert shapes(0.0) == shapes(angle)
