"""What a quick model's glue holds: no panel gives, though many edges around ends and holes are bare."""

import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import few
from foldsketch import model
from foldsketch.job import pipeline
from foldsketch.job.pipeline import Choices
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Ring
from foldsketch.solid.faceting.sides import FacetChoice
from nets import COARSE, coarsen_facets, nets_of, nets_or_reject, one, quick_model, some_examples
from rigid import flexes
from strategies import parts as any_part
from strategies import random_part

SAMPLES = sorted((Path(__file__).parents[3] / "samples").rglob("*.toml"))
SAMPLES = [p for p in SAMPLES if p.parent.name in ("samples", "lessons")]


@pytest.mark.parametrize("part", few(parts.ALL, 2), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", [pytest.param("faces", marks=pytest.mark.slow), "fuse"])
def test_without_the_tabs_left_out_no_panel_can_give(part, rule):
    nets = nets_of(part, rule, sparse=True, **COARSE)
    assert any(b.bare for p in nets.pieces for b in p.butts)
    assert {flexes(nets, b.id) for b in nets.blocks} == {0}


@pytest.mark.slow
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_nor_of_the_samples_as_they_come_out_quick(path):
    (part, *_) = read_part(path)
    nets = model(part, Choices(facets=coarsen_facets(FacetChoice()))).nets
    assert {flexes(nets, b.id) for b in nets.blocks} == {0}


def test_a_tube_stands_on_two_of_its_six_edges():
    """The six walls of a bore between two lids; and the count of flexes sees when it is glued to none of them."""
    nets = nets_of(one(Ring(60, 30), 30, sides=6), sparse=True)
    assert flexes(nets, 0) == 0
    tube = next(p for p in nets.pieces if all(q.kind == "side" for q in p.panels))
    free = replace(
        nets, pieces=tuple(replace(p, tabs=tuple(t for t in p.tabs if _apart(t, p, tube))) for p in nets.pieces)
    )
    assert flexes(free, 0) >= 6, "the tube is loose"


def _apart(tab, piece, tube):
    return (piece.id == tube.id) == (tab.meets.piece == tube.id)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("seed", "rule"), [(212, "fuse"), (478, "faces"), (518, "faces"), (25, "faces"), (544, "faces")]
)
def test_walls_that_once_swung_on_one_fold(seed, rule):
    r = random.Random(seed)
    part = random_part(r)
    assert r.choice(["faces", "fuse"]) == rule
    nets = quick_model(part, pipeline.Choices(join=rule, facets=coarsen_facets(FacetChoice()))).nets
    assert {flexes(nets, b.id) for b in nets.blocks} == {0}


@pytest.mark.slow
@some_examples(40)
@given(any_part(), st.sampled_from(["faces", "fuse"]))
def test_no_panel_swings_about_a_line(part, rule):
    """With all other panels fixed a panel with bare edges is held at points that are not on one line."""
    nets = nets_or_reject(part, rule, sparse=True, **COARSE)
    hinges = {(p.id, q.id): [] for p in nets.pieces for q in p.panels}
    for p in nets.pieces:
        for f in p.folds:
            for k in f.panels:
                hinges[p.id, k].append(f.line)
        for t in [*p.tabs, *(b for b in p.butts if not b.bare)]:
            hinges[p.id, t.panel].append(t.line)
            hinges[t.meets.piece, t.meets.panel].append(t.meets.line)
    bare = {(p.id, b.panel) for p in nets.pieces for b in p.butts if b.bare}
    bare |= {(b.meets.piece, b.meets.panel) for p in nets.pieces for b in p.butts if b.bare}
    panels = {(p.id, q.id): q for p in nets.pieces for q in p.panels}
    for panel in bare:
        ends = np.array([end for line in hinges[panel] for end in line])
        # A panel narrower than 0.5 mm is a line itself.
        outline = panels[panel].outline
        wide = np.linalg.svd(outline - outline.mean(axis=0), compute_uv=False)[1] > 0.5
        assert not wide or np.linalg.matrix_rank(ends - ends[0], tol=0.1) == 2
