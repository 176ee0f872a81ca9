"""The oracle: right nets fold to the solid, and every small lie is found out."""

import dataclasses
import math

import numpy as np
import pytest

import parts
from foldsketch.net.build import build_nets
from foldsketch.net.refold import check_nets
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join


def nets_of(part, rule="faces", page=None, scale=1.0, **choice):
    faceted = facet(part, scale, FacetChoice(**choice))
    return build_nets(faceted, join(faceted, rule), scale, page)


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_part_folds_right(part, rule):
    nets = nets_of(part, rule)
    assert nets.checks.passed(), nets.checks
    assert nets.checks.refold_gap < 1e-11
    assert nets.checks.volume_error < 1e-11


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_cut_edges_and_folds_add_up(part):
    """Every edge of the skin is a fold or carries exactly one tab or butt joint."""
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


def _with_piece(nets, k, **change):
    pieces = list(nets.pieces)
    pieces[k] = dataclasses.replace(pieces[k], **change)
    return dataclasses.replace(nets, pieces=tuple(pieces))


@pytest.mark.parametrize("k", [0, 3, 7, -1])
def test_a_flipped_fold_is_found(k):
    nets = nets_of(parts.TWO_SPIGOTS)
    folds = list(nets.pieces[0].folds)
    folds[k] = folds[k]._replace(angle=-folds[k].angle)
    checks = check_nets(_with_piece(nets, 0, folds=tuple(folds)))
    assert not checks.passed()
    assert checks.refold_gap > 1.0


def test_a_stretched_panel_is_found():
    nets = nets_of(parts.TWO_SPIGOTS)
    panels = list(nets.pieces[0].panels)
    panels[0] = dataclasses.replace(panels[0], outline=panels[0].outline * 1.001)
    assert not check_nets(_with_piece(nets, 0, panels=tuple(panels))).passed()


def test_a_tab_that_meets_the_wrong_edge_is_found():
    nets = nets_of(parts.TWO_SPIGOTS)
    tabs = list(nets.pieces[0].tabs)
    tabs[0], tabs[1] = (
        tabs[0]._replace(meets=tabs[1].meets),
        tabs[1]._replace(meets=tabs[0].meets),
    )
    assert check_nets(_with_piece(nets, 0, tabs=tuple(tabs))).refold_gap > 1.0


def test_a_tab_that_sticks_out_behind_its_panel_is_found():
    nets = nets_of(parts.SLEEVE)
    piece = nets.pieces[0]
    tabs = list(piece.tabs)
    t = tabs[0]
    a, b = np.array(t.line)
    out = (t.outline.mean(axis=0) - (a + b) / 2) * 20
    wide = t.outline.copy()
    far = [i for i in range(4) if min(np.hypot(*(wide[i] - a)), np.hypot(*(wide[i] - b))) > 1e-9]
    wide[far] += out
    tabs[0] = t._replace(outline=wide)
    assert not check_nets(_with_piece(nets, 0, tabs=tuple(tabs))).tabs_inside


def test_an_overlap_is_found():
    nets = nets_of(parts.TWO_SPIGOTS)
    panels = list(nets.pieces[0].panels)
    ends = [i for i, p in enumerate(panels) if p.kind == "end"]
    moved = panels[ends[0]].outline - panels[ends[0]].outline.mean(axis=0) + panels[ends[1]].outline.mean(axis=0)
    panels[ends[0]] = dataclasses.replace(panels[ends[0]], outline=moved)
    assert check_nets(_with_piece(nets, 0, panels=tuple(panels))).overlap_area > 100


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


@pytest.mark.parametrize("angle", [30, 90, 123.4])
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


def test_a_net_larger_than_the_page_is_parted_at_folds():
    page = (194.0, 150.0)
    nets = nets_of(parts.TWO_SPIGOTS, page=page)
    assert len(nets.pieces) > 3
    assert nets.checks.passed()
    for piece in nets.pieces:
        corners = np.concatenate([p.outline for p in piece.panels] + [t.outline for t in piece.tabs])
        w, h = np.ptp(corners, axis=0)
        assert min(w, h) <= page[1] and max(w, h) <= page[0]


def test_a_block_turned_inside_out_does_not_pass():
    nets = nets_of(parts.TWO_SPIGOTS)
    facts = tuple(dataclasses.replace(b, volume=-b.volume) for b in nets.blocks)
    assert not check_nets(dataclasses.replace(nets, blocks=facts)).passed()
