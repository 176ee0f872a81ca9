"""Parts of several bodies in one frame: every corner of every outline is where it was."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.mesh.features.part_frame import PartFrame
from foldsketch.mesh.rebuild.assemble import join_parts, move_to_frame
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape

PART = Part(
    "lever",
    (Axis("A"), Axis("B", (20.0, -5.0, 0.0)), Axis("C", (0.0, 0.0, 6.0), (0.6, 0.8, 0.0))),
    (
        Feature("taper", "A", Cone(30, 20), 2, 12),
        Feature("hexagon", "B", PrismShape(6, 14, 0.2), 0, 8),
        Feature("web", "A", Plate(outline=((0, 0), (20, -5), (22, 6))), 0, 4),
        Feature("arm", "A", Plate(hull=((0, 0, 6), (20, -5, 4))), 0, 3),
        Feature("pin", "C", Cylinder(5), -20, 20),
        Feature("key", "C", Plate(outline=((0, 0), (3, 0), (3, 1))), 5, 9),
    ),
)


def frame(turn: np.ndarray, origin: tuple[float, ...]) -> PartFrame:
    return PartFrame(turn, np.array(origin), [], 6)


def rotation(about: tuple[float, float, float], angle: float) -> np.ndarray:
    x, y, z = np.array(about) / np.linalg.norm(about)
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * k @ k


def corners(part: Part, f: Feature) -> np.ndarray:
    """The outlines of both ends of a feature in the part's frame; of a hull the centres of its circles."""
    to_part = part.axis(f.axis).to_part_frame
    if isinstance(f.shape, Plate) and f.shape.hull:
        return np.array([to_part(x, y, z) for z in (f.start, f.end) for x, y, _ in f.shape.hull])
    return np.array([to_part(x, y, z) for at_end, z in ((0, f.start), (1, f.end)) for x, y in f.end_outline(at_end)])


def check_in_place(own: PartFrame, other: PartFrame) -> None:
    moved = move_to_frame(PART, own, other)
    for f, g in zip(PART.features, moved.features, strict=True):
        want = (corners(PART, f) @ own.rotation + own.origin - other.origin) @ other.rotation.T
        got = corners(moved, g)
        if f.is_round:  # the corners that stand for a circle may be others on it
            want, got = (np.array([p.mean(axis=0), np.ptp(p, axis=0)]) for p in (want, got))
            assert got == pytest.approx(want, abs=0.3)  # 48 corners of a circle: their box is that much uncertain
            continue
        apart = np.linalg.norm(want[:, None] - got[None], axis=2)
        assert apart.min(axis=0).max() < 1e-4 and apart.min(axis=1).max() < 1e-4, f.name


@pytest.mark.parametrize("angle", [0.0, 0.3, pi / 2, pi])
@pytest.mark.parametrize("about", [(1, 0, 0), (0, 1, 0), (0, 0, 1)])
def test_corners_stay_in_place_in_plain_turns(about: tuple[float, float, float], angle: float) -> None:
    check_in_place(frame(rotation(about, angle), (3, -4, 5)), frame(np.eye(3), (1, 2, 3)))


@examples(30)
@given(st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1), st.floats(0.01, 3.1))
def test_corners_stay_in_place_in_any_turn(about: tuple[float, float, float], angle: float) -> None:
    check_in_place(frame(np.eye(3), (7, 8, 9)), frame(rotation(about, angle), (0, 1, -2)))


def test_an_axis_turned_over_is_one_along_z_again() -> None:
    moved = move_to_frame(PART, frame(rotation((1, 0, 0), pi), (0, 0, 0)), frame(np.eye(3), (0, 0, 0)))
    assert [a.direction for a in moved.axes[:2]] == [(0, 0, 1), (0, 0, 1)]
    taper = moved.features[0]
    assert (taper.start, taper.end, taper.shape) == (-12, -2, Cone(20, 30))


def test_axes_on_one_line_are_one_and_names_are_apart() -> None:
    shaft = Part("shaft", (Axis("A"),), (Feature("spigot", "A", Cylinder(10), 0, 40),))
    bush = Part("bush", (Axis("A", (0, 0, 0)), Axis("B", (9, 0, 0))), (Feature("spigot", "A", Cylinder(30), 0, 9),))
    joined = join_parts("both", [shaft, bush, PART])
    assert [a.name for a in joined.axes] == ["A", "B", "C", "D"]
    assert [f.name for f in joined.features][:2] == ["spigot 1", "spigot 2"]
    assert {f.axis for f in joined.features[:2]} == {"A"}
    assert [f.note for f in joined.features][:3] == ["shaft", "bush", "lever"]


def test_plates_alone_take_the_datum_and_stay_where_they_are() -> None:
    disc = Part("disc", (Axis("A"),), (Feature("disc", "A", Cylinder(60), 0, 10),))
    key = Part("key", (Axis("A", (50, 2, 0)),), (Feature("key", "A", Plate(outline=((0, 0), (5, 0), (5, 5))), 1, 3),))
    joined = join_parts("both", [disc, key])
    assert [a.name for a in joined.axes] == ["A"]
    assert joined.features[1].shape == Plate(outline=((50, 2), (55, 2), (55, 7)))
