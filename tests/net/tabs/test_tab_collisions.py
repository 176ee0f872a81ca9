"""Collisions of tabs, compared with shapely pair by pair."""

import numpy as np
import pytest
import shapely

import parts
from foldsketch.net.tabs.cut_edges import CutEdge, build_unfolded_layout, tab_corners_behind, tab_corners_on_paper
from foldsketch.net.tabs.tab_collisions import build_collision_index, colliding_tabs
from foldsketch.net.unfolding.unfold import unfold
from nets import graph_of

TOUCH = 0.005
"""mm: what collides by less than this may or may not be reported."""


def polygons(corners):
    return [shapely.Polygon(np.column_stack((c.real, c.imag))) for c in corners]


def collides(one, two):
    """Whether two shapes have more than a touch in common; None where that is in doubt."""
    area = one.intersection(two).area
    return True if area > 0.1 else None if area > 1e-9 or one.distance(two) < TOUCH else False


@pytest.mark.parametrize("part", [parts.HEX, parts.BORED, parts.CROSS, parts.BAY], ids=lambda p: p.name)
@pytest.mark.parametrize("width", [1.0, 4.0, 7.0])
@pytest.mark.parametrize("settled", [False, True])
def test_tabs_give_way_to_panels_to_rims_and_to_tabs_no_wider(part, width, settled):
    """Square tabs on every cut edge, those of every other edge 0.5 mm wider and settled or not."""
    graph, direction = graph_of(part)
    layout = build_unfolded_layout(graph, unfold(graph, direction, None))
    cut = [h for h in range(len(graph.face)) if h < graph.twin[h] and h not in layout.folded]
    edges = [CutEdge(h, graph.twin[h], shape=(width + k % 2 / 2, 0.05, 0.05)) for k, h in enumerate(cut)]
    index = build_collision_index(layout)
    assert colliding_tabs(graph, edges, [], index) == set()
    colliding_tabs(graph, edges, range(len(edges)), index)
    for e in edges[1::2]:
        e.settled = settled
    new = list(range(0, len(edges), 2)) if settled else list(range(len(edges)))
    found = colliding_tabs(graph, edges, new, index)
    paper = polygons(tab_corners_on_paper(edges, graph, layout.at))
    behind = polygons(tab_corners_behind(edges, graph, np.array(graph.flat)))
    panels = {}
    for f, (outer, *holes) in enumerate(graph.loops):
        for name, at in (("paper", layout.at), ("behind", np.array(graph.flat))):
            rings = [[(at[h].real, at[h].imag) for h in loop] for loop in (outer, *holes)]
            panels[name, f] = shapely.Polygon(rings[0], rings[1:])
    piece = [layout.piece_of[graph.face[e.carrier]] for e in edges]
    face = [graph.face[e.target] for e in edges]
    sure = 0
    for i in new:
        doubts = []
        for f in range(graph.count):
            if layout.piece_of[f] == piece[i]:
                doubts.append(None if f == graph.face[edges[i].carrier] else collides(paper[i], panels["paper", f]))
        outside = behind[i].difference(panels["behind", face[i]]).area
        doubts.append(True if outside > 0.1 else None if outside > 1e-9 else False)
        for j in range(len(edges)):
            if j != i and (edges[j].settled or edges[i].shape[0] >= edges[j].shape[0]):
                doubts += [collides(paper[i], paper[j])] if piece[i] == piece[j] else []
                doubts += [collides(behind[i], behind[j])] if face[i] == face[j] else []
        if any(doubts):
            assert i in found
            sure += 1
        elif None not in doubts[1:]:
            assert i not in found
    assert sure or width < 4.0
