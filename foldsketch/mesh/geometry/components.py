"""Connected: what hangs together by links gets one number."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Ints


def label_components(links: Ints, count: int) -> Ints:
    """Component number (count,) of nodes joined by links (k, 2).

    >>> label_components(np.array([[0, 2]]), 3).tolist()
    [0, 1, 0]
    """
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    graph = coo_matrix((np.ones(len(links), dtype=np.int8), (links[:, 0], links[:, 1])), shape=(count, count))
    label: Ints = connected_components(graph, directed=False)[1].astype(np.int64)
    return label
