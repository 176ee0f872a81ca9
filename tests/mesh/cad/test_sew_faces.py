import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.mesh.cad.read_glb import CadSolid
from foldsketch.mesh.cad.sew_faces import sew_faces
from foldsketch.mesh.geometry.measure import signed_volume
from foldsketch.mesh.repair.mesh_repair import find_mesh_edges, merge_equal_corners


def drum(wall, lower, upper):
    """A drum of radius 10 and length 5 as three faces, each with corners of its own, at the angles given."""
    faces = []
    ring = np.column_stack((10 * np.cos(wall), 10 * np.sin(wall)))
    low, high = (np.column_stack((ring, np.full(len(ring), z))) for z in (0.0, 5.0))
    n = len(wall)
    k, m = np.arange(n), (np.arange(n) + 1) % n
    faces.append((np.concatenate((low, high)), np.concatenate((np.c_[k, m, m + n], np.c_[k, m + n, k + n]))))
    for angles, z in ((lower, 0.0), (upper, 5.0)):
        n = len(angles)
        rim = np.column_stack((10 * np.cos(angles), 10 * np.sin(angles), np.full(n, z)))
        k, m = np.arange(n), (np.arange(n) + 1) % n
        rows = np.c_[k, m, np.full(n, n)] if z else np.c_[m, k, np.full(n, n)]
        faces.append((np.concatenate((rim, [[0, 0, z]])), rows))
    starts = np.cumsum([0] + [len(p) for p, _ in faces[:-1]])
    return CadSolid(
        "drum",
        np.concatenate([p for p, _ in faces]),
        np.concatenate([t + s for (_, t), s in zip(faces, starts, strict=True)]),
        np.repeat(np.arange(3), [len(t) for _, t in faces]),
        (None, None, None),
    )


def closed(solid):
    corners, triangles = merge_equal_corners(solid.corners, solid.triangles)
    edges = find_mesh_edges(triangles, len(corners))
    return len(edges.open_edges) == 0 and edges.nonmanifold_count == 0


def spread(draw):
    """Angles of a full turn in steps of 0.25 or less, as the kernel makes them, beginning anywhere."""
    n = draw(st.integers(26, 60))
    return draw(st.floats(0, 6)) + np.arange(n) * 2 * np.pi / n


@given(st.data())
def test_rims_divided_in_different_ways_meet(data):
    solid = drum(spread(data.draw), spread(data.draw), spread(data.draw))
    sewn = sew_faces(solid)
    assert closed(sewn)
    assert np.unique(sewn.face[np.lexsort(sewn.triangles.T)]).tolist() == [0, 1, 2]
    area = np.pi * 10**2 * 5
    assert signed_volume(sewn.corners, sewn.triangles) == pytest.approx(area, rel=0.012)


def test_faces_that_meet_already_stay_as_they_are():
    angles = np.arange(40) * 2 * np.pi / 40
    solid = drum(angles, angles, angles)
    sewn = sew_faces(solid)
    assert closed(sewn) and len(sewn.triangles) == len(solid.triangles)


def test_an_edge_that_is_straight_takes_nothing_that_is_only_near_it():
    """A hole's rim comes within 0.2 mm of a straight edge of the face beside it, and is no part of that edge."""
    angles = np.arange(30) * 2 * np.pi / 30
    rim = np.column_stack((10 * np.cos(angles), 10 * np.sin(angles), np.zeros(30)))
    k = np.arange(30)
    disc = np.c_[k, (k + 1) % 30, np.full(30, 30)]
    beside = np.array([[10.2, -20, 0], [10.2, 20, 0], [30, 0, 0.0]])
    solid = CadSolid(
        "two",
        np.concatenate((rim, [[0, 0, 0]], beside)),
        np.concatenate((disc, [[31, 33, 32]])),
        np.r_[np.zeros(30, int), 1],
        (None, None),
    )
    assert len(sew_faces(solid).triangles) == 31
