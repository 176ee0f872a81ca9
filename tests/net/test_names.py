"""Names and offsets on paper: printed where there is room, a key where there is none, and never both."""

import math
from pathlib import Path

import numpy as np
import pytest

import parts
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.net.labels.panel_space import PanelSpace
from foldsketch.net.marks.dimension_text import name_and_size
from foldsketch.net.marks.edge_numbers import _place_numbers
from foldsketch.net.model import Panel
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets

SAMPLES = Path(__file__).parents[2] / "samples"
PARTS = sorted(str(p.relative_to(SAMPLES))[:-5] for where in (".", "lessons") for p in (SAMPLES / where).glob("*.toml"))


@pytest.mark.parametrize("part", [*parts.ALL, parts.part([Feature("thin", "A", Cylinder(30), 0, 4)])], ids=str)
def test_a_strip_bears_its_name_or_a_number_of_the_key(part):
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0))
    for piece in made.nets.pieces:
        sides = {p.id: p.feature for p in piece.panels if p.kind != "end"}
        for name in sorted(set(sides.values())):
            words = name_and_size(next(f for f in part.features if f.name == name), part.units)
            printed = {m.text for m in piece.marks if m.text and sides.get(m.panel) == name}
            whole = any(" ".join(words) == t or words[0] == t for t in printed)
            keyed = [text for _, text in piece.key if text == " ".join(words)]
            assert whole or keyed, (piece.id, name)
            caps = [p.id for p in piece.panels if p.kind == "end" and p.feature == name]
            bare = [c for c in caps if not any(m.panel == c and m.text.startswith(words[0]) for m in piece.marks)]
            if not bare:
                assert not (whole and keyed), (piece.id, name)


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
    """The words of offsets on a sample's sheets, each with how many arrows its panel bears, and whether its own."""
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
    """Words that found no room beside their arrow do, where there is another one."""
    arrows = [there for named, there, _ in offset_words(name) if named]
    assert arrows and 1 not in arrows, "with one arrow there is nothing to confuse"


def letters(made):
    """The letters on a model's panels: axis, distance to its own centre, and to the nearest other one of the panel."""
    for piece in made.nets.pieces:
        crosses = [m for m in piece.marks if m.kind == "centre" and not m.text]
        for m in piece.marks:
            if m.kind == "centre" and m.text:
                there = [c for c in crosses if c.panel == m.panel]
                own = min(math.dist(m.at, c.at) for c in there if c.axis == m.axis)
                yield m.axis, own, min((math.dist(m.at, c.at) for c in there if c.axis != m.axis), default=math.inf)


@pytest.mark.parametrize("name", PARTS)
def test_a_letter_is_nearest_to_its_own_centre(name):
    found = list(letters(pipeline.make_model(read_part(SAMPLES / f"{name}.toml")[0], pipeline.Choices())))
    assert found
    assert all(own < other for _, own, other in found)


def test_a_letter_that_finds_no_room_at_its_centre_stands_farther_away():
    """The arm of the quick rocker is narrow where its left boss stands: outline, tick and arrow leave no room."""
    choices = pipeline.Choices(quick=True, facets=coarsen_facets(FacetChoice()), scale=0.5, join="auto")
    made = pipeline.make_model(read_part(SAMPLES / "three-boss-rocker.toml")[0], choices)
    arms = next(p for p in made.nets.pieces if "left arm" in {q.feature for q in p.panels})
    ends = [p.id for p in arms.panels if p.kind == "end"]
    for axis in "ABC":
        assert sorted(m.panel for m in arms.marks if m.kind == "centre" and m.text == axis) == sorted(ends)


def test_what_is_all_ones_keeps_away_from_strokes():
    """Beside a stroke 1 would read as 11: it moves along its edge, where a 7 stays in the middle."""
    square = np.array([(-6.0, -6.0), (6.0, -6.0), (6.0, 6.0), (-6.0, 6.0)])
    panel = Panel(0, square, (), "disc", "end", 0, np.eye(3), np.zeros(3))
    found = {}
    for text in ("1", "7"):
        room = PanelSpace(panel)
        room.add_obstacle(((1.2, -5.5), (1.2, 5.5)))
        ((at, _),) = _place_numbers([room], [text], square[None, :2])
        found[text] = at
    assert found["7"] == pytest.approx((0.0, -4.25)), "in the middle"
    assert abs(found["1"][0] - 1.2) > 0.9 + text_width("1", 1.8) / 2
