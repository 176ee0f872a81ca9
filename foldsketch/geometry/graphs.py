"""Graphs of a few nodes: what hangs together, and walks breadth first."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from typing import Generic, TypeVar

Node = TypeVar("Node", bound=Hashable)


class DisjointSets(Generic[Node]):
    """Nodes in sets that are united step by step (union-find). A set is named by the node that `unite` keeps.

    >>> sets = DisjointSets("abcd")
    >>> sets.unite("a", "c"), sets.unite("c", "a"), sets.groups()
    (True, False, [['a', 'c'], ['b'], ['d']])
    """

    def __init__(self, nodes: Iterable[Node] = ()) -> None:
        self._parent: dict[Node, Node] = {n: n for n in nodes}

    def find(self, node: Node) -> Node:
        """The node that names the set of a node; a new node is a set of its own."""
        parent = self._parent
        above = parent.setdefault(node, node)
        while above != node:
            node, above = above, parent[above]
        return node

    def unite(self, keep: Node, other: Node) -> bool:
        """Put two sets together under the name of the first one's. False if they were one already."""
        kept, gone = self.find(keep), self.find(other)
        if kept == gone:
            return False
        self._parent[gone] = kept
        return True

    def groups(self) -> list[list[Node]]:
        """The sets, and the nodes in each, in the order in which they were first named."""
        found: dict[Node, list[Node]] = {}
        for n in list(self._parent):
            found.setdefault(self.find(n), []).append(n)
        return list(found.values())


def breadth_first(start: Node, neighbours: Callable[[Node], Iterable[Node]]) -> Iterator[Node]:
    """Every node that can be reached from start, itself first, each once.

    >>> list(breadth_first(1, {1: [2, 3], 2: [1, 4], 3: [], 4: [1]}.__getitem__))
    [1, 2, 3, 4]
    """
    reached = {start: None}
    queue = [start]
    for node in queue:
        yield node
        for other in neighbours(node):
            if other not in reached:
                reached[other] = None
                queue.append(other)
