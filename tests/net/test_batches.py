"""Batches: in which a net of many features is glued, read from the folds themselves."""

import math
import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldsketch import model
from foldsketch.assembly.glue_batches import (
    MIN_TABS_TO_BATCH,
    _batch_by_folds,
    batch_tabs,
    folds_to_bend,
    tab_loops,
    tabs_closing_together,
)
from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.pipeline import Choices
from foldsketch.net.build import build_nets
from foldsketch.net.refold import fold_piece
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.sheet.booklet.scene import loop_normal
from foldsketch.sheet.booklet.step_views import gluing_view
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets
from foldsketch.solid.joining.blocks import join
from strategies import parts, random_part

SAMPLES = Path(__file__).parents[2] / "samples"


def quick(name):
    """The nets of a sample's quick model in one body at half size."""
    (part, *_) = read_part(SAMPLES / name)
    return model(part, Choices(quick=True, join="fuse", scale=0.5, facets=coarsen_facets(FacetChoice()))).nets


def fused(part, **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return build_nets(faceted, join(faceted, "fuse"), 1.0)


def edges_apart(piece, number, share):
    """How far the tab's root and the edge it goes behind lie apart when folds are bent by their shares, mm."""
    tab = next(t for t in piece.tabs if t.number == number and t.meets.piece == piece.id)
    folds = tuple(f._replace(angle=f.angle * share(f)) for f in piece.folds)
    places = fold_piece(replace(piece, folds=folds))

    def ends(panel, line):
        turn, shift = places[panel]
        return np.array(line) @ turn[:, :2].T + shift

    one, two = ends(tab.panel, tab.line), ends(tab.meets.panel, tab.meets.line)
    return max(min(float(np.linalg.norm(p - q)) for q in two) for p in one)


def test_the_loop_of_a_seam_is_the_strip_and_of_an_end_its_wall():
    box = Part("p", (Axis("A"),), (Feature("box", "A", PrismShape(6, 50.0), 0, 40),))
    (piece,) = fused(box).pieces
    kinds = {p.id: p.kind for p in piece.panels}
    for number, loop in tab_loops(piece).items():
        (tab,) = (t for t in piece.tabs if t.number == number)
        assert {tab.panel, tab.meets.panel} <= loop
        between = [kinds[k] for k in loop]
        if kinds[tab.panel] == kinds[tab.meets.panel] == "side":
            assert sorted(between) == ["side"] * 6
        else:
            assert between.count("end") == 1 and 2 <= len(between) <= 7
        assert len(folds_to_bend(piece, [number])) == len(loop) - 1


@pytest.mark.slow
@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(parts(), st.sampled_from(["faces", "fuse"]))
def test_a_tab_reaches_its_edge_when_the_folds_of_its_loop_are_bent(part, rule):
    try:
        faceted = facet(part, 1.0, FacetChoice(chord_error=2.5))
        nets = build_nets(faceted, join(faceted, rule), 1.0)
    except FoldsketchError:
        return
    for piece in nets.pieces:
        if len(piece.folds) != len(piece.panels) - 1:
            assert len(batch_tabs(piece, sorted(tab_loops(piece)))) <= 1, "a fold parted by an opening bends as one"
            continue
        for number in list(tab_loops(piece))[::3]:
            now = folds_to_bend(piece, [number])
            assert edges_apart(piece, number, lambda f, now=now: 1.0 if f.panels in now else 0.0) < 1e-6


def test_and_not_before():
    """Of the rocker in one net: with one fold of the loop still flat no tab reaches its edge."""
    (piece,) = quick("three-boss-rocker.toml").pieces
    for number in tab_loops(piece):
        now = folds_to_bend(piece, [number])
        for out in now:
            less = now - {out}
            assert edges_apart(piece, number, lambda f, less=less: 1.0 if f.panels in less else 0.0) > 0.1


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(parts())
def test_batches_glue_every_tab_once_features_first(part):
    try:
        nets = fused(part, chord_error=2.5)
    except FoldsketchError:
        return
    for piece in nets.pieces:
        feature = {p.id: p.feature for p in piece.panels}
        loops = tab_loops(piece)
        batches = batch_tabs(piece, sorted(loops))
        assert sorted(n for r in batches for n in r) == sorted(loops)
        if len(loops) < MIN_TABS_TO_BATCH or len(set(feature.values())) == 1 or len(piece.folds) >= len(piece.panels):
            assert len(batches) <= 1
            continue
        of = [{feature[k] for n in r for k in loops[n]} for r in batches]
        one = [len(features) == 1 for features in of]
        assert one == sorted(one, reverse=True), "what closes within one feature comes first"
        alone = [features.copy().pop() for features in of if len(features) == 1]
        assert len(alone) == len(set(alone)), "each feature has one round"


def test_the_rocker_in_one_net_is_glued_boss_by_boss_and_its_lid_has_nothing_hanging_on_it():
    nets = quick("three-boss-rocker.toml")
    (piece,) = nets.pieces
    steps = [s for s in assembly_steps(nets) if s.kind != "cut"]
    assert [s.kind for s in steps] == ["glue"] * (len(steps) - 1) + ["close"]
    assert {s.folded_features[0] for s in steps if len(s.folded_features) == 1} >= {"left boss", "right boss"}
    assert max(len(s.tabs) for s in steps) <= 6
    assert steps[-2].folded_features == () and all(s.folded_features for s in steps[:-2]), (
        "at last nothing is left flat"
    )
    assert sum(steps[-1].closing_panel in f.panels for f in piece.folds) == 1, "the lid is a leaf"
    assert piece.panel(steps[-1].closing_panel).kind == "end"
    glued = []
    for s in steps:
        assert s.already_glued_tabs == tuple(glued)
        glued += s.tabs
    assert sorted(glued) == sorted({t.number for t in piece.tabs})


def test_small_nets_and_nets_of_one_feature_are_glued_in_one_go():
    shaft = Part("p", (Axis("A"),), (Feature("a", "A", Cylinder(40), 0, 30), Feature("b", "A", Cylinder(24), 30, 60)))
    for nets in (fused(shaft, sides=4), fused(Part("p", shaft.axes, shaft.features[:1]))):
        for piece in nets.pieces:
            own = sorted(tab_loops(piece))
            if len(own) < 8 or len({p.feature for p in piece.panels}) == 1:
                assert batch_tabs(piece, own) == ([tuple(own)] if own else [])


def first_batches(count, seeds):
    """Nets, pieces and the first step of such that are glued feature by feature, of random one-body models."""
    found = 0
    for seed in seeds:
        try:
            nets = fused(random_part(random.Random(seed)), chord_error=2.5)
        except FoldsketchError:
            continue
        for step in assembly_steps(nets):
            own = next(p for p in nets.pieces if p.id == step.piece)
            if len(step.folded_features) == 1 and not folds_to_bend(own, step.already_glued_tabs):
                yield nets, own, step
                found += 1
        if found >= count:
            return


@pytest.mark.slow
def test_in_the_picture_of_a_feature_the_rest_lies_flat_and_as_little_as_can_be_hangs_below():
    """Held against every panel in turn as the one that lies on the table."""
    seen = 0
    for _, piece, step in first_batches(25, range(300, 500)):
        seen += 1
        now = folds_to_bend(piece, step.tabs)
        stage = gluing_view(piece, step, None)
        panels = [t.loops[0] for t in stage.things][: len(piece.panels)]
        up = stage.seen[1] * math.cos(0.62) + stage.seen[2] * math.sin(0.62)
        kinds = {p.id: p.kind for p in piece.panels}
        shown = fold_partially(
            piece,
            lambda f, now=now, kinds=kinds: (
                0.0 if f.panels not in now else 0.75 if any(kinds[k] != "side" for k in f.panels) else 0.88
            ),
            tabs=False,
        )
        lowest = [
            min(-float(((t.loops[0] - s.loops[0][0]) @ loop_normal(s.loops[0])).max()) for t in shown) for s in shown
        ]
        level = [float((loop @ up).max() - (loop @ up).min()) < 1e-6 for loop in panels]
        table = [float((loop @ up).mean()) for loop, flat in zip(panels, level, strict=True) if flat]
        low = min(float((loop @ up).min()) for loop in panels)
        assert min(abs(t - low + max(lowest)) for t in table) < 2e-3
    assert seen >= 25


@pytest.mark.slow
def test_a_lid_stays_open_while_the_rest_is_glued_in_batches():
    """No fold of it is bent by a batch before the step that closes it."""
    seen = 0
    for seed in range(80):
        try:
            nets = fused(random_part(random.Random(seed)), chord_error=2.5)
        except FoldsketchError:
            continue
        steps = assembly_steps(nets)
        for step in steps:
            own = next((p for p in nets.pieces if p.id == step.piece), None)
            earlier = [s for s in steps if s.piece == step.piece and s.kind == "glue"]
            if step.kind != "close" or step.closing_panel is None or len(earlier) < 2:
                continue
            seen += 1
            folds = folds_to_bend(own, (n for s in earlier for n in s.tabs))
            assert not any(step.closing_panel in pair for pair in folds)
    assert seen >= 5


def test_batches_by_folds():
    """Begun by the fewest folds, joined by what needs one more, up to four; a tab alone joins the next."""
    a, b, c, d, e, f, g = ((k, k + 1) for k in range(7))
    needs = {
        1: frozenset((a, b, c)),
        2: frozenset((a, b, c, d)),
        3: frozenset((a, b, c, d, e)),
        4: frozenset((f, g, a)),
    }
    assert _batch_by_folds(needs, frozenset()) == [(1, 2, 3), (4,)]
    assert _batch_by_folds(needs, frozenset((f,))) == [(4, 1, 2, 3)], "4 alone comes first"
    assert _batch_by_folds({5: frozenset((a, b)), 6: frozenset((c, d, e))}, frozenset()) == [(5, 6)]
    assert _batch_by_folds({}, frozenset()) == []
    more = {7: needs[3] | {f}, 8: needs[3] | {f, g}, 9: needs[2]}
    assert _batch_by_folds(needs | more, frozenset((f, g))) == [(4, 1, 2, 9), (3, 7, 8)], "two close with one fold"


def test_what_one_fold_closes_is_glued_together():
    """Of the rocker's last tabs two pairs come to their edges at once: with either of a pair glued and its folds bent
    the other lies at its edge too."""
    (part, *_) = read_part(SAMPLES / "three-boss-rocker.toml")
    facets = replace(coarsen_facets(FacetChoice()), rotation=math.radians(10))
    nets = model(part, Choices(quick=True, join="fuse", scale=0.5, facets=facets)).nets
    (piece,) = nets.pieces
    before, pairs = [], []
    for step in assembly_steps(nets):
        if step.kind == "cut":
            continue
        for group in tabs_closing_together(piece, step.tabs, before):
            now = folds_to_bend(piece, [*before, group[0]])
            for n in group:
                assert edges_apart(piece, n, lambda f, now=now: 1.0 if f.panels in now else 0.0) < 1e-6
            pairs.append(group)
        before += step.tabs
    assert len(pairs) >= 2
    # The walls of this boss hang on each other by its lid: were its seam glued first, the lid would come with it.
    (boss,) = (s.tabs for s in assembly_steps(nets) if s.folded_features == ("left boss",))
    assert tabs_closing_together(piece, boss, []) == []
    assert tabs_closing_together(piece, boss[-1:] + boss[:-1], []) != []


@pytest.mark.slow
def test_a_net_of_two_features_and_seven_tabs_is_glued_in_one_go():
    """With eight it is glued feature by feature."""
    found = {7: set(), 8: set()}
    for seed in range(400):
        try:
            nets = fused(random_part(random.Random(seed)), chord_error=2.5)
        except FoldsketchError:
            continue
        for piece in nets.pieces:
            own = sorted(tab_loops(piece))
            several = len({p.feature for p in piece.panels}) > 1 and len(piece.folds) < len(piece.panels)
            for count in found:
                if several and len(own) >= count:
                    found[count].add(len(batch_tabs(piece, own[:count])))
    assert found[7] == {1} and max(found[8]) > 1
