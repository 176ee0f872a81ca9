"""Marks folded up: centres and pin holes stand on their axes, and datum lines all look the same way from theirs."""

import math

import pytest
import shapely

import parts
from foldsketch.job import pipeline

ROUND = [p for p in parts.ALL if all(a.along_z for a in p.axes)]


def in_space(panel, p):
    return panel.origin + panel.to_space[:, 0] * p[0] + panel.to_space[:, 1] * p[1]


def marks(part, scale):
    """Every mark with its points in the part's own frame and the place of its axis."""
    made = pipeline.make_model(part, pipeline.Choices(scale=scale))
    for piece in made.nets.pieces:
        panels = {p.id: p for p in piece.panels}
        for m in piece.marks:
            if m.axis and not m.text and m.kind in ("centre", "pin", "datum"):
                own = panels[m.panel]
                path = [in_space(own, p) / scale for line in m.paths for p in line]
                yield m.kind, part.axis(m.axis).point, in_space(own, m.at) / scale, path


@pytest.mark.parametrize("scale", [1.0, 0.5])
@pytest.mark.parametrize("part", ROUND, ids=lambda p: p.name)
def test_marks_stand_where_they_say(part, scale):
    looks = []
    kinds = set()
    for kind, axis, at, path in marks(part, scale):
        kinds.add(kind)
        if kind == "datum":
            looks += [(p[0] - axis[0], p[1] - axis[1]) for p in path]
        else:
            assert math.hypot(at[0] - axis[0], at[1] - axis[1]) < 1e-6, kind
    assert "datum" in kinds
    first = math.atan2(looks[0][1], looks[0][0])
    for x, y in looks:
        beside = -x * math.sin(first) + y * math.cos(first)
        ahead = x * math.cos(first) + y * math.sin(first)
        assert abs(beside) < 1e-6
        assert ahead > 0


def test_a_joint_is_told_at_its_centroid():
    """By shapely, for joints square to z."""
    seen = 0
    for part in ROUND:
        for joint in pipeline.make_model(part, pipeline.Choices(scale=1.0)).nets.joints:
            if abs(abs(joint.normal[2]) - 1) < 1e-9:
                flat = shapely.Polygon(joint.outline[:, :2]).centroid
                assert joint.at == pytest.approx([flat.x, flat.y, joint.outline[0, 2]], abs=1e-6)
                seen += 1
    assert seen > 5
