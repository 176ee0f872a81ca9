"""Narrow panels, tabs and bridges, and slender necks."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from foldsketch.assembly.build_warnings import equivalent_width, find_build_warnings, narrow_bridge_widths
from foldsketch.job import pipeline
from foldsketch.net.model import Fold, MatingEdge, Panel, Piece, Tab
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets, quick_model

SAMPLES = Path(__file__).parents[2] / "samples"


def panel(k, *corners, feature="web"):
    return Panel(k, np.array(corners, float), (), feature, "side", k, np.eye(3), np.zeros(3))


def box(k, x, y, w, h):
    return panel(k, (x, y), (x + w, y), (x + w, y + h), (x, y + h))


def test_width_of_a_rectangle_and_of_a_compact_panel():
    assert equivalent_width(box(0, 0, 0, 40, 2.5)) == pytest.approx(2.5)
    assert equivalent_width(box(0, 0, 0, 2.5, 40)) == pytest.approx(2.5)
    circle = [(5 * np.cos(t), 5 * np.sin(t)) for t in np.linspace(0, 2 * np.pi, 40, endpoint=False)]
    assert 8 < equivalent_width(panel(0, *circle)) < 10


def warnings(*pieces):
    """The findings by their codes."""
    found = find_build_warnings(pieces)
    assert all(f.level == "note" for f in found)
    return {f.code: f for f in found}


def test_a_narrow_panel_is_reported_with_its_feature():
    found = warnings(Piece("1", 0, (box(0, 0, 0, 40, 2.5), box(1, 0, 2.5, 40, 20)), ()))
    assert set(found) == {"panels-narrow"}
    note = found["panels-narrow"]
    assert note.value("count") == 1 and note.value("feature") == "web"
    assert note.value("narrowest").value == pytest.approx(2.5)


def flap(outline, root):
    """A piece with one tab."""
    tab = Tab(1, 0, outline, root, MatingEdge("1", 0, root[::-1]), 1.0)
    return Piece("1", 0, (box(0, 0, 0, 20, 10),), (), (tab,))


@pytest.mark.parametrize("turn", [0.0, 0.7, 2.0, 4.0])
def test_a_tab_is_as_wide_wherever_it_lies(turn):
    """2 mm from its root to its far side, at any turn and anywhere on the page."""
    c, s = np.cos(turn), np.sin(turn)
    moved = (np.array([(0, 0), (-2, 1), (-2, 9), (0, 10)]) @ np.array([(c, s), (-s, c)])) + (130.0, 45.0)
    root = (tuple(moved[3]), tuple(moved[0]))
    found = warnings(flap(moved, root))
    assert set(found) == {"tabs-narrow"}
    assert (found["tabs-narrow"].value("count"), found["tabs-narrow"].value("narrowest").value) == (1, pytest.approx(2))


def neck(*lengths):
    """Two squares of 20 mm with folds between them."""
    two = (box(0, 0, 0, 20, 20), box(1, 20, 0, 20, 20))
    folds = tuple(Fold((0, 1), ((20, 5 * k), (20, 5 * k + long)), 1.0) for k, long in enumerate(lengths))
    return find_build_warnings([Piece("7", 0, two, folds)])


@pytest.mark.parametrize("lengths", [(3.0,), (3.8, 3.0)])
def test_a_slender_neck_is_reported_with_its_shortest_fold(lengths):
    (note,) = neck(*lengths)
    assert (note.code, note.where) == ("neck-slender", "net 7")
    assert note.value("length").value == pytest.approx(3.0)
    assert not neck(6.0), "wide enough"


def test_a_neck_that_holds_little_is_no_matter():
    pair = (box(0, 0, 0, 20, 20), box(1, 20, 0, 8, 8))
    assert not find_build_warnings([Piece("7", 0, pair, (Fold((0, 1), ((20, 0), (20, 3)), 1.0),))])


def test_a_ring_of_folds_is_no_neck():
    trio = (box(0, 0, 0, 20, 20), box(1, 20, 0, 20, 20), box(2, 0, 20, 40, 20))
    folds = (
        Fold((0, 1), ((20, 0), (20, 3)), 1.0),
        Fold((0, 2), ((0, 20), (20, 20)), 1.0),
        Fold((1, 2), ((20, 20), (40, 20)), 1.0),
    )
    assert not find_build_warnings([Piece("7", 0, trio, folds)])


def test_a_rolled_wall_is_not_called_narrow():
    """Its flat sides are for the fold-up check alone; no one folds them."""
    part = Part("p", (Axis("A"),), (Feature("pin", "A", Cylinder(12), 0, 30),))
    made = pipeline.make_model(part, pipeline.Choices(facets=FacetChoice(walls="rolled")))
    assert not [f for f in made.findings if f.code == "panels-narrow"]


def test_merging_small_steps_makes_the_note_go():
    part = Part(
        "p", (Axis("A"),), (Feature("shaft", "A", Cylinder(40), 0, 40), Feature("lip", "A", Cylinder(42), 40, 42))
    )
    before, after = (pipeline.make_model(part, pipeline.Choices(least_step=v)) for v in (0.0, 1.5))
    assert any(f.code == "panels-narrow" for f in before.findings)
    assert not any(f.code == "panels-narrow" for f in after.findings)


def holed(width, side=30.0):
    """A square panel with a square opening that comes to so many mm from its right edge."""
    outer = np.array([(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)])
    x = side - width
    opening = np.array([(x, 10.0), (x - 8.0, 10.0), (x - 8.0, 18.0), (x, 18.0)])[::-1]
    return replace(panel(0, *outer), holes=(opening,))


@pytest.mark.parametrize("width", [0.2, 0.9, 1.4])
def test_a_bridge_beside_an_opening_is_measured_and_reported(width):
    piece = Piece("7", 0, (holed(width),), ())
    assert narrow_bridge_widths([piece]) == [pytest.approx(width, abs=0.02)]
    note = warnings(piece)["bridges-narrow"]
    assert note.value("count") == 1 and note.value("narrowest").value == pytest.approx(width, abs=0.02)


def test_a_broad_one_is_not():
    assert narrow_bridge_widths([Piece("7", 0, (holed(1.6), holed(6.0)), ())]) == []


def test_nor_a_narrow_panel_as_a_whole_nor_a_spike():
    """A panel of 1 mm has no bridge, it is narrow; a spike holds nothing."""
    spike = np.array([(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (10.5, 20.0), (10.0, 35.0), (9.5, 20.0), (0.0, 20.0)])
    assert narrow_bridge_widths([Piece("7", 0, (panel(0, *spike), box(1, 0, 0, 40, 1)), ())]) == []


@pytest.mark.parametrize("width", [0.5, 1.2, 2.0])
def test_a_neck_between_two_notches_is_a_bridge(width):
    """Two squares of 20 mm that hang together by a strip."""
    w = width / 2
    right = [(24.0, 10 + w), (24.0, 20.0), (44.0, 20.0), (44.0, 0.0), (24.0, 0.0), (24.0, 10 - w)]
    loop = np.array([(0.0, 0.0), (20.0, 0.0), (20.0, 10 - w), *right[::-1], (20.0, 10 + w), (20.0, 20.0), (0.0, 20.0)])
    assert narrow_bridge_widths([Piece("7", 0, (panel(0, *loop),), ())]) == (
        [pytest.approx(width, abs=0.02)] if width < 1.5 else []
    )


def test_a_quick_model_has_no_bridge_that_tears():
    """The eccentric in one body has one of 0.7 mm, in blocks it has none."""
    part = read_part(SAMPLES / "eccentric-shaft.toml")[0]
    quick = pipeline.Choices(facets=coarsen_facets(FacetChoice()))
    assert narrow_bridge_widths(pipeline.make_model(part, replace(quick, join="fuse", scale=1.0)).nets.pieces)
    made = quick_model(part, quick)
    assert not narrow_bridge_widths(made.nets.pieces) and made.join == "faces"


@pytest.mark.parametrize(("wide", "found"), [(1.0, True), (2.0, False)])
def test_a_ring_that_is_narrow_all_round_is_a_bridge(wide, found):
    outer = np.array([(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)])
    ring = replace(panel(0, *outer), holes=((outer - 10)[::-1] * (10 - wide) / 10 + 10,))
    widths = narrow_bridge_widths([Piece("7", 0, (ring,), ())])
    assert widths == ([pytest.approx(wide, abs=0.02)] if found else [])


def test_a_knob_is_no_matter():
    """It hangs by 0.3 mm, but where it were lost nothing would be."""
    knob = [
        (10.15, 20.0),
        (10.15, 21.0),
        (11.2, 21.0),
        (11.2, 23.4),
        (8.8, 23.4),
        (8.8, 21.0),
        (9.85, 21.0),
        (9.85, 20.0),
    ]
    loop = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), *knob, (0.0, 20.0)]
    assert narrow_bridge_widths([Piece("7", 0, (panel(0, *loop),), ())]) == []
