"""Parts rebuilt from readings: made into solids by a general boolean library, they are the solids that were read."""

from __future__ import annotations

from math import cos, pi
from pathlib import Path

import manifold3d as m3
import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from examples import few
from foldsketch.mesh.comparison.compare import compare_with_mesh, to_mesh_frame
from foldsketch.mesh.features.mesh_reading import MeshReading
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.mesh.rebuild.rebuild import rebuild
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring

Array = NDArray[np.float64]
N = 96


def solid(part: Part) -> m3.Manifold:
    """The part as a boolean solid with 96 corners on the circle, features in file order."""
    whole = m3.Manifold()
    for f in part.features:
        axis = part.axis(f.axis)
        made = _feature(f).transform(np.column_stack((np.array(axis.frame).T, np.array(axis.point))))
        whole = whole - made if f.cut else whole + made
    return whole


def _feature(f: Feature) -> m3.Manifold:
    length = f.end - f.start
    match f.shape:
        case Cylinder(d):
            made = m3.Manifold.cylinder(length, d / 2, d / 2, N)
        case Cone(d, e):
            made = m3.Manifold.cylinder(length, d / 2, e / 2, N)
        case Ring(d, e):
            made = m3.Manifold.cylinder(length, d / 2, d / 2, N) - m3.Manifold.cylinder(length, e / 2, e / 2, N)
        case PrismShape(n, across, turn):
            t = turn + (2 * np.arange(n) + 1) * pi / n
            r = across / 2 / cos(pi / n)
            made = m3.Manifold.extrude(m3.CrossSection([r * np.column_stack((np.cos(t), np.sin(t)))]), length)
        case Plate(outline, hull):
            points = np.array(outline)
            if hull:
                t = np.arange(N) * 2 * pi / N
                rim = np.column_stack((np.cos(t), np.sin(t)))
                cloud = np.concatenate([np.array([x, y]) + r * rim for x, y, r in hull])
                points = cloud[ConvexHull(cloud).vertices]
            made = m3.Manifold.extrude(m3.CrossSection([points]), length)
    return made.translate((0, 0, f.start))


def cylinder(d: float, z0: float, z1: float, x: float = 0, y: float = 0) -> m3.Manifold:
    return m3.Manifold.cylinder(z1 - z0, d / 2, d / 2, N).translate((x, y, z0))


def box(x: float, y: float, z0: float, dx: float, dy: float, dz: float) -> m3.Manifold:
    return m3.Manifold.cube((dx, dy, dz)).translate((x, y, z0))


def hexagon(across: float, z0: float, z1: float) -> m3.Manifold:
    return m3.Manifold.cylinder(z1 - z0, across / 2 / cos(pi / 6), across / 2 / cos(pi / 6), 6).translate((0, 0, z0))


def lying(m: m3.Manifold, y: float = 0.0, z: float = 0.0) -> m3.Manifold:
    return m.rotate((0, 90, 0)).translate((0, y, z))


def rounded_box() -> m3.Manifold:
    """60 x 40 x 15 mm with corners of 5 mm."""
    corners = [cylinder(10, 0, 15, x, y) for x in (-25, 25) for y in (-15, 15)]
    return m3.Manifold.batch_hull(corners)


TURN = np.arange(90) * 2 * pi / 90
CAM = (20 + 3 * np.cos(3 * TURN))[:, None] * np.column_stack((np.cos(TURN), np.sin(TURN)))

SHAPES = {
    "stack": lambda: cylinder(90, 0, 12) + cylinder(32, 12, 40, 14, 5),
    "bored": lambda: cylinder(60, 0, 40) - cylinder(30, -1, 41) - cylinder(8, -1, 41, 22, 0),
    "blind": lambda: cylinder(60, 0, 40) - cylinder(30, 15, 41),
    "groove": lambda: cylinder(60, 0, 40) - (cylinder(90, 12, 16) - cylinder(40, 12, 16)),
    "hexagon": lambda: hexagon(36, 0, 15) + cylinder(20, 15, 40),
    "square flange": lambda: box(-30, -30, 0, 60, 60, 10) + cylinder(40, 10, 30) - cylinder(20, -1, 31),
    "keyway": lambda: cylinder(40, 0, 50) - box(-5, 14, 10, 10, 20, 40),
    "flat": lambda: cylinder(40, 0, 50) - box(-50, 15, 20, 100, 20, 40),
    "rib": lambda: cylinder(80, 0, 8) + cylinder(28, 8, 40) + box(10, -3, 8, 25, 6, 14),
    "two cams": lambda: cylinder(20, -20, 0) + cylinder(40, 0, 10, 6, 0) + cylinder(40, 10, 20, -6, 0),
    "cross bore": lambda: cylinder(40, 0, 60) - lying(cylinder(12, -40, 40), 0, 30),
    "taper": lambda: cylinder(40, 0, 20) + m3.Manifold.cylinder(20, 20, 12, N).translate((0, 0, 20)),
    "countersink": lambda: (
        cylinder(60, 0, 20) - cylinder(12, -1, 21) - m3.Manifold.cylinder(6, 6, 12, N).translate((0, 0, 15))
    ),
    "slot": lambda: cylinder(80, 0, 10) - (cylinder(8, -1, 11, 14, 0) + cylinder(8, -1, 11, 28, 0)).hull(),
    "pocket": lambda: cylinder(80, 0, 20) - (cylinder(12, 8, 21, -14, 0) + cylinder(12, 8, 21, 14, 5)).hull(),
    "cross boss": lambda: cylinder(60, 0, 60) + lying(cylinder(24, 0, 50), 0, 30) - lying(cylinder(10, 15, 51), 0, 30),
    "keyed bore": lambda: cylinder(60, 0, 20) - cylinder(24, -1, 21) - box(-4, 0, -1, 8, 16, 22),
    "hexagon socket": lambda: cylinder(40, 0, 30) - hexagon(16, 18, 31),
    "cam": lambda: cylinder(18, 12, 40) + m3.Manifold.extrude(m3.CrossSection([CAM]), 12),
    "two lobes": lambda: cylinder(40, 0, 15) + cylinder(30, 0, 15, 28, 0) + cylinder(16, 15, 30),
    "bar": lambda: box(0, 0, 0, 60, 40, 8) + box(0, 0, 8, 8, 40, 40),
}
"""Solids drawn with a boolean library, each with its round features faceted to 96 sides."""


def read(m: m3.Manifold, folder: Path, turn: Array | None = None, keep: bool = False) -> MeshReading:
    mesh = m.to_mesh()
    points = np.array(mesh.vert_properties[:, :3], dtype=np.float64)
    if turn is not None:
        points = points @ turn.T + [30.0, -20.0, 10.0]
    path = folder / "part.stl"
    path.write_bytes(trimesh.Trimesh(points, np.array(mesh.tri_verts), process=False).export(file_type="stl"))
    return recognise_mesh(path, "mm", keep)[0]


@pytest.mark.parametrize("posed", few([False, True]), ids=["as drawn", "posed"])
@pytest.mark.parametrize("name", SHAPES)
def test_the_rebuilt_part_is_the_solid(name: str, posed: bool, tmp_path: Path) -> None:
    drawn = SHAPES[name]()
    turn = Rotation.random(random_state=7).as_matrix() if posed else None
    reading = read(drawn, tmp_path, turn)
    part, _ = rebuild(reading)
    made = solid(part)
    assert made.volume() == pytest.approx(drawn.volume(), rel=2e-3)
    assert made.surface_area() == pytest.approx(drawn.surface_area(), rel=4e-3)
    mesh = made.to_mesh()
    held = compare_with_mesh(
        reading, to_mesh_frame(reading, mesh.vert_properties[:, :3]), np.array(mesh.tri_verts), 800
    )
    assert held.max_distance < 0.12  # facets of both are turned against each other by up to half a side
    assert part.axes[0].name == "A"
    assert part.axes[0].point == (0, 0, 0)
    assert part.axes[0].direction == (0, 0, 1)


@pytest.mark.parametrize("keep", [False, True])
def test_rounded_corners_are_left_out_or_kept(keep: bool, tmp_path: Path) -> None:
    """Left out, the box is one with sharp corners."""
    bore = cylinder(16, -1, 16)
    part, _ = rebuild(read(rounded_box() - bore, tmp_path, keep=keep))
    wanted = (rounded_box() if keep else box(-30, -20, 0, 60, 40, 15)) - bore
    assert solid(part).volume() == pytest.approx(wanted.volume(), rel=2e-3)


def test_true_flats_become_a_prism(tmp_path: Path) -> None:
    part, _ = rebuild(read(SHAPES["hexagon"](), tmp_path))
    (prism,) = [f for f in part.features if isinstance(f.shape, PrismShape)]
    assert isinstance(prism.shape, PrismShape)
    assert (prism.shape.flats, prism.shape.across_flats) == (6, pytest.approx(36, abs=1e-3))
    assert (prism.start, prism.end) == (0, 15)


def test_a_groove_is_a_ring_cut_from_one_cylinder(tmp_path: Path) -> None:
    part, _ = rebuild(read(SHAPES["groove"](), tmp_path))
    land, groove = part.features
    assert land.shape == Cylinder(60)
    assert (land.start, land.end) == (0, 40)
    assert isinstance(groove.shape, Ring)
    assert groove.cut
    assert groove.shape.bore == pytest.approx(40, abs=1e-3)
    assert (groove.start, groove.end) == (12, 16)


def test_an_arm_is_the_hull_of_its_circles(tmp_path: Path) -> None:
    t = np.arange(N) * 2 * pi / N
    rim = np.column_stack((np.cos(t), np.sin(t)))
    cloud = np.concatenate((18 * rim, 12 * rim + [0, 34]))
    arm = m3.Manifold.extrude(m3.CrossSection([cloud[ConvexHull(cloud).vertices]]), 10)
    part, _ = rebuild(read(arm + cylinder(20, 10, 40), tmp_path))
    (plate,) = [f for f in part.features if isinstance(f.shape, Plate)]
    assert isinstance(plate.shape, Plate)
    found = sorted(c for circle in plate.shape.hull for c in circle)
    assert found == pytest.approx(sorted((0, 0, 18, 0, 34, 12)), abs=2e-3)


def test_offsets_and_letters(tmp_path: Path) -> None:
    part, _ = rebuild(read(SHAPES["stack"](), tmp_path))
    assert [a.name for a in part.axes] == ["A", "B"]
    assert part.offset("B")[0] == pytest.approx(np.hypot(14, 5), abs=1e-4)
    assert {(f.axis, f.shape, f.start, f.end) for f in part.features} == {
        ("A", Cylinder(90), 0, 12),
        ("B", Cylinder(32), 12, 40),
    }


def test_the_part_file_reads_back(tmp_path: Path) -> None:
    from foldsketch.part.check import check_part

    part, _ = rebuild(read(SHAPES["square flange"](), tmp_path))
    assert not [f for f in check_part(part) if f.level == "error"]


def test_a_rib_between_two_spigots_is_a_plain_bar(tmp_path: Path) -> None:
    flange = cylinder(144, 0, 16) + cylinder(50, 16, 48) + cylinder(32, 16, 40, 50)
    bored = flange + box(10, -4, 16, 27, 8, 16) - cylinder(35, -1, 49) - cylinder(20, -1, 41, 50)
    part, _ = rebuild(read(bored, tmp_path))
    (rib,) = [f for f in part.features if isinstance(f.shape, Plate)]
    x, y = np.array(rib.shape.outline).T
    assert (rib.start, rib.end) == (16, 32)
    assert np.ptp(y) == pytest.approx(8, abs=1e-3)
    assert 17.5 < x.min() < 25, "inside the wall of the one spigot"
    assert 34 < x.max() < 40, "inside that of the other"
    assert len(x) <= 8
    assert solid(part).volume() == pytest.approx(bored.volume(), rel=2e-3)
