"""Bodies of one file: which are taken, and one part of several that stay in their places."""

import numpy as np
import pytest
import trimesh

from foldsketch.base.findings import FoldsketchError
from foldsketch.job.inputs import model_from_mesh, read_mesh, reading_report
from foldsketch.solid.joining.reference_mesh import tessellate_part

N = 64


def tube(bore, diameter, low, high):
    mesh = trimesh.creation.annulus(bore / 2, diameter / 2, high - low, sections=N)
    return mesh.apply_translation([0, 0, (low + high) / 2])


def rod(diameter, low, high, x=0.0):
    mesh = trimesh.creation.cylinder(diameter / 2, high - low, sections=N)
    return mesh.apply_translation([x, 0, (low + high) / 2])


def across(diameter, length, at):
    mesh = trimesh.creation.cylinder(diameter / 2, length, sections=N)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [0, 1, 0]))
    return mesh.apply_translation(at)


@pytest.fixture
def stl(tmp_path):
    def write(*meshes):
        path = tmp_path / "kit.stl"
        trimesh.util.concatenate(meshes).export(path)
        return path

    return write


def volume(part):
    return trimesh.Trimesh(*tessellate_part(part), process=False).volume


@pytest.fixture
def three(stl):
    """A disc, a boss beside it and a pin across: volumes 3600 pi, 500 pi and 160 pi mm3."""
    return stl(rod(60, 0, 4), rod(20, 10, 15, x=80), across(8, 10, (0, 60, 5)))


def test_bodies_keep_their_places(three):
    part, _ = read_mesh(three, units="mm", body="all")
    assert part.name == "kit"
    places = {(f.name, part.axis(f.axis).point, part.axis(f.axis).direction, f.start, f.end) for f in part.features}
    assert places == {
        ("disc 1", (0, 0, 0), (0, 0, 1), 0, 4),
        ("disc 2", (80, 0, 0), (0, 0, 1), 10, 15),
        ("spigot", (0, 60, 5), (1, 0, 0), -5, 5),
    }
    assert volume(part) == pytest.approx(np.pi * (3600 + 500 + 160), rel=1e-3)


@pytest.mark.parametrize(("which", "diameters"), [("2", [20]), ("1,3", [60, 8]), ("3, 1", [60, 8]), ("kit 2", [20])])
def test_bodies_by_number_and_name(which, diameters, three):
    part, findings = read_mesh(three, units="mm", body=which)
    assert [f.shape.diameter for f in part.features] == pytest.approx(diameters, abs=1e-3)
    assert "more-bodies" not in {f.code for f in findings}
    report = reading_report(three, units="mm", body=which)
    assert [b["features"][0]["diameter"] for b in report["bodies"]] == pytest.approx(diameters, abs=1e-3)


@pytest.mark.parametrize("which", ["4", "0", "1,4", "pin", "", "1,,2", "all,1"])
def test_a_body_that_is_not_there(which, three):
    with pytest.raises(FoldsketchError) as caught:
        read_mesh(three, units="mm", body=which)
    assert caught.value.findings[0].code == "mesh-body-unknown"


def test_a_bore_takes_nothing_from_the_shaft_in_it(stl):
    """The shaft is the larger body and comes first; the bush's bore, written later, must not cut it."""
    part, findings = read_mesh(stl(rod(40, -50, 50), tube(40.4, 60, 0, 20)), units="mm", body="all")
    want = np.pi * (20**2 * 100 + (30**2 - 20.2**2) * 20)
    assert volume(part) == pytest.approx(want, rel=2e-3)
    assert not any(f.level == "error" for f in findings)


def test_a_cup_and_its_lid_cut_nothing_of_each_other(stl):
    """The cup's pocket holds the lid's rim, and the lid's bore the boss that stands in the cup."""
    cup = trimesh.boolean.difference([rod(60, 0, 40), tube(20, 50, 5, 45)], engine="manifold")
    lid = trimesh.boolean.difference([rod(48, 10, 60), rod(24, 5, 50)], engine="manifold")
    part, _ = read_mesh(stl(cup, lid), units="mm", body="all")
    want = np.pi * ((900 * 40 - (625 - 100) * 35) + (576 * 50 - 144 * 40))
    assert volume(part) == pytest.approx(want, rel=2e-3)


def test_a_pin_in_a_cross_bore_stays(stl):
    block = trimesh.boolean.difference([rod(60, 0, 40), across(10.4, 80, (0, 0, 20))], engine="manifold")
    part, _ = read_mesh(stl(block, across(10, 90, (0, 0, 20))), units="mm", body="all")
    assert volume(part) == pytest.approx(block.volume + np.pi * 25 * 90, rel=3e-3)


def test_a_sleeve_that_is_drilled_across_leaves_the_shaft_in_it_whole(stl):
    sleeve = trimesh.boolean.difference([tube(40, 60, 0, 40), across(16, 80, (0, 0, 20))], engine="manifold")
    part, _ = read_mesh(stl(sleeve, rod(36, -20, 60)), units="mm", body="all")
    assert volume(part) == pytest.approx(sleeve.volume + np.pi * 18**2 * 80, rel=3e-3)


def test_a_bore_that_runs_on_through_another_body_is_told(stl):
    """A square hole with a slanting rod in it: their axes are not parallel, so the rod is not seen to be in it."""
    plate = trimesh.boolean.difference([rod(80, 0, 20), trimesh.creation.box((30, 30, 60))], engine="manifold")
    slant = rod(12, -15, 15)
    slant.apply_transform(trimesh.transformations.rotation_matrix(0.4, [1, 0, 0], [0, 0, 0]))
    slant.apply_translation([0, 0, 10])
    path = stl(plate, slant)
    with pytest.raises(FoldsketchError) as caught:
        read_mesh(path, units="mm", body="all")
    assert [f.code for f in caught.value.findings] == ["bodies-cut-each-other"]
    _, findings = read_mesh(path, units="mm", body="all", anyway=True)
    assert ("bodies-cut-each-other", "warning") in {(f.code, f.level) for f in findings}


def test_a_model_of_several_bodies_is_blocks_in_their_places(three):
    made = model_from_mesh(three, units="mm", body="1,2")
    assert made.nets.checks.passed() and len(made.solids.blocks) == 2
    middles = sorted(float(b.skin.corners[:, 2].mean()) / made.nets.scale for b in made.solids.blocks)
    assert middles[1] - middles[0] == pytest.approx(12.5 - 2, abs=1e-6)


def test_panels_are_of_one_body(three):
    with pytest.raises(FoldsketchError) as caught:
        model_from_mesh(three, units="mm", body="all", panels=40)
    assert caught.value.findings[0].code == "panels-one-body"
