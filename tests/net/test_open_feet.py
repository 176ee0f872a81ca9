"""Open feet: blocks that stand on others without an end of their own, read back from the nets."""

import dataclasses
import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import few
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.assembly.work_time import measure_work
from foldsketch.base.card import Card
from foldsketch.net.refold import check_nets
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from nets import in_space, nets_of, nets_or_reject, some_examples
from strategies import parts as any_part


def standing(part, hold="glue", **choice):
    return nets_of(part, sparse=True, open_feet=True, hold=hold, **choice)


def feet_of(nets):
    """The tabs of every joint that closes a block, each with its panel."""
    found = {j: [] for p in nets.pieces for j in p.open}
    for p in nets.pieces:
        for t in p.tabs:
            if t.joint is not None:
                found[t.joint].append((p, t))
    return found


def check_feet(nets):
    """Three tabs or more at every foot, each turned in under the block, its root on the joint's outline and all of it
    within, clear of the others; no block has two open ends."""
    assert nets.checks.passed(), nets.checks
    blocks = [p.block for p in nets.pieces for _ in p.open]
    assert len(blocks) == len(set(blocks))
    feet = feet_of(nets)
    for j, tabs in feet.items():
        joint = nets.joints[j]
        flat = np.linalg.svd(joint.outline - joint.outline[0])[2][:2].T
        outline = shapely.Polygon((joint.outline - joint.outline[0]) @ flat)
        placed = []
        for p, t in tabs:
            wall = p.panel(t.panel)
            root = in_space(wall, np.array(t.line))
            # A tab on paper is beyond its root; turned in, its depth is along the joint, away from the wall's outside.
            inward = -wall.to_space[:, 2] + joint.normal * float(wall.to_space[:, 2] @ joint.normal)
            inward /= np.linalg.norm(inward)
            along = (root[1] - root[0]) / np.linalg.norm(root[1] - root[0])
            u, v = np.subtract(t.line[1], t.line[0]) / math.dist(*t.line)
            local = (t.outline - t.line[0]) @ np.array([[u, v], [v, -u]])
            points = root[0] + local[:, :1] * along + local[:, 1:] * inward
            assert outline.exterior.distance(shapely.LineString((root - joint.outline[0]) @ flat)) < 1e-6
            shape = shapely.Polygon((points - joint.outline[0]) @ flat)
            assert outline.buffer(1e-6).covers(shape)
            placed.append(shape.buffer(-1e-3))
        assert len(tabs) >= 3
        assert shapely.union_all(placed).area == pytest.approx(sum(s.area for s in placed))
    return feet


@pytest.mark.parametrize("part", few(parts.ALL), ids=lambda p: p.name)
@pytest.mark.parametrize("sides", [6, 8, None])
def test_tabs_are_turned_in_under_the_block(part, sides):
    check_feet(standing(part, sides=sides))


@pytest.mark.slow
@some_examples(60)
@given(any_part(), st.sampled_from([6, 8, 12]), st.sampled_from(["glue", "tape"]))
def test_of_any_part_too(part, sides, hold):
    nets = nets_or_reject(part, sparse=True, open_feet=True, hold=hold, sides=sides)
    assert nets.checks.passed(), nets.checks
    if hold == "glue":
        check_feet(nets)


def test_two_spigots_have_four_feet_each_and_one_end():
    """Every other one of eight sides; the flange keeps both its ends. A block less a face: two panels fewer."""
    nets, closed = standing(parts.TWO_SPIGOTS, sides=8), nets_of(parts.TWO_SPIGOTS, sparse=True, sides=8)
    assert [len(tabs) for tabs in check_feet(nets).values()] == [4, 4]
    ends = {b.id: sum(q.kind == "end" for p in nets.pieces if p.block == b.id for q in p.panels) for b in nets.blocks}
    assert sorted(ends.values()) == [1, 1, 2]
    assert sum(len(p.panels) for p in closed.pieces) - sum(len(p.panels) for p in nets.pieces) == 2
    assert [b.volume for b in nets.blocks] == [b.volume for b in closed.blocks]


def test_feet_count_as_tabs_with_no_joint_besides():
    """A lid of eight sides has a hinge and two tabs, a seam one, a foot four: 7 a spigot. The flange of 90 mm has 3
    tabs a lid and its seam [D, as in the tests of reduced tabs]."""
    work = measure_work(standing(parts.TWO_SPIGOTS, sides=8))
    assert (work.tabs, work.joints) == (2 * 7 + 2 * 3 + 1, 0)
    assert measure_work(nets_of(parts.TWO_SPIGOTS, sparse=True, sides=8)).joints == 2


def test_tape_needs_no_tab_at_a_foot():
    nets = standing(parts.TWO_SPIGOTS, "tape", sides=8)
    assert nets.checks.passed() and not any(p.tabs for p in nets.pieces)
    assert sorted(j for p in nets.pieces for j in p.open) == [0, 1]
    beside = [b for p in nets.pieces for b in p.butts if b.joint is not None]
    assert len(beside) == 16 and all(b.bare and not b.strips for b in beside)
    assert [len(j.taped) for j in nets.joints] == [4, 4]


@pytest.mark.parametrize(
    ("part", "choice"),
    [
        (parts.OVERHUNG, {}),  # it reaches beyond what it stands on
        (parts.SLEEVE, {}),
        (parts.TWO_SPIGOTS, {"card": Card(0.25)}),
        (parts.TWO_SPIGOTS, {"walls": "rolled"}),
        (parts.TWO_SPIGOTS, {"rule": "fuse"}),
    ],
    ids=["overhung", "alone", "card", "rolled", "fused"],
)
def test_an_end_that_is_needed_stays(part, choice):
    nets = standing(part, **choice)
    assert nets.checks.passed()
    assert not any(p.open for p in nets.pieces) and not feet_of(nets)


def test_a_bored_foot_keeps_its_end():
    """The inlet of the bored part has a tube that ends there; the outlet has none."""
    nets = standing(parts.BORED, sides=8)
    features = {b.id: b.features for b in nets.blocks}
    assert [features[p.block] for p in nets.pieces if p.open] == [("outlet",)]


def test_a_block_between_two_others_has_one_open_end():
    """Disc, pin and disc: the pin is glued with tabs to one of them, and with its face to the other."""
    axes = (Axis("A"), Axis("B", (10.0, 0.0, 0.0)))
    row = [Feature(n, a, Cylinder(d), *z) for n, a, d, z in DISCS]
    nets = standing(Part("pin", axes, tuple(row)), sides=8)
    check_feet(nets)
    assert [p.open for p in nets.pieces if p.open] == [(0,)]
    assert measure_work(nets).joints == 1


DISCS = [("one", "A", 60, (0, 10)), ("pin", "B", 24, (10, 30)), ("two", "A", 60, (30, 40))]


def test_equal_ends_leave_one_of_them_out():
    row = (Feature("one", "A", Cylinder(40), 0, 20), Feature("two", "B", Cylinder(40), 20, 50))
    nets = standing(Part("pair", (Axis("A"), Axis("B")), row), sides=8)
    check_feet(nets)
    assert [p.block for p in nets.pieces if p.open] == [1]


def test_a_narrow_foot_keeps_its_end():
    """Sides of 2.3 mm are too narrow for tabs that are turned in."""
    row = (Feature("disc", "A", Cylinder(40), 0, 10), Feature("pin", "B", Cylinder(6), 10, 30))
    nets = standing(Part("pin", (Axis("A"), Axis("B", (8.0, 0.0, 0.0))), row), sides=8)
    assert nets.checks.passed() and not any(p.open for p in nets.pieces)


@pytest.fixture(scope="module")
def right():
    return standing(parts.TWO_SPIGOTS, sides=8)


def spoilt(nets, k, **change):
    pieces = list(nets.pieces)
    pieces[k] = dataclasses.replace(pieces[k], **change)
    return check_nets(dataclasses.replace(nets, pieces=tuple(pieces)))


def test_the_fold_up_check_finds_a_foot_tab_that_sticks_out(right):
    """Twice as deep as the foot is wide: it comes out on the other side."""
    piece = right.pieces[1]
    k = next(k for k, t in enumerate(piece.tabs) if t.joint is not None)
    t = piece.tabs[k]
    start, outward = np.array(t.line[0]), np.mean(t.outline, axis=0) - np.mean(t.line, axis=0)
    outward /= np.linalg.norm(outward)
    deep = t.outline + np.outer((t.outline - start) @ outward > 1, outward * 60)
    checks = spoilt(right, 1, tabs=(*piece.tabs[:k], t._replace(outline=deep), *piece.tabs[k + 1 :]))
    assert not checks.tabs_inside


def test_the_fold_up_check_finds_a_block_that_stands_elsewhere(right):
    moved = [dataclasses.replace(p, origin=p.origin + np.array([0.5, 0, 0])) for p in right.pieces[1].panels]
    assert spoilt(right, 1, panels=tuple(moved)).refold_gap == pytest.approx(0.5)


def test_the_fold_up_check_finds_an_open_block_that_nothing_closes(right):
    assert spoilt(right, 1, open=()).volume_error > 0.1


def test_a_block_is_joined_after_it_is_built(right):
    steps = assembly_steps(right)
    glued = {n for s in steps for n in s.tabs}
    assert glued == {t.number for p in right.pieces for t in p.tabs if t.joint is None}
    assert sum(s.kind == "join" for s in steps) == 2
