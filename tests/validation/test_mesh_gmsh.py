"""Meshes drawn by the exact kernel in the gmsh wheel [references 11] against the mesh reader.

The truth (axes, diameters, which side the material is on) and the exact volume come from the kernel's drawing; nothing
of foldsketch made them.
"""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from examples import few
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.mesh.rebuild.rebuild import rebuild

pytest.importorskip("gmsh")
BENCH = Path(__file__).parents[2] / "benchmarks"


def module(name: str, folder: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, folder / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules[name] = made
    spec.loader.exec_module(made)
    return made


parts = module("reading_parts", BENCH)
reading = module("reading", BENCH)
by_hand = module("test_rebuild", Path(__file__).parents[1] / "mesh" / "rebuild")


@pytest.fixture(scope="module", autouse=True)
def kernel() -> Iterator[None]:
    with parts.kernel():
        yield


def score(name: str, variant: str, folder: Path, per_turn: int = 24):  # type: ignore[no-untyped-def]
    drawn = parts.draw(name, per_turn)
    return drawn, reading.run(drawn, variant, reading.VARIANTS[variant], folder, seed=3)


@pytest.mark.parametrize("name", few(parts.PARTS, 1, every=8))
def test_every_cylinder_is_found_none_invented_and_all_within_a_micrometre(name: str, tmp_path: Path) -> None:
    _, s = score(name, "posed", tmp_path, 16)
    assert s.words == ""
    assert (s.missed, s.invented) == (0, 0)
    assert s.diameter < 1e-3
    assert s.position < 1e-3
    assert s.direction < 1e-3


@pytest.mark.parametrize("per_turn", [12, pytest.param(48, marks=pytest.mark.slow)])
@pytest.mark.parametrize(
    "name", few(["offset_spigots", "crank", "deep_grooves", "slant_bore", "hexagon", "oval", "taper"])
)
def test_other_tessellations(name: str, per_turn: int, tmp_path: Path) -> None:
    _, s = score(name, "plain", tmp_path, per_turn)
    assert (s.missed, s.invented) == (0, 0)
    assert max(s.diameter, s.position) < 1e-3


@pytest.mark.parametrize("variant", ["inches", "4 decimals", "dirty", "inside out", "ply"])
@pytest.mark.parametrize("name", few(["bolt_circle", "drafted", "cross_boss", "hollow"], 2))
def test_damage_and_other_formats(name: str, variant: str, tmp_path: Path) -> None:
    _, s = score(name, variant, tmp_path)
    assert (s.missed, s.invented) == (0, 0)
    assert max(s.diameter, s.position) < 1e-3


@pytest.mark.parametrize("name", few(["stack", "eccentric", "inner_groove", "keyed"], 3))
def test_two_decimals(name: str, tmp_path: Path) -> None:
    _, s = score(name, "2 decimals", tmp_path)
    assert (s.missed, s.invented) == (0, 0)
    assert s.diameter < 5e-3


@pytest.mark.slow
@pytest.mark.parametrize("name", ["stack", "sleeve", "bolt_circle", "wrist"])
def test_noise_stays_near_the_statistical_limit(name: str, tmp_path: Path) -> None:
    """A radius fitted to n corners with noise sigma is good to sigma / sqrt(n); four times that in a diameter's worst
    of many features, on some forty corners at least."""
    _, s = score(name, "noise 0.02", tmp_path)
    assert (s.missed, s.invented) == (0, 0)
    assert s.diameter < 2 * 4 * 0.02 / np.sqrt(40)


@pytest.mark.parametrize("name", few(["stack", "blind", "crank", "bolt_circle", "slant_bore", "keyed", "lug", "wrist"]))
def test_the_rebuilt_part_has_the_kernels_volume(name: str, tmp_path: Path) -> None:
    """Volumes of the features alone, by the kernel's exact figure: cylinders, cones and plates added and cut."""
    drawn = parts.draw(name, 24)
    path = tmp_path / "part.stl"
    path.write_bytes(reading.binary_stl(drawn.triangles))
    part, _ = rebuild(recognise_mesh(path, "mm")[0])
    made = by_hand.solid(part)
    round_by = 2 * np.pi / by_hand.N / np.sin(2 * np.pi / by_hand.N)  # circle over polygon
    assert made.volume() * round_by == pytest.approx(drawn.volume, rel=2e-3)


@pytest.mark.parametrize(
    ("name", "kind", "sizes"),
    [
        ("dome", "sphere", [40]),
        ("ball", "sphere", [30]),
        ("ring", "torus", [60]),
        ("filleted", "torus", [31, 41, 75, 75]),
    ],
)
def test_balls_and_tori(name: str, kind: str, sizes: list[float], tmp_path: Path) -> None:
    drawn = parts.draw(name, 20)
    path = tmp_path / "part.stl"
    path.write_bytes(reading.binary_stl(drawn.triangles))
    found = sorted(m.diameter for m in recognise_mesh(path, "mm")[0].features if m.kind == kind)
    assert found == pytest.approx(sizes, abs=1e-3)


def test_bolt_circles(tmp_path: Path) -> None:
    path = tmp_path / "part.stl"
    path.write_bytes(reading.binary_stl(parts.draw("bolt_circle", 24).triangles))
    (circle,) = recognise_mesh(path, "mm")[0].bolt_circles
    assert (circle.count, circle.diameter, circle.hole) == (6, pytest.approx(70, abs=1e-3), pytest.approx(9, abs=1e-3))


@pytest.mark.slow
def test_near_misses_are_named(tmp_path: Path) -> None:
    for name, code in {"oval": "oval-wall", "cam": "curved-wall", "egg": "curved-profile"}.items():
        path = tmp_path / f"{name}.stl"
        path.write_bytes(reading.binary_stl(parts.draw(name, 24).triangles))
        findings = {f.code: f for f in recognise_mesh(path, "mm")[0].findings}
        assert code in findings, name
        if name == "oval":
            assert [findings[code].value(k).value for k in ("long", "short")] == pytest.approx([42, 40], abs=1e-3)
