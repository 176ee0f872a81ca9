"""What bounds tabs: angles at corners, and depth behind edges, compared with shapely."""

import math

import numpy as np
import pytest
import shapely

import parts
from examples import few
from foldsketch.net.tabs.cut_edges import build_unfolded_layout
from foldsketch.net.tabs.tab_limits import corner_angles, depths_behind_edges
from foldsketch.net.unfolding.unfold import unfold
from nets import graph_of


@pytest.mark.parametrize("part", few([*parts.ALL, parts.CUP], 2), ids=lambda p: p.name)
def test_the_angles_at_the_corners_of_a_loop_add_up(part):
    """To n - 2 straight angles, n + 2 in a hole, in bays too: tabs are bevelled by them."""
    g, direction = graph_of(part)
    inner, _ = corner_angles(build_unfolded_layout(g, unfold(g, direction, None)))
    for f, loops in enumerate(g.loops):
        for k, loop in enumerate(loops):
            wanted = (len(loop) + (2 if k else -2)) * math.pi
            assert sum(inner[h] for h in loop) == pytest.approx(wanted), f


@pytest.mark.parametrize("part", few([*parts.ALL, parts.CUP], 3), ids=lambda p: p.name)
def test_round_every_corner_on_paper_faces_and_free_paper_make_a_full_turn(part):
    """Where a corner is on the rim of the net: the angles of its faces there and the free paper between."""
    g, direction = graph_of(part)
    layout = build_unfolded_layout(g, unfold(g, direction, None))
    inner, free = corner_angles(layout)
    cut = [h for h in range(len(g.face)) if h not in layout.folded]
    assert {h for h, _ in free} == set(cut)
    for h in cut:
        angle, far = free[h, False]
        assert free[far, True] == (angle, h), "the same paper as seen from its other side"
        total, k = inner[h], g.before[h]
        while k != far:
            k = g.twin[k]
            total += inner[k]
            k = g.before[k]
        assert total + angle == pytest.approx(math.tau)


@pytest.mark.parametrize("part", [parts.HEX, parts.BORED, parts.CROSS, parts.BAY], ids=lambda p: p.name)
def test_the_depth_behind_an_edge_is_a_share_of_the_way_to_the_next_one(part):
    """0.9 of it, or 0.47 if a tab is meant for that edge too; straight in from a quarter, the middle and three
    quarters, by shapely."""
    g, _ = graph_of(part)
    targets = set(range(0, len(g.face), 3))
    depth = depths_behind_edges(g, targets, 7.0)
    seen = 0
    for loops in g.loops:
        edges = {h: (g.flat[h], g.flat[g.after[h]]) for own in loops for h in own}
        edges = {h: shapely.LineString([(z.real, z.imag) for z in ends]) for h, ends in edges.items()}
        if targets.isdisjoint(edges):
            continue
        for h, line in edges.items():
            (x0, y0), (x1, y1) = line.coords
            inward = np.array((y0 - y1, x1 - x0)) / line.length
            low = high = 7.0
            for share in (0.25, 0.5, 0.75):
                start = np.array(line.interpolate(share, normalized=True).coords[0])
                ray = shapely.LineString([start + 1e-5 * inward, start + 500 * inward])
                hits = {k: shapely.shortest_line(e, ray) for k, e in edges.items() if k != h}
                met = {k: math.dist(start, hit.coords[0]) for k, hit in hits.items() if hit.length < 1e-6}
                near = min(met.values())
                # Two edges may meet where the ray comes: either counts.
                shares = [0.47 if k in targets else 0.9 for k, v in met.items() if v < near + 1e-6]
                low, high = min(low, near * min(shares)), min(high, near * max(shares))
            assert low - 1e-4 <= depth[h] <= high + 1e-4
            seen += depth[h] < 7.0
    assert seen
