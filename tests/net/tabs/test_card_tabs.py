"""Tabs and pin holes of a model for thick card."""

import math

import numpy as np
import pytest

import parts
from examples import few
from foldsketch.base.card import NO_CARD, Card
from foldsketch.job import pipeline
from foldsketch.part.model import Cylinder, PrismShape
from foldsketch.sheet.layout.net_lines import cut_paths, fold_lines
from solids import single

THICK = Card(0.25)


def test_tabs_are_one_card_under_their_targets():
    made = pipeline.make_model(single(Cylinder(40), 30), pipeline.Choices(card=THICK))
    piece = made.nets.pieces[0]
    lids = [t for t in piece.tabs if abs(t.angle - math.pi / 2) < 1e-9]
    assert lids and {t.crease_shift for t in lids} == {0.25}
    roots = {t.line for t in lids}
    drawn = [run for run, angle in fold_lines(piece, lambda p: p) if abs(angle - math.pi / 2) < 1e-9]
    away = []
    for (x0, y0), (x1, y1) in roots:
        mine = [r for r in drawn if abs(r[0][0] - x0) < 1e-6 and abs(r[1][0] - x1) < 1e-6 and abs(r[0][1] - y0) < 1]
        away += [abs(r[0][1] - y0) for r in mine if y0 == pytest.approx(y1)]
    assert away and all(d == pytest.approx(0.25) for d in away)


def depths(nets):
    """Of every tab its fold angle and how deep its crease, on the middle of the sheet, is under the middle of its
    target, in thicknesses of the card: from where both panels stand in space."""
    panels = {(p.id, q.id): q for p in nets.pieces for q in p.panels}
    for piece in nets.pieces:
        for t in piece.tabs:
            own, target = panels[piece.id, t.panel], panels[t.meets.piece, t.meets.panel]
            a, b = (np.array(v) for v in t.line)
            along = (b - a) / np.linalg.norm(b - a)
            crease = (a + b) / 2 + np.array([-along[1], along[0]]) * t.crease_shift
            stands = own.to_space @ np.array([*crease, 0.0]) + own.origin
            yield t.angle, float((target.origin - stands) @ target.to_space[:, 2]) / nets.card.thickness


@pytest.mark.parametrize("part", few(parts.ALL, 3), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_how_deep_tabs_are_under_their_targets(part, rule):
    """One thickness at right angles, mountain or valley, and at sharper ones; 1 - cos of the angle at flatter ones."""
    for angle, depth in depths(pipeline.make_model(part, pipeline.Choices(card=THICK, join=rule)).nets):
        flat = abs(angle) < math.pi / 2 - 1e-6
        assert depth == pytest.approx(1 - math.cos(angle) if flat else 1.0, abs=1e-6), math.degrees(angle)


@pytest.mark.parametrize("card", [NO_CARD, Card(0.25), Card(0.5)], ids=lambda c: f"{c.thickness}")
def test_a_tab_is_shorter_by_what_its_crease_moves_in(card):
    """So that the flap from crease to rim is as broad as without card: 7 mm, the broadest, where there is room."""
    block = single(PrismShape(4, 60.0), 40)
    piece = pipeline.make_model(block, pipeline.Choices(scale=1.0, card=card)).nets.pieces[0]
    lids = [t for t in piece.tabs if abs(t.angle - math.pi / 2) < 1e-9]
    assert len(lids) == len(piece.tabs) == 7
    for t in lids:
        (x0, y0), (x1, y1) = t.line
        away = (t.outline - (x0, y0)) @ (y1 - y0, x0 - x1) / math.hypot(x1 - x0, y1 - y0)
        assert float(away.max()) + t.crease_shift == pytest.approx(7.0)
        assert t.crease_shift == pytest.approx(card.thickness)


def test_pin_holes_let_the_needle_through():
    thin, thick = (pipeline.make_model(single(Cylinder(40), 30), pipeline.Choices(card=c)) for c in (NO_CARD, THICK))

    def pins(made):
        return {d[2] for p in made.nets.pieces for m in p.marks if m.kind == "pin" for d in m.dots}

    assert {r + 0.125 for r in pins(thin)} == pins(thick)


def test_thick_card_is_slit_down_to_the_creases():
    """Between two tabs on one edge the cut goes on to the crease; thin card gives without."""
    thin, thick = (
        pipeline.make_model(single(Cylinder(40), 30), pipeline.Choices(card=Card(t))).nets.pieces[0]
        for t in (0.25, 0.5)
    )
    lengths = []
    for piece in (thin, thick):
        paths = [p for p in cut_paths(piece, lambda p: p) if len(p) == 2]
        lengths.append([math.dist(*p) for p in paths])
    assert all(d > 1 for d in lengths[0])
    slits = [d for d in lengths[1] if d < 1]
    assert slits == pytest.approx([0.5] * len(slits), abs=1e-5)
    lids = [t for t in thick.tabs if abs(t.angle - math.pi / 2) < 1e-9]
    assert len(lids) < len(slits) <= 2 * len(lids), "neighbours share one"
