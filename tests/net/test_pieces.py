"""Pieces on paper: where they begin, how their edges are numbered, and what meets what."""

import math

import numpy as np
import pytest

import parts
from examples import few
from foldsketch.part.model import Cylinder
from nets import in_space, nets_of, one

PARTS = [*parts.ALL, parts.CUP, parts.BAY]


@pytest.mark.parametrize("part", few(PARTS, 1), ids=lambda p: p.name)
def test_every_piece_begins_at_zero_with_its_tabs(part):
    for piece in nets_of(part).pieces:
        corners = np.concatenate([x.outline for x in (*piece.panels, *piece.tabs)])
        assert corners.min(axis=0) == pytest.approx([0, 0], abs=1e-9)


@pytest.mark.parametrize("part", few(PARTS, 2), ids=lambda p: p.name)
def test_an_edge_and_the_one_that_it_meets_are_one_edge_in_space(part):
    """As the net states the places of its panels; the two run in opposite directions."""
    nets = nets_of(part)
    panels = {(p.id, q.id): q for p in nets.pieces for q in p.panels}
    for p in nets.pieces:
        for t in (*p.tabs, *p.butts):
            here = in_space(panels[p.id, t.panel], t.line)
            there = in_space(panels[t.meets.piece, t.meets.panel], t.meets.line)
            assert here == pytest.approx(there[::-1], abs=1e-9)
        for f in p.folds:
            one_, two = (in_space(panels[p.id, k], f.line) for k in f.panels)
            assert one_ == pytest.approx(two, abs=1e-9)
            normals = [panels[p.id, k].to_space[:, 2] for k in f.panels]
            along = (one_[1] - one_[0]) / np.linalg.norm(one_[1] - one_[0])
            assert math.atan2(np.cross(*normals) @ along, normals[0] @ normals[1]) == pytest.approx(f.angle, abs=1e-9)


def test_edges_are_numbered_from_one_and_the_teeth_of_a_rim_share_a_number():
    """28 sides rolled: two rims and the seam; of the teeth of a rim the first, ninth, ... have the number printed."""
    nets = nets_of(one(Cylinder(40)), walls="rolled")
    tabs = [t for p in nets.pieces for t in p.tabs]
    assert {t.number for t in tabs} == {1, 2, 3}
    for number in (1, 2, 3):
        own = [t for t in tabs if t.number == number]
        assert len(own) in (1, 28)
        assert [k for k, t in enumerate(own) if t.label_size] == list(range(0, len(own), 8))


def test_bare_edges_are_numbered_last():
    nets = nets_of(parts.HEX, sparse=True)
    glued = [t.number for p in nets.pieces for t in (*p.tabs, *(b for b in p.butts if not b.bare))]
    bare = [b.number for p in nets.pieces for b in p.butts if b.bare]
    assert sorted(glued + bare) == list(range(1, len(glued) + len(bare) + 1))
    assert bare and max(glued) < min(bare)
