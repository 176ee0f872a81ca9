"""Faces laid flat: they keep their shape, meet along their folds, and cuts take off what hangs there."""

import math

import pytest

import parts
from foldsketch.net.unfolding.flatten import (
    all_folds,
    child_faces,
    cut_off_subtree,
    flatten,
    half_edge_positions,
    points_on_paper,
    subtree,
)
from foldsketch.net.unfolding.fold_trees import foldable_components
from foldsketch.net.unfolding.strip_layouts import feature_strip_layout
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from nets import graph_of


@pytest.mark.parametrize("part", [parts.INTERLOCKED, parts.BORED, parts.CUP], ids=lambda p: p.name)
def test_flat_faces_keep_their_shape_and_meet_along_their_folds(part):
    g, direction = graph_of(part)
    for laid in unfold(g, direction, None):
        for h in all_folds(g, laid):
            (r, t), (q, s) = laid.place[g.face[h]], laid.place[g.face[g.twin[h]]]
            assert abs(r * g.flat[h] + t - (q * g.flat[g.after[g.twin[h]]] + s)) < 1e-6
            assert abs(r * g.flat[g.after[h]] + t - (q * g.flat[g.twin[h]] + s)) < 1e-6
        for f, (r, _) in laid.place.items():
            assert abs(r) == pytest.approx(1)
            for loop in g.loops[f]:
                for h in loop:
                    a, b = (g.skin.corners[g.tail[k]] for k in (h, g.after[h]))
                    assert g.length[h] == pytest.approx(math.dist(a, b))
                    assert abs(g.flat[h] - g.flat[g.after[h]]) == pytest.approx(g.length[h])


def test_what_hangs_on_a_face_is_all_that_a_cut_there_takes_off():
    g, direction = graph_of(parts.INTERLOCKED)
    (faces,) = foldable_components(g, range(g.count))
    laid = feature_strip_layout(g, faces, direction)
    children = child_faces(g, laid.tree)
    assert subtree(children, laid.root) == set(faces)
    for child in laid.tree:
        own = subtree(children, child)
        assert child in own and laid.root not in own
        crossing = [f for f, h in laid.tree.items() if (f in own) != (g.face[g.twin[h]] in own)]
        assert crossing == [child]


def test_a_piece_cut_in_two_stays_where_it_is_but_for_a_shift():
    """Both parts keep the direction in which they lay on paper, and so every corner its place within its part."""
    g, direction = graph_of(parts.INTERLOCKED)
    (faces,) = foldable_components(g, range(g.count))
    piece = feature_strip_layout(g, faces, direction)
    at = points_on_paper(g, piece)
    children = child_faces(g, piece.tree)
    for child in list(piece.tree)[::5]:
        sub = subtree(children, child)
        halves = cut_off_subtree(g, piece, sub)
        assert [set(p.place) for p in halves] == [set(faces) - sub, sub]
        assert [p.root for p in halves] == [piece.root, child]
        for half in halves:
            shifts = [z - at[h] for h, z in points_on_paper(g, half).items()]
            assert max(abs(s - shifts[0]) for s in shifts) < 1e-9


def test_up_points_up_the_paper():
    g, _ = graph_of(parts.HEX)
    for up in (1j, 1 + 0j, -1 + 2j):
        piece = flatten(g, 0, {}, up)
        turn, shift = piece.place[0]
        assert turn * up / abs(up) == pytest.approx(1j) and shift == 0
        assert piece.up == pytest.approx(up / abs(up))


@pytest.mark.parametrize("part", [parts.BORED, parts.CROSS], ids=lambda p: p.name)
def test_positions_of_all_pieces_are_those_of_each(part):
    g, direction = graph_of(part)
    pieces = unfold(g, direction, None)
    every = half_edge_positions(g, pieces)
    own = {h: z for piece in pieces for h, z in points_on_paper(g, piece).items()}
    assert sorted(own) == list(range(len(g.face)))
    assert max(abs(every[h] - z) for h, z in own.items()) < 1e-9


def test_an_edge_in_two_segments_is_folded_along_both():
    """A bore through the upright edge of a block leaves a segment of it above and one below."""
    diagonal = Axis("D", (0.0, 0.0, 25.0), (math.sqrt(0.5), math.sqrt(0.5), 0.0))
    block = Feature("block", "A", PrismShape(4, 40.0), 0, 50)
    bore = Feature("bore", "D", Cylinder(10), -40, 40, cut=True)
    g, direction = graph_of(Part("p", (parts.A, diagonal), (block, bore)))
    more = 0
    for piece in unfold(g, direction, None):
        tree = set(piece.tree.values())
        for h in set(all_folds(g, piece)) - tree:
            more += 1
            assert g.length[h] == pytest.approx(20.0, abs=1.0) and abs(g.angle[h]) == pytest.approx(math.pi / 2)
            assert {g.face[h], g.across(h)} in [{g.face[k], g.across(k)} for k in tree]
    assert more
