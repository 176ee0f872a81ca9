"""Cut edges: where their tabs are on paper and behind their targets, and in which order faces are closed."""

import numpy as np
import pytest

import parts
from foldsketch.net.tabs.cut_edges import CutEdge, build_unfolded_layout, tab_corners_behind, tab_corners_on_paper
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.part.model import PrismShape
from nets import graph_of, one


def layout_of(part, rule="fuse", **choice):
    graph, direction = graph_of(part, rule, **choice)
    return build_unfolded_layout(graph, unfold(graph, direction, None))


@pytest.mark.parametrize("part", [parts.HEX, parts.BORED, parts.CROSS], ids=lambda p: p.name)
def test_a_tab_behind_its_target_is_the_tab_on_paper_moved(part):
    """Congruent, its root on the target edge, and on the face's side of it; on paper on the other side of its root."""
    layout = layout_of(part)
    g = layout.graph
    cut = [h for h in range(len(g.face)) if h < g.twin[h] and h not in layout.folded]
    edges = [CutEdge(h, g.twin[h], shape=(2.0, 0.3, 0.2)) for h in cut]
    paper = tab_corners_on_paper(edges, g, layout.at)
    behind = tab_corners_behind(edges, g, np.array(g.flat))
    apart = [np.abs(c[:, :, None] - c[:, None, :]) for c in (paper, behind)]
    assert apart[0] == pytest.approx(apart[1], abs=1e-9)
    for e, on, back in zip(edges, paper, behind, strict=True):
        tail, head = layout.at[e.carrier], layout.at[g.after[e.carrier]]
        assert (on[0], on[3]) == (tail, head)
        assert (back[3], back[0]) == (g.flat[e.target], g.flat[g.after[e.target]])
        assert ((on[1] - tail) * (head - tail).conjugate()).imag < 0, "right of the root, off the panel"
        along = g.flat[g.after[e.target]] - g.flat[e.target]
        assert ((back[2] - g.flat[e.target]) * along.conjugate()).imag > 0, "left of the target, behind it"
        assert abs(on[1] - tail - 0.3 * (head - tail) / abs(head - tail)) == pytest.approx(2.0), "its width"


@pytest.mark.parametrize("part", [parts.INTERLOCKED, parts.BORED, one(PrismShape(6, 40.0), 30)], ids=lambda p: p.name)
def test_sides_are_closed_before_ends_and_the_largest_end_last(part):
    layout = layout_of(part)
    g, rank = layout.graph, layout.rank
    assert sorted(rank.values()) == list(range(g.count))
    order = sorted(rank, key=rank.get)
    kinds = [g.faces[f].kind != "side" for f in order]
    assert kinds == sorted(kinds)
    ends = [g.area[f] for f in order if g.faces[f].kind != "side"]
    assert ends == pytest.approx(sorted(ends))
    depth = {}
    for piece in layout.pieces:
        for f in piece.place:
            depth[f] = depth[g.across(piece.tree[f])] + 1 if f in piece.tree else 0
    sides = [depth[f] for f in order if g.faces[f].kind == "side"]
    assert sides == sorted(sides), "along the strip from its root"
