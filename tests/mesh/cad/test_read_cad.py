"""STEP and IGES written by the kernel of the gmsh wheel: its drawing has the truth."""

import contextlib
import re
import sys
from pathlib import Path

import numpy as np
import pytest

from cad_files import benchmark, in_unit
from examples import few
from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.features.recognise import recognise_mesh

FEW = ("offset_spigots", "bolt_circle", "slant_bore", "crank")


def refusal(path, units=None):
    with pytest.raises(FoldsketchError) as raised:
        recognise_mesh(path, units)
    (finding,) = raised.value.findings
    return finding.code


def posed(cad, name, folder, ending, seed, **how):
    """The score of a part in a random pose, and its readings."""
    reading = benchmark("reading")
    pose = reading.random_pose(seed)
    path = folder / f"{name}{ending}"
    drawn = cad.write_cad(name, path, pose.turn, pose.shift, **how)
    found = recognise_mesh(path)
    return reading.score(drawn, pose, found, 0.01), found


def assert_exact(score):
    assert (score.missed, score.invented) == (0, 0)
    assert max(score.diameter, score.position) < 1e-6
    assert score.direction < 1e-6


@pytest.mark.parametrize("name", few(FEW, 1))
def test_rounds_are_those_of_the_file(name, cad, tmp_path):
    score, (found,) = posed(cad, name, tmp_path, ".step", seed=7)
    assert_exact(score)
    assert found.watertight and found.kind == "step" and found.units == "mm"
    assert all(m.exact for m in found.features)
    assert found.explained_area == pytest.approx(1.0)


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(set(benchmark("reading_parts").PARTS) - set(FEW)))
def test_rounds_of_all_parts_are_those_of_the_file(name, cad, tmp_path):
    assert_exact(posed(cad, name, tmp_path, ".step", seed=5)[0])


@pytest.mark.parametrize("name", few(["offset_spigots", "eccentric", "bolt_circle"]))
def test_iges_has_no_solids_and_its_faces_are_sewn(name, cad, tmp_path):
    """Its rounds are surfaces of revolution, which the kernel does not name: they are fitted to its triangles."""
    score, (found,) = posed(cad, name, tmp_path, ".iges", seed=11)
    assert (score.missed, score.invented) == (0, 0)
    assert max(score.diameter, score.position) < 2e-6
    assert found.watertight and found.kind == "iges"
    assert not any(m.exact for m in found.features if m.kind == "cylinder")


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(benchmark("reading_parts").PARTS))
@pytest.mark.parametrize(("ending", "how"), [(".iges", {}), (".step", {"as_splines": True})])
def test_rounds_that_the_file_does_not_name_are_found(name, ending, how, cad, tmp_path):
    score, found = posed(cad, name, tmp_path, ending, seed=3, **how)
    assert (score.missed, score.invented) == (0, 0)
    assert max(score.diameter, score.position) < 3e-6
    assert all(r.watertight for r in found)


@pytest.mark.slow
@pytest.mark.parametrize(("unit", "mm"), [pytest.param("m", 1000.0, marks=pytest.mark.slow), ("in", 25.4)])
def test_the_unit_comes_from_the_file(unit, mm, sleeve, tmp_path):
    path = tmp_path / "sleeve.stp"
    path.write_bytes(in_unit(sleeve.read_bytes(), unit))
    (found,) = recognise_mesh(path)
    diameters = sorted({m.diameter for m in found.features if m.kind == "cylinder"})
    assert diameters == pytest.approx([40 * mm, 60 * mm], rel=1e-12)
    assert found.units == unit and len(recognise_mesh(path, unit)) == 1
    assert refusal(path, "mm") == "cad-unit-contradicts"


@pytest.mark.slow
def test_a_file_without_a_unit_is_taken_as_mm_and_that_is_told(sleeve, tmp_path):
    path = tmp_path / "sleeve.step"
    path.write_bytes(in_unit(sleeve.read_bytes(), "none"))
    (found,) = recognise_mesh(path)
    assert "cad-unit-not-in-file" in [f.code for f in found.findings]
    assert max(m.diameter for m in found.features) == pytest.approx(60)


@pytest.mark.slow
def test_ends_are_exact_as_well(cad, tmp_path):
    path = tmp_path / "stack.step"
    cad.write_cad("stack", path)
    (found,) = recognise_mesh(path)
    ends = {m.diameter: (m.start, m.end) for m in found.features if m.kind == "cylinder"}
    assert {d: tuple(np.round(e, 9)) for d, e in ends.items()} == {90: (0, 12), 50: (12, 40), 30: (40, 70)}


def test_a_file_with_a_broken_face_is_not_taken_for_whole(sleeve, tmp_path):
    path = tmp_path / "sleeve.step"
    path.write_bytes(sleeve.read_bytes().replace(b"CYLINDRICAL_SURFACE", b"CYLINDRICAL_SURFAKE", 1))
    assert refusal(path) == "cad-faces-missing"


def test_a_shell_with_a_face_taken_out_is_no_solid(sleeve, tmp_path):
    """The face is gone and nothing names it any more: only the open edges tell."""
    text = sleeve.read_bytes()
    (faces,) = re.findall(rb"CLOSED_SHELL\('',\(([#\d,]+)\)\)", text)
    gone = faces.split(b",")[-1]
    text = text.replace(faces, faces.rpartition(b",")[0])
    text = re.sub(gone + rb" = ADVANCED_FACE\([^;]*;", b"", text)
    path = tmp_path / "sleeve.step"
    path.write_bytes(text)
    assert refusal(path) == "cad-body-open"


@pytest.mark.slow
def test_curves_alone_are_no_solid(tmp_path, cad):
    import gmsh

    path = tmp_path / "curve.step"
    gmsh.model.add("curve")
    gmsh.model.occ.addCircle(0, 0, 0, 5)
    gmsh.model.occ.synchronize()
    gmsh.write(str(path))
    gmsh.model.remove()
    assert refusal(path) == "cad-without-solid"


@pytest.mark.slow
def test_an_assembly_gives_each_body_where_it_is_placed_with_its_name(cad, tmp_path):
    import gmsh

    path = tmp_path / "pair.step"
    gmsh.model.add("pair")
    one = gmsh.model.occ.addCylinder(0, 0, 0, 0, 0, 20, 10)
    two = gmsh.model.occ.copy([(3, one)])[0][1]
    gmsh.model.occ.translate([(3, two)], 50, 0, 5)
    gmsh.model.occ.addBox(-100, 0, 0, 5, 5, 5)
    gmsh.model.occ.synchronize()
    gmsh.write(str(path))
    gmsh.model.remove()
    text = path.read_bytes()
    products = re.findall(rb"#\d+ = PRODUCT\('([^']*)',\s*'([^']*)'", text)
    assert len(products) == 4  # the assembly and its three parts
    for (old, _), new in zip(products[1:], (b"shaft", b"shaft", b"key"), strict=True):
        text = text.replace(b"'" + old + b"'", b"'" + new + b"'")
    path.write_bytes(text)
    readings = recognise_mesh(path)
    assert sorted(r.name for r in readings) == ["key", "shaft 1", "shaft 2"]
    places = {tuple(np.round(r.axes[0].point, 6)): r.features[0].start for r in readings if r.axes}
    assert places == {(0, 0, 0): pytest.approx(0), (50, 0, 0): pytest.approx(5)}
    assert [r.name for r in recognise_mesh(path, body="key")] == ["key"]
    assert refusal_of_body(path) == "mesh-body-unknown"


def refusal_of_body(path):
    with pytest.raises(FoldsketchError) as raised:
        recognise_mesh(path, body="bolt")
    return raised.value.findings[0].code


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_damaged_copies_are_refused_or_read_whole(seed, sleeve, tmp_path):
    """Bytes changed, pieces cut out, digits changed, pieces copied elsewhere: one line, or the sleeve as it was."""
    whole = sleeve.read_bytes()
    rng = np.random.default_rng(seed)
    path = tmp_path / "sleeve.step"
    for k in range(10):
        data = bytearray(whole)
        at, other = rng.integers(0, len(data) - 600, 2)
        match k % 4:
            case 0:
                for place in rng.integers(0, len(data), 5):
                    data[place] = rng.integers(256)
            case 1:
                del data[at : at + rng.choice((1, 20, 500))]
            case 2:
                digits = [i for i in range(at, at + 600) if chr(data[i]).isdigit()]
                data[rng.choice(digits)] = ord(rng.choice(list("0123456789")))
            case 3:
                data[at : at + 60] = data[other : other + 60]
        path.write_bytes(data)
        with contextlib.suppress(FoldsketchError):
            (found,) = recognise_mesh(path)
            assert found.watertight and found.volume == pytest.approx(np.pi * (30**2 - 20**2) * 50, rel=1e-6)


def test_a_missing_file_and_a_folder_are_one_line(tmp_path):
    assert refusal(tmp_path / "none.step") == "mesh-file-missing"
    (tmp_path / "a.stp").mkdir()
    assert refusal(tmp_path / "a.stp") == "mesh-file-is-a-folder"


def test_faces_in_several_colours_are_read(tmp_path):
    """A cube of 100 mm in four colours that the gmsh wheel carries, written by another CAD program."""
    drawn = Path(sys.prefix) / "share" / "doc" / "gmsh" / "examples" / "api" / "step_boundary_colors.stp"
    if not drawn.exists():
        pytest.skip("this gmsh wheel carries no examples")
    (found,) = recognise_mesh(drawn)
    assert found.watertight and found.volume == pytest.approx(100**3, rel=1e-6)
    assert [m.kind for m in found.features] == ["plane"] * 6
    assert all(m.exact for m in found.features)


def coloured(step: bytes) -> bytes:
    """Every second face in red, the others in blue (ISO 10303-46)."""
    faces = re.findall(rb"#(\d+) *= *ADVANCED_FACE", step)
    lines = []
    for k, (red, blue) in enumerate((("1.", "0."), ("0.", "1."))):
        n = 900_000 + 10 * k
        lines += [
            f"#{n}=COLOUR_RGB('',{red},0.,{blue});#{n + 1}=FILL_AREA_STYLE_COLOUR('',#{n});",
            f"#{n + 2}=FILL_AREA_STYLE('',(#{n + 1}));#{n + 3}=SURFACE_STYLE_FILL_AREA(#{n + 2});",
            f"#{n + 4}=SURFACE_SIDE_STYLE('',(#{n + 3}));#{n + 5}=SURFACE_STYLE_USAGE(.BOTH.,#{n + 4});",
            f"#{n + 6}=PRESENTATION_STYLE_ASSIGNMENT((#{n + 5}));",
        ]
    items = range(900_100, 900_100 + len(faces))
    lines += [
        f"#{item}=STYLED_ITEM('color',(#{900_006 + 10 * (k % 2)}),#{face.decode()});"
        for k, (item, face) in enumerate(zip(items, faces, strict=True))
    ]
    context = re.findall(rb"#(\d+) *= *\( *GEOMETRIC_REPRESENTATION_CONTEXT", step)[0]
    listed = ",".join(f"#{item}" for item in items)
    kind = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
    lines.append(f"#900050={kind}('',({listed}),#{context.decode()});")
    before, after = step.rsplit(b"ENDSEC;", 1)
    return before + "\n".join(lines).encode() + b"\nENDSEC;" + after


def test_faces_of_every_colour_are_exact(sleeve, tmp_path):
    from foldsketch.mesh.cad.run_kernel import run_kernel

    data = coloured(sleeve.read_bytes())
    assert run_kernel("a", "step", data).count(b'"material":') == 2  # the kernel sees both colours
    path = tmp_path / "coloured.step"
    path.write_bytes(data)
    (found,) = recognise_mesh(path)
    assert sorted(m.diameter for m in found.features if m.kind == "cylinder") == pytest.approx([40, 60], abs=1e-9)
    assert all(m.exact for m in found.features)


@pytest.mark.slow
def test_faces_that_the_kernel_does_not_name_are_fitted(sleeve, monkeypatch):
    """Of faces in several colours it names those of the first one only; here it names none."""
    from foldsketch.mesh.cad import read_cad

    def nameless(*asked):
        data = run_kernel(*asked)
        return data.replace(b'"TM_brep_faces":', b'"TM_none_known":')

    run_kernel = read_cad.run_kernel
    monkeypatch.setattr(read_cad, "run_kernel", nameless)
    (found,) = recognise_mesh(sleeve)
    diameters = sorted(m.diameter for m in found.features if m.kind == "cylinder")
    assert diameters == pytest.approx([40, 60], abs=1e-4)
    assert not any(m.exact for m in found.features)
