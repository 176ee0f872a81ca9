"""A model is held against its file: what is missing or too much is an error with its place, what is meant is not."""

from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.job.mesh_pipeline import compare_rebuilt_part
from foldsketch.mesh.comparison import messages
from foldsketch.mesh.comparison.compare import Comparison
from foldsketch.mesh.comparison.verdict import (
    MAX_DISTANCE_OFF,
    MAX_VOLUME_OFF,
    PANEL_DISTANCE_OFF,
    PANEL_VOLUME_OFF,
    UNLIKE_CODES,
    require_likeness,
    verdict,
)
from foldsketch.mesh.rebuild.rebuild import rebuild
from foldsketch.part.model import Cylinder
from meshes import cylinder, from_solid, read, turned


@pytest.fixture(scope="module")
def flange(tmp_path_factory):
    """Disc 90 x 12, spigot 40 on another axis, bore 16 through both."""
    solid = cylinder(90, 0, 12) + cylinder(40, 10, 45, x=14) - cylinder(16, -1, 50, x=14)
    reading = read(from_solid(solid), tmp_path_factory.mktemp("flange"))
    return reading, rebuild(reading)[0]


def judged(reading, part):
    return verdict("part", compare_rebuilt_part(reading, part))


def test_the_rebuilt_part_passes_without_a_word(flange):
    assert judged(*flange) is None


@pytest.mark.parametrize(
    ("name", "message", "low", "high"),
    [("disc", messages.MISSING, 0, 12), ("spigot", messages.MISSING, 12, 45), ("bore", messages.FILLED, 0, 45)],
)
def test_a_feature_that_is_not_there_is_named_with_its_heights(flange, name, message, low, high):
    reading, part = flange
    gone = part.with_features(tuple(f for f in part.features if f.name != name))
    found = judged(reading, gone)
    assert (found.code, found.level, found.value("what")) == (message.code, "error", f"'{name}'")
    assert (found.value("low").value, found.value("high").value) == pytest.approx((low, high), abs=0.01)


def test_what_the_file_does_not_have_is_named_as_too_much(flange):
    reading, part = flange
    extra = replace(part.features[0], name="extra", shape=Cylinder(30), start=45, end=60)
    found = judged(reading, part.with_features((*part.features, extra)))
    assert (found.code, found.value("what")) == (messages.FILLED.code, "empty space")
    assert found.value("high").value == pytest.approx(60, abs=0.01)


@pytest.mark.slow
@settings(max_examples=8, deadline=None)
@given(st.integers(0, 2), st.sampled_from([-1, 1]), st.floats(0.03, 0.4))
def test_a_wrong_diameter_or_length_is_found(flange, at, sense, share):
    """Off by 3 % of the box's diagonal and more, which is three times the limit."""
    reading, part = flange
    f = part.features[at]
    step = sense * share * min(f.shape.diameter, 40)
    step = np.sign(step) * max(abs(step), 2 * 0.03 * np.linalg.norm(reading.size))
    if f.shape.diameter + step <= 1:
        return
    wrong = replace(f, shape=Cylinder(f.shape.diameter + float(step)))
    features = tuple(wrong if k == at else g for k, g in enumerate(part.features))
    assert judged(reading, part.with_features(features)).code in UNLIKE_CODES


def test_fillets_left_out_on_purpose_are_no_difference(tmp_path):
    """A post of 40 on a disc of 90 with a fillet of 8: 2.3 mm from its corner, and 1 % of the volume."""
    arc = [(28 - 8 * np.sin(t), 20 - 8 * np.cos(t)) for t in np.linspace(0, np.pi / 2, 17)]
    mesh = turned([(0, 0), (45, 0), (45, 12), *arc, (20, 40), (0, 40)], 96)
    reading = read(mesh, tmp_path)
    assert reading.features[0].is_round and any(m.role == "fillet" for m in reading.features)
    compared = compare_rebuilt_part(reading, rebuild(reading)[0])
    assert compared.max_distance > 2.0
    assert verdict("part", compared) is None


@pytest.mark.parametrize("panels", [0, 40])
def test_the_limits(panels):
    volume, distance = MAX_VOLUME_OFF, MAX_DISTANCE_OFF
    if panels:
        volume, distance = volume + PANEL_VOLUME_OFF / panels, distance + PANEL_DISTANCE_OFF / panels
    same = Comparison(1, 1, 0, 0, 0, 0)
    assert verdict("x", replace(same, volume_off=volume * 1.01), panels).level == "error"
    assert verdict("x", replace(same, volume_off=volume * 0.99), panels).level == "warning"
    assert verdict("x", replace(same, distance_off=distance * 1.01), panels).level == "error"
    assert verdict("x", same, panels) is None


def test_panels_are_allowed_what_equal_ones_are_off_on_a_ball():
    """An icosphere of 80 to 1280 triangles, its corners on the ball: measured, not calculated."""
    for k in (1, 2, 3):
        ball = trimesh.creation.icosphere(k, 1.0)
        inside = 1 - np.linalg.norm(ball.triangles_center, axis=1).min()
        n = len(ball.faces)
        assert inside / 12**0.5 == pytest.approx(PANEL_DISTANCE_OFF / n, rel=0.35)
        assert 1 - ball.volume / (4 / 3 * np.pi) == pytest.approx(PANEL_VOLUME_OFF / n, rel=0.15)


def test_anyway_makes_a_warning_of_the_error():
    wrong = Comparison(0.5, 1, 0, 0, 0, 0, volume_off=0.5)
    with pytest.raises(FoldsketchError):
        require_likeness("x", wrong, anyway=False)
    (found,) = require_likeness("x", wrong, anyway=True)
    assert (found.code, found.level) == (messages.WRONG_VOLUME.code, "warning")
