"""Rounds alone: a torn mesh whose sections cannot be used keeps the diameters and ends that were measured."""

import numpy as np
import pytest
import trimesh

from foldsketch.base.findings import FoldsketchError
from foldsketch.job.inputs import read_mesh
from foldsketch.mesh.rebuild.rounds_alone import rebuild_of_rounds
from foldsketch.solid.joining.reference_mesh import tessellate_part
from meshes import codes, read, turned

STEPPED = [(0, 0), (45, 0), (45, 12), (25, 12), (25, 40), (15, 40), (15, 70), (0, 70)]
TAPER = [(8, 0), (30, 0), (20, 40), (8, 40), (8, 0)]


def volume(part):
    return trimesh.Trimesh(*tessellate_part(part), process=False).volume


@pytest.mark.parametrize(
    ("profile", "want"),
    [
        (STEPPED, np.pi * (45**2 * 12 + 25**2 * 28 + 15**2 * 30)),
        (TAPER, np.pi * (40 / 3 * (30**2 + 30 * 20 + 20**2) - 8**2 * 40)),
    ],
)
def test_rounds_alone_make_a_turned_part(profile, want, tmp_path):
    part, findings = rebuild_of_rounds(read(turned(profile), tmp_path))
    assert volume(part) == pytest.approx(want, rel=1e-3)
    assert codes(findings) == ["rebuilt-from-rounds-alone"]


def test_a_mesh_with_many_holes_keeps_its_rounds(tmp_path):
    """Every tenth triangle is missing: the sections are torn, the rounds are not."""
    t = np.asarray(turned(STEPPED).triangles)
    path = tmp_path / "torn.stl"
    torn = t[np.arange(len(t)) % 10 > 0]
    trimesh.Trimesh(torn.reshape(-1, 3), np.arange(3 * len(torn)).reshape(-1, 3), process=False).export(path)
    part, findings = read_mesh(path, units="mm")
    assert {"rebuilt-from-rounds-alone", "mesh-not-closed"} <= set(codes(findings))
    found = sorted((f.shape.diameter, f.start, f.end) for f in part.features)
    assert np.allclose(found, [(30, 40, 70), (50, 12, 40), (90, 0, 12)], atol=1e-3)


@pytest.mark.slow
def test_rounds_are_not_taken_where_the_mesh_has_more_than_them(tmp_path):
    """The same beside a torn block that is no round: refused, not left out."""
    t = np.asarray(turned(STEPPED).triangles)
    block = np.asarray(trimesh.creation.box((60, 60, 12)).subdivide().subdivide().triangles) + np.array([40, 0, 6])
    both = np.concatenate((t[np.arange(len(t)) % 10 > 0], block[np.arange(len(block)) % 10 > 0]))
    path = tmp_path / "torn.stl"
    trimesh.Trimesh(both.reshape(-1, 3), np.arange(3 * len(both)).reshape(-1, 3), process=False).export(path)
    with pytest.raises(FoldsketchError):
        read_mesh(path, units="mm")
