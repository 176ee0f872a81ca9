"""Sets that are united and walks, against networkx."""

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.geometry.graphs import DisjointSets, breadth_first

EDGES = st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), max_size=20)


def graph(edges):
    g = networkx.Graph()
    g.add_nodes_from(range(13))
    g.add_edges_from(edges)
    return g


@given(EDGES)
def test_sets_are_the_connected_components(edges):
    sets = DisjointSets(range(13))
    joined = [sets.unite(a, b) for a, b in edges]
    components = {frozenset(c) for c in networkx.connected_components(graph(edges))}
    assert {frozenset(g) for g in sets.groups()} == components
    assert sum(joined) == 13 - len(components), "True once for every set that goes into another"
    together = {(a, b) for c in components for a in c for b in c}
    assert {(a, b) for a in range(13) for b in range(13) if sets.find(a) == sets.find(b)} == together


@given(EDGES)
def test_the_set_is_named_by_the_node_kept(edges):
    sets = DisjointSets(range(13))
    for a, b in edges:
        name = sets.find(a)
        sets.unite(a, b)
        assert sets.find(b) == name


def test_new_nodes_are_sets_of_their_own():
    sets = DisjointSets()
    assert sets.find("a") == "a" and sets.groups() == [["a"]]


@given(EDGES, st.integers(0, 12))
def test_a_walk_reaches_all_that_is_connected_nearest_first(edges, start):
    g = graph(edges)
    order = list(breadth_first(start, lambda n: sorted(g[n])))
    far = networkx.single_source_shortest_path_length(g, start)
    assert sorted(order) == sorted(far)
    assert order[0] == start and [far[n] for n in order] == sorted(far.values())


@pytest.mark.parametrize("size", [1, 5000])
def test_long_chains_are_no_trouble(size):
    sets = DisjointSets(range(size))
    for k in range(size - 1):
        sets.unite(k + 1, k)
    assert len(sets.groups()) == 1
    assert len(list(breadth_first(0, lambda n: [n + 1] if n + 1 < size else []))) == size
