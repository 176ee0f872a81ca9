"""Pictures of nets that are glued feature by feature: what lies flat, and on what the net lies."""

import math
import random

import pytest

from foldsketch.assembly.glue_batches import folds_to_bend
from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.base.findings import FoldsketchError
from foldsketch.sheet.booklet.scene import loop_normal
from foldsketch.sheet.booklet.step_views import gluing_view
from nets import nets_of
from strategies import random_part


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
