"""Tabs: their shape, their side of the edge, and what they give way to."""

import math

import numpy as np
import pytest
import shapely

import parts
from examples import few
from foldsketch.net.build import build_nets
from foldsketch.part.model import Cone, Cylinder, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from nets import finding, nets_of, one, shape_of


def measures(t):
    """Length of the root, width, and the bevels at both ends in degrees; by plane geometry from the outline."""
    a, b = (np.array(p) for p in t.line)
    u = (b - a) / np.linalg.norm(b - a)
    out = np.array([u[1], -u[0]])
    flat = np.column_stack(((t.outline - a) @ u, (t.outline - a) @ out))
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = flat
    length = float(np.linalg.norm(b - a))
    assert (x0, y0) == pytest.approx((0, 0), abs=1e-9) and (x3, y3) == pytest.approx((length, 0), abs=1e-9)
    assert y1 == pytest.approx(y2)
    return length, y1, math.degrees(math.atan2(y1, x1)), math.degrees(math.atan2(y2, length - x2)), x2 - x1


@pytest.mark.parametrize("part", few(parts.ALL), ids=lambda p: p.name)
@pytest.mark.parametrize("walls", ["folded", "rolled"])
def test_a_tab_is_a_flap_outside_its_panel_that_narrows_from_its_root(part, walls):
    """At most 7 mm wide, 5 on the rim of a rolled wall; its far side no shorter than 0.3 of the root; bevelled to 62
    degrees at most, or 84 where it is a tooth."""
    nets = nets_of(part, walls=walls)
    for piece in nets.pieces:
        shared = [t.number for t in piece.tabs]
        panels = {p.id: shape_of(p) for p in piece.panels}
        for t in piece.tabs:
            length, wide, tail, head, top = measures(t)
            tooth = walls == "rolled" and (shared.count(t.number) > 1 or length < 8)
            assert 0.9 - 1e-9 <= wide <= 7.0 + 1e-9
            assert min(tail, head) > 0 and max(tail, head) <= (84.0 if tooth else 62.0) + 1e-6
            assert top >= 0.3 * length - 1e-9
            own = shape_of(t)
            assert own.exterior.is_ccw
            assert panels[t.panel].boundary.distance(shapely.LineString(t.line)) < 1e-9
            assert own.intersection(panels[t.panel]).area < 1e-6
            a, b = t.meets.line
            assert math.dist(a, b) == pytest.approx(length)
        if walls == "rolled" and any(f.rolled for f in piece.folds):
            teeth = [measures(t)[1] for t in piece.tabs if shared.count(t.number) > 1]
            assert all(w <= 5.0 + 1e-9 for w in teeth)


@pytest.mark.parametrize("sides", [4, 6, 8])
def test_where_there_is_room_a_tab_is_seven_mm_wide_and_bevelled_to_62_degrees_or_half_the_corner(sides):
    """Behind the lid of a prism two tabs share every corner of 180 - 360/n degrees: each has half less 0.03 rad."""
    nets = nets_of(one(PrismShape(sides, 80.0), 40))
    (piece,) = nets.pieces
    ends = {p.id for p in piece.panels if p.kind == "end"}
    lids = [t for t in piece.tabs if t.meets.panel in ends]
    assert len(lids) == 2 * (sides - 1)
    half = (180 - 360 / sides) / 2 - math.degrees(0.03)
    for t in lids:
        _, wide, tail, head, _ = measures(t)
        assert wide == pytest.approx(7.0)
        assert max(tail, head) == pytest.approx(min(62.0, half), abs=1e-6)
    (seam,) = [t for t in piece.tabs if t.meets.panel not in ends]
    assert measures(seam)[1] == pytest.approx(7.0)


def test_the_seam_of_a_low_strip_is_as_wide_as_its_bevels_let_it():
    """5 mm high: nothing else is glued behind its corners, and ends bevelled to 62 degrees leave 3.3 mm; half the
    corner would leave 1.7 mm."""
    (piece,) = nets_of(one(PrismShape(6, 60.0), 5)).pieces
    (seam,) = [t for t in piece.tabs if all(piece.panel(k).kind == "side" for k in (t.panel, t.meets.panel))]
    _, wide, tail, head, top = measures(seam)
    assert (tail, head, top) == pytest.approx((62.0, 62.0, 0.3 * 5))
    assert wide == pytest.approx(0.35 * 5 * math.tan(math.radians(62)))


def test_tabs_narrow_until_both_that_meet_behind_a_panel_have_room():
    """A strip of 8 mm is entered from both long edges: each tab takes less than half; on 4 mm less still."""
    for height, most in ((8.0, 4.0), (4.0, 2.0)):
        nets = nets_of(one(Ring(80, 40), height))
        for piece in nets.pieces:
            for t in piece.tabs:
                target = next(q for q in nets.pieces if q.id == t.meets.piece).panel(t.meets.panel)
                if target.kind == "side" and math.dist(*t.line) > height + 1e-6:
                    assert measures(t)[1] < most
    assert nets.checks.passed()


def test_an_edge_shorter_than_scissors_can_follow_has_no_tab():
    """1.6 mm; 24 sides of 1.3 mm or so on a pin of 10 mm."""
    nets = nets_of(one(Cylinder(10), 20, sides=24))
    for piece in nets.pieces:
        assert all(math.dist(*t.line) >= 1.6 for t in piece.tabs)
        assert sum(math.dist(*b.line) < 1.6 for b in piece.butts) >= 40
    warning = finding(nets, "no-tab-fits")
    assert (warning.level, warning.where) == ("warning", "block 'p'")
    numbers = [b.number for p in nets.pieces for b in p.butts]
    assert warning.value("count") == len(numbers)
    assert warning.value("numbers") == ", ".join(map(str, sorted(numbers)[:8])) + " …"


@pytest.mark.parametrize("part", [parts.TWO_SPIGOTS, parts.BORED, parts.TAPER], ids=lambda p: p.name)
def test_blocks_built_together_have_the_tabs_that_each_has_alone(part):
    """Nothing of one block may be in the way of another's tabs."""
    faceted = facet(part, 1.0, FacetChoice())
    solids = join(faceted)
    together = build_nets(faceted, solids, 1.0)
    for block in solids.blocks:
        alone = build_nets(faceted, type(solids)((block,), ()), 1.0)
        a, b = (
            sorted(tuple(round(v, 6) for v in measures(t)) for p in n.pieces if p.block == block.id for t in p.tabs)
            for n in (together, alone)
        )
        assert a == b
        assert len(a) == sum(len(p.tabs) for p in alone.pieces)


@pytest.mark.parametrize(
    ("part", "kinds"),
    [
        (one(Cylinder(50), 30), {("side", "side"), ("side", "end")}),
        (one(Cone(50, 30), 30), {("side", "side"), ("side", "end")}),
        (one(PrismShape(3, 50), 30), {("side", "side"), ("side", "end")}),
    ],
    ids=["cylinder", "frustum", "triangle"],
)
def test_walls_carry_the_tabs_and_ends_are_pressed_on(part, kinds):
    """Of both panels at an edge the one that is closed earlier carries: walls before ends."""
    nets = nets_of(part)
    got = set()
    for piece in nets.pieces:
        kind = {p.id: p.kind for p in piece.panels}
        got |= {(kind[t.panel], kind[t.meets.panel]) for t in piece.tabs}
    assert got == kinds


def off_outline(panel, line):
    return shapely.LinearRing(panel.outline).distance(shapely.Point(np.mean(line, axis=0)))


def test_the_wall_of_a_bore_carries_the_tabs_at_the_holes_of_its_ends():
    """Paper in a hole's edge is cut away, so nothing hangs there: the tabs stand on the tube."""
    nets = nets_of(parts.OFFSET_SLEEVE)
    panels = {(p.id, q.id): q for p in nets.pieces for q in p.panels}
    in_holes = 0
    for piece in nets.pieces:
        for t in piece.tabs:
            target, own = panels[t.meets.piece, t.meets.panel], panels[piece.id, t.panel]
            assert off_outline(own, t.line) < 1e-6, "no tab in a hole"
            in_holes += off_outline(target, t.meets.line) > 1e-6
    assert in_holes == 2 * sum(p.feature == "bore" and p.kind == "side" for p in panels.values())


@pytest.mark.parametrize(("part", "rule"), [(parts.CROSS, "faces"), (parts.ROCKER, "fuse"), (parts.OVERHUNG, "fuse")])
def test_where_one_side_has_no_room_the_other_carries_the_tab(part, rule):
    """Beside a cross bore and under an overhang some edges have room for a tab on one side alone: none is without."""
    nets = nets_of(part, rule)
    assert not [b for p in nets.pieces for b in p.butts]
    assert nets.checks.passed()
