"""Prisms: closed, every face flat and outward; an apex; the numbers of faces."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.model import Cone, Cylinder, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from solids import newell, single


def test_an_apex_is_one_point_and_its_sides_are_triangles():
    for shape, z in ((Cone(40, 0), 30.0), (Cone(0, 40), 0.0)):
        (prism,) = facet(single(shape, 30), 1.0, FacetChoice()).prisms
        apex = np.hypot(prism.corners[:, 0], prism.corners[:, 1]) < 1e-12
        assert prism.corners[apex].tolist() == [[0.0, 0.0, z]]
        assert {len(f.loops[0]) for f in prism.faces if f.kind == "side"} == {3}
        assert len(prism.corners) == prism.sides + 1


def test_every_face_has_a_number_and_the_ends_have_0_and_1():
    (prism,) = facet(single(Ring(40, 20)), 1.0, FacetChoice()).prisms
    assert sorted(f.side for f in prism.faces) == list(range(len(prism.faces)))
    assert {(f.side, f.normal[2]) for f in prism.faces if f.kind == "end"} == {(0, -1.0), (1, 1.0)}


diameters = st.floats(1, 100)
SHAPES = st.one_of(
    st.builds(Cylinder, diameters),
    st.builds(Cone, st.just(0.0), diameters),
    st.builds(Cone, diameters, diameters | st.just(0.0)),
    st.tuples(diameters, st.floats(0.1, 0.9)).map(lambda d: Ring(d[0], d[0] * d[1])),
    st.builds(PrismShape, st.integers(3, 8), diameters, st.floats(-3, 3)),
)


@given(SHAPES, st.floats(0.5, 80), st.sampled_from(["folded", "rolled"]), st.integers(3, 40))
def test_the_faces_of_any_feature_enclose_it(shape, length, walls, sides):
    """Newell's vector of every face points along its normal, they add up to 0 as those of a closed surface do, and
    every edge belongs to two faces, once each way."""
    (prism,) = facet(single(shape, length), 1.0, FacetChoice(walls=walls, sides=sides)).prisms
    vectors = [sum(newell(prism.corners, loop) for loop in f.loops) for f in prism.faces]
    for f, vector in zip(prism.faces, vectors, strict=True):
        assert vector / np.linalg.norm(vector) == pytest.approx(f.normal, abs=1e-6)
    assert np.abs(sum(vectors)).max() < 1e-9 * sum(map(np.linalg.norm, vectors))
    edges = [(a, b) for f in prism.faces for loop in f.loops for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)]
    assert len(set(edges)) == len(edges)
    assert {(b, a) for a, b in edges} == set(edges)
