"""Possible folds, what they hold together, and trees of them; compared with networkx."""

import random

import networkx
import numpy as np
import pytest

import parts
from foldsketch.net.unfolding.fold_trees import (
    foldable_components,
    foldable_edges,
    spanning_tree,
    tree_of_links,
    tube_rims,
)
from nets import graph_of, nets_of

GRAPHS = [*parts.ALL, parts.CUP, parts.STEPPED, parts.BAY]


def faces_and_folds(g, barred=frozenset()):
    """The graph as networkx has it, from the loops of the skin's faces alone."""
    owners = {}
    for k, f in enumerate(g.skin.faces):
        for a, b in zip(f.loops[0], [*f.loops[0][1:], f.loops[0][0]], strict=True):
            owners[a, b] = k
    known = networkx.Graph()
    known.add_nodes_from(range(g.count))
    forbidden = {(g.tail[h], g.tail[g.after[h]]) for h in barred}
    known.add_edges_from(
        (k, owners[b, a]) for (a, b), k in owners.items() if (b, a) in owners and (a, b) not in forbidden
    )
    return known


@pytest.mark.parametrize("part", GRAPHS, ids=lambda p: p.name)
@pytest.mark.parametrize("tubes", [False, True])
def test_components_are_those_of_the_graph_of_folds(part, tubes):
    g, _ = graph_of(part)
    barred = tube_rims(g) if tubes else frozenset()
    wanted = sorted(sorted(c) for c in networkx.connected_components(faces_and_folds(g, barred)))
    assert foldable_components(g, range(g.count), barred) == wanted


@pytest.mark.parametrize("part", GRAPHS, ids=lambda p: p.name)
def test_each_possible_fold_is_found_once_from_its_lower_face(part):
    g, _ = graph_of(part)
    edges = foldable_edges(g, range(g.count))
    assert len(set(edges)) == len(edges)
    pairs = {(g.face[h], g.across(h)) for h in edges}
    assert all(a < b for a, b in pairs)
    assert {frozenset(p) for p in pairs} == {frozenset(p) for p in faces_and_folds(g).edges}
    assert not foldable_edges(g, range(g.count), frozenset(x for h in edges for x in (h, g.twin[h])))


@pytest.mark.parametrize("seed", range(5))
def test_a_spanning_tree_prefers_the_first_edges(seed):
    """Kruskal's: with the place in the order as weight it is the minimum spanning tree."""
    g, _ = graph_of(parts.INTERLOCKED)
    (faces,) = foldable_components(g, range(g.count))
    order = foldable_edges(g, faces)
    random.Random(seed).shuffle(order)
    root = random.Random(seed).choice(faces)
    tree = spanning_tree(g, order, root, faces)
    assert set(tree) == set(faces) - {root} and all(g.face[h] == f for f, h in tree.items())
    weights = networkx.Graph()
    for k, h in reversed([*enumerate(order)]):
        weights.add_edge(g.face[h], g.across(h), weight=k)
    wanted = {frozenset(e) for e in networkx.minimum_spanning_tree(weights).edges}
    assert {frozenset((f, g.across(h))) for f, h in tree.items()} == wanted


def test_a_tree_of_links_goes_by_levels_and_leaves_out_what_it_cannot_reach():
    """Half-edges of a path 1 - 0 - 2 - 3 and of a pair apart are numbered by both their faces."""
    links = {0: {1: 1, 2: 2}, 1: {0: 10}, 2: {0: 20, 3: 23}, 3: {2: 32}, 4: {5: 45}, 5: {4: 54}}
    assert tree_of_links(links, 0) == {1: 10, 2: 20, 3: 32}
    assert tree_of_links(links, 3) == {2: 23, 0: 2, 1: 10}
    assert tree_of_links(links, 5) == {4: 45}


def test_rims_of_tubes_come_with_their_twins_and_no_other_edge():
    g, _ = graph_of(parts.CUP)
    rims = tube_rims(g)
    assert {g.twin[h] for h in rims} == set(rims)
    radius = [np.hypot(*g.skin.corners[g.tail[h]][:2]) for h in rims]
    height = {round(float(g.skin.corners[g.tail[h]][2]), 6) for h in rims}
    assert len(set(np.round(radius, 6))) == 1 and radius[0] == pytest.approx(18, rel=0.05)
    assert height <= {10.0, 40.0}
    assert 10.0 in height
    assert not tube_rims(graph_of(parts.TWO_SPIGOTS)[0])


def test_a_bore_that_runs_out_through_the_side_is_no_tube():
    """Its wall is a row that does not close: a bay of the outside, in one piece with it."""
    g, _ = graph_of(parts.BAY)
    inward = [h for h in range(len(g.face)) if g.angle[h] < 0]
    assert len(inward) >= 6
    assert not tube_rims(g)
    assert len(nets_of(parts.BAY).pieces) == 1
