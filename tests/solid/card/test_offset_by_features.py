"""Fused blocks offset by way of their features: where both ways work they agree."""

import random

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given
from hypothesis import strategies as st

import strategies
from examples import examples
from foldsketch.base.card import parse_card
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.check import check_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.solid.card.allowance import apply_card_allowance
from foldsketch.solid.card.offset_by_features import offset_block
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.joining.skin import is_closed
from solids import planes, solids_of

DEPTH = 0.15


# Two squares, one shifted along a diagonal: where their edges cross, four faces meet in a point.
CROSSED = Part(
    "crossed squares",
    (Axis("A"), Axis("B", (10.0, 10.0, 0.0))),
    (
        Feature("one", "A", PrismShape(4, 40.0), 0, 20),
        Feature("other", "B", PrismShape(4, 40.0), 5, 30),
        Feature("bore", "A", Cylinder(10.0), -1, 31, True),
    ),
)


def assert_faces_moved(before, after, depth):
    """Every face is in a plane depth mm inside of one of the block's own."""
    own, got = planes(before), planes(after)
    own[:, 3] -= depth
    for plane in got:
        assert np.abs(own - plane).max(axis=1).min() < 1e-8


def test_faces_of_crossed_squares_move_by_the_depth():
    faceted, solids = solids_of(CROSSED)
    (block,) = solids.blocks
    made = offset_block(faceted, block, DEPTH)
    assert made is not None
    assert is_closed(made)
    assert_faces_moved(block.skin, made, DEPTH)


@pytest.mark.slow
@given(strategies.parts(), st.sampled_from(["faces", "fuse"]))
@examples(60, suppress_health_check=[HealthCheck.filter_too_much])
def test_both_ways_give_the_same_body(part, rule):
    assume(not any(f.level == "error" for f in check_part(part)))
    try:
        faceted, solids = solids_of(part, rule)
    except FoldsketchError:
        assume(False)
    for block in solids.blocks:
        other = offset_block(faceted, block, DEPTH)
        if other is None:
            continue
        assert is_closed(other)
        assert other.euler == block.skin.euler
        assert_faces_moved(block.skin, other, DEPTH)
        direct = inset_skin(block.skin, DEPTH)
        if direct is not None:
            assert other.volume == pytest.approx(direct.volume, rel=1e-7)


def test_features_that_only_touch_stay_connected():
    """One square on another, overhanging: offset by 0.15 mm each is 39.7 x 39.7 x 9.7 mm, and between them is what
    fills the gap, 29.7 x 39.7 x 0.3 mm."""
    part = Part(
        "overhang",
        (Axis("A"), Axis("B", (10.0, 0.0, 0.0))),
        (Feature("lower", "A", PrismShape(4, 40.0), 0, 10), Feature("upper", "B", PrismShape(4, 40.0), 10, 20)),
    )
    faceted, solids = solids_of(part, "fuse")
    (block,) = solids.blocks
    made = offset_block(faceted, block, DEPTH)
    assert made.volume == pytest.approx(2 * 39.7**2 * 9.7 + 29.7 * 39.7 * 0.3, rel=1e-9)
    assert_faces_moved(block.skin, made, DEPTH)


def test_a_bore_under_a_cap_keeps_its_ceiling():
    """The disc on top closes the bore: its ceiling rises by the depth like every face."""
    part = Part(
        "capped",
        (Axis("A"),),
        (
            Feature("body", "A", PrismShape(4, 40.0), 0, 10),
            Feature("bore", "A", PrismShape(4, 20.0), -1, 11, True),
            Feature("cap", "A", PrismShape(4, 40.0), 10, 15),
        ),
    )
    faceted, solids = solids_of(part, "fuse")
    (block,) = solids.blocks
    made = offset_block(faceted, block, DEPTH)
    assert made.volume == pytest.approx(39.7**2 * 14.7 - 20.3**2 * 10.0, rel=1e-9)
    assert_faces_moved(block.skin, made, DEPTH)


def test_a_block_that_would_lose_a_wall_is_not_offset():
    axes = (Axis("A"), Axis("B", (9.8, 0.0, 0.0)))
    thin = (Feature("body", "A", Cylinder(60.0), 0, 30), Feature("bore", "B", Cylinder(40.0), 10, 31, True))
    faceted, solids = solids_of(Part("thin", axes, thin))
    assert offset_block(faceted, solids.blocks[0], 0.25) is None


@pytest.mark.parametrize("seed", [7, 35, 48, 51, 117])
def test_parts_that_only_this_way_can_offset(seed):
    faceted, solids = solids_of(strategies.random_part(random.Random(seed)))
    stuck = [b for b in solids.blocks if inset_skin(b.skin, DEPTH) is None]
    assert stuck
    made = apply_card_allowance(faceted, solids, parse_card("0.3mm"), 1.0)
    assert not [f for f in made.findings if f.code == "card-not-compensated"]
    for block in stuck:
        assert_faces_moved(block.skin, made.blocks[block.id].skin, DEPTH)
