"""The graph of a skin: lengths, angles and areas as they are in space, and faces kept when laid flat."""

import dataclasses
import math

import numpy as np
import pytest
import shapely

import parts
from foldsketch.net.unfolding.face_graph import build_face_graph, clearance_behind_edge, half_edges_of_face
from foldsketch.part.model import Cylinder, PrismShape
from nets import graph_of, one

GRAPHS = [*parts.ALL, parts.CUP, parts.BAY]


def outline(g, face):
    """A face in its own frame, by shapely."""
    outer, *holes = ([(g.flat[h].real, g.flat[h].imag) for h in loop] for loop in g.loops[face])
    return shapely.Polygon(outer, holes)


@pytest.mark.parametrize("part", GRAPHS, ids=lambda p: p.name)
def test_half_edges_run_round_their_faces_and_pair_up(part):
    g, _ = graph_of(part)
    for h in range(len(g.face)):
        assert g.before[g.after[h]] == h and g.face[g.after[h]] == g.face[h]
        t = g.twin[h]
        assert g.twin[t] == h and t != h and g.across(h) == g.face[t]
        assert (g.tail[t], g.tail[g.after[t]]) == (g.tail[g.after[h]], g.tail[h])
        assert g.angle[h] == pytest.approx(g.angle[t]) and g.length[h] == pytest.approx(g.length[t])
        assert g.is_foldable(h) == (g.outer[h] and g.outer[t])
    assert sorted(h for f in range(g.count) for h in half_edges_of_face(g, f)) == list(range(len(g.face)))


@pytest.mark.parametrize("part", GRAPHS, ids=lambda p: p.name)
def test_a_face_in_its_own_frame_is_the_face_in_space(part):
    g, _ = graph_of(part)
    for f in range(g.count):
        frame = g.frame[f]
        assert frame.T @ frame == pytest.approx(np.eye(3), abs=1e-9) and np.linalg.det(frame) == pytest.approx(1)
        assert frame[:, 2] == pytest.approx(g.faces[f].normal)
        assert abs(frame[2, 2]) > 0.9 or abs(frame[2, 0]) < 1e-9, "x is level but on a level face"
        for h in half_edges_of_face(g, f):
            place = g.origin[f] + frame[:, 0] * g.flat[h].real + frame[:, 1] * g.flat[h].imag
            assert place == pytest.approx(g.skin.corners[g.tail[h]], abs=1e-9)
        assert g.area[f] == pytest.approx(outline(g, f).area)


@pytest.mark.parametrize("sides", [3, 4, 9])
def test_angles_of_a_prism(sides):
    """The walls turn by a full turn in all, and by a right angle to each end; outwards everywhere."""
    g, _ = graph_of(one(PrismShape(sides, 50.0), 30))
    walls = [h for h in range(len(g.face)) if g.faces[g.face[h]].kind == g.faces[g.across(h)].kind == "side"]
    rims = [h for h in range(len(g.face)) if h not in walls]
    assert [g.angle[h] for h in walls] == pytest.approx([math.tau / sides] * 2 * sides)
    assert [g.angle[h] for h in rims] == pytest.approx([math.pi / 2] * 4 * sides)


def test_inside_a_bore_folds_are_valleys():
    g, _ = graph_of(parts.SLEEVE, sides=8)
    walls = [h for h in range(len(g.face)) if g.faces[g.face[h]].kind == g.faces[g.across(h)].kind == "side"]
    radius = {h: math.hypot(*g.skin.corners[g.tail[h]][:2]) for h in walls}
    assert {round(g.angle[h] / math.tau * 8, 6) for h in walls if radius[h] < 20} == {-1.0}
    assert {round(g.angle[h] / math.tau * 8, 6) for h in walls if radius[h] > 20} == {1.0}


def test_a_skin_with_a_face_missing_is_refused():
    g, _ = graph_of(parts.HEX)
    with pytest.raises(KeyError):
        build_face_graph(dataclasses.replace(g.skin, faces=g.skin.faces[1:]))


def test_the_sides_of_a_rolled_wall_are_bent_and_its_rims_have_teeth():
    """28 sides: a bend at each upright edge, a tooth at each edge of both rims; both half-edges of each are named."""
    g, _ = graph_of(one(Cylinder(40)), walls="rolled")
    assert len(g.rolled) == 2 * 28 and len(g.teeth) == 2 * 2 * 28
    assert {g.twin[h] for h in g.rolled} == g.rolled and {g.twin[h] for h in g.teeth} == g.teeth
    assert {g.faces[f].kind for h in g.rolled for f in (g.face[h], g.across(h))} == {"side"}
    assert all({g.faces[g.face[h]].kind, g.faces[g.across(h)].kind} == {"side", "end"} for h in g.teeth)
    folded, _ = graph_of(one(Cylinder(40)))
    assert not folded.rolled and not folded.teeth


@pytest.mark.parametrize("part", [parts.BORED, parts.BAY, parts.HEX], ids=lambda p: p.name)
@pytest.mark.parametrize("most", [4.0, 500.0])
def test_the_clearance_behind_an_edge_is_its_distance_to_the_others(part, most):
    """From its middle to those that do not touch it, by shapely; half of it to edges with tabs."""
    g, _ = graph_of(part)
    tabbed = set(range(0, len(g.face), 2))
    for h in range(len(g.face)):
        middle = (g.flat[h] + g.flat[g.after[h]]) / 2
        found, halved = [most], [most]
        for k in half_edges_of_face(g, g.face[h]):
            if k not in (h, g.after[h], g.before[h]):
                ends = [(z.real, z.imag) for z in (g.flat[k], g.flat[g.after[k]])]
                away = shapely.LineString(ends).distance(shapely.Point(middle.real, middle.imag))
                found.append(away)
                halved.append(away / 2 if k in tabbed else away)
        assert clearance_behind_edge(g, h, most) == pytest.approx(min(found))
        assert clearance_behind_edge(g, h, most, tabbed) == pytest.approx(min(halved))
