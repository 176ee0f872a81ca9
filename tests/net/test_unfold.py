"""Nets as a hand likes them: rows opened at the back, upright on paper, tubes apart, whole where the page lets them."""

import math

import numpy as np
import pytest
import shapely

import parts
from foldsketch.net.build import build_nets
from foldsketch.net.tabs.cut_edges import build_unfolded_layout
from foldsketch.net.tabs.tab_limits import corner_angles
from foldsketch.net.unfolding.face_graph import build_face_graph
from foldsketch.net.unfolding.flatten import all_folds, find_overlaps, flatten, piece_polygons
from foldsketch.net.unfolding.overlap_repair import child_faces, repair_overlaps, subtree
from foldsketch.net.unfolding.spanning_trees import (
    feature_strip_layout,
    foldable_components,
    foldable_edges,
    steepest_edge_layouts,
    tube_rims,
)
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.solid.joining.skin import combine_skins


def nets_of(part, rule="faces", page=None, **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return build_nets(faceted, join(faceted, rule), 1.0, page)


def graph(part, rule="fuse", **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return build_face_graph(combine_skins([b.skin for b in join(faceted, rule).blocks])), faceted.datum_direction


def in_space(panel, p):
    return panel.origin + panel.to_space[:, :2] @ np.array(p)


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
    g, direction = graph(parts.part(parts.TWO_SPIGOTS.features, *axes), sides=8)
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


CUP = Part(
    "cup", (Axis("A"),), (Feature("floor", "A", Cylinder(60), 0, 10), Feature("wall", "A", Ring(60, 36), 10, 40))
)
STEPPED = Part(
    "stepped bore",
    (Axis("A"),),
    (
        Feature("body", "A", Cylinder(80), 0, 40),
        Feature("bore", "A", Cylinder(24), -1, 41, True),
        Feature("counterbore", "A", Cylinder(50), 25, 41, True),
    ),
)


@pytest.mark.parametrize("part", [CUP, STEPPED, parts.SLEEVE, parts.OFFSET_SLEEVE, parts.BLIND], ids=lambda p: p.name)
def test_the_wall_of_a_bore_hangs_on_nothing_but_its_own_floor(part):
    """Hung on the outside it would have to be folded in through the hole that it lines."""
    nets = nets_of(part, "fuse")
    axis = {f.name: np.array(part.axis(f.axis).point)[:2] for f in part.features}
    for piece in nets.pieces:
        inner, outer = set(), set()
        for p in piece.panels:
            if p.kind == "side":
                middle = in_space(p, p.outline.mean(axis=0))[:2] - axis[p.feature]
                (inner if middle @ p.to_space[:2, 2] < 0 else outer).add(p.id)
        assert not (inner and outer), "inside and outside are pieces of their own"
        if inner:
            assert all(p.feature == piece.panels[0].feature for p in piece.panels)
    assert nets.checks.passed()


def test_rims_of_tubes_are_told_with_their_twins_and_no_other_edge():
    g, _ = graph(CUP)
    rims = tube_rims(g)
    assert {g.twin[h] for h in rims} == set(rims)
    radius = [np.hypot(*g.skin.corners[g.tail[h]][:2]) for h in rims]
    height = {round(float(g.skin.corners[g.tail[h]][2]), 6) for h in rims}
    assert len(set(np.round(radius, 6))) == 1 and radius[0] == pytest.approx(18, rel=0.05)
    assert height <= {10.0, 40.0}
    assert 10.0 in height
    assert not tube_rims(graph(parts.TWO_SPIGOTS)[0])


def test_a_bore_that_runs_out_through_the_side_is_no_tube():
    """Its wall is a row that does not close: a bay of the outside, in one piece with it."""
    bay = Part(
        "p",
        (Axis("A"), Axis("B", (30.0, 0.0, 0.0))),
        (Feature("body", "A", PrismShape(4, 60.0), 0, 20), Feature("bay", "B", Cylinder(24), -1, 21, True)),
    )
    g, _ = graph(bay)
    inward = [h for h in range(len(g.face)) if g.angle[h] < 0]
    assert len(inward) >= 6
    assert not tube_rims(g)
    assert len(nets_of(bay).pieces) == 1


def extent(piece):
    corners = np.concatenate([p.outline for p in piece.panels])
    return np.ptp(corners, axis=0)


@pytest.mark.parametrize("turned", [False, True])
def test_a_net_that_just_fits_the_page_with_8_mm_for_tabs_stays_whole(turned):
    (whole,) = nets_of(parts.HEX.with_features(parts.HEX.features[:1])).pieces
    w, h = (extent(whole) + 16.0).tolist()
    for shrink, pieces in ((0.01, 1), (-0.5, 2)):
        for part_w, part_h in ((w + shrink, h + 0.01), (w + 0.01, h + shrink)):
            page = (part_h, part_w) if turned else (part_w, part_h)
            made = nets_of(parts.HEX.with_features(parts.HEX.features[:1]), page=page)
            assert (len(made.pieces) == 1) == (pieces == 1), page
            assert made.checks.passed()
            for p in made.pieces:
                a, b = sorted(extent(p) + 16.0)
                assert a <= min(page) + 1e-6 and b <= max(page) + 1e-6


def test_parts_of_a_net_too_large_are_hung_together_again_where_they_fit():
    """A strip of 283 mm on a page of 160: two halves would do and the ends hang on them: no scrap is left over."""
    made = nets_of(Part("p", (Axis("A"),), (Feature("disc", "A", Cylinder(90), 0, 12),)), page=(160.0, 160.0))
    assert made.checks.passed()
    assert len(made.pieces) <= 4
    walls = [p for p in made.pieces if sum(q.kind == "side" for q in p.panels) > 1]
    assert len(walls) == 2, "pi d + 16 is less than twice the page"


def overlapping():
    """Layouts that overlap, each with its graph and faces: steepest-edge trees of bodies with bays and bores."""
    found = []
    star = Plate(
        outline=tuple(
            (r * math.cos(t), r * math.sin(t)) for k in range(10) for r, t in [((30, 13)[k % 2], k * math.pi / 5)]
        )
    )
    for part in (
        parts.INTERLOCKED,
        parts.part([parts.FLANGE, Feature("taper", "B", Cone(40, 10), 12, 60)], parts.at("B", 15, 0)),
        parts.part([Feature("star", "A", star, 0, 6), Feature("boss", "A", Cone(20, 8), 6, 40)]),
    ):
        g, direction = graph(part)
        for faces in foldable_components(g, range(g.count), tube_rims(g)):
            if len(faces) > 3:
                for laid in [feature_strip_layout(g, faces, direction), *steepest_edge_layouts(g, faces, direction)]:
                    if find_overlaps(piece_polygons(g, laid, faces)):
                        found.append((g, faces, laid))
    return found


def test_mending_lessens_the_overlap_and_tells_what_is_left():
    """By shapely, on the layout that it gives back."""
    cases = overlapping()
    assert len(cases) >= 3
    mended = 0
    for g, faces, laid in cases:
        before = sum(a for _, _, a in find_overlaps(piece_polygons(g, laid, faces)))
        better, left = repair_overlaps(g, laid, faces, frozenset())
        assert set(better.place) == set(laid.place) == set(faces)
        assert len(better.tree) == len(faces) - 1
        again = flatten(g, better.root, better.tree, 1j / better.place[better.root][0])
        assert all(abs(again.place[f][1] - better.place[f][1]) < 1e-9 for f in faces)
        shapes = [shapely.Polygon(r[0], r[1:]) for r in loops_of(g, better)]
        shared = sum(
            a
            for i, one in enumerate(shapes)
            for two in shapes[i + 1 :]
            if (a := shapely.intersection(one, two, grid_size=1e-6).area) > 1e-3
        )
        assert left == pytest.approx(shared, abs=0.02)
        assert left <= before + 0.02
        mended += left == 0
    assert mended > len(cases) / 2, "most come out without any"


def loops_of(g, laid):
    for f, (r, t) in laid.place.items():
        z = [[r * g.flat[h] + t for h in loop] for loop in g.loops[f]]
        yield [[(p.real, p.imag) for p in loop] for loop in z]


@pytest.mark.parametrize("part", [parts.INTERLOCKED, parts.BORED, CUP], ids=lambda p: p.name)
def test_laid_faces_keep_their_shape_and_meet_along_their_folds(part):
    g, direction = graph(part)
    for laid in unfold(g, direction, None):
        for h in all_folds(g, laid):
            (r, t), (q, s) = laid.place[g.face[h]], laid.place[g.face[g.twin[h]]]
            assert abs(r * g.flat[h] + t - (q * g.flat[g.after[g.twin[h]]] + s)) < 1e-6
            assert abs(r * g.flat[g.after[h]] + t - (q * g.flat[g.twin[h]] + s)) < 1e-6
        for f, (r, _) in laid.place.items():
            assert abs(r) == pytest.approx(1)
            for loop in g.loops[f]:
                for h in loop:
                    a, b = (g.skin.corners[g.tail[k]] for k in (h, g.after[h]))
                    assert g.length[h] == pytest.approx(math.dist(a, b))
                    assert abs(g.flat[h] - g.flat[g.after[h]]) == pytest.approx(g.length[h])


def test_what_hangs_on_a_face_is_all_that_a_cut_there_takes_off():
    g, direction = graph(parts.INTERLOCKED)
    (faces,) = foldable_components(g, range(g.count))
    laid = feature_strip_layout(g, faces, direction)
    children = child_faces(g, laid.tree)
    assert subtree(children, laid.root) == set(faces)
    for child in laid.tree:
        own = subtree(children, child)
        assert child in own and laid.root not in own
        crossing = [f for f, h in laid.tree.items() if (f in own) != (g.face[g.twin[h]] in own)]
        assert crossing == [child]
    assert len({*foldable_edges(g, faces)}) == len(foldable_edges(g, faces))


@pytest.mark.parametrize("part", [*parts.ALL, CUP], ids=lambda p: p.name)
def test_the_angles_at_the_corners_of_a_loop_add_up(part):
    """To n - 2 straight angles, n + 2 in a hole, bays and all: tabs are bevelled by them."""
    g, direction = graph(part)
    inner, _ = corner_angles(build_unfolded_layout(g, unfold(g, direction, None)))
    for f, loops in enumerate(g.loops):
        for k, loop in enumerate(loops):
            wanted = (len(loop) + (2 if k else -2)) * math.pi
            assert sum(inner[h] for h in loop) == pytest.approx(wanted), f
