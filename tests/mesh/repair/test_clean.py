"""Cleaning: every kind of damage is repaired or reported."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.files.load import RawMesh
from foldsketch.mesh.geometry.coordinate_resolution import estimate_resolution
from foldsketch.mesh.repair.clean import Body, clean_mesh

Array = NDArray[np.float64]


def soup(mesh: trimesh.Trimesh) -> Array:
    return np.array(mesh.triangles, dtype=np.float64)


def moved(triangles: Array, x: float, y: float = 0, z: float = 0) -> Array:
    return triangles + np.array((x, y, z))


def raw(triangles: Array, single: bool = False) -> RawMesh:
    points = np.asarray(triangles, dtype=np.float64).reshape(-1, 3)
    return RawMesh("part.stl", "stl", points, np.arange(len(points)).reshape(-1, 3), single)


def one(triangles: Array) -> Body:
    bodies = clean_mesh(raw(triangles))
    assert len(bodies) == 1
    return bodies[0]


def codes(body: Body) -> set[str]:
    return {f.code for f in body.findings}


def values(body: Body, code: str) -> dict[str, Any]:
    """Values of the one finding of a code."""
    (found,) = [f for f in body.findings if f.code == code]
    return dict(found.values)


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


@pytest.mark.parametrize("share", [0.1, 0.4, 1.0])
def test_turned_triangles_are_turned_back(share: float) -> None:
    t = soup(BALL)
    flip = np.random.default_rng(1).random(len(t)) < share
    t[flip] = t[flip][:, ::-1]
    body = one(t)
    assert body.volume == pytest.approx(BALL.volume)
    assert codes(body) <= {"mesh-winding-fixed", "mesh-inside-out-fixed"}
    if share < 0.5:
        assert values(body, "mesh-winding-fixed") == {"count": int(flip.sum())}


def test_doubled_and_degenerate_triangles_are_removed() -> None:
    t = soup(ROD)
    flat = t[:3].copy()
    flat[:, 2] = flat[:, 0]
    turned_double = t[4:6][:, [1, 2, 0]]
    body = one(np.concatenate((t, t[:5], turned_double, flat)))
    assert len(body.triangles) == len(t)
    assert body.watertight
    assert values(body, "mesh-duplicates-removed") == {"count": 7}
    assert values(body, "mesh-degenerate-removed") == {"count": 3}


def test_a_hole_is_reported_with_its_length() -> None:
    """One triangle gone from a box of triangles: its three sides are open."""
    t = soup(BOX)
    body = one(t[1:])
    assert not body.watertight
    found = values(body, "mesh-not-closed")
    sides = np.linalg.norm(t[0] - np.roll(t[0], 1, axis=0), axis=1)
    assert (found["holes"], found["edges"]) == (1, 3)
    assert found["length"].value == pytest.approx(sides.sum())


def test_unjoined_faces_are_joined() -> None:
    t = soup(BALL) + np.random.default_rng(2).normal(size=(len(BALL.faces), 3, 3)) * 1e-6
    body = one(t)
    assert body.watertight
    assert codes(body) == {"mesh-seams-joined"}
    assert body.volume == pytest.approx(BALL.volume, rel=1e-5)


def test_bodies_apart_are_read_apart_the_largest_first() -> None:
    far = moved(soup(BALL), 100)
    bodies = clean_mesh(raw(np.concatenate((far, soup(BOX)))))
    assert [b.name for b in bodies] == ["part 1", "part 2"]
    assert [b.volume for b in bodies] == pytest.approx([BOX.volume, BALL.volume])


def test_bodies_that_overlap_are_read_as_one_and_reported() -> None:
    body = one(np.concatenate((soup(BOX), moved(soup(ROD), 0, 0, 15))))
    assert "mesh-bodies-overlap" in codes(body)


def test_a_hollow_stays_a_hollow_whichever_way_it_is_wound() -> None:
    small = soup(BALL) * 0.5
    for inner in (small[:, ::-1], small):
        body = one(np.concatenate((soup(BALL), inner)))
        assert body.volume == pytest.approx(BALL.volume * (1 - 1 / 8))


def test_debris_is_left_out_and_reported() -> None:
    body = one(np.concatenate((soup(BOX), moved(soup(BALL) * 0.01, 25))))
    assert body.volume == pytest.approx(BOX.volume)
    assert values(body, "mesh-debris-left-out") == {"count": 1}


def test_a_sheet_is_refused() -> None:
    sheet = soup(BOX)[BOX.face_normals[:, 2] > 0.9]
    for triangles in (sheet, np.concatenate((sheet, sheet[:, ::-1]))):
        with pytest.raises(FoldsketchError) as caught:
            clean_mesh(raw(triangles))
        assert [f.code for f in caught.value.findings] == ["mesh-is-a-sheet"]


def test_far_from_the_origin_is_reported_and_taken_off() -> None:
    t = moved(soup(ROD), 50_000, -20_000, 10_000).astype(np.float32).astype(np.float64)
    body = clean_mesh(raw(t, single=True))[0]
    assert values(body, "mesh-far-from-origin")["distance"].value == 50_000
    assert np.abs(body.corners).max() < 20
    assert body.resolution == pytest.approx(2.0**-8)  # spacing of 32-bit numbers at 50,000


def test_units_scale_lengths() -> None:
    body = clean_mesh(raw(soup(BOX)), 25.4)[0]
    assert body.volume == pytest.approx(BOX.volume * 25.4**3)


@pytest.mark.parametrize("places", [1, 2, 3, 4, 5])
def test_grain_is_found_from_the_decimals(places: int) -> None:
    points = np.round(np.random.default_rng(places).random((400, 3)) * 90, places)
    assert estimate_resolution(points, False) == pytest.approx(10.0**-places)


def test_round_sizes_are_no_rounding() -> None:
    assert estimate_resolution(np.array(BOX.vertices), True) < 1e-5
