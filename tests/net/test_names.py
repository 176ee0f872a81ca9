"""Names and offsets on paper: printed where there is room, a key where there is none, and never both."""

import math

import pytest

import parts
from foldsketch import job
from foldsketch.net.words import title
from foldsketch.part.model import Axis, Cylinder, Feature, Part


@pytest.mark.parametrize("part", [*parts.ALL, parts.part([Feature("thin", "A", Cylinder(30), 0, 4)])], ids=str)
def test_a_strip_bears_its_name_or_a_number_of_the_key(part):
    made = job.model(part, job.Choices(scale=1.0))
    for piece in made.nets.pieces:
        sides = {p.id: p.feature for p in piece.panels if p.kind != "end"}
        for name in sorted(set(sides.values())):
            words = title(next(f for f in part.features if f.name == name), part.units)
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
    made = job.model(part, job.Choices(scale=1.0))
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
