"""The fold-up check measures what was spoilt: each of its figures against the error that was put in."""

import dataclasses
import math

import numpy as np
import pytest
import shapely

import parts
from foldsketch.net.model import Checks
from foldsketch.net.refold import check_nets, fold_piece, fold_transforms
from nets import nets_of
from nets import shape_of as flat


@pytest.fixture(scope="module")
def right():
    return nets_of(parts.BORED)


def spoilt(nets, k, **change):
    pieces = list(nets.pieces)
    pieces[k] = dataclasses.replace(pieces[k], **change)
    return check_nets(dataclasses.replace(nets, pieces=tuple(pieces)))


def tuple_with(things, k, thing):
    return tuple(thing if i == k else t for i, t in enumerate(things))


def changed(thing, **change):
    """A copy of a frozen dataclass or a named tuple."""
    return thing._replace(**change) if hasattr(thing, "_replace") else dataclasses.replace(thing, **change)


@pytest.mark.parametrize("angle", [0.0, 0.7, -0.7, math.pi / 2, -2.0])
def test_paper_beyond_a_fold_turns_about_its_line(angle):
    """Points on the line stay; what lies to its right goes below the printed side for a mountain."""
    line = np.array([[[3.0, 1.0], [6.0, 5.0]]])
    (r,), (t,) = fold_transforms(line, np.array([angle]))
    assert r.T @ r == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(r) == pytest.approx(1)
    for p in line[0]:
        assert r @ (*p, 0.0) + t == pytest.approx([*p, 0.0])
    beyond = np.array([3.0 + 0.8 * 2, 1.0 - 0.6 * 2, 0.0])  # two millimetres to the right of the line's first end
    x, y, z = r @ beyond + t
    assert z == pytest.approx(-2 * math.sin(angle))
    assert (x - 3.0, y - 1.0) == pytest.approx((1.6 * math.cos(angle), -1.2 * math.cos(angle)))


def test_right_nets_measure_nothing(right):
    c = right.checks
    assert c == check_nets(right)
    assert c.tabs_inside and c.overlap_area == 0 and c.tab_clash == 0
    assert max(c.refold_gap, c.panel_gap, c.volume_error) < 1e-11


@pytest.mark.parametrize("k", [1, 5, -1])
@pytest.mark.parametrize("far", [0.001, 2.0])
def test_a_panel_stated_elsewhere_is_off_by_as_much(right, k, far):
    own = right.pieces[0].panels
    k %= len(own)
    moved = dataclasses.replace(own[k], origin=own[k].origin + np.array([0.6, 0.0, 0.8]) * far)
    c = spoilt(right, 0, panels=tuple_with(own, k, moved))
    assert c.panel_gap == pytest.approx(far)
    assert c.refold_gap < 1e-11, "folded it is in its place"
    assert not c.passed()


def test_a_first_panel_stated_elsewhere_takes_its_piece_away_from_the_others(right):
    """All of the piece follows it: the edges that are glued to another piece gape by as much."""
    k = next(i for i, p in enumerate(right.pieces) if any(t.meets.piece != p.id for t in p.tabs))
    own = right.pieces[k].panels
    moved = dataclasses.replace(own[0], origin=own[0].origin + np.array([0.0, 0.0, 1.5]))
    c = spoilt(right, k, panels=tuple_with(own, 0, moved))
    assert c.refold_gap == pytest.approx(1.5)
    assert c.panel_gap == pytest.approx(1.5)


@pytest.mark.parametrize("part", [parts.TWO_SPIGOTS, parts.POINT], ids=lambda p: p.name)
@pytest.mark.parametrize("bend", [0.01, -0.02])
def test_a_fold_bent_too_far_opens_the_joints_beyond_it(part, bend):
    """A seam or end beyond one fold moves by 2 sin(bend / 2) times its distance from the fold's line: as far as the
    farthest glued corner beyond it, and no farther than the model is wide."""
    nets = nets_of(part)
    for k, f in enumerate(nets.pieces[0].folds):
        folds = tuple_with(nets.pieces[0].folds, k, changed(f, angle=f.angle + bend))
        c = spoilt(nets, 0, folds=folds)
        size = np.ptp(np.concatenate([p.outline for p in nets.pieces[0].panels]), axis=0).max()
        assert 0.1 * abs(bend) < c.refold_gap < 2 * abs(math.sin(bend / 2)) * size
        assert c.volume_error > 1e-9
        assert not c.passed()


def test_a_panel_on_no_fold_is_found(right):
    first = right.pieces[0]
    ends = [p.id for p in first.panels if p.kind == "end"]
    c = spoilt(right, 0, folds=tuple(f for f in first.folds if ends[0] not in f.panels))
    assert c.refold_gap == c.volume_error == math.inf
    assert not c.passed()


@pytest.mark.parametrize("share", [0.9, 0.999, 1.001, 1.25])
@pytest.mark.parametrize("k", [0, 1, 2])
def test_the_volume_error_is_relative_to_what_a_block_should_hold(right, k, share):
    facts = dataclasses.replace(right.blocks[k], volume=right.blocks[k].volume * share)
    c = check_nets(dataclasses.replace(right, blocks=tuple_with(right.blocks, k, facts)))
    assert c.volume_error == pytest.approx(abs(1 / share - 1))


def test_what_two_panels_share_on_paper_is_the_overlap(right):
    own = right.pieces[0].panels
    a, b = (k for k, p in enumerate(own) if p.kind == "end")
    for shift in (0.0, 30.0, 80.0):
        on = own[a].outline.mean(axis=0) - own[b].outline.mean(axis=0) + np.array([shift, 0.0])
        moved = dataclasses.replace(own[b], outline=own[b].outline + on, holes=tuple(h + on for h in own[b].holes))
        others = [flat(p) for k, p in enumerate(own) if k != b] + [flat(t) for t in right.pieces[0].tabs]
        wanted = sum(flat(moved).intersection(o).area for o in others)
        assert wanted > 10
        c = spoilt(right, 0, panels=tuple_with(own, b, moved))
        assert c.overlap_area == pytest.approx(wanted, rel=1e-4)
        assert not c.passed()


def lid_tabs(nets, k):
    """Which tabs of a piece lie behind one of its ends, and that end."""
    piece = nets.pieces[k]
    end = next(p.id for p in piece.panels if p.kind == "end" and sum(t.meets.panel == p.id for t in piece.tabs) > 3)
    return [i for i, t in enumerate(piece.tabs) if t.meets.panel == end and t.meets.piece == piece.id], piece.panel(end)


def behind(tab):
    """A tab as it lies behind its panel: its root on the edge that it meets, by a plane similarity."""
    a, b = (complex(*p) for p in tab.line)
    d, c = (complex(*p) for p in tab.meets.line)  # the target's line runs the other way
    z = tab.outline[:, 0] + 1j * tab.outline[:, 1]
    z = c + (d - c) * (z - a) / (b - a)
    return shapely.Polygon(np.column_stack((z.real, z.imag)))


def test_tabs_lie_behind_their_panel_beside_one_another(right):
    own, end = lid_tabs(right, 0)
    shapes = [behind(right.pieces[0].tabs[i]) for i in own]
    assert all(flat(end).buffer(1e-6).contains(s) for s in shapes)
    assert max(a.intersection(b).area for k, a in enumerate(shapes) for b in shapes[k + 1 :]) < 1e-9


def test_what_two_tabs_share_behind_a_panel_is_the_clash(right):
    """One is made half as wide again at its far side toward a neighbour."""
    own, end = lid_tabs(right, 0)
    tabs = right.pieces[0].tabs
    t = tabs[own[0]]
    out = t.outline.copy()
    u = (out[-1] - out[0]) / np.linalg.norm(out[-1] - out[0])
    out[1] -= u * 6.0
    out[2] += u * 6.0
    wide = changed(t, outline=out)
    wanted = sum(behind(wide).intersection(behind(tabs[i])).area for i in own[1:])
    assert wanted > 1
    assert flat(end).contains(behind(wide).buffer(-1e-3))
    c = spoilt(right, 0, tabs=tuple_with(tabs, own[0], wide))
    assert c.tab_clash == pytest.approx(wanted, rel=1e-4)
    assert c.tabs_inside
    assert not c.passed()


def test_a_tab_too_wide_for_its_panel_sticks_out(right):
    own, end = lid_tabs(right, 0)
    tabs = right.pieces[0].tabs
    t = tabs[own[0]]
    out = t.outline.copy()
    away = (out[1] + out[2] - out[0] - out[3]) / 2
    out[1:3] += away / np.linalg.norm(away) * 100
    long = changed(t, outline=out)
    assert not flat(end).contains(behind(long))
    assert not spoilt(right, 0, tabs=tuple_with(tabs, own[0], long)).tabs_inside


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_folding_alone_brings_every_panel_to_its_place(part):
    for piece in nets_of(part).pieces:
        got = fold_piece(piece)
        for p in piece.panels:
            m, o = got[p.id]
            assert m == pytest.approx(p.to_space, abs=1e-9)
            assert o == pytest.approx(p.origin, abs=1e-9)
            assert np.linalg.det(p.to_space) == pytest.approx(1)


@pytest.mark.parametrize("k", [0, 3, 7, -1])
def test_a_flipped_fold_is_found(right, k):
    folds = right.pieces[0].folds
    k %= len(folds)
    c = spoilt(right, 0, folds=tuple_with(folds, k, changed(folds[k], angle=-folds[k].angle)))
    assert not c.passed() and c.refold_gap > 1.0


def test_a_stretched_panel_is_found(right):
    panels = right.pieces[0].panels
    wide = changed(panels[0], outline=panels[0].outline * 1.001)
    assert not spoilt(right, 0, panels=tuple_with(panels, 0, wide)).passed()


def test_a_tab_that_meets_the_wrong_edge_is_found(right):
    one, two, *others = right.pieces[0].tabs
    swapped = (changed(one, meets=two.meets), changed(two, meets=one.meets), *others)
    assert spoilt(right, 0, tabs=swapped).refold_gap > 1.0


def test_a_block_turned_inside_out_does_not_pass(right):
    facts = tuple(changed(b, volume=-b.volume) for b in right.blocks)
    assert check_nets(changed(right, blocks=facts)).volume_error == math.inf


def test_nets_without_tabs_are_measured_too(right):
    c = check_nets(changed(right, pieces=tuple(changed(p, tabs=(), butts=()) for p in right.pieces)))
    assert (c.refold_gap, c.overlap_area, c.tab_clash, c.tabs_inside) == (0.0, 0.0, 0.0, True) and c.passed()


@pytest.mark.parametrize(
    "change",
    [
        {"refold_gap": 2e-6},
        {"panel_gap": 2e-6},
        {"overlap_depth": 0.0011},
        {"tabs_inside": False},
        {"volume_error": 2e-9},
        {"refold_gap": math.nan},
    ],
    ids=str,
)
def test_one_figure_out_of_bounds_fails_the_check(change):
    good = Checks(1e-6, 1e-6, True, 1e-9, 1e-6, 1e-6, 1e-3)
    assert good.passed()
    assert not changed(good, **change).passed()
    assert changed(good, refold_gap=0.5).passed(gap=1.0)


def test_a_panel_is_found_by_its_number(right):
    piece = right.pieces[0]
    assert [piece.panel(p.id) for p in piece.panels] == list(piece.panels)
    with pytest.raises(KeyError):
        piece.panel(999)


def test_a_taped_edge_that_meets_the_wrong_edge_is_found():
    taped = nets_of(parts.BORED, hold="tape")
    assert taped.checks.passed()
    one, two, *others = taped.pieces[0].butts
    swapped = (changed(one, meets=two.meets), changed(two, meets=one.meets), *others)
    assert spoilt(taped, 0, butts=swapped).refold_gap > 1.0
