"""What faces and nets are called: every net can be told once it is cut out, or that is reported."""

import math
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from examples import few
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Cylinder, Feature
from nets import finding, quick_model
from on_paper import marked, shape, word_box

SAMPLES = Path(__file__).parents[3] / "samples"


@pytest.mark.parametrize("scale", [1.0, 0.5])
@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_every_net_can_be_told_when_it_is_cut_out(part, scale):
    """By the name of a face or the letter of an axis on an end, else by its number on a wall, else it is reported."""
    nets, every = marked(part, scale)
    features = {f.name for f in part.features}
    missing = set()
    for piece in nets.pieces:
        said = [m for p, _, m in every if p is piece and m.text]
        on_ends = [m for p, panel, m in every if p is piece and panel.kind == "end" and m.text]
        names = [m for m in on_ends if any(m.text in (f, f"{f}, +z end", f"{f}, -z end") for f in features)]
        letters = [m for m in on_ends if m.kind == "centre"]
        # Edges may have the same number as the net: there is one more then.
        edges = [e for p in nets.pieces for e in (*p.tabs, *p.butts) if str(e.number) == piece.id]
        alike = sum((e.meets.piece == piece.id) + (e in piece.butts) for e in edges)
        own = [m for m in said if m.text == piece.id]
        numbers = own[alike:] + [m for m in said if m.text.startswith(f"{piece.id} ")]
        if not (names or letters or numbers):
            missing |= {p.feature for p in piece.panels}
    told = finding(nets, "names-omitted")
    assert bool(missing) == bool(told)
    assert all(f"'{name}'" in told.text for name in missing)


@pytest.mark.parametrize("part", few(parts.ALL), ids=lambda p: p.name)
def test_both_ends_of_a_feature_are_told_by_where_they_look(part):
    for _, panel, m in marked(part)[1]:
        if m.text.endswith("z end"):
            name, end = m.text.rsplit(", ", 1)
            assert panel.feature == name and panel.kind == "end"
            assert {"+z end": 1, "-z end": -1}[end] * panel.to_space[2, 2] > 0.9


def test_a_name_stands_low_on_its_face_and_on_no_place_that_is_covered():
    made = pipeline.make_model(parts.TWO_SPIGOTS, pipeline.Choices(scale=1.0))
    turn = {p.piece: p.angle for sheet in made.sheets for p in sheet.placed}
    seen = 0
    for piece in made.nets.pieces:
        c, s = math.cos(turn[piece.id]), math.sin(turn[piece.id])
        for m in piece.marks:
            if m.kind == "text" and m.text.startswith("flange") and piece.panel(m.panel).kind == "end":
                panel = piece.panel(m.panel)
                height = panel.outline @ (s, c)
                assert np.dot(m.at, (s, c)) < height.mean(), "below the middle as the page is read"
                covered = [
                    shapely.Polygon(path)
                    for k in piece.marks
                    if k.kind == "outline" and k.panel == m.panel
                    for path in k.paths
                    if len(path) > 2
                ]
                assert not any(word_box(m).intersects(area) for area in covered)
                seen += 1
    assert seen == 2


@pytest.mark.parametrize("name", ["bilge-pump-cover", "single-throw-crank", "valve-lever", "cross-drilled-boss"])
@pytest.mark.parametrize("quick", [True, False])
def test_words_are_upright_on_the_page_and_no_word_is_on_another(name, quick):
    """Edge numbers run along their edges; all else is read without turning the page. A mark's words keep off others."""
    made = quick_model(read_part(SAMPLES / f"{name}.toml")[0], pipeline.Choices(), quick)
    turn = {p.piece: p.angle for sheet in made.sheets for p in sheet.placed}
    for piece in made.nets.pieces:
        words = [m for m in piece.marks if m.text]
        for m in words:
            if not m.text.isdigit():
                assert math.cos(m.angle + turn[piece.id]) == pytest.approx(1.0), m.text
                assert m.size >= 2.5
        boxes = [word_box(m) for m in words]
        for k, one in enumerate(boxes):
            for other, m in zip(boxes[k + 1 :], words[k + 1 :], strict=True):
                assert not one.intersects(other), (words[k].text, m.text)


def test_a_net_without_a_name_has_its_number_on_a_wall():
    """A tube has no end: once it is cut out the number on its wall tells it."""
    nets, every = marked(parts.SLEEVE)
    tube = next(p for p in nets.pieces if all(q.kind != "end" for q in p.panels))
    own = [(panel, m) for p, panel, m in every if p is tube and m.kind == "text" and m.text.startswith(tube.id)]
    ((panel, m),) = [(panel, m) for panel, m in own if m.size >= 2.5]
    assert shape(panel).contains(word_box(m))


def test_a_strip_too_narrow_for_any_word_is_reported():
    thin = parts.part([Feature("thin", "A", Cylinder(8), 0, 1.5)], name="thin")
    nets = pipeline.make_model(thin, pipeline.Choices(scale=1.0)).nets
    named = [m.text for p in nets.pieces for m in p.marks if m.text and not m.text.isdigit()]
    assert named or finding(nets, "names-omitted")
