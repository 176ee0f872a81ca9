"""Cleaning: every kind of damage is repaired or reported. Volumes and areas are trimesh's own."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from examples import examples
from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.files.load import RawMesh
from foldsketch.mesh.repair.clean import Body, clean_mesh
from meshes import codes, values

Array = NDArray[np.float64]


def soup(mesh: trimesh.Trimesh) -> Array:
    return np.asarray(mesh.triangles, dtype=np.float64).copy()


def moved(triangles: Array, x: float, y: float = 0, z: float = 0) -> Array:
    return triangles + np.array((x, y, z))


def raw(triangles: Array, single: bool = False) -> RawMesh:
    points = np.asarray(triangles, dtype=np.float64).reshape(-1, 3)
    return RawMesh("part.stl", "stl", points, np.arange(len(points)).reshape(-1, 3), single)


def one(triangles: Array) -> Body:
    (body,) = clean_mesh(raw(triangles))
    return body


BOX = trimesh.creation.box((40, 30, 20))
ROD = trimesh.creation.cylinder(10, 30, sections=48)
BALL = trimesh.creation.icosphere(subdivisions=3, radius=12)


@pytest.mark.parametrize("mesh", [BOX, ROD, BALL], ids=["box", "rod", "ball"])
def test_a_sound_mesh_is_left_alone(mesh: trimesh.Trimesh) -> None:
    body = one(soup(mesh))
    assert body.watertight
    assert body.findings == ()
    assert body.volume == pytest.approx(mesh.volume)
    assert body.area == pytest.approx(mesh.area)
    assert len(body.corners) == len(mesh.vertices)
    assert np.linalg.norm(body.normals, axis=1) == pytest.approx(1)
    assert len(body.face_adjacency) == len(mesh.face_adjacency)


@examples(15)
@given(st.integers(0, 10_000), st.floats(0, 1), st.integers(0, 20))
def test_order_winding_and_doubles_do_not_matter(seed: int, turned: float, doubled: int) -> None:
    rng = np.random.default_rng(seed)
    t = soup(BALL)
    back = rng.random(len(t)) < turned
    t[back] = t[back][:, ::-1]
    t = np.concatenate((t, t[rng.choice(len(t), doubled, replace=False)]))
    t = np.array([np.roll(corners, k, axis=0) for corners, k in zip(t, rng.integers(0, 3, len(t)), strict=True)])
    body = one(t[rng.permutation(len(t))])
    assert body.watertight
    assert body.volume == pytest.approx(BALL.volume)
    assert len(body.triangles) == len(BALL.faces)


@pytest.mark.parametrize("share", [0.1, 0.4, 1.0])
def test_turned_triangles_are_turned_back(share: float) -> None:
    t = soup(BALL)
    flip = np.random.default_rng(1).random(len(t)) < share
    t[flip] = t[flip][:, ::-1]
    body = one(t)
    assert body.volume == pytest.approx(BALL.volume)
    if share < 0.5:
        assert values(body.findings, "mesh-winding-fixed") == {"count": int(flip.sum())}
    else:
        assert values(body.findings, "mesh-inside-out-fixed") == {"count": 1}


def test_doubled_and_degenerate_triangles_are_removed() -> None:
    t = soup(ROD)
    flat = t[:3].copy()
    flat[:, 2] = flat[:, 0]
    turned_double = t[4:6][:, [1, 2, 0]]
    body = one(np.concatenate((t, t[:5], turned_double, flat)))
    assert len(body.triangles) == len(t)
    assert body.watertight
    assert values(body.findings, "mesh-duplicates-removed") == {"count": 7}
    assert values(body.findings, "mesh-degenerate-removed") == {"count": 3}


def test_triangles_back_to_back_are_removed() -> None:
    fin = np.array([[[20.0, 0, 0], [35, 0, 0], [20, 0, 10]]])  # without thickness, on the side of the box
    body = one(np.concatenate((soup(BOX), fin, fin[:, ::-1])))
    assert values(body.findings, "mesh-back-to-back-removed") == {"count": 2}
    assert body.volume == pytest.approx(BOX.volume)


def test_a_hole_is_reported_with_its_length() -> None:
    """A side of 40 x 30 gone from a box of triangles: its four edges are open, and that is no small hole."""
    t = soup(BOX)
    body = one(t[BOX.face_normals[:, 2] < 0.9])
    assert not body.watertight
    assert values(body.findings, "mesh-not-closed") == {"holes": 1, "edges": 4, "length": pytest.approx(140)}


def test_a_small_hole_is_filled() -> None:
    """One triangle gone from a box of triangles: the box is whole again."""
    t = soup(BOX)
    area = np.linalg.norm(np.cross(t[0][1] - t[0][0], t[0][2] - t[0][0])) / 2
    body = one(t[1:])
    assert body.watertight
    assert body.volume == pytest.approx(BOX.volume)
    assert values(body.findings, "holes-filled") == {"count": 1, "area": pytest.approx(area)}


def test_faces_that_do_not_meet_are_joined() -> None:
    t = soup(BALL) + np.random.default_rng(2).normal(size=(len(BALL.faces), 3, 3)) * 1e-6
    body = one(t)
    assert body.watertight
    assert codes(body.findings) == ["mesh-seams-joined"]
    assert body.volume == pytest.approx(BALL.volume, rel=1e-5)


def test_slivers_have_no_area_and_no_normal() -> None:
    """A corner in the middle of an edge, off it by less than the rounding of the numbers."""
    t = soup(BOX)
    a, b, c = t[0]
    middle = (a + b) / 2
    split = np.array([[a, middle, c], [middle, b, c], [a, b, middle]])
    body = one(np.concatenate((t[1:], split)))
    assert body.watertight
    assert values(body.findings, "mesh-slivers-ignored") == {"count": 1}
    assert (body.areas == 0).sum() == 1
    assert (body.normals[body.areas == 0] == 0).all()
    assert body.volume == pytest.approx(BOX.volume)


def test_four_faces_at_an_edge_are_reported() -> None:
    """Two boxes that share an edge."""
    bodies = clean_mesh(raw(np.concatenate((soup(BOX), moved(soup(BOX), 40, 30)))))
    assert [b.volume for b in bodies] == pytest.approx([BOX.volume] * 2)
    assert values(bodies[0].findings, "mesh-edges-of-many-faces") == {"count": 1}


def test_a_one_sided_strip_is_reported() -> None:
    """A Möbius strip: half a turn along a closed band."""
    n = 24
    t = np.arange(n + 1) * 2 * np.pi / n
    rim = [
        np.column_stack(((20 + s * np.cos(t / 2)) * np.cos(t), (20 + s * np.cos(t / 2)) * np.sin(t), s * np.sin(t / 2)))
        for s in (-4, 4)
    ]
    rim[0][n], rim[1][n] = rim[1][0], rim[0][0]
    band = []
    for k in range(n):
        band += [(rim[0][k], rim[0][k + 1], rim[1][k]), (rim[1][k], rim[0][k + 1], rim[1][k + 1])]
    bodies = clean_mesh(raw(np.concatenate((np.array(band), moved(soup(BALL), 100)))))
    assert "mesh-one-sided" in codes(bodies[0].findings)


def test_bodies_apart_are_read_apart_the_largest_first() -> None:
    far = moved(soup(BALL), 100)
    bodies = clean_mesh(raw(np.concatenate((far, soup(BOX)))))
    assert [b.name for b in bodies] == ["part 1", "part 2"]
    assert [b.volume for b in bodies] == pytest.approx([BOX.volume, BALL.volume])
    assert values(bodies[0].findings, "mesh-several-bodies") == {"count": 2}


def test_bodies_that_overlap_are_united_and_reported() -> None:
    """A box of 30 mm with a rod of 16 mm length whose middle is in the box's top face: half of the rod stands out."""
    body = one(np.concatenate((soup(BOX), moved(soup(ROD), 0, 0, BOX.bounds[1][2]))))
    assert values(body.findings, "mesh-bodies-united") == {"count": 2}
    assert body.volume == pytest.approx(BOX.volume + ROD.volume / 2)
    assert body.watertight


def test_bodies_that_meet_on_a_face_are_two() -> None:
    length = float(np.ptp(ROD.bounds[:, 2]))
    bodies = clean_mesh(raw(np.concatenate((soup(BOX), moved(soup(ROD), 0, 0, BOX.bounds[1][2] + length / 2)))))
    assert [b.volume for b in bodies] == pytest.approx([BOX.volume, ROD.volume])


def test_an_overlap_with_a_torn_body_is_reported_and_left() -> None:
    hole = np.delete(soup(BALL), np.arange(12), axis=0)
    bodies = clean_mesh(raw(np.concatenate((hole, moved(soup(BALL), 5, 0, 0)))))
    assert {"mesh-bodies-overlap", "mesh-bodies-united"} & set(codes(bodies[0].findings))


@pytest.mark.parametrize("wound_as_a_solid", [False, True])
def test_a_hollow_stays_a_hollow_whichever_way_it_is_wound(wound_as_a_solid: bool) -> None:
    small = soup(BALL) * 0.5
    body = one(np.concatenate((soup(BALL), small if wound_as_a_solid else small[:, ::-1])))
    assert body.volume == pytest.approx(BALL.volume * (1 - 1 / 8))
    assert ("mesh-hollow-inside" in codes(body.findings)) == wound_as_a_solid
    cavity = values(body.findings, "mesh-closed-cavity")
    assert cavity["count"] == 1
    assert cavity["volume"] == pytest.approx(BALL.volume / 8 / 1000)


def test_a_ball_in_a_hollow_is_a_body_of_its_own() -> None:
    shells = [soup(BALL), soup(BALL)[:, ::-1] * 0.5, soup(BALL) * 0.25]
    bodies = clean_mesh(raw(np.concatenate(shells)))
    assert [b.volume for b in bodies] == pytest.approx([BALL.volume * 7 / 8, BALL.volume / 64])


def test_debris_is_left_out_and_reported() -> None:
    body = one(np.concatenate((soup(BOX), moved(soup(BALL) * 0.01, 25))))
    assert body.volume == pytest.approx(BOX.volume)
    assert values(body.findings, "mesh-debris-left-out") == {"count": 1}


def test_pieces_of_a_torn_surface_are_one_body() -> None:
    """Two bowls of a ball with a wavy gap between them."""
    ball = soup(trimesh.creation.icosphere(subdivisions=1, radius=12))
    x, _, z = ball.mean(axis=1).T
    upper, lower = ball[z > 3 * np.sin(x / 3) + 2], ball[z < 3 * np.sin(x / 3) - 2]
    body = one(np.concatenate((upper, lower)))
    assert not body.watertight
    assert len(body.triangles) == len(upper) + len(lower) < len(ball)


@pytest.mark.parametrize("both_sides", [False, True])
def test_a_sheet_is_refused(both_sides: bool) -> None:
    sheet = soup(BOX)[BOX.face_normals[:, 2] > 0.9]
    with pytest.raises(FoldsketchError) as caught:
        clean_mesh(raw(np.concatenate((sheet, sheet[:, ::-1])) if both_sides else sheet))
    assert codes(caught.value.findings) == ["mesh-is-a-sheet"]


def test_triangles_of_one_point_each_are_refused() -> None:
    with pytest.raises(FoldsketchError) as caught:
        clean_mesh(raw(np.repeat(soup(BOX)[:, :1], 3, axis=1)))
    assert codes(caught.value.findings) == ["mesh-all-degenerate"]


def test_far_from_the_origin_is_reported_and_taken_off() -> None:
    t = moved(soup(ROD), 50_000, -20_000, 10_000).astype(np.float32).astype(np.float64)
    body = clean_mesh(raw(t, single=True))[0]
    assert values(body.findings, "mesh-far-from-origin")["distance"] == 50_000
    assert np.abs(body.corners).max() < 20
    assert body.resolution == pytest.approx(2.0**-8)  # spacing of 32-bit numbers at 50,000


def test_units_scale_lengths() -> None:
    body = clean_mesh(raw(soup(BOX)), 25.4)[0]
    assert body.volume == pytest.approx(BOX.volume * 25.4**3)
