"""Pieces of a skin: all faces once, none over another, tubes by themselves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import parts
from foldsketch.base.findings import FoldsketchError
from foldsketch.net.unfolding.flatten import piece_polygons
from foldsketch.net.unfolding.overlaps import find_overlaps
from foldsketch.net.unfolding.unfold import unfold
from nets import COARSE, graph_of, in_space, nets_of, some_examples
from strategies import parts as any_part


@pytest.mark.parametrize(
    "part", [parts.CUP, parts.STEPPED, parts.SLEEVE, parts.OFFSET_SLEEVE, parts.BLIND], ids=lambda p: p.name
)
def test_the_wall_of_a_bore_hangs_on_nothing_but_its_own_floor(part):
    """Folded to the outside it would have to be pushed in through the hole that it lines."""
    nets = nets_of(part, "fuse")
    axis = {f.name: np.array(part.axis(f.axis).point)[:2] for f in part.features}
    for piece in nets.pieces:
        inner, outer = set(), set()
        for p in piece.panels:
            if p.kind == "side":
                middle = in_space(p, p.outline.mean(axis=0))[:2] - axis[p.feature]
                (inner if middle @ p.to_space[:2, 2] < 0 else outer).add(p.id)
        assert not (inner and outer), "inside and outside are pieces of their own"
        if inner:
            assert all(p.feature == piece.panels[0].feature for p in piece.panels)
    assert nets.checks.passed()


@pytest.mark.slow
@some_examples(20)
@given(any_part(), st.sampled_from(["faces", "fuse"]))
def test_pieces_of_any_part_hold_every_face_once_and_do_not_overlap(part, rule):
    try:
        g, direction = graph_of(part, rule, **COARSE)
    except FoldsketchError:
        return
    steps = []
    pieces = unfold(g, direction, None, lambda step, share: steps.append((step, share)))
    assert sorted(f for p in pieces for f in p.place) == list(range(g.count))
    assert not any(find_overlaps(piece_polygons(g, p, sorted(p.place))) for p in pieces)
    assert {step for step, _ in steps} == {"unfold"} and [s for _, s in steps] == sorted(s for _, s in steps)
