"""Pictures of the booklet: from where a net is seen, and what of its tabs is shown."""

import math
import random
from pathlib import Path

import numpy as np
import pytest

from booklets import booklet_of
from foldsketch.assembly.glue_batches import folds_to_bend
from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.base.drawing import LineType
from foldsketch.base.findings import FoldsketchError
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.booklet.scene import PaintedFace, loop_normal
from foldsketch.sheet.booklet.scene import PaintedPath as Trace
from foldsketch.sheet.booklet.step_text import describe_step
from foldsketch.sheet.booklet.step_views import gluing_view
from nets import nets_of
from strategies import random_part

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))}


def test_what_is_set_in_is_shown_from_where_the_net_is_open():
    """The tube is held on the blank side of the end behind which it goes."""
    book = booklet_of(pipeline.make_model(read_part(SAMPLES["offset-bore-sleeve"])[0], pipeline.Choices(join="fuse")))
    row = next(k for k in range(len(book.steps)) if describe_step(book, k)[0].startswith("Set "))
    step, stage = book.steps[row], describe_step(book, row)[2]
    end = next(p for p in book.pieces[step.piece].panels if p.kind == "end")
    up = stage.up
    assert float(end.to_space[:, 2] @ up) == pytest.approx(-1.0)
    held = [t for t in stage.things if isinstance(t, PaintedFace) and t.rank and t.rank[0] == 3.0]
    assert held and min(float((t.loops[0] @ up).min()) for t in held) > max(
        float((t.loops[0] @ up).max()) for t in stage.things if isinstance(t, PaintedFace) and t not in held
    )


@pytest.mark.parametrize("name", ["single-throw-crank", "offset-bore-sleeve"])
def test_every_numbered_tab_of_a_picture_has_its_outline_over_all(name):
    book = booklet_of(pipeline.make_model(read_part(SAMPLES[name])[0], pipeline.Choices(join="fuse")))
    for row in range(len(book.steps)):
        stage = describe_step(book, row)[2]
        if stage is None:
            continue
        tabs = [t.loops[0] for t in stage.things if isinstance(t, PaintedFace) and t.label]
        dashed = [t.points for t in stage.things if isinstance(t, Trace) and t.line is LineType.DASHED]
        assert len(tabs) == len(dashed)
        assert all(any(np.allclose(d[:-1], loop) for d in dashed) for loop in tabs)
        top = max(t.rank for t in stage.things if not getattr(t, "arrow", False))
        assert all(t.rank == top for t in stage.things if isinstance(t, Trace) and t.line is LineType.DASHED)


@pytest.mark.parametrize("name", ["single-throw-crank", "offset-bore-sleeve"])
def test_tabs_wait_straight_until_their_step(name):
    """In every picture: a tab of the step is bent out of the plane of its panel, one that is not yet due lies in it."""
    book = booklet_of(pipeline.make_model(read_part(SAMPLES[name])[0], pipeline.Choices(join="fuse")))
    straight = bent = 0
    for row, step in enumerate(book.steps):
        stage = describe_step(book, row)[2]
        if stage is None:
            continue
        faces = [t for t in stage.things if isinstance(t, PaintedFace)]
        planes = [(loop_normal(f.loops[0]), f.loops[0][0]) for f in faces if f.pen == 0.25]
        for f in faces:
            if f.pen != 0.18:
                continue
            root = f.loops[0][[0, -1]]
            own = [(n, o) for n, o in planes if np.abs((root - o) @ n).max() < 1e-6]
            flat = any(np.abs((f.loops[0] - o) @ n).max() < 1e-6 for n, o in own)
            if not f.label:
                assert flat, (row, step)
                straight += 1
            else:
                bent += 1
    assert straight > 5 and bent > 5


def first_batches(count, seeds):
    """Nets, pieces and the first step of such that are glued feature by feature, of random one-body models."""
    found = 0
    for seed in seeds:
        try:
            nets = nets_of(random_part(random.Random(seed)), "fuse", chord_error=2.5)
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
    """Compared with every panel in turn as the one that lies on the table."""
    seen = 0
    for _, piece, step in first_batches(25, range(300, 500)):
        seen += 1
        now = folds_to_bend(piece, step.tabs)
        stage = gluing_view(piece, step, None)
        panels = [t.loops[0] for t in stage.things if isinstance(t, PaintedFace)][: len(piece.panels)]
        up = stage.camera[1] * math.cos(0.62) + stage.camera[2] * math.sin(0.62)
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
