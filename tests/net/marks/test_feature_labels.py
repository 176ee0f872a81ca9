"""Names on paper: printed where they fit, a key where they do not, and never both; net numbers and the z arrow."""

import itertools
import math
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.net.marks.dimension_text import name_and_size
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets, quick_model
from on_paper import marked, shape

SAMPLES = Path(__file__).parents[3] / "samples"


def along(panel, a, b):
    """Direction in space of a line on paper."""
    d = panel.to_space[:, :2] @ (np.array(b) - np.array(a))
    return d / np.linalg.norm(d)


@pytest.mark.parametrize("part", [*parts.ALL, parts.part([Feature("thin", "A", Cylinder(30), 0, 4)])], ids=str)
def test_a_strip_has_its_name_or_a_letter_of_the_key(part):
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


@pytest.mark.parametrize("height", [6.0, 14.0, 30.0])
@pytest.mark.parametrize(
    "axis",
    [Axis("A"), Axis("A", (5.0, 3.0, 20.0), (0.0, 0.0, -1.0))],
    ids=["up", "down"],
)
def test_one_arrow_on_every_strip_points_to_the_parts_plus_z(axis, height):
    """Even on one of 6 mm, where a letter has little air. Its barbs stand beside the shaft, behind its tip."""
    part = Part("p", (axis,), (Feature("disc", "A", Cylinder(60), 0, height),))
    _, every = marked(part)
    arrows = [(panel, m) for _, panel, m in every if m.text == "z"]
    assert len(arrows) == 1
    for panel, m in arrows:
        (tail, tip), (left, point, right) = m.paths
        assert point == tip
        assert along(panel, tail, tip) == pytest.approx([0, 0, 1], abs=1e-9)
        assert math.dist(tail, tip) == pytest.approx(3.6)
        middle = (np.array(left) + right) / 2
        assert along(panel, middle, tip) == pytest.approx([0, 0, 1], abs=1e-9)
        assert 0.5 < math.dist(left, right) < 2 and 0.5 < math.dist(middle, tip) < 2
        own = shapely.MultiLineString([(tail, tip), (left, point), (point, right)])
        assert shape(panel).contains(own)
        half = text_width("z", m.size) / 2
        c, s = math.cos(m.angle), math.sin(m.angle)
        letter = shapely.LineString(
            [(m.at[0] - c * half, m.at[1] - s * half), (m.at[0] + c * half, m.at[1] + s * half)]
        )
        assert shape(panel).contains(letter)
        assert letter.distance(own) > 0.1, "beside its arrow"
        up = panel.to_space[:, :2] @ (-s, c)
        assert up == pytest.approx([0, 0, 1], abs=1e-9), "the letter stands upright in the model"


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_every_net_has_its_own_number_once_in_a_frame(part):
    nets, every = marked(part)
    for piece in nets.pieces:
        own = [
            (p, m) for q, p, m in every if q is piece and m.text in (f"net {piece.id}", piece.id) and len(m.paths) == 1
        ]
        own = [(p, m) for p, m in own if len(m.paths[0]) == 5]
        assert len(own) == 1
        ((panel, m),) = own
        (frame,) = m.paths
        assert frame[0] == frame[4]
        sides = [math.dist(frame[k], frame[k + 1]) for k in range(4)]
        under = 0.25 if m.text in ("6", "9") else 0  # room for the line that tells them apart
        assert sides == pytest.approx([text_width(m.text, m.size) + 1.2, m.size + 1.2 + under] * 2)
        assert np.mean(frame[:4], axis=0) == pytest.approx(m.at, abs=under / 2 + 1e-6)
        box = shapely.Polygon(frame)
        assert box.area == pytest.approx(sides[0] * sides[1]), "square at its corners"
        c, s = math.cos(m.angle), math.sin(m.angle)
        assert abs((np.array(frame[1]) - frame[0]) @ (-s, c)) < 1e-6, "along its words"
        assert shape(panel).contains(box)
        largest = sorted((shape(p).area for p in piece.panels), reverse=True)[:4]
        assert shape(panel).area >= min(largest) - 1e-3, "on one of its large panels"


@pytest.mark.parametrize("scale", [1.0, 0.5, 0.3])
@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_letters_of_the_key_are_in_circles_and_run_from_k(part, scale):
    nets, every = marked(part, scale)
    seen = {p.id: set() for p in nets.pieces}
    for piece, panel, m in every:
        if not (m.paths and len(m.paths[0]) == 17):
            continue
        (ring,) = m.paths
        assert ring[0] == pytest.approx(ring[-1], abs=1e-9)
        assert [math.dist(p, m.at) for p in ring] == pytest.approx([1.75] * 17)
        assert shapely.Polygon(ring).area == pytest.approx(8 * math.sin(math.pi / 8) * 1.75**2), "all the way round"
        assert shape(panel).contains(shapely.Polygon(ring))
        assert m.text in dict(piece.key)
        seen[piece.id].add(m.text)
    for piece in nets.pieces:
        letters = [n for n, _ in piece.key if n]
        assert sorted(letters) == sorted("krstvxyzcefgj"[: len(letters)])
        said = [text for _, text in piece.key]
        assert len(said) == len(set(said)), "nothing is said twice"
        assert seen[piece.id] == set(letters), "no letter means something that is circled nowhere"


@pytest.mark.parametrize("name", ["double-throw-crank", "bilge-pump-cover"])
def test_no_ring_of_the_key_meets_a_frame_or_another_ring(name):
    part = read_part(SAMPLES / f"{name}.toml")[0]
    rings = 0
    for quick in (False, True):
        facets = coarsen_facets(FacetChoice()) if quick else FacetChoice()
        made = quick_model(part, pipeline.Choices(facets=facets), quick)
        for piece in made.nets.pieces:
            loops = [
                (m.panel, shapely.LinearRing(path), len(path))
                for m in piece.marks
                for path in m.paths
                if m.kind == "text" and len(path) in (5, 17) and path[0] == pytest.approx(path[-1])
            ]
            for (one, a, n), (two, b, _) in itertools.combinations(loops, 2):
                rings += n == 17
                assert one != two or not a.intersects(b), (piece.id, one)
    assert rings
