"""Which edges may be folds, which faces they hold together, and trees of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from foldsketch.geometry.graphs import DisjointSets, breadth_first
from foldsketch.net.unfolding.face_graph import FaceGraph, half_edges_of_face
from foldsketch.net.unfolding.flatten import FoldTree

FoldLinks = Mapping[int, Mapping[int, int]]
"""face -> neighbour -> the half-edge of the face that joins the two"""


def foldable_edges(graph: FaceGraph, faces: Sequence[int], barred: frozenset[int] = frozenset()) -> list[int]:
    """One half-edge of every possible fold between faces, the one on the lower face.

    barred: half-edges, with their twins, that must not be folds.
    """
    wanted = set(faces)
    return [
        h
        for f in faces
        for h in graph.loops[f][0]
        if f < graph.across(h) and graph.across(h) in wanted and graph.is_foldable(h) and h not in barred
    ]


def foldable_components(
    graph: FaceGraph, faces: Sequence[int], barred: frozenset[int] = frozenset()
) -> list[list[int]]:
    """Faces in groups that hang together by edges that may be folds."""
    sets = DisjointSets(faces)
    for h in foldable_edges(graph, faces, barred):
        sets.unite(graph.face[h], graph.across(h))
    return sets.groups()


def tube_rims(graph: FaceGraph) -> frozenset[int]:
    """Half-edges around inner tubes, both sides of each.

    A tube is a closed row of sides of one feature that all turn inwards; folded to the outside it would have to be
    pushed in through the hole that it lines.
    """
    links = set()
    for h, g in enumerate(graph.twin):
        a, b = graph.face[h], graph.face[g]
        one, two = graph.faces[a], graph.faces[b]
        if a < b and one.kind == two.kind == "side" and one.feature == two.feature and graph.angle[h] < 0:
            links.add((a, b))
    sets = DisjointSets[int]()
    for a, b in links:
        sets.unite(a, b)
    # A row of n sides has n - 1 links; one more closes it.
    count = Counter(sets.find(a) for a, _ in links)
    tubes = [row for row in sets.groups() if count[sets.find(row[0])] >= len(row)]
    rims = (
        h
        for row in tubes
        for f in row
        for h in half_edges_of_face(graph, f)
        if graph.faces[graph.across(h)].feature != graph.faces[f].feature
    )
    return frozenset(x for h in rims for x in (h, graph.twin[h]))


def tree_of_links(links: FoldLinks, root: int) -> FoldTree:
    """The breadth-first tree of links from a root; faces that the links do not reach are left out."""
    tree: FoldTree = {}
    for f in breadth_first(root, links.__getitem__):
        for g in links[f]:
            if g != root:
                tree.setdefault(g, links[g][f])
    return tree


def spanning_tree(graph: FaceGraph, ordered: Iterable[int], root: int, faces: Iterable[int]) -> FoldTree:
    """Kruskal's tree: every half-edge in order that joins two faces not yet joined is a fold."""
    links: dict[int, dict[int, int]] = {f: {} for f in faces}
    sets = DisjointSets(links)
    for h in ordered:
        f, g = graph.face[h], graph.across(h)
        if sets.unite(f, g):
            links[f][g], links[g][f] = h, graph.twin[h]
    return tree_of_links(links, root)
