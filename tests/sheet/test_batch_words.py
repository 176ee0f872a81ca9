"""A net of many features, glued feature by feature: what is said, and what its pictures show."""

import random
from pathlib import Path

import numpy as np
import pytest

from booklets import booklet_of
from foldsketch.assembly.glue_batches import folds_to_bend
from foldsketch.base.drawing import WHITE, Text
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.booklet.scene import ACTIVE_FILL, TAB_FILL, PageRectangle, PaintedFace, paint_scene
from foldsketch.sheet.booklet.step_text import describe_step
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets
from strategies import random_part

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[2] / "samples").glob("*.toml"))}


def told_in_batches(name, **choice):
    """Titles and first sentences of the steps that glue a sample in one body, batch by batch, with the steps."""
    book = booklet_of(pipeline.make_model(read_part(SAMPLES[name])[0], pipeline.Choices(join="fuse", **choice)))
    return [
        (s, *describe_step(book, row)[:2]) for row, s in enumerate(book.steps) if s.folded_features or s.kind == "close"
    ]


def test_a_net_glued_in_batches_says_what_is_folded_and_what_waits():
    steps = told_in_batches("three-boss-rocker", quick=True, scale=0.5, facets=coarsen_facets(FacetChoice()))
    titles = [title for _, title, _ in steps]
    assert titles[:2] == ["Glue net 1: left boss", "Glue net 1: right boss"]
    assert titles[2:-1] == ["Glue net 1: further"] * (len(titles) - 3) and titles[-1] == "Close net 1"
    first, second, third = (words for _, _, words in steps[:3])
    assert first[0].startswith("Fold the walls of the left boss only, light grey in the picture, and glue tabs")
    assert first[1] == "Leave the rest as it is for now."
    assert second[0].startswith("Fold the walls of the right boss too, light grey in the picture, and glue tabs")
    assert third[0].startswith("Fold it up further at the light grey faces, as shown, and glue tabs")
    assert not any("Leave the rest" in w for _, _, words in steps[1:] for w in words)


def test_rolled_walls_are_rolled_in_batches_too():
    steps = told_in_batches("three-boss-rocker", facets=FacetChoice(walls="rolled"))
    said = {s.folded_features[0]: words[0].split()[0] for s, _, words in steps if len(s.folded_features) == 1}
    assert said == {"left arm": "Fold", "left boss": "Roll", "right boss": "Roll"}, "as their cut steps have them"


@pytest.mark.parametrize("seed", [27, 12, 59])
def test_a_first_batch_of_several_features_is_not_called_further(seed):
    quick = pipeline.Choices(quick=True, join="fuse", facets=coarsen_facets(FacetChoice()))
    book = booklet_of(pipeline.make_model(random_part(random.Random(seed)), quick))
    begun = set()
    for row, step in enumerate(book.steps):
        title, words, _ = describe_step(book, row)
        if step.folded_features:
            assert ("further" in " ".join((title, *words))) == (step.piece in begun and len(step.folded_features) > 1)
            assert ("Leave the rest as it is for now." in words) == (step.piece not in begun)
        if step.kind == "glue":
            begun.add(step.piece)


def test_what_is_folded_in_a_batch_is_light_grey():
    """The faces on both sides of the folds that its tabs need and no earlier ones did; of any other net none."""
    quick = pipeline.Choices(quick=True, join="fuse", scale=0.5, facets=coarsen_facets(FacetChoice()))
    book = booklet_of(pipeline.make_model(read_part(SAMPLES["three-boss-rocker"])[0], quick))
    (piece,) = book.pieces.values()
    batches = 0
    for row, step in enumerate(book.steps):
        if step.kind != "glue":
            continue
        stage = describe_step(book, row)[2]
        faces = [t for t in stage.things if isinstance(t, PaintedFace) and t.pen == 0.25]
        new = folds_to_bend(piece, step.tabs) - folds_to_bend(piece, step.already_glued_tabs)
        assert len(faces) == len(piece.panels)
        assert sum(f.fill == TAB_FILL for f in faces) == len({k for pair in new for k in pair})
        assert {f.fill for f in faces} <= {TAB_FILL, WHITE}
        batches += 1
    assert batches > 3
    sleeve = booklet_of(pipeline.make_model(read_part(SAMPLES["offset-bore-sleeve"])[0]))
    for row, step in enumerate(sleeve.steps):
        if step.kind == "glue":
            faces = [t for t in describe_step(sleeve, row)[2].things if isinstance(t, PaintedFace)]
            assert {f.fill for f in faces} <= {WHITE, ACTIVE_FILL}


def test_numbers_in_a_picture_stand_apart_each_within_its_tab():
    """Two tabs over each other: the smaller has the first choice, the number of the other moves towards a corner of its
    own; of two too small to move one is left out."""

    def tab(label, wide, high, back):
        x = wide / 2
        return PaintedFace(
            (np.array([(-x, 0, back), (x, 0, back), (x, 0, back + high), (-x, 0, back + high)], float),), label=label
        )

    box, eye = PageRectangle(0, 0, 60, 60), np.eye(3)[[0, 2, 1]] * [[1], [1], [-1]]

    def shown(*tabs):
        words = [
            i
            for i in paint_scene([*tabs, PaintedFace((tab("", 60, 60, -30).loops[0],))], eye, box, 1.0)
            if isinstance(i, Text)
        ]
        return {w.text: w.at for w in words}

    both = shown(tab("1", 40, 9, 0), tab("2", 1, 1, 4))
    assert both["2"][0] == pytest.approx(30) and 1.5 < abs(both["1"][0] - 30) <= 20
    assert abs(both["1"][0] - both["2"][0]) > text_width("1", 1.8) + 0.7 - 1e-9
    assert set(shown(tab("1", 1, 1, 0), tab("2", 1, 1, 0))) == {"1"}
