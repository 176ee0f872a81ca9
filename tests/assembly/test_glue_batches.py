"""In what batches a net of many features is glued, read from the folds themselves."""

import math
import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch import model
from foldsketch.assembly.glue_batches import (
    MIN_TABS_TO_BATCH,
    batch_by_folds,
    batch_tabs,
    folds_to_bend,
    tab_loops,
    tabs_closing_together,
)
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.job.pipeline import Choices
from foldsketch.net.refold import fold_piece
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets, nets_of, nets_or_reject, one, some_examples
from strategies import parts, random_part

SAMPLES = Path(__file__).parents[2] / "samples"


def quick(name, **facets):
    """The nets of a sample's quick model in one body at half size."""
    (part, *_) = read_part(SAMPLES / name)
    coarse = replace(coarsen_facets(FacetChoice()), **facets)
    return model(part, Choices(join="fuse", scale=0.5, facets=coarse)).nets


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
    (piece,) = nets_of(one(PrismShape(6, 50.0), 40)).pieces
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
@some_examples(40)
@given(parts(), st.sampled_from(["faces", "fuse"]))
def test_a_tab_reaches_its_edge_when_the_folds_of_its_loop_are_bent(part, rule):
    for piece in nets_or_reject(part, rule, chord_error=2.5).pieces:
        if len(piece.folds) != len(piece.panels) - 1:
            assert len(batch_tabs(piece, sorted(tab_loops(piece)))) <= 1, "a fold split by an opening bends as one"
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


@pytest.mark.slow
@some_examples(40)
@given(parts())
def test_batches_glue_every_tab_once_features_first(part):
    for piece in nets_or_reject(part, "fuse", chord_error=2.5).pieces:
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
        assert len(alone) == len(set(alone)), "each feature has one batch"


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
    for nets in (nets_of(shaft, "fuse", sides=4), nets_of(Part("p", shaft.axes, shaft.features[:1]))):
        for piece in nets.pieces:
            own = sorted(tab_loops(piece))
            if len(own) < 8 or len({p.feature for p in piece.panels}) == 1:
                assert batch_tabs(piece, own) == ([tuple(own)] if own else [])


def test_batches_by_folds():
    """Begun by the fewest folds, joined by what needs one more, up to four; a tab alone joins the next."""
    a, b, c, d, e, f, g = ((k, k + 1) for k in range(7))
    needs = {
        1: frozenset((a, b, c)),
        2: frozenset((a, b, c, d)),
        3: frozenset((a, b, c, d, e)),
        4: frozenset((f, g, a)),
    }
    assert batch_by_folds(needs, frozenset()) == [(1, 2, 3), (4,)]
    assert batch_by_folds(needs, frozenset((f,))) == [(4, 1, 2, 3)], "4 alone comes first"
    assert batch_by_folds({5: frozenset((a, b)), 6: frozenset((c, d, e))}, frozenset()) == [(5, 6)]
    assert batch_by_folds({}, frozenset()) == []
    more = {7: needs[3] | {f}, 8: needs[3] | {f, g}, 9: needs[2]}
    assert batch_by_folds(needs | more, frozenset((f, g))) == [(4, 1, 2, 9), (3, 7, 8)], "two close with one fold"


def test_what_one_fold_closes_is_glued_together():
    """Of the rocker's last tabs two pairs come to their edges at once: with either of a pair glued and its folds bent
    the other lies at its edge too."""
    nets = quick("three-boss-rocker.toml", rotation=math.radians(10))
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


@pytest.mark.parametrize("seed", [2, 26, 29, 32, 33])
def test_a_net_of_two_features_and_seven_tabs_is_glued_in_one_go(seed):
    """With eight it is glued feature by feature. Seeds of random bodies whose nets have so many tabs of their own."""
    pieces = nets_of(random_part(random.Random(seed)), "fuse", chord_error=2.5).pieces
    loops = {p.id: sorted(tab_loops(p)) for p in pieces}
    long = [p for p in pieces if len(loops[p.id]) >= 8 and len({q.feature for q in p.panels}) > 1]
    assert long
    for piece in long:
        numbers = loops[piece.id]
        assert batch_tabs(piece, numbers[:7]) == [tuple(numbers[:7])]
        assert len(batch_tabs(piece, numbers[:8])) > 1


def test_a_net_without_tabs_of_its_own_has_no_batches():
    (piece,) = nets_of(one(PrismShape(6, 50.0), 40)).pieces
    assert batch_tabs(piece, []) == []
