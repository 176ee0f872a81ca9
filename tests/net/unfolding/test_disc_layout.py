"""Thin discs, and where the belt is longer than the page: every second wall hangs on the lower end."""

import math
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import parts
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Cylinder, Ring
from nets import nets_of, one, shape_of, some_examples

SAMPLES = Path(__file__).parents[3] / "samples"

A4 = (190.0, 264.0)
"""What is printed on of a page of 210 x 297 mm, mm."""


def flange(sides, diameter=90, height=12, **more):
    return nets_of(one(Cylinder(diameter), height), page=A4, sparse=True, sides=sides, **more)


def hangs_on(piece):
    """panel -> how many of each kind it is folded to."""
    kinds = {p.id: p.kind for p in piece.panels}
    found = {p.id: Counter() for p in piece.panels}
    for f in piece.folds:
        found[f.panels[0]][kinds[f.panels[1]]] += 1
        found[f.panels[1]][kinds[f.panels[0]]] += 1
    return kinds, found


@pytest.mark.parametrize("sides", [6, 8, 12])
@pytest.mark.parametrize("hold", ["glue", "tape"])
def test_a_flange_is_one_net_with_every_second_wall_on_its_end(sides, hold):
    """Rows of three walls at most: the middle one hangs on the end. One wall bears the other end."""
    nets = flange(sides, hold=hold)
    assert nets.checks.passed(), nets.checks
    (piece,) = nets.pieces
    kinds, found = hangs_on(piece)
    walls = sorted(found[k]["end"] for k in found if kinds[k] == "end")
    sides_of_ends = sorted(found[k]["side"] for k in found if kinds[k] == "end")
    assert walls == [0, 0] and sides_of_ends == [1, sides // 2]
    assert max(found[k]["side"] for k in found if kinds[k] == "side") <= 2
    bearing = [k for k in found if kinds[k] == "side" and found[k]["end"] == 2]
    assert len(bearing) == 1 and not found[bearing[0]]["side"], "that wall has no other on it"
    assert len(piece.folds) == sides + 1


@pytest.mark.parametrize("sides", [8, 12])
def test_it_fits_the_page_where_the_belt_does_not(sides):
    across, belt = 90.0, math.pi * 90
    (piece,) = flange(sides).pieces
    corners = np.concatenate([p.outline for p in piece.panels] + [t.outline for t in piece.tabs])
    w, h = sorted(np.ptp(corners, axis=0))
    assert w <= A4[0] and h <= A4[1] < belt
    assert h >= 2 * across


def test_every_corner_of_a_flange_is_a_fold_or_has_a_tab():
    """Of eight corners four are folds; the upper end has its hinge and three tabs, for its sides are of 34 mm and more;
    the lower end needs none beside its four hinges."""
    (piece,) = flange(8).pieces
    kinds, _ = hangs_on(piece)
    met = Counter(kinds[t.panel] + kinds[t.meets.panel] for t in piece.tabs)
    assert met["sideside"] == 4
    assert met["sideend"] + met["endside"] == 3


def test_a_thin_disc_hangs_even_if_its_belt_would_fit():
    """Of octagons and hexagons. Three of 56 by 12 go on two pages so, where belts of 194 mm need three."""
    for across, sides in ((60, 8), (56, 6)):
        (piece,) = nets_of(one(Cylinder(across), 12), page=A4, sparse=True, sides=sides).pieces
        kinds, found = hangs_on(piece)
        assert sorted(found[k]["side"] for k in found if kinds[k] == "end") == [1, sides // 2]


def test_lesson_five_and_the_cranks_save_a_sheet():
    for name, sheets in (("lessons/5-double-throw-crank", 2), ("double-throw-crank", 2), ("single-throw-crank", 1)):
        made = model(read_part(SAMPLES / f"{name}.toml")[0], Choices())
        assert len(made.sheets) == sheets, name


def test_long_names_and_another_turn_cost_no_sheet():
    part = read_part(SAMPLES / "bilge-pump-cover.toml")[0]
    long = tuple(replace(f, name=f"{f.name} of the auxiliary bilge and ballast pump") for f in part.features)
    assert len(model(replace(part, features=long), Choices()).sheets) == len(model(part, Choices()).sheets) == 1
    part = read_part(SAMPLES / "lessons" / "1-one-offset-spigot.toml")[0]
    c, s = math.cos(math.pi / 3), math.sin(math.pi / 3)
    axes = tuple(
        replace(a, point=(a.point[0] * c - a.point[1] * s, a.point[0] * s + a.point[1] * c, a.point[2]))
        for a in part.axes
    )
    for minutes in (15, None):
        usual = model(part, Choices(minutes=minutes))
        assert len(model(replace(part, axes=axes), Choices(minutes=minutes)).sheets) == len(usual.sheets)


def test_a_belt_that_fits_stays():
    """Of what is not thin, or has many sides; with every tab; on a large page; and of a tall disc."""
    for nets in (
        nets_of(one(Cylinder(60), 20), page=A4, sparse=True, sides=8),
        nets_of(one(Cylinder(56), 12), page=A4, sparse=True, sides=12),
        nets_of(one(Cylinder(90), 12), page=A4, sparse=False, sides=8),
        nets_of(one(Cylinder(90), 12), page=None, sparse=True, sides=8),
        nets_of(one(Cylinder(90), 60), page=A4, sparse=True, sides=8),
        nets_of(one(Ring(90, 30), 12), page=A4, sparse=True, sides=7),
    ):
        _, found = hangs_on(nets.pieces[0])
        kinds = hangs_on(nets.pieces[0])[0]
        assert max(found[k]["side"] for k in found if kinds[k] == "end") == 1


def test_what_stands_on_a_flange_is_the_same_block():
    nets = nets_of(parts.TWO_SPIGOTS, page=A4, sparse=True, open_feet=True, sides=8)
    assert nets.checks.passed() and len(nets.pieces) == 3
    assert sorted(j for p in nets.pieces for j in p.open) == [0, 1]


def test_a_bored_flange_has_its_tube_besides():
    nets = nets_of(one(Ring(90, 30), 12), page=A4, sparse=True, sides=8)
    assert nets.checks.passed() and len(nets.pieces) == 2


@pytest.mark.slow
@some_examples(60)
@given(st.floats(40, 180), st.floats(2, 60), st.sampled_from([6, 8, 10, 12, 16, 20]), st.booleans())
def test_any_disc_folds_right_and_fits_the_page(diameter, height, sides, taped):
    nets = flange(sides, diameter, height, hold="tape" if taped else "glue")
    assert nets.checks.passed(), nets.checks
    for piece in nets.pieces:
        corners = np.concatenate([p.outline for p in piece.panels] + [t.outline for t in piece.tabs])
        w, h = np.ptp(corners, axis=0)
        assert min(w, h) <= A4[0] and max(w, h) <= A4[1]
        paper = [shape_of(p).buffer(-1e-6) for p in piece.panels]
        assert sum(a.intersects(b) for k, a in enumerate(paper) for b in paper[:k]) == 0
