"""Meshes without round features: flat panels where they are exact, plates where these are closer."""

import math
from types import SimpleNamespace

import pytest

from foldsketch.base.findings import FoldsketchError, Message
from foldsketch.job import mesh_pipeline
from foldsketch.job.mesh_pipeline import choose_plates_or_panels, compare_rebuilt_part, model_from_panels
from foldsketch.job.messages import BUILT_OF_PANELS, BUILT_OF_PLATES, BUILT_OF_PLATES_ALONE
from foldsketch.mesh.comparison.compare import Comparison
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.mesh.panels.simplify import simplify
from foldsketch.mesh.rebuild.rebuild import rebuild
from foldsketch.part.model import Part


def solid_text(triangles):
    rows = ["solid body"]
    for t in triangles:
        rows += ["facet normal 0 0 0", "outer loop", *(f"vertex {x:.9g} {y:.9g} {z:.9g}" for x, y, z in t)]
        rows += ["endloop", "endfacet"]
    return "\n".join([*rows, "endsolid body", ""])


def extruded(outline, height):
    """Triangles of a prism over a convex outline."""
    low, high = [(x, y, 0.0) for x, y in outline], [(x, y, height) for x, y in outline]
    out = []
    for k in range(len(outline)):
        j = (k + 1) % len(outline)
        out += [(low[k], low[j], high[j]), (low[k], high[j], high[k])]
        if k > 1:
            out += [(low[0], low[k], low[k - 1]), (high[0], high[k - 1], high[k])]
    return out


@pytest.fixture
def box(tmp_path):
    path = tmp_path / "box.stl"
    path.write_text(solid_text(extruded([(0, 0), (60, 0), (60, 40), (0, 40)], 30)))
    return recognise_mesh(path, "mm", False, None)[0]


def test_a_box_is_six_panels_and_exact(box):
    described, findings = choose_plates_or_panels(box)
    assert not isinstance(described, Part) and findings == ()
    made = model_from_panels(described, "box")
    (block,) = made.nets.blocks
    assert sum(len(p.panels) for p in made.nets.pieces) == 6
    assert block.volume == pytest.approx(60 * 40 * 30 * made.nets.scale**3)
    assert made.nets.checks.passed()


def test_a_rebuilt_box_is_the_box(box):
    compared = compare_rebuilt_part(box, rebuild(box)[0])
    assert compared.volume == pytest.approx(1) and compared.max_distance < 1e-6


PART = SimpleNamespace(features=(1, 2, 3))


@pytest.mark.parametrize(
    ("panels_off", "plates_off", "volume", "code"),
    [
        (0.0, 0.1, 1.0, None),  # exact panels: nothing to compare
        (2.0, 0.1, 1.0, BUILT_OF_PLATES.code),
        (2.0, 3.0, 1.0, BUILT_OF_PANELS.code),  # plates are farther off
        (0.2, 0.3, 1.0, BUILT_OF_PANELS.code),
        (2.0, 0.1, 1.02, BUILT_OF_PANELS.code),  # near, but another volume
        (2.0, None, 1.0, None),  # no plates can be made
        (None, 0.1, 1.0, BUILT_OF_PLATES_ALONE.code),
    ],
)
def test_which_is_closer(monkeypatch, panels_off, plates_off, volume, code):
    """A body 100 mm across, all of it flat: plates may be off by 0.5 mm and 1 % of the volume."""
    flat = SimpleNamespace(kind="plane", area=1.0)
    reading = SimpleNamespace(name="body", size=(100.0, 0.0, 0.0), area=1.0, features=(flat,))
    refused = Message("no", "error", "cannot be made").error()
    off = Comparison(1.0, 1.0, panels_off or 0.0, 0.0, 0.0, 0.0)
    panels = SimpleNamespace(compared=off, polygons=(), findings=())
    compared = SimpleNamespace(
        max_distance=plates_off, volume=volume, finding=lambda where: Message("c", "note", "compared").at(where)
    )

    def made(value, off):
        if off is None:
            raise refused
        return value

    monkeypatch.setattr("foldsketch.mesh.panels.simplify.simplify", lambda reading, count: made(panels, panels_off))
    monkeypatch.setattr("foldsketch.mesh.rebuild.rebuild.rebuild", lambda reading: made((PART, ()), plates_off))
    monkeypatch.setattr(mesh_pipeline, "compare_rebuilt_part", lambda reading, part: compared)
    described, findings = choose_plates_or_panels(reading)
    plates = code in (BUILT_OF_PLATES.code, BUILT_OF_PLATES_ALONE.code)
    assert described is (PART if plates else panels)
    assert [f.code for f in findings] == ([code, "c"] if plates else [code] if code else [])


@pytest.mark.parametrize("plates_off", [None, 3.0])
def test_when_neither_can_be_made_the_reason_is_that_of_the_panels(monkeypatch, plates_off):
    why = Message("no-panels", "error", "cannot be made").error()

    def simplify(reading, count):
        raise why

    def plates(reading):
        if plates_off is None:
            raise Message("no-plates", "error", "cannot be made").error()
        return PART, ()

    reading = SimpleNamespace(name="body", size=(100.0, 0.0, 0.0), area=1.0, features=())
    compared = SimpleNamespace(max_distance=plates_off, volume=1.0)
    monkeypatch.setattr("foldsketch.mesh.panels.simplify.simplify", simplify)
    monkeypatch.setattr("foldsketch.mesh.rebuild.rebuild.rebuild", plates)
    monkeypatch.setattr(mesh_pipeline, "compare_rebuilt_part", lambda reading, part: compared)
    with pytest.raises(FoldsketchError) as caught:
        choose_plates_or_panels(reading)
    assert caught.value is why


def test_a_body_that_is_hardly_flat_is_not_rebuilt_of_plates(tmp_path, monkeypatch):
    """A ball of 8 by 16 facets: no flat face to speak of, so the slow way is not even tried."""
    n, m = 8, 16

    def at(i, j):
        t, p = math.pi * i / n, 2 * math.pi * j / m
        return (20 * math.sin(t) * math.cos(p), 20 * math.sin(t) * math.sin(p), 20 * math.cos(t))

    triangles = []
    for i in range(n):
        for j in range(m):
            a, b, c, d = at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)
            triangles += [(a, b, c)] * (i < n - 1) + [(a, c, d)] * (i > 0)
    path = tmp_path / "ball.stl"
    path.write_text(solid_text(triangles))
    reading = recognise_mesh(path, "mm", False, None)[0]
    monkeypatch.setattr(mesh_pipeline, "compare_rebuilt_part", lambda *both: pytest.fail("plates are tried"))
    described, _ = choose_plates_or_panels(reading, 40)
    assert type(described) is type(simplify(reading, 40))
