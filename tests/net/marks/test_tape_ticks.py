"""Ticks for tape: on both sides of an edge, and in line with each other when the model is folded."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from scipy.spatial import KDTree

import parts
from examples import few
from nets import in_space, nets_of, nets_or_reject, shape_of, some_examples
from strategies import parts as any_part


def feet_in_space(nets):
    """Where every tick begins, in the folded model; and the ticks themselves with their panels."""
    found = []
    for p in nets.pieces:
        for m in p.marks:
            if m.kind == "tape":
                panel = p.panel(m.panel)
                found += [(p.block, panel, path, in_space(panel, path[0])) for path in m.paths]
    return found


def check_ticks(nets):
    """Every tick is on its panel, square to its edge; every strip has two on either side, which meet in space."""
    ticks = feet_in_space(nets)
    for _, panel, path, _ in ticks:
        shape = shape_of(panel)
        assert shape.buffer(1e-6).covers(shapely.LineString(path)), "on its panel"
        assert 0 < shapely.LineString(path).length <= 2 + 1e-9
    strips = sum(b.strips for p in nets.pieces for b in p.butts)
    points = np.array([foot for *_, foot in ticks])
    tree = KDTree(points)
    met = [len(tree.query_ball_point(p, 1e-6)) for p in points]
    assert min(met) >= 2, "the tick across the edge is in line"
    return len(ticks) - 4 * strips


@pytest.mark.parametrize("part", few(parts.ALL, 2), ids=lambda p: p.name)
def test_ticks_meet_across_every_taped_edge(part):
    nets = nets_of(part, "fuse", hold="tape")
    assert check_ticks(nets) == 0


@pytest.mark.parametrize(
    "part", [parts.TWO_SPIGOTS, parts.ECCENTRIC, parts.OVERHUNG, parts.ROCKER], ids=lambda p: p.name
)
def test_ticks_of_a_joint_are_on_both_blocks(part):
    """Two ticks a strip on either block: on the face beside the foot, and on the wall that stands there."""
    nets = nets_of(part, hold="tape")
    beside = sum(len(j.taped) for j in nets.joints)
    assert check_ticks(nets) == 4 * beside
    blocks = {block for block, *_ in feet_in_space(nets)}
    assert blocks == {b.id for b in nets.blocks}


@pytest.mark.slow
@some_examples(25)
@given(any_part())
def test_of_any_part_too(part):
    nets = nets_or_reject(part, hold="tape")
    if feet_in_space(nets):
        check_ticks(nets)


def test_a_number_on_either_side_of_a_taped_edge():
    """On the eccentric shaft all of them have room."""
    nets = nets_of(parts.ECCENTRIC, hold="tape", sides=8)
    printed = [(p.id, m.panel, m.text) for p in nets.pieces for m in p.marks if m.kind == "text" and m.text.isdigit()]
    for p in nets.pieces:
        for b in p.butts:
            sides = [(p.id, b.panel, str(b.number)), (b.meets.piece, b.meets.panel, str(b.number))]
            assert all((side in printed) == bool(b.strips) for side in sides)
