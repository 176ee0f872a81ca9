"""Known polyhedra through the general way: faces, folds, tabs, surface, volume and dihedral angles.

Measures per edge 1: the standard tables of the Platonic and Archimedean solids (references section 2.4 [D], checked
there against closed forms). V - 1 cut edges: a cut tree spans the corners [P: Wikipedia, 'Net (polyhedron)'].
"""

import itertools
import math

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from foldsketch.net.tabs.cut_edges import build_unfolded_layout
from foldsketch.net.tabs.tab_search import find_tabs
from foldsketch.net.unfolding.face_graph import build_face_graph
from foldsketch.net.unfolding.flatten import piece_polygons
from foldsketch.net.unfolding.overlaps import find_overlaps
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.solid.joining.polyhedron import skin_of_polygons

PHI = (1 + math.sqrt(5)) / 2


def signs(*base):
    """All sign changes of the non-zero coordinates."""
    options = [(v, -v) if v else (v,) for v in base]
    return set(itertools.product(*options))


def permuted(*base, even=False):
    found = set()
    for order in itertools.permutations(range(3)):
        parity = sum(order[i] > order[j] for i in range(3) for j in range(i + 1, 3)) % 2
        if even and parity:
            continue
        found |= signs(*(base[k] for k in order))
    return found


SOLIDS = {
    # name: (corners, V, E, F, surface, volume, dihedral angles in degrees)
    "tetrahedron": ({(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)}, 4, 6, 4, 1.732051, 0.117851, {70.529}),
    "cube": (signs(1, 1, 1), 8, 12, 6, 6, 1, {90.0}),
    "octahedron": (permuted(1, 0, 0), 6, 12, 8, 3.464102, 0.471405, {109.471}),
    "dodecahedron": (
        signs(1, 1, 1) | permuted(0, 1 / PHI, PHI, even=True), 20, 30, 12, 20.645729, 7.663119, {116.565}),
    "icosahedron": (permuted(0, 1, PHI, even=True), 12, 30, 20, 8.660254, 2.181695, {138.190}),
    "cuboctahedron": (permuted(1, 1, 0), 12, 24, 14, 9.464102, 2.357023, {125.264}),
    "truncated cube": (
        permuted(math.sqrt(2) - 1, 1, 1), 24, 36, 14, 32.434664, 13.599663, {90.0, 125.264}),
    "truncated octahedron": (permuted(0, 1, 2), 24, 36, 14, 26.784610, 11.313708, {109.471, 125.264}),
    "rhombicuboctahedron": (
        permuted(1, 1, 1 + math.sqrt(2)), 24, 48, 26, 21.464102, 8.714045, {135.0, 144.736}),
    "icosidodecahedron": (
        permuted(PHI, 0, 0) | permuted(0.5, PHI / 2, PHI * PHI / 2, even=True),
        30, 60, 32, 29.305983, 13.835526, {142.623}),
    "truncated icosahedron": (
        permuted(0, 1, 3 * PHI, even=True) | permuted(1, 2 + PHI, 2 * PHI, even=True)
        | permuted(PHI, 2, 2 * PHI + 1, even=True),
        60, 90, 32, 72.607253, 55.287731, {138.190, 142.623}),
}  # fmt: skip


def hull_skin(points, scale=12.0):
    """The convex hull with coplanar triangles merged, at an edge length of scale mm."""
    p = np.array(sorted(points), dtype=float)
    apart = np.linalg.norm(p[:, None] - p[None], axis=2)
    p = p / apart[apart > 1e-9].min() * scale
    hull = ConvexHull(p)
    planes = {}
    for simplex, equation in zip(hull.simplices, hull.equations, strict=True):
        planes.setdefault(tuple(np.round(equation, 6) + 0.0), set()).update(simplex.tolist())
    loops = []
    for plane, members in planes.items():
        normal = np.array(plane[:3])
        own = np.array(sorted(members))
        middle = p[own].mean(axis=0)
        x = p[own[0]] - middle
        y = np.cross(normal, x)
        bearing = np.arctan2((p[own] - middle) @ y, (p[own] - middle) @ x)
        loops.append([own[np.argsort(bearing)].tolist()])
    return skin_of_polygons(p, loops)


@pytest.mark.parametrize("name", SOLIDS)
def test_known_solids(name):
    corners, v, e, f, surface, volume, dihedral = SOLIDS[name]
    skin = hull_skin(corners)
    graph = build_face_graph(skin)
    assert (len(skin.corners), len(graph.face) // 2, graph.count, skin.euler) == (v, e, f, 2)
    assert sum(graph.area) / 12**2 == pytest.approx(surface, abs=1e-5)
    assert skin.volume / 12**3 == pytest.approx(volume, abs=1e-6)
    assert {round(180 - math.degrees(a), 3) for a in graph.angle} == dihedral
    pieces = unfold(graph, np.array([1.0, 0, 0]), None)
    assert len(pieces) == 1, "one net"
    assert len(pieces[0].tree) == f - 1, "F - 1 folds"
    assert not find_overlaps(piece_polygons(graph, pieces[0], list(pieces[0].place)))
    edges = find_tabs(build_unfolded_layout(graph, pieces))
    assert len(edges) == v - 1, "V - 1 cut edges"
    assert all(c.shape is not None for c in edges), "a tab on every cut edge"


@pytest.mark.parametrize("n", [3, 6, 12, 18, 24, 30])
def test_prism_counts(n):
    """Right n-prism: V 2n, E 3n, F n+2; n+1 folds and 2n-1 cuts [D]; fold angles 360/n and 90 degrees."""
    from foldsketch.part.model import Axis, Cylinder, Feature, Part
    from foldsketch.solid.faceting.facet import facet
    from foldsketch.solid.faceting.sides import FacetChoice
    from foldsketch.solid.joining.blocks import join

    part = Part("p", (Axis("A"),), (Feature("p", "A", Cylinder(120), 0, 30),))
    skin = join(facet(part, 1.0, FacetChoice(sides=n))).blocks[0].skin
    graph = build_face_graph(skin)
    assert (len(skin.corners), len(graph.face) // 2, graph.count) == (2 * n, 3 * n, n + 2)
    assert {round(math.degrees(a), 9) for a in graph.angle} == {round(360 / n, 9), 90.0}
    pieces = unfold(graph, np.array([1.0, 0, 0]), None)
    assert [len(p.tree) for p in pieces] == [n + 1]
    assert len(find_tabs(build_unfolded_layout(graph, pieces))) == 2 * n - 1
