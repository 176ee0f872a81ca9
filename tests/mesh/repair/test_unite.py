"""Unite: overlapping solids become one, those that touch do not. Volumes of boxes and of their meeting are products."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.mesh.geometry.measure import signed_volume
from foldsketch.mesh.repair.unite import ClosedSolid, overlapping_pairs, united

SPOT = st.tuples(*[st.floats(-9, 9)] * 3)
SIDES = st.tuples(*[st.floats(4, 12)] * 3)


def box(at: tuple[float, ...], sides: tuple[float, ...], label: int = 0) -> ClosedSolid:
    mesh = trimesh.creation.box(sides)
    return ClosedSolid(mesh.vertices + np.array(at), mesh.faces.astype(np.int64), np.full(12, label))


@examples(40)
@given(SPOT, SIDES, SIDES)
def test_a_union_has_both_volumes_less_what_they_share(
    at: tuple[float, ...], one: tuple[float, ...], other: tuple[float, ...]
) -> None:
    a, b = np.array(one) / 2, np.array(other) / 2
    shared = np.maximum(np.minimum(a, at + b) - np.maximum(-a, at - b), 0.0)
    corners, triangles, _ = united([box((0, 0, 0), one), box(at, other)])
    want = np.prod(one) + np.prod(other) - np.prod(shared)
    assert signed_volume(corners, triangles) == pytest.approx(want, rel=1e-9)


def test_triangles_of_a_union_keep_their_labels() -> None:
    corners, triangles, label = united([box((0, 0, 0), (10, 10, 10), 3), box((5, 0, 0), (10, 4, 4), 8)])
    middle_x = corners[triangles].mean(axis=1)[:, 0]
    assert set(label) == {3, 8}
    assert middle_x[label == 8].min() >= 5  # of the second box nothing but what stands out


def tube(bore: float, outside: float, height: float, sections: int, turned: float = 0.0) -> ClosedSolid:
    mesh = trimesh.creation.annulus(bore, outside, height, sections=sections)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(turned, [0, 0, 1]))
    return ClosedSolid(mesh.vertices, mesh.faces.astype(np.int64))


def shaft(radius: float, height: float, sections: int) -> ClosedSolid:
    mesh = trimesh.creation.cylinder(radius, height, sections=sections)
    return ClosedSolid(mesh.vertices, mesh.faces.astype(np.int64))


@pytest.mark.parametrize("turned", [0.0, 0.05, 0.1])
@pytest.mark.parametrize("sections", [24, 64])
def test_a_shaft_in_its_bore_touches_however_their_facets_lie(turned: float, sections: int) -> None:
    assert not tube(10, 25, 20, sections, turned).overlaps(shaft(10, 50, sections))


def test_a_shaft_through_a_narrower_bore_overlaps() -> None:
    assert tube(9, 25, 20, 64).overlaps(shaft(10, 50, 64))


def test_pairs_that_overlap() -> None:
    row = [box((7.0 * k, 0, 0), (8, 8, 8)) for k in range(3)] + [box((40, 0, 0), (8, 8, 8))]
    assert overlapping_pairs(row) == [(0, 1), (1, 2)]


def test_an_open_surface_is_not_sound() -> None:
    mesh = trimesh.creation.box((1, 1, 1))
    assert not ClosedSolid(np.asarray(mesh.vertices), mesh.faces[:-1].astype(np.int64)).is_sound
