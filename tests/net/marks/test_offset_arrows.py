"""Arrows from the datum axis to offset axes, and the words beside them."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from foldsketch.job import pipeline
from foldsketch.net.marks.axis_centres import PIN_HOLE_RADIUS_MM
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from on_paper import in_plane, in_space, marked, shape

SAMPLES = Path(__file__).parents[3] / "samples"


@pytest.mark.parametrize("scale", [1.0, 0.5, 2.0])
@pytest.mark.parametrize(
    "part",
    [parts.TWO_SPIGOTS, parts.BORED, parts.ECCENTRIC, parts.OFFSET_SLEEVE, parts.HEX, parts.TAPER, parts.OVERHUNG],
    ids=lambda p: p.name,
)
def test_an_offset_arrow_runs_from_the_datum_axis_to_the_axis_that_is_offset(part, scale):
    """In space it lies on the line between the two, its tip toward the offset one and clear of its pin hole; the words
    beside it are the two axes' distance and bearing."""
    _, every = marked(part, scale)
    arrows = [(panel, m) for _, panel, m in every if m.kind == "offset" and m.paths]
    said = {(panel.id, m.axis): m.text for _, panel, m in every if m.kind == "offset" and m.text}
    if part in (parts.TWO_SPIGOTS, parts.BORED, parts.OVERHUNG):
        assert {m.axis for _, m in arrows} == {a.name for a in part.axes[1:]}
    for panel, m in arrows:
        axis, datum = part.axis(m.axis), part.datum
        (tail, tip), barbs = m.paths
        assert m.at == tip == barbs[1]
        a, b = (in_space(panel, p)[:2] / scale for p in (tail, tip))
        toward = np.array(axis.point[:2]) - np.array(datum.point[:2])
        apart = math.hypot(*toward)
        u = toward / apart
        start, end = ((p - datum.point[:2]) @ u * scale for p in (a, b))
        assert abs((a - datum.point[:2]) @ (-u[1], u[0])) < 1e-6
        assert abs((b - datum.point[:2]) @ (-u[1], u[0])) < 1e-6
        assert PIN_HOLE_RADIUS_MM + 0.5 - 1e-6 <= start < end
        assert end <= apart * scale - PIN_HOLE_RADIUS_MM - 0.5 + 1e-6
        centre = np.array(tail) + (np.array(tip) - tail) * (apart * scale - start) / (end - start)
        if shape(panel).contains(shapely.LineString([tail, centre])):
            assert apart * scale - end == pytest.approx(PIN_HOLE_RADIUS_MM + 0.5), (
                "up to the pin hole, if the panel goes so far"
            )
        elif shape(panel).contains(shapely.Point(in_plane(panel, np.array([*datum.point[:2], 0.0]) * scale))):
            assert start == pytest.approx(PIN_HOLE_RADIUS_MM + 0.5)
        for barb in (barbs[0], barbs[2]):
            back = (np.array(barb) - tip) @ (np.array(tail) - tip) / math.dist(tail, tip)
            assert back == pytest.approx(math.cos(0.26) * math.dist(barb, tip))
            assert 1.2 < math.dist(barb, tip) <= 2.2 + 1e-9
        assert math.dist(barbs[0], tail) == pytest.approx(math.dist(barbs[2], tail)), "even on both sides"
        assert shape(panel).buffer(1e-6).contains(shapely.LineString([tail, tip]))
        text = said.get((panel.id, m.axis))
        if text:
            distance, angle = re.fullmatch(rf"(?:{m.axis}: )?([\d.]+) mm at ([\d.]+)°", text).groups()
            assert float(distance) == pytest.approx(apart, abs=0.005)
            assert float(angle) == pytest.approx(math.degrees(math.atan2(u[1], u[0])) % 360, abs=0.005)


def test_an_offset_stands_beside_its_own_arrow():
    """On a flange with room its words keep within 8 mm of the line from the datum axis to the centre, and between
    their ends."""
    flange = Feature("flange", "A", Cylinder(120), 0, 10)
    part = Part("p", (Axis("A"), Axis("B", (30.0, 10.0, 0.0))), (flange, Feature("boss", "B", Cylinder(20), 10, 30)))
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0))
    checked = 0
    for piece in made.nets.pieces:
        for m in piece.marks:
            if m.kind != "offset" or not m.text:
                continue
            arrows = [k for k in piece.marks if k.kind == "offset" and k.paths and k.panel == m.panel]
            if not arrows or piece.panel(m.panel).feature != "flange":
                continue
            (tail, tip), (x, y) = arrows[0].paths[0], m.at
            long = math.dist(tail, tip)
            along = ((x - tail[0]) * (tip[0] - tail[0]) + (y - tail[1]) * (tip[1] - tail[1])) / long
            beside = abs((x - tail[0]) * (tip[1] - tail[1]) - (y - tail[1]) * (tip[0] - tail[0])) / long
            assert 0 < along < long
            assert beside < 8
            checked += 1
    assert checked


def offset_words(name):
    """The words of offsets on a sample's sheets, each with how many arrows its panel has, and whether its own."""
    for piece in pipeline.make_model(read_part(SAMPLES / f"{name}.toml")[0], pipeline.Choices()).nets.pieces:
        arrows = [(m.panel, m.axis) for m in piece.marks if m.kind == "offset" and m.paths]
        for m in piece.marks:
            if m.kind == "offset" and m.text:
                there = [panel for panel, _ in arrows].count(m.panel)
                yield m.text.startswith(f"{m.axis}: "), there, (m.panel, m.axis) in arrows


@pytest.mark.parametrize("name", ["lessons/2-offset-bore", "offset-bore-sleeve", "lessons/3-eccentric"])
def test_an_offset_without_an_arrow_of_its_own_names_its_axis(name):
    """Where two axes are too near for an arrow, or a centre lies in an opening, no arrow tells whose offset it is."""
    bare = [named for named, _, own in offset_words(name) if not own]
    assert bare and all(bare)


@pytest.mark.parametrize("name", ["double-throw-crank", "bilge-pump-cover", "lessons/4-two-spigots"])
def test_words_that_could_be_of_two_arrows_name_their_axis(name):
    """Words that do not fit beside their arrow do, where there is another one."""
    arrows = [there for named, there, _ in offset_words(name) if named]
    assert arrows and 1 not in arrows, "with one arrow there is nothing to confuse"


@pytest.mark.parametrize("scale", [1.0, 0.5])
@pytest.mark.parametrize("count", [3, 5, 8])
def test_with_many_axes_words_are_beside_their_own_arrow_or_name_their_axis(count, scale):
    """Bosses on a spiral."""
    bosses = [parts.polar(chr(66 + k), 18 + 6 * k, 52 * k) for k in range(count)]
    features = [Feature("flange", "A", Cylinder(150), 0, 12)]
    features += [Feature(f"boss {a.name}", a.name, Cylinder(8), 12, 30) for a in bosses]
    _, every = marked(parts.part(features, *bosses), scale)
    drawn, words = {}, []
    for _, panel, m in every:
        if m.kind == "offset" and m.paths:
            drawn.setdefault(id(panel), {})[m.axis] = shapely.LineString(m.paths[0])
        elif m.kind == "offset":
            words.append((drawn.get(id(panel), {}), m))
    for there, m in words:
        assert m.text.startswith(f"{m.axis}: ") or set(there) == {m.axis}
        if m.axis in there:
            away = {name: line.distance(shapely.Point(m.at)) for name, line in there.items()}
            assert min(away, key=away.get) == m.axis
    assert len(words) >= count / 2


def test_every_pin_hole_on_small_discs_has_its_letter():
    """Nine axes; the ends of bosses 8 mm in diameter have room for a letter 1.8 mm high and no more."""
    bosses = [parts.polar(chr(66 + k), 18 + 6 * k, 52 * k) for k in range(8)]
    features = [Feature("flange", "A", Cylinder(150), 0, 12)]
    features += [Feature(f"boss {a.name}", a.name, Cylinder(8), 12, 30) for a in bosses]
    _, every = marked(parts.part(features, *bosses))
    letters = {(piece.id, panel.id, m.text) for piece, panel, m in every if m.kind == "centre"}
    pins = {(piece.id, panel.id, m.axis) for piece, panel, m in every if m.kind == "pin"}
    assert len(pins) >= 16 and pins <= letters
