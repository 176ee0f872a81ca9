"""Nets of parts: they fold right, whatever the part, and are the same for the same part turned, mirrored or scaled."""

import dataclasses
import math
import random

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import few
from foldsketch.base.findings import FoldsketchError
from foldsketch.net.build import build_nets
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from nets import nets_of, nets_or_reject, some_examples
from strategies import parts as any_part
from strategies import random_part


@pytest.mark.parametrize("part", few(parts.ALL, 2), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_part_folds_right(part, rule):
    nets = nets_of(part, rule)
    assert nets.checks.passed(), nets.checks
    assert nets.checks.refold_gap < 1e-11
    assert nets.checks.volume_error < 1e-11


@pytest.mark.parametrize("part", few(parts.ALL, 3), ids=lambda p: p.name)
def test_cut_edges_and_folds_add_up(part):
    """Every edge of the skin is a fold or a cut edge, with or without a tab."""
    faceted = facet(part, 1.0, FacetChoice())
    made = join(faceted)
    nets = build_nets(faceted, made, 1.0)
    for block in made.blocks:
        own = [p for p in nets.pieces if p.block == block.id]
        edges = sum(len(loop) for f in block.skin.faces for loop in f.loops) // 2
        folds = sum(len(p.folds) for p in own)
        joints = sum(len(p.tabs) + len(p.butts) for p in own)
        assert folds + joints == edges
        assert folds >= sum(len(p.panels) - 1 for p in own), "a tree of folds holds every piece together"
        assert {x.id for p in own for x in p.panels} and len(block.skin.faces) == sum(len(p.panels) for p in own)


def test_a_prism_is_one_belt_with_its_ends_on_it():
    nets = nets_of(parts.TWO_SPIGOTS)
    assert len(nets.pieces) == 3
    for piece in nets.pieces:
        ends = [p.id for p in piece.panels if p.kind == "end"]
        degree = {p.id: sum(p.id in f.panels for f in piece.folds) for p in piece.panels}
        assert len(ends) == 2
        assert all(degree[e] == 1 for e in ends), "ends are leaves"


def test_a_through_bore_is_one_extra_tube():
    nets = nets_of(parts.OFFSET_SLEEVE)
    assert len(nets.pieces) == 2
    assert all(f.angle < 0 for f in nets.pieces[1].folds), "an inner tube folds inwards: valleys"
    assert all(f.angle > 0 for f in nets.pieces[0].folds)


def test_the_last_closed_panel_carries_no_tab():
    """So it can be pressed on from outside: every tab beneath it belongs to a panel closed before it."""
    for part in (parts.TWO_SPIGOTS, parts.ECCENTRIC, parts.HEX, parts.TAPER):
        for piece in nets_of(part).pieces:
            carrying = {t.panel for t in piece.tabs}
            ends = {p.id for p in piece.panels if p.kind == "end"}
            assert not carrying & ends, part.name


def _shapes(nets):
    """What is left of nets when placement is forgotten: sorted panel areas, fold angles and lengths."""
    areas, folds = [], []
    for piece in nets.pieces:
        for p in piece.panels:
            x, y = p.outline.T
            areas.append(round(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2, 5))
        folds += [(round(math.degrees(f.angle), 5), round(math.dist(*f.line), 5)) for f in piece.folds]
    return sorted(areas), sorted(folds), sorted(len(p.panels) for p in nets.pieces)


@pytest.mark.parametrize("angle", few([30, 90, 123.4], 2))
@pytest.mark.parametrize(
    "part", [parts.TWO_SPIGOTS, parts.BORED, parts.ECCENTRIC, parts.INTERLOCKED], ids=lambda p: p.name
)
def test_a_turned_part_gives_the_same_nets(part, angle):
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    axes = tuple(
        dataclasses.replace(a, point=(a.point[0] * c - a.point[1] * s, a.point[0] * s + a.point[1] * c, a.point[2]))
        for a in part.axes
    )
    assert _shapes(nets_of(dataclasses.replace(part, axes=axes))) == _shapes(nets_of(part))


@pytest.mark.parametrize("part", [parts.TWO_SPIGOTS, parts.BORED, parts.ROCKER], ids=lambda p: p.name)
def test_a_mirrored_part_gives_mirrored_nets(part):
    axes = tuple(dataclasses.replace(a, point=(a.point[0], -a.point[1], a.point[2])) for a in part.axes)
    assert _shapes(nets_of(dataclasses.replace(part, axes=axes))) == _shapes(nets_of(part))


def test_scale_only_scales():
    """With the number of sides given, half scale gives half lengths."""
    a, b = (nets_of(parts.BORED, scale=s, sides=8) for s in (1.0, 0.5))
    assert _shapes(b)[0] == pytest.approx([x / 4 for x in _shapes(a)[0]], abs=1e-4)


def test_a_net_larger_than_the_page_is_cut_at_folds():
    page = (194.0, 150.0)
    nets = nets_of(parts.TWO_SPIGOTS, page=page)
    assert len(nets.pieces) > 3
    assert nets.checks.passed()
    for piece in nets.pieces:
        corners = np.concatenate([p.outline for p in piece.panels] + [t.outline for t in piece.tabs])
        w, h = np.ptp(corners, axis=0)
        assert min(w, h) <= page[1] and max(w, h) <= page[0]


@pytest.mark.slow
@some_examples(60)
@given(any_part(), st.sampled_from(["faces", "fuse"]), st.sampled_from(["inside", "equal-area", "outside"]))
def test_a_checked_model_or_a_clear_finding(part, rule, radius):
    try:
        nets = nets_of(part, rule, radius_rule=radius)
    except FoldsketchError as why:
        assert all(f.where and f.what and f.cure for f in why.findings)  # noqa: PT017
        return
    assert nets.checks.passed(), nets.checks
    joints = [j.number for p in nets.pieces for j in (*p.tabs, *p.butts)]
    assert sorted(joints) == list(range(1, len(joints) + 1)), "every cut edge once"


@pytest.mark.parametrize("seed", [912, 7363, pytest.param(7447, marks=pytest.mark.slow), 8916])
def test_parts_that_once_failed(seed):
    """Seeds of the long run: a hole that touches its outline; two panels that overlap by a quarter of a micrometre;
    material that hangs in a hole by a corner."""
    r = random.Random(seed)
    part = random_part(r)
    rule = r.choice(["faces", "fuse"])
    radius = r.choice(["inside", "equal-area", "outside"])
    assert nets_of(part, rule, radius_rule=radius, chord_error=r.choice([0.3, 0.5, 1.5])).checks.passed()


@pytest.mark.slow
@some_examples(20)
@given(any_part())
def test_the_same_part_gives_the_same_nets(part):
    a, b = nets_or_reject(part), nets_or_reject(part)
    for p, q in zip(a.pieces, b.pieces, strict=True):
        assert [x.outline.tolist() for x in p.panels] == [x.outline.tolist() for x in q.panels]
        assert p.marks == q.marks


def test_an_axis_along_the_edge_of_a_bore_is_marked_without_error():
    """Seed 5608 of the long run: the centre falls on a corner of the hole."""
    r = random.Random(5608)
    part = random_part(r)
    rule = r.choice(["faces", "fuse"])
    radius, error = r.choice(["inside", "equal-area", "outside"]), r.choice([0.3, 0.5, 1.5])
    assert nets_of(part, rule, radius_rule=radius, chord_error=error).checks.passed()


def test_progress_is_reported_step_by_step():
    faceted = facet(parts.TWO_SPIGOTS, 1.0, FacetChoice())
    steps = []
    build_nets(faceted, join(faceted), 1.0, listener=lambda step, share: steps.append((step, share)))
    assert list(dict.fromkeys(step for step, _ in steps)) == ["unfold", "refold"]
    assert [share for step, share in steps if step == "unfold"] == pytest.approx([0, 1 / 3, 2 / 3])


@pytest.mark.parametrize("part", [parts.TWO_SPIGOTS, parts.BORED, parts.ROCKER], ids=lambda p: p.name)
def test_joints_are_where_blocks_touch(part):
    """Flat, with their centroid by shapely, their normal from the first block to the second."""
    nets = nets_of(part)
    assert nets.joints
    for j in nets.joints:
        assert abs(j.normal[2]) == pytest.approx(1)
        flat = shapely.Polygon(j.outline[:, :2]).centroid
        assert j.at == pytest.approx([flat.x, flat.y, j.outline[0, 2]], abs=1e-6)
        height = [np.mean([p.origin[2] for q in nets.pieces if q.block == b for p in q.panels]) for b in j.blocks]
        assert (height[1] - height[0]) * j.normal[2] > 0
