"""Solids of one STEP file that overlap, lie inside one another, or touch; drawn by the gmsh kernel."""

import numpy as np
import pytest

from foldsketch.mesh.features.recognise import recognise_mesh
from meshes import codes


@pytest.fixture
def drawn(cad, tmp_path):
    """A function that draws cylinders (x, z, height, radius) into one STEP file; the last ones may be cut out."""
    import gmsh

    def draw(*cylinders, cut=False):
        gmsh.model.add("bodies")
        made = [(3, gmsh.model.occ.addCylinder(x, 0, z, 0, 0, h, r)) for x, z, h, r in cylinders]
        if cut:
            gmsh.model.occ.cut(made[:1], made[1:])
        gmsh.model.occ.synchronize()
        path = tmp_path / "bodies.step"
        gmsh.write(str(path))
        gmsh.model.remove()
        return path

    return draw


def test_solids_that_overlap_are_one_with_exact_diameters(drawn):
    (found,) = recognise_mesh(drawn((0, 0, 10, 30), (8, 5, 30, 10)))
    assert codes(found.findings)[0] == "cad-solids-united"
    assert found.name == "bodies"
    rounds = {(m.diameter, m.start, m.end) for m in found.features if m.kind == "cylinder" and m.exact}
    assert {tuple(np.round(r, 6)) for r in rounds} == {(60, 0, 10), (20, 10, 35)}
    assert found.volume == pytest.approx(np.pi * (30**2 * 10 + 10**2 * 25), rel=1e-6)


@pytest.mark.slow
def test_a_solid_inside_another_adds_nothing(drawn):
    (found,) = recognise_mesh(drawn((0, 0, 40, 30), (0, 10, 20, 10)))
    assert "cad-solids-united" in codes(found.findings)
    assert found.volume == pytest.approx(np.pi * 30**2 * 40, rel=1e-6)


@pytest.mark.slow
def test_a_closed_cavity_is_told_and_kept(drawn):
    (found,) = recognise_mesh(drawn((0, 0, 40, 30), (0, 10, 20, 10), cut=True))
    (cavity,) = [f for f in found.findings if f.code == "mesh-closed-cavity"]
    assert cavity.value("volume").value == pytest.approx(np.pi * 10**2 * 20 / 1000, rel=0.01)
    assert found.volume == pytest.approx(np.pi * (30**2 * 40 - 10**2 * 20), rel=1e-6)


@pytest.mark.slow
def test_solids_that_touch_stay_two(drawn):
    found = recognise_mesh(drawn((0, 0, 10, 30), (8, 10, 30, 10)))
    assert [len(r.axes) for r in found] == [1, 1]
    assert not any("united" in c for r in found for c in codes(r.findings))
