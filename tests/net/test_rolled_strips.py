"""Rolled walls: strips as long as the round, teeth under one number, no creases, and nets that still fold right."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import few
from foldsketch.base.findings import FoldsketchError
from foldsketch.net.model import Panel
from foldsketch.net.rolled_strips import assign_marks_to_panels, merge_panels, rolled_strips
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from nets import finding, one, shape_of, some_examples
from nets import nets_of as any_nets_of
from strategies import parts as any_part


def nets_of(part, rule="faces", page=None, **choice):
    return any_nets_of(part, rule, page=page, walls="rolled", **choice)


def strip_of(nets):
    return next(p for p in nets.pieces if any(f.rolled for f in p.folds))


def level(panel):
    """Length of the lower edge of an upright panel."""
    return float(np.ptp(panel.outline[:, 0]))


@pytest.mark.parametrize("part", few(parts.ALL, 3), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_part_folds_right_with_rolled_walls(part, rule):
    nets = nets_of(part, rule, page=(180.0, 240.0))
    assert nets.checks.passed(), nets.checks
    assert nets.checks.refold_gap < 1e-11


@pytest.mark.slow
@some_examples(30)
@given(any_part(), st.sampled_from(["faces", "fuse"]))
def test_any_part_ends_in_a_checked_model_or_a_finding(part, rule):
    try:
        nets = nets_of(part, rule)
    except FoldsketchError as why:
        assert all(f.where and f.what for f in why.findings)  # noqa: PT017
        return
    assert nets.checks.passed(), nets.checks


@pytest.mark.parametrize("diameter", [10.0, 22.0, 36.0, 56.5, 90.0, 160.0])
def test_the_strip_is_pi_d_long(diameter):
    """Circumference of the circle, exactly: the wall is rolled, not faceted."""
    nets = nets_of(one(Cylinder(diameter)))
    own = [p for p in strip_of(nets).panels if p.kind == "side"]
    assert sum(level(p) for p in own) == pytest.approx(math.pi * diameter, rel=1e-12)


def test_a_cylinder_is_a_strip_and_two_discs_with_three_numbers():
    nets = nets_of(one(Cylinder(40)))
    assert sorted(len(p.panels) for p in nets.pieces) == [1, 1, 28]
    strip = strip_of(nets)
    assert all(f.rolled for f in strip.folds), "nothing on the wall is creased"
    assert len({t.number for p in nets.pieces for t in p.tabs}) == 3, "two rims and the seam"
    assert len(strip.tabs) == 2 * 28 + 1, "a tooth on every side, and the seam"
    assert not any(p.butts for p in nets.pieces)


def test_a_sleeve_rolls_its_bore_the_other_way():
    nets = nets_of(one(Ring(60, 30), 40))
    rolled = [{f.angle > 0 for f in p.folds} for p in nets.pieces if any(f.rolled for f in p.folds)]
    assert sorted(rolled, key=str) == [{False}, {True}]


# Radii and angle of developments: (source, large diameter, small diameter, height, outer radius, inner, angle degrees)
FRUSTA = [
    ("Geometry 2, 'The Net of a Frustum', duct adapter, published", 80, 50, 40, 113.92005, 71.20003, 126.404),
    ("Math Central, U. of Regina, question at 1/10, figures derived", 55, 29, 25, 59.6073, 31.4293, 166.087),
    ("Longfield, Sheet Metal Drafting, p. 128, in x 10", 60, 30, 30, 67.08204, 33.54102, 160.997),
]


@pytest.mark.parametrize(("source", "large", "small", "height", "outer", "inner", "angle"), FRUSTA, ids=lambda v: v)
def test_a_cone_is_the_published_ring_sector(source, large, small, height, outer, inner, angle):
    strip = strip_of(nets_of(one(Cone(large, small), height)))
    sides = [p for p in strip.panels if p.kind == "side"]
    turn = 0.0
    for p in sides:
        q = p.outline
        d = [q[(i + 1) % 4] - q[i] for i in range(4)]
        slanted = sorted(d, key=lambda v: float(np.hypot(*v)))[-2:]
        turn += math.acos(min(1.0, abs(float(slanted[0] @ slanted[1])) / math.prod(np.hypot(*v) for v in slanted)))
    assert math.degrees(turn) == pytest.approx(angle, rel=2e-3)
    # The arcs are as long as the rounds, so their radii are those lengths over the angle.
    assert math.pi * large / turn == pytest.approx(outer, rel=2e-3)
    assert math.pi * small / turn == pytest.approx(inner, rel=2e-3)


@pytest.mark.parametrize("diameter", [12.0, 40.0, 120.0])
def test_it_encloses_nearly_the_rounds_volume(diameter):
    """pi r2 h; a regular n-gon of the circle's perimeter has pi/n cot(pi/n) of its area (isoperimetric quotient)."""
    made = nets_of(one(Cylinder(diameter)))
    share = made.blocks[0].volume / (math.pi * diameter**2 / 4 * 20)
    assert 0.994 < share < 1


def test_words_run_along_the_strip_and_stay_on_it():
    words = 0
    for piece in nets_of(parts.OFFSET_SLEEVE).pieces:
        for own in rolled_strips(piece):
            panels = {p.id: shape_of(p) for p in piece.panels if p.id in own}
            wall = shapely.union_all(list(panels.values()), grid_size=1e-6)
            for m in piece.marks:
                if m.panel in own and m.text:
                    words += len(m.text) > 3
                    assert wall.contains(shapely.Point(*m.at))
                    assert panels[m.panel].distance(shapely.Point(*m.at)) < 1e-6, "the panel that it is on"
    assert words >= 2


def test_the_sheets_draw_no_crease_on_a_rolled_wall():
    from foldsketch.sheet.layout.net_lines import fold_lines

    strip = strip_of(nets_of(one(Cylinder(40))))
    lines = fold_lines(strip, lambda p: p)
    assert len(lines) == 3, "two rims in one line each, and the seam"
    lengths = sorted(sum(math.dist(a, b) for a, b in itertools.pairwise(run)) for run, _ in lines)
    assert lengths[0] == pytest.approx(20)
    assert lengths[1:] == pytest.approx([math.pi * 40] * 2)


def test_a_wall_longer_than_the_page_is_halved():
    """A short end of a few millimetres cannot be bent, and nobody would find where it goes."""
    nets = nets_of(one(Cylinder(80), 12.0), page=(180.0, 240.0))
    walls = [len(p.panels) for p in nets.pieces if any(f.rolled for f in p.folds)]
    assert len(walls) == 2
    assert abs(walls[0] - walls[1]) <= 1
    assert sum(walls) == 56
    assert nets.checks.passed()
    rims = [{t.number for t in p.tabs} for p in nets.pieces if any(f.rolled for f in p.folds)]
    assert not rims[0] & rims[1], "no number is given twice"


def test_every_eighth_tooth_has_the_number():
    strip = strip_of(nets_of(one(Cylinder(40))))
    rims = {t.number: [x for x in strip.tabs if x.number == t.number] for t in strip.tabs}
    labelled = sorted((len(teeth), sum(t.label_size > 0 for t in teeth)) for teeth in rims.values())
    assert labelled == [(1, 1), (28, 4), (28, 4)]


def test_a_wall_has_24_to_96_sides():
    part = Part(
        "p",
        (Axis("A"), Axis("B", (60, 0, 0))),
        (Feature("large", "A", Cylinder(700), 0, 20), Feature("small", "B", Cylinder(12), 20, 40)),
    )
    faceted = facet(part, 1.0, FacetChoice(walls="rolled"))
    assert [(p.sides, p.rolled) for p in faceted.prisms] == [(96, True), (24, True)]


def test_a_cone_to_a_point_is_a_sector():
    """Radius the slant, sqrt(30 2 + 40 2) = 50; angle 360 x 30 / 50 = 216 degrees."""
    strip = strip_of(nets_of(one(Cone(60, 0), 40.0)))
    turn = 0.0
    for p in strip.panels:
        d = [p.outline[(i + 1) % 3] - p.outline[i] for i in range(3)]
        base, a, b = sorted(d, key=lambda v: float(np.hypot(*v)))
        assert np.hypot(*a) == pytest.approx(50, rel=3e-3)
        turn += 2 * math.asin(float(np.hypot(*base)) / 2 / float(np.hypot(*b)))
    assert math.degrees(turn) == pytest.approx(216, rel=5e-3)


def test_a_cross_feature_that_does_not_reach_leaves_the_wall_rolled():
    axes = (Axis("A"), Axis("X", (0, 50, 10), (1, 0, 0)), Axis("Y", (0, 0, 100), (0, 1, 0)))
    beside = Feature("beside", "X", Cylinder(20), -40, 40)
    above = Feature("above", "Y", Cylinder(20), -40, 40)
    part = Part("p", axes, (Feature("boss", "A", Cylinder(60), 0, 40), beside, above))
    assert all(p.rolled for p in facet(part, 1.0, FacetChoice(walls="rolled")).prisms)


def test_what_lies_on_a_folded_wall_is_folded_too():
    """A shaft in a bore with `sides` of its own: a round and a prism of one size do not lie on each other."""
    part = Part(
        "p",
        (Axis("A"),),
        (
            Feature("sleeve", "A", Cylinder(60), 0, 40),
            Feature("bore", "A", Cylinder(30), -1, 41, True, sides=8),
            Feature("shaft", "A", Cylinder(30), -20, 60),
        ),
    )
    faceted = facet(part, 1.0, FacetChoice(walls="rolled"))
    assert [(p.sides, p.rolled) for p in faceted.prisms] == [(40, True), (8, False), (8, False)]


def test_rounds_that_touch_do_not_overlap():
    """Their corners are on the rounds, and the strips are short by 1 - n/pi sin(pi/n), 0.3 % at most."""
    part = Part(
        "p",
        (Axis("B", (-20, 0, 0)), Axis("C", (15, 0, 0))),
        (Feature("one", "B", Cylinder(40), 0, 30), Feature("two", "C", Cylinder(30), 0, 30)),
    )
    nets = nets_of(part)
    assert len(nets.blocks) == 2
    for piece, diameter in zip((p for p in nets.pieces if any(f.rolled for f in p.folds)), (40, 30), strict=True):
        assert 0.997 < sum(level(p) for p in piece.panels) / (math.pi * diameter) < 1


HULL = Plate(hull=((0.0, 0.0, 20.0), (60.0, 0.0, 20.0)))


def test_a_hulls_wall_is_as_long_as_its_arcs_and_its_straights():
    """2 pi r + 2 L, and the straight edges are ordinary ones with numbers of their own."""
    nets = nets_of(one(HULL, 8.0))
    strip = strip_of(nets)
    assert sum(level(p) for p in strip.panels if p.kind == "side") == pytest.approx(40 * math.pi + 120, rel=1e-3)
    long = [t.number for p in nets.pieces for t in p.tabs if math.dist(*t.line) >= 30]
    assert long and len(long) == len(set(long))


def test_the_point_of_a_hull_is_creased_and_not_rolled():
    nets = nets_of(one(Plate(hull=((0.0, 0.0, 20.0), (60.0, 0.0, 0.0))), 8.0))
    folds = [f for p in nets.pieces for f in p.folds]
    assert any(f.rolled for f in folds)
    assert all(abs(f.angle) <= 2 * math.pi / 24 + 1e-6 for f in folds if f.rolled)


def numbered(nets):
    """Numbers printed on faces: (piece, number), and on tabs."""
    on_faces = {(p.id, m.text) for p in nets.pieces for m in p.marks if m.kind == "text" and m.text.isdigit()}
    on_tabs = {(p.id, str(t.number)) for p in nets.pieces for t in p.tabs if t.label_size}
    return on_faces, on_tabs


@pytest.mark.parametrize("diameter", [10.0, 13.0, 24.0, 40.0, 100.0])
def test_both_sides_of_every_rim_have_its_number(diameter):
    """The disc at one of its edges, the wall on some of its teeth or, where these are too small, inside the rim."""
    part = Part(
        "p",
        (Axis("A"), Axis("B", (3, 0, 0))),
        (Feature("low", "A", Cylinder(diameter), 0, 20), Feature("high", "B", Cylinder(diameter), 20, 40)),
    )
    nets = nets_of(part)
    on_faces, on_tabs = numbered(nets)
    for piece in nets.pieces:
        for number in {t.number for t in piece.tabs}:
            mine = [t for t in piece.tabs if t.number == number]
            if len(mine) > 1:
                assert (piece.id, str(number)) in on_tabs | on_faces
                assert (mine[0].meets.piece, str(number)) in on_faces
    # The seam of a narrow wall may have a tab too narrow for figures.
    assert finding(nets, "edge-numbers-omitted") is None


def test_a_strip_as_one_panel_covers_what_its_panels_cover():
    """Five panels 4 mm wide and 30 high in a row, the middle one with an opening; the row is outlined anticlockwise,
    the opening clockwise, and it has the place of the middle panel."""

    def signed(loop):
        x, y = loop.T
        return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2

    def panel(k):
        outline = np.array([(4 * k, 0), (4 * k + 4, 0), (4 * k + 4, 30), (4 * k, 30)], float)
        opening = np.array([(9, 10), (9, 14), (11, 14), (11, 10)], float)
        return Panel(k, outline, (opening,) if k == 2 else (), "wall", "side", k, np.eye(3) * (k + 1), np.full(3, k))

    row = merge_panels([panel(k) for k in range(5)])
    assert signed(row.outline) == pytest.approx(600.0)
    assert [signed(h) for h in row.holes] == pytest.approx([-8.0])
    assert len(row.outline) == 4
    assert row.id == 2 and np.array_equal(row.origin, np.full(3, 2))


def test_a_mark_goes_to_the_panel_of_the_strip_that_it_is_on():
    """Marks on the first panel of a strip, at the middles of all: each goes to its own; others stay."""
    strip = strip_of(nets_of(one(Cylinder(40))))
    (own,) = rolled_strips(strip)
    assert own == sorted(own) == sorted(p.id for p in strip.panels)
    middles = [tuple(strip.panel(k).outline.mean(axis=0).tolist()) for k in own]
    marks = [strip.marks[0]._replace(panel=own[0], at=at) for at in middles]
    beside = strip.marks[0]._replace(panel=None)
    found = assign_marks_to_panels([*marks, beside], strip)
    assert [m.panel for m in found] == [*own, None]
    disc = next(p for p in nets_of(one(Cylinder(40))).pieces if len(p.panels) == 1)
    assert rolled_strips(disc) == [] and assign_marks_to_panels(disc.marks, disc) == disc.marks


def test_a_wall_that_crosses_its_own_outline_is_merged_without_its_sliver():
    """A slanted rim 0.025 mm below a notch cuts a tail of 0.07 mm2 off: the wall counts, with its neighbour."""
    crossed = np.array(
        [
            *[(35.70, 2.17), (35.70, 2.36), (34.92, 2.36), (34.92, 2.86)],
            *[(35.95, 2.86), (35.95, 5.36), (34.29, 5.36), (34.29, 2.56)],
        ]
    )
    assert not shapely.Polygon(crossed).is_valid
    beside = np.array([(35.95, 2.86), (37.0, 2.86), (37.0, 5.36), (35.95, 5.36)])
    panels = [Panel(k, loop, (), "boss", "side", k, np.eye(3), np.zeros(3)) for k, loop in enumerate((crossed, beside))]
    merged = shape_of(merge_panels(panels))
    assert merged.is_valid
    assert merged.area == pytest.approx(shapely.Polygon(crossed).area + shapely.Polygon(beside).area, abs=0.1)
