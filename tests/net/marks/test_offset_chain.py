"""Offsets on paper: the dimension is as long as the offset, its figure is right, and it keeps off other lines."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from examples import few
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from on_paper import in_plane, in_space, marked, shape, word_box

SAMPLES = Path(__file__).parents[3] / "samples"
OFFSET = [parts.TWO_SPIGOTS, parts.BORED, parts.ECCENTRIC, parts.OFFSET_SLEEVE, parts.HEX, parts.TAPER, parts.OVERHUNG]


def dimensions(every):
    """Every dimension: its panel, axis, the two tips of its arrows, and its lines."""
    for piece, panel, m in every:
        heads = [path for path in m.paths if len(path) == 3]
        if m.kind == "offset" and heads:
            yield piece, panel, m.axis, [head[1] for head in heads], [path for path in m.paths if len(path) == 2]


@pytest.mark.parametrize("scale", [1.0, 0.5, 2.0])
@pytest.mark.parametrize("part", few(OFFSET, 1), ids=lambda p: p.name)
def test_a_dimension_is_as_long_as_the_offset_and_beside_both_axes(part, scale):
    """In space its arrows end straight beside the datum axis and the axis that is offset, by the same distance."""
    _, every = marked(part, scale)
    seen = set()
    for _, panel, axis, tips, lines in dimensions(every):
        a, b = (in_space(panel, p)[:2] / scale for p in tips[::-1])
        datum, own = np.array(part.datum.point[:2]), np.array(part.axis(axis).point[:2])
        if np.linalg.norm(a - b) > np.linalg.norm(own - datum) - 1e-6:
            assert b - a == pytest.approx(own - datum, abs=1e-6)
            assert (a - datum) @ (own - datum) == pytest.approx(0, abs=1e-6)
        else:  # between the centres themselves: a little inside both
            for p, q in ((a, datum), (b, own)):
                assert 0 < np.linalg.norm(p - q) <= 1.2 / scale + 1e-6
        for line in lines:
            assert shape(panel).buffer(1e-6).contains(shapely.LineString(line))
        seen.add(axis)
    if part in (parts.TWO_SPIGOTS, parts.OVERHUNG):
        assert seen == {a.name for a in part.axes[1:]}


@pytest.mark.parametrize("scale", [1.0, 0.5])
@pytest.mark.parametrize("part", few(OFFSET, 2), ids=lambda p: p.name)
def test_every_offset_is_written_and_right(part, scale):
    nets, every = marked(part, scale)
    told = {f.where for f in nets.findings if f.code == "offset-omitted"}
    said = set()
    for _, _, m in every:
        if m.kind != "offset" or not m.text:
            continue
        where = np.array(part.axis(m.axis).point[:2]) - part.datum.point[:2]
        figure = re.fullmatch(rf"(?:{part.datum.name} to {m.axis}: )?([\d.]+)(?: at ([\d.]+)°)?", m.text)
        assert float(figure[1]) == pytest.approx(np.hypot(*where), abs=0.005)
        if figure[2]:
            assert float(figure[2]) == pytest.approx(math.degrees(math.atan2(where[1], where[0])) % 360, abs=0.005)
        else:
            assert abs(where[1]) < 1e-6, "an angle is left out only where it is seen"
        said.add(m.axis)
    wanted = {a.name for a in part.axes[1:] if any(f.axis == a.name for f in part.features)}
    assert {f"axis {name}" for name in wanted - said} == told


@pytest.mark.parametrize(
    "name", few(["eccentric-shaft", "bilge-pump-cover", "single-throw-crank", "double-throw-crank"], 2)
)
def test_dimensions_keep_off_letters_names_and_openings(name):
    made = pipeline.make_model(read_part(SAMPLES / f"{name}.toml")[0], pipeline.Choices())
    every = [(p, p.panel(m.panel), m) for p in made.nets.pieces for m in p.marks]
    found = 0
    for piece, panel, axis, _, lines in dimensions(every):
        for m in piece.marks:
            if not m.text or m.panel != panel.id or (m.kind == "offset" and m.axis == axis):
                continue
            assert not any(shapely.LineString(line).intersects(word_box(m)) for line in lines), (axis, m.text)
            found += 1
    assert found


def test_a_chain_has_its_figures_in_the_line_where_there_is_room():
    """On a flange of 120 mm the figures of 30 and 40 mm stand in the gaps of one line, above both centres."""
    axes = (Axis("A"), Axis("B", (30.0, 0.0, 0.0)), Axis("C", (-40.0, 0.0, 0.0)))
    flange = Feature("flange", "A", Cylinder(140), 0, 10)
    part = Part("p", axes, (flange, *(Feature(f"boss {n}", n, Cylinder(20), 10, 30) for n in "BC")))
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0))
    turn = {p.piece: p.angle for sheet in made.sheets for p in sheet.placed}
    rows = {}
    for piece in made.nets.pieces:
        up = np.array((math.sin(turn[piece.id]), math.cos(turn[piece.id])))
        for m in piece.marks:
            if m.kind == "offset" and piece.panel(m.panel).feature == "flange" and len(m.paths) == 4:
                one, other = (path for path in m.paths if len(path) == 2)
                own = [k for k in piece.marks if (k.kind, k.axis, k.panel) == ("offset", m.axis, m.panel)]
                words = next(k for k in own if k.text)
                assert words.size == 5.0
                gap = shapely.LineString([one[1], other[0]])
                assert gap.distance(shapely.Point(words.at)) < 1e-6
                centre = in_plane(piece.panel(m.panel), np.array([0.0, 0.0, 0.0]))
                rows.setdefault((piece.id, m.panel), []).append(round(float((one[0] - centre) @ up), 6))
    assert len(rows) == 2 and all(len(set(row)) == 1 for row in rows.values()), "one line for both, on both faces"
