"""Rounds: in which a net of many features is glued, read from the folds themselves."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldsketch import model
from foldsketch.base.findings import FoldsketchError
from foldsketch.job import Choices
from foldsketch.net.build import build
from foldsketch.net.refold import folded
from foldsketch.net.rounds import MANY, bent, loops_of, rounds_of
from foldsketch.net.steps import steps_of
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.part.read import read_part
from foldsketch.solid.blocks import join
from foldsketch.solid.facet import facet
from foldsketch.solid.sides import FacetChoice, quicker
from strategies import parts

SAMPLES = Path(__file__).parents[2] / "samples"


def quick(name):
    """The nets of a sample's quick model in one body at half size."""
    (part, *_) = read_part(SAMPLES / name)
    return model(part, Choices(quick=True, join="fuse", scale=0.5, facets=quicker(FacetChoice()))).nets


def fused(part, **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return build(faceted, join(faceted, "fuse"), 1.0)


def edges_apart(piece, number, share):
    """How far the tab's root and the edge it goes behind lie apart when folds are bent by their shares, mm."""
    tab = next(t for t in piece.tabs if t.number == number and t.meets.piece == piece.id)
    folds = tuple(f._replace(angle=f.angle * share(f)) for f in piece.folds)
    places = folded(replace(piece, folds=folds))

    def ends(panel, line):
        turn, shift = places[panel]
        return np.array(line) @ turn[:, :2].T + shift

    one, two = ends(tab.panel, tab.line), ends(tab.meets.panel, tab.meets.line)
    return max(min(float(np.linalg.norm(p - q)) for q in two) for p in one)


def test_the_loop_of_a_seam_is_the_strip_and_of_an_end_its_wall():
    box = Part("p", (Axis("A"),), (Feature("box", "A", PrismShape(6, 50.0), 0, 40),))
    (piece,) = fused(box).pieces
    kinds = {p.id: p.kind for p in piece.panels}
    for number, loop in loops_of(piece).items():
        (tab,) = (t for t in piece.tabs if t.number == number)
        assert {tab.panel, tab.meets.panel} <= loop
        between = [kinds[k] for k in loop]
        if kinds[tab.panel] == kinds[tab.meets.panel] == "side":
            assert sorted(between) == ["side"] * 6
        else:
            assert between.count("end") == 1 and 2 <= len(between) <= 7
        assert len(bent(piece, [number])) == len(loop) - 1


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(parts(), st.sampled_from(["faces", "fuse"]))
def test_a_tab_reaches_its_edge_when_the_folds_of_its_loop_are_bent(part, rule):
    try:
        faceted = facet(part, 1.0, FacetChoice(chord_error=2.5))
        nets = build(faceted, join(faceted, rule), 1.0)
    except FoldsketchError:
        return
    for piece in nets.pieces:
        if len(piece.folds) != len(piece.panels) - 1:
            assert len(rounds_of(piece, sorted(loops_of(piece)))) <= 1, "a fold parted by an opening bends as one"
            continue
        for number in list(loops_of(piece))[::3]:
            now = bent(piece, [number])
            assert edges_apart(piece, number, lambda f, now=now: 1.0 if f.panels in now else 0.0) < 1e-6


def test_and_not_before():
    """Of the rocker in one net: with one fold of the loop still flat no tab reaches its edge."""
    (piece,) = quick("three-boss-rocker.toml").pieces
    for number in loops_of(piece):
        now = bent(piece, [number])
        for out in now:
            less = now - {out}
            assert edges_apart(piece, number, lambda f, less=less: 1.0 if f.panels in less else 0.0) > 0.1


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(parts())
def test_rounds_glue_every_tab_once_features_first(part):
    try:
        nets = fused(part, chord_error=2.5)
    except FoldsketchError:
        return
    for piece in nets.pieces:
        feature = {p.id: p.feature for p in piece.panels}
        loops = loops_of(piece)
        rounds = rounds_of(piece, sorted(loops))
        assert sorted(n for r in rounds for n in r) == sorted(loops)
        if len(loops) < MANY or len(set(feature.values())) == 1 or len(piece.folds) >= len(piece.panels):
            assert len(rounds) <= 1
            continue
        of = [{feature[k] for n in r for k in loops[n]} for r in rounds]
        one = [len(features) == 1 for features in of]
        assert one == sorted(one, reverse=True), "what closes within one feature comes first"
        alone = [features.copy().pop() for features in of if len(features) == 1]
        assert len(alone) == len(set(alone)), "each feature has one round"


def test_the_rocker_in_one_net_is_glued_boss_by_boss_and_its_lid_has_nothing_hanging_on_it():
    nets = quick("three-boss-rocker.toml")
    (piece,) = nets.pieces
    steps = [s for s in steps_of(nets) if s.kind != "cut"]
    assert [s.kind for s in steps] == ["glue"] * (len(steps) - 1) + ["close"]
    assert {s.only[0] for s in steps if len(s.only) == 1} >= {"left boss", "right boss"}
    assert max(len(s.tabs) for s in steps) <= 6
    assert sum(steps[-1].last in f.panels for f in piece.folds) == 1, "the lid is a leaf"
    assert piece.panel(steps[-1].last).kind == "end"
    glued = []
    for s in steps:
        assert s.before == tuple(glued)
        glued += s.tabs
    assert sorted(glued) == sorted({t.number for t in piece.tabs})


def test_small_nets_and_nets_of_one_feature_are_glued_in_one_go():
    shaft = Part("p", (Axis("A"),), (Feature("a", "A", Cylinder(40), 0, 30), Feature("b", "A", Cylinder(24), 30, 60)))
    for nets in (fused(shaft, sides=4), fused(Part("p", shaft.axes, shaft.features[:1]))):
        for piece in nets.pieces:
            own = sorted(loops_of(piece))
            if len(own) < MANY or len({p.feature for p in piece.panels}) == 1:
                assert rounds_of(piece, own) == ([tuple(own)] if own else [])


@pytest.mark.parametrize("name", ["three-boss-rocker.toml", "valve-lever.toml"])
def test_in_the_picture_of_a_feature_the_rest_lies_flat(name):
    from foldsketch.sheet.stages import gluing

    nets = quick(name)
    seen = 0
    for step in steps_of(nets):
        if len(step.only) != 1 or step.before:
            continue
        seen += 1
        piece = next(p for p in nets.pieces if p.id == step.piece)
        stage = gluing(piece, step, None)
        folded = {k for pair in bent(piece, step.tabs) for k in pair}
        panels = [t.loops[0] for t in stage.things][: len(piece.panels)]
        flat = [loop for p, loop in zip(piece.panels, panels, strict=True) if p.id not in folded]
        up = stage.seen[1] * math.cos(0.62) + stage.seen[2] * math.sin(0.62)
        heights = np.concatenate([loop @ up for loop in flat]) if flat else np.zeros(1)
        table = np.median(heights)
        lying = sum(np.abs(loop @ up - table).max() < 1e-6 for loop in flat)
        assert lying >= 1 and min(float((loop @ up).min()) for loop in panels) > table - 1e-6, "nothing below the table"
    assert seen or name == "valve-lever.toml"
