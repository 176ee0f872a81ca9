"""Strips: opened at the back, upright on paper, with ends on sides that leave room beside openings."""

import math
from collections import Counter

import numpy as np
import pytest
import shapely

import parts
from foldsketch.net.unfolding.flatten import points_on_paper
from foldsketch.net.unfolding.fold_trees import foldable_components, foldable_edges, tube_rims
from foldsketch.net.unfolding.strip_layouts import SAFE_HINGE_STRIP_MM, feature_strip_layout, single_strip_layout
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from nets import graph_of, nets_of, one


@pytest.mark.parametrize("angle", [0.0, 30.0, 200.0])
@pytest.mark.parametrize("sides", [5, 8, 12])
def test_a_strip_is_opened_at_the_back_and_its_ends_hang_at_the_front(angle, sides):
    """The back is where the sides look away from the datum direction, the first offset's. Sides stand upright on
    paper, z up."""
    part = Part(
        "p",
        (Axis("A"), parts.polar("B", 20, angle)),
        (Feature("flange", "A", Cylinder(90), 0, 12), Feature("spigot", "B", Cylinder(36), 12, 42)),
    )
    front = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle)), 0.0])
    for piece in nets_of(part, sides=sides).pieces:
        kind = {p.id: p for p in piece.panels}
        (seam,) = [t for t in piece.tabs if kind[t.panel].kind == kind[t.meets.panel].kind == "side"]
        look = {p.id: float(p.to_space[:, 2] @ front) for p in piece.panels if p.kind == "side"}
        back = min(math.cos(math.tau * k / sides) + math.cos(math.tau * (k + 1) / sides) for k in range(sides))
        assert look[seam.panel] + look[seam.meets.panel] == pytest.approx(back)
        for f in piece.folds:
            own = [k for k in f.panels if k not in look]
            if own:
                (side,) = [k for k in f.panels if k in look]
                assert look[side] == pytest.approx(1.0), "an end hangs on the side that faces the datum direction"
        for k in look:
            assert kind[k].to_space[:, :2] @ (0, 1) == pytest.approx([0, 0, 1], abs=1e-9)


@pytest.mark.parametrize("angle", [0.0, 30.0, 200.0])
def test_rows_of_a_fused_body_are_opened_at_the_back_as_well(angle):
    """Of the edges round every round just one is cut, the one whose sides look away from the datum direction most."""
    axes = parts.polar("B", 20, angle), parts.polar("C", 24, angle + 180)
    g, direction = graph_of(parts.part(parts.TWO_SPIGOTS.features, *axes), sides=8)
    bodies = [faces for faces in foldable_components(g, range(g.count)) if len(faces) > 1]
    trees = [feature_strip_layout(g, faces, direction).tree for faces in bodies]
    folds = {x for tree in trees for h in tree.values() for x in (h, g.twin[h])}
    cut = {}
    for h in (h for faces in bodies for h in foldable_edges(g, faces)):
        one, two = g.faces[g.face[h]], g.faces[g.face[g.twin[h]]]
        if one.kind == two.kind == "side" and one.feature == two.feature and h not in folds:
            cut.setdefault(one.feature, []).append(float((one.normal + two.normal) @ direction))
    back = -1 - math.cos(math.tau / 8)
    assert cut == {k: [pytest.approx(back)] for k in range(3)}


def bored(bearing, offset=16.0, bore=24.0, length=30.0):
    """A round of six sides with a bore near its rim, towards a bearing in degrees from the middle of a side."""
    t = math.radians(bearing)
    axes = (Axis("A"), Axis("B", (offset * math.cos(t), offset * math.sin(t), 0.0)))
    body = Feature("body", "A", Cylinder(70.0), 0, length, sides=6)
    return Part("p", axes, (body, Feature("bore", "B", Cylinder(bore), -1, length + 1, cut=True, sides=6)))


def holed_ends(nets):
    return [(piece, p) for piece in nets.pieces for p in piece.panels if p.kind == "end" and p.holes]


def room_of(panel, line):
    """How far the middle of a line is from the openings of a panel, mm."""
    return min(shapely.Point(middle(line)).distance(shapely.LinearRing(h)) for h in panel.holes)


def middle(line):
    (x0, y0), (x1, y1) = line
    return (x0 + x1) / 2, (y0 + y1) / 2


@pytest.mark.parametrize("sparse", [True, False])
@pytest.mark.parametrize("bearing", [0, 30, 60, 95, 180])
def test_a_face_hangs_where_paper_is_left_beside_its_opening_and_opposite(bearing, sparse):
    """Of the three pairs of edges across it none has more on its narrower side, as far as a hand wants it."""
    found = 0
    for piece, p in holed_ends(nets_of(bored(bearing), "fuse", sparse=sparse)):
        corners = [*map(tuple, p.outline.tolist())]
        edges = list(zip(corners, [*corners[1:], corners[0]], strict=True))
        rooms = [room_of(p, e) for e in edges]
        pairs = [round(min(SAFE_HINGE_STRIP_MM, rooms[k], rooms[(k + 3) % 6]), 6) for k in range(6)]
        for fold in piece.folds:
            if p.id in fold.panels:
                k = min(range(6), key=lambda k: math.dist(middle(edges[k]), middle(fold.line)))
                assert pairs[k] == pytest.approx(max(pairs), abs=1e-3)
                found += 1
    assert found == 2


def test_a_face_without_an_opening_hangs_where_it_did_on_the_side_that_faces_the_datum():
    (piece,) = nets_of(one(Cylinder(70.0), 30, sides=6)).pieces
    kind = {p.id: p.kind for p in piece.panels}
    (wall,) = {k for f in piece.folds if {kind[x] for x in f.panels} == {"side", "end"} for k in f.panels} & {
        k for k in kind if kind[k] == "side"
    }
    assert piece.panel(wall).to_space[:, 2] == pytest.approx([1.0, 0.0, 0.0], abs=1e-9)


def test_opposite_is_what_lies_farthest_away():
    """On a triangle with an opening near one corner the face hangs on an edge that leaves it room, whichever is
    counted as opposite."""
    axes = (Axis("A"), Axis("B", (-9.0, 0.0, 0.0)))
    body = Feature("body", "A", PrismShape(3, 60.0), 0, 30)
    part = Part("p", axes, (body, Feature("bore", "B", Cylinder(16.0), -1, 31, cut=True, sides=6)))
    nets = nets_of(part, "fuse", sparse=True)
    assert len(holed_ends(nets)) == 2 and nets.checks.passed()
    for piece, p in holed_ends(nets):
        (fold,) = [f for f in piece.folds if p.id in f.panels]
        assert room_of(p, fold.line) > 2.0


def single(g, faces, direction, barred=frozenset()):
    return single_strip_layout(g, faces, np.asarray(direction, dtype=float), barred)


@pytest.mark.parametrize("sides", [3, 4, 9])
def test_a_prism_is_one_strip_with_its_ends_as_leaves(sides):
    g, direction = graph_of(one(PrismShape(sides, 50.0), 30))
    strip = single(g, range(g.count), direction)
    links = Counter(f for child, h in strip.tree.items() for f in (child, g.across(h)))
    walls = [f for f in range(g.count) if g.faces[f].kind == "side"]
    assert len(strip.tree) == sides + 1
    assert all(links[f] == 1 for f in range(g.count) if f not in walls)
    height = {round(z.imag, 6) for h, z in points_on_paper(g, strip).items() if g.face[h] in walls}
    assert len(height) == 2, "the walls are rectangles side by side"


def test_what_is_no_row_of_sides_makes_no_single_strip():
    """The sides of two features; a body whose rows fork; an end that may be folded to no side; an end alone."""
    g, direction = graph_of(parts.INTERLOCKED)
    assert single(g, range(g.count), direction) is None
    g, direction = graph_of(parts.BAY)
    assert single(g, range(g.count), direction) is None
    g, direction = graph_of(one(PrismShape(6, 50.0), 30))
    ends = [f for f in range(g.count) if g.faces[f].kind == "end"]
    assert single(g, ends, direction) is None
    rim = frozenset(x for h in g.loops[ends[0]][0] for x in (h, g.twin[h]))
    assert single(g, range(g.count), direction, rim) is None
    walls = [f for f in range(g.count) if f not in ends]
    seams = [h for f in walls for h in g.loops[f][0] if g.across(h) in walls]
    two = frozenset(x for h in seams[:1] + seams[-1:] for x in (h, g.twin[h]))
    assert len(two) == 4 and single(g, walls, direction, two) is None, "two rows"
    assert single(g, walls, direction, frozenset((seams[0], g.twin[seams[0]]))) is not None, "a row opened already"


def test_a_bore_is_opened_where_it_faces_the_datum():
    """Seen from inside its back is the side that looks towards the datum direction."""
    g, direction = graph_of(parts.OFFSET_SLEEVE, sides=8)
    barred = tube_rims(g)
    for faces in foldable_components(g, range(g.count), barred):
        strip = single(g, faces, direction, barred)
        walls = [f for f in faces if g.faces[f].kind == "side"]
        inner = all(g.angle[h] <= 0 for f in walls for h in g.loops[f][0] if g.across(h) in walls)
        joined = {frozenset((f, g.across(h))) for f, h in strip.tree.items()}
        (seam,) = {
            frozenset((f, g.across(h)))
            for f in walls
            for h in g.loops[f][0]
            if g.across(h) in walls and frozenset((f, g.across(h))) not in joined
        }
        look = sum(float(g.faces[f].normal @ direction) for f in seam) * (-1 if inner else 1)
        assert look == pytest.approx(-1 - math.cos(math.tau / 8), abs=1e-6)
