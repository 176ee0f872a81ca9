"""Partly folded nets: flat at 0, the model at 1, and every fold at its share between."""

import itertools
import math

import numpy as np
import pytest
import shapely

import parts
from foldsketch.assembly.partial_fold import fold_partially
from nets import in_space, nets_of

SOME = [parts.TWO_SPIGOTS, parts.SLEEVE, parts.TAPER, parts.BLIND]


def normal(loop):
    n = np.cross(loop, np.roll(loop, -1, axis=0)).sum(axis=0)
    return n / np.linalg.norm(n)


@pytest.mark.parametrize("part", SOME, ids=lambda p: p.name)
def test_folded_wholly_panels_stand_in_the_model_and_tabs_lie_on_their_targets(part):
    nets = nets_of(part)
    panels = {(p.id, q.id): q for p in nets.pieces for q in p.panels}
    for piece in nets.pieces:
        tabs = {t.number: t for t in piece.tabs}
        for s in fold_partially(piece, 1.0):
            own = panels[piece.id, s.panel]
            if not s.tab:
                for loop, flat in zip(s.loops, (own.outline, *own.holes), strict=True):
                    assert loop == pytest.approx(in_space(own, flat), abs=1e-9)
                continue
            meets = tabs[s.tab].meets
            target = panels[meets.piece, meets.panel]
            (loop,) = s.loops
            flat = (loop - target.origin) @ target.to_space
            assert np.abs(flat[:, 2]).max() < 1e-9, "in the plane of its target"
            behind = shapely.Polygon(flat[:, :2])
            assert shapely.Polygon(target.outline, target.holes).buffer(1e-6).contains(behind)


@pytest.mark.parametrize("part", SOME, ids=lambda p: p.name)
def test_flat_all_lies_as_on_paper(part):
    for piece in nets_of(part).pieces:
        paper = {p.id: p.outline for p in piece.panels}
        flaps = {t.number: t.outline for t in piece.tabs}
        made = fold_partially(piece, 0.0)
        space = np.concatenate([s.loops[0] for s in made])
        flat = np.concatenate([flaps[s.tab] if s.tab else paper[s.panel] for s in made])
        apart = np.linalg.norm(space[:, None] - space[None], axis=2)
        assert apart == pytest.approx(np.linalg.norm(flat[:, None] - flat[None], axis=2), abs=1e-9)
        for p in piece.panels[:1]:
            assert space[: len(p.outline)] == pytest.approx(in_space(p, p.outline)), "the first panel keeps its place"


@pytest.mark.parametrize("share", [0.0, 0.3, 0.5, 1.0])
def test_neighbours_stand_at_their_share_of_the_fold(share):
    piece = nets_of(parts.TWO_SPIGOTS).pieces[1]
    made = {s.panel: normal(s.loops[0]) for s in fold_partially(piece, share, tabs=False)}
    assert set(made) == {p.id for p in piece.panels}
    for f in piece.folds:
        a, b = (made[k] for k in f.panels)
        assert math.acos(max(-1.0, min(1.0, float(a @ b)))) == pytest.approx(abs(f.angle) * share, abs=1e-6)


@pytest.mark.parametrize("base", [0, 3, -1])
def test_the_base_keeps_its_place_in_the_model(base):
    piece = nets_of(parts.TWO_SPIGOTS).pieces[0]
    panel = piece.panels[base]
    for share in (0.0, 0.4, 1.0):
        made = {s.panel: s.loops[0] for s in fold_partially(piece, share, tabs=False, base=panel.id)}
        assert made[panel.id] == pytest.approx(in_space(panel, panel.outline), abs=1e-9)
        others = [made[p.id] - in_space(p, p.outline) for p in piece.panels]
        assert (max(np.abs(o).max() for o in others) < 1e-9) == (share == 1.0)


def test_tabs_are_bent_as_the_folds_are_unless_given_otherwise():
    piece = nets_of(parts.TWO_SPIGOTS).pieces[1]
    angle = {t.number: t.angle for t in piece.tabs}
    for share, tab_share, wanted in ((1.0, None, 1.0), (0.5, None, 0.5), (1.0, 0.0, 0.0), (0.0, 1.0, 1.0)):
        made = fold_partially(piece, share, tab_share=tab_share)
        panels = {s.panel: normal(s.loops[0]) for s in made if not s.tab}
        tabs = [s for s in made if s.tab]
        assert len(tabs) == len(piece.tabs)
        for s in tabs:
            turned = math.acos(max(-1.0, min(1.0, float(normal(s.loops[0]) @ panels[s.panel]))))
            assert turned == pytest.approx(abs(angle[s.tab]) * wanted, abs=1e-6)


def test_each_fold_may_have_a_share_of_its_own():
    """All flat but one: what lies on each side of that one keeps together."""
    piece = nets_of(parts.TWO_SPIGOTS).pieces[1]
    bent = piece.folds[2]
    made = {
        s.panel: normal(s.loops[0]) for s in fold_partially(piece, lambda f: 1.0 if f is bent else 0.0) if not s.tab
    }
    for one, two in itertools.pairwise(sorted(made)):
        between = math.acos(max(-1.0, min(1.0, float(made[one] @ made[two]))))
        assert min(abs(between), abs(between - abs(bent.angle))) < 1e-6
    a, b = (made[k] for k in bent.panels)
    assert math.acos(float(a @ b)) == pytest.approx(abs(bent.angle))


def test_each_tab_may_have_a_share_of_its_own():
    piece = nets_of(parts.TWO_SPIGOTS).pieces[1]
    angle = {t.number: t.angle for t in piece.tabs}
    last = max(angle)
    made = fold_partially(piece, 1.0, tab_share=lambda n: 0.5 if n == last else 0.0)
    panels = {s.panel: normal(s.loops[0]) for s in made if not s.tab}
    for s in (s for s in made if s.tab):
        turned = math.acos(max(-1.0, min(1.0, float(normal(s.loops[0]) @ panels[s.panel]))))
        assert turned == pytest.approx(abs(angle[last]) / 2 if s.tab == last else 0.0, abs=1e-6)
