"""Datum lines and ticks: the datum's way from their axes, off openings and notches; and outlines of joints."""

import math
import random
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from examples import few
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets, quick_model
from on_paper import in_plane, in_space, lies_on, marked, shape
from strategies import random_part

SAMPLES = Path(__file__).parents[3] / "samples"
SCALES = [1.0, 0.5]


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("part", few([p for p in parts.ALL if p.name != "cross drilled"], 3), ids=lambda p: p.name)
def test_every_tick_ends_on_an_outline_in_the_datum_direction_from_its_axis(part, scale):
    """The outline of the panel or that of a joint on it; it is 3.2 mm long, or half the way where that is less."""
    nets, every = marked(part, scale)
    seen = beyond = 0
    looks = set()
    for piece, panel, m in every:
        if m.kind != "datum" or panel.kind != "end":
            continue
        ((near, far),) = m.paths
        centre = np.array(part.axis(m.axis).point)[:2] * scale
        a, b = (in_space(panel, p)[:2] - centre for p in (near, far))
        if m.at == near:
            beyond += 1
            joints = [j for j in nets.joints if lies_on(panel, j)]
            rims = [shapely.LinearRing(in_plane(panel, j.outline)) for j in joints]
            assert min(r.distance(shapely.Point(near)) for r in rims) < 1e-6, "from the outline of a joint outwards"
            length = float(np.hypot(*b) - np.hypot(*a))
            ahead = shapely.LineString([near, np.add(far, np.subtract(far, near) * 0.5 / length)])
            inside = shape(panel).buffer(1e-6).covers(ahead)
            assert inside and (length == pytest.approx(3.2) or length >= 0.8), "off the edge of the panel"
            looks.add(tuple(np.round(b / np.hypot(*b), 6) + 0.0))
            seen += 1
            continue
        assert m.at == far
        gone = float(np.hypot(*b))
        ray = shapely.LineString([in_plane(panel, np.array([*centre, 0.0])), far])
        past = [math.dist(q, ray.coords[0]) for h in panel.holes for q in on_both(ray, shapely.LinearRing(h))]
        room = gone - max(past) - 0.5 if past else gone
        assert gone - float(np.hypot(*a)) == pytest.approx(min(3.2, gone / 2, room)), "outwards, off an opening"
        looks.add(tuple(np.round(b / gone, 6) + 0.0))
        loops = [shapely.LinearRing(panel.outline), *(shapely.LinearRing(h) for h in panel.holes)]
        loops += [
            shapely.LineString(path)
            for o in piece.marks
            if o.kind == "outline" and o.panel == panel.id
            for path in o.paths
        ]
        beside = [shapely.LinearRing(in_plane(panel, j.outline)) for j in nets.joints if lies_on(panel, j)]
        assert min(s.distance(shapely.Point(far)) for s in (*loops, *beside)) < 1e-6
        seen += 1
    assert seen
    assert len(looks) == 1, "all the same way"
    if part in (parts.TWO_SPIGOTS, parts.ROCKER) and scale == 1.0:
        assert beyond, "what is glued on would hide it inside its outline"


def on_both(one, two):
    """The points that two lines have in common."""
    return [q for g in getattr(one.intersection(two), "geoms", [one.intersection(two)]) for q in g.coords]


def test_a_tick_stays_on_the_strip_beside_an_opening():
    """The nose of a crank's web at half size is 1.9 mm wide beside the opening for the pin."""
    crank = read_part(SAMPLES / "single-throw-crank.toml")[0]
    made = quick_model(crank, pipeline.Choices(facets=coarsen_facets(FacetChoice()), scale=0.5, join="fuse"))
    short = 0
    for piece in made.nets.pieces:
        for m in piece.marks:
            if m.kind == "datum" and piece.panel(m.panel).kind == "end":
                (path,) = m.paths
                holes = [shapely.LinearRing(h) for h in piece.panel(m.panel).holes]
                gaps = [h.distance(shapely.LineString(path)) for h in holes]
                assert all(g > 0.4 for g in gaps)
                short += math.dist(*path) < 1.5
    assert short == 2


def test_a_tick_is_drawn_even_where_next_to_nothing_is_left_of_the_panel():
    """The bore of the body leaves 0.4 mm at half size: the booklet asks for the ticks of both blocks."""
    axes = (Axis("A"), Axis("B", (20.0, 0.0, 0.0)))
    own = (
        Feature("body", "A", Cylinder(70.0), 0, 30),
        Feature("disc", "A", Cylinder(70.0), 30, 60),
        Feature("bore", "B", Cylinder(28.4), -1, 30, cut=True),
    )
    quick = pipeline.Choices(facets=coarsen_facets(FacetChoice()), join="faces")
    nets = quick_model(Part("p", axes, own), quick).nets
    for piece in nets.pieces:
        for p in piece.panels:
            if p.kind == "end" and p.feature in ("body", "disc"):
                ticks = [m for m in piece.marks if m.kind == "datum" and m.panel == p.id]
                assert ticks, (p.feature, piece.id)
                assert all(math.dist(*m.paths[0]) == pytest.approx(3.2) for m in ticks), "as long as ever"


@pytest.mark.parametrize("seed", [44, 55])
def test_a_tick_does_not_begin_beyond_a_notch(seed):
    """The outline of a fused end may turn back under the ray; what is left of the panel begins there."""
    quick = pipeline.Choices(facets=coarsen_facets(FacetChoice()), join="faces", scale=1.0)
    nets = quick_model(random_part(random.Random(seed)), quick).nets
    ticks = 0
    for piece in nets.pieces:
        for m in piece.marks:
            if m.kind == "datum" and piece.panel(m.panel).kind == "end":
                line = shapely.LineString(m.paths[0])
                inside = shape(piece.panel(m.panel)).buffer(1e-6).intersection(line).length
                assert inside > line.length - 1e-5 or inside < 1.3, "unless next to nothing is left"
                ticks += inside > 1.3
    assert ticks


def test_a_tick_ends_where_its_ray_leaves_the_panel_by_whichever_edge():
    """A plate whose outline begins at the back and whose last edge, from (40, -25) to (-20, 35), lies in front: the ray
    along x from (0, 0) leaves it at x = 15."""
    plate = Plate(outline=((-20.0, 35.0), (-19.0, -24.0), (40.0, -25.0)))
    _, every = marked(Part("p", (Axis("A"),), (Feature("plate", "A", plate, 0, 10),)))
    ticks = [(panel, m) for _, panel, m in every if m.kind == "datum" and panel.kind == "end"]
    assert len(ticks) == 2
    for panel, m in ticks:
        assert in_space(panel, m.at)[:2] == pytest.approx([15, 0], abs=1e-6)


ROUND = [p for p in parts.ALL if all(a.along_z for a in p.axes)]


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
@pytest.mark.parametrize("part", few(ROUND, 1), ids=lambda p: p.name)
def test_marks_are_on_their_axes_or_in_the_datum_direction(part, scale):
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


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("part", few(parts.ALL, 2), ids=lambda p: p.name)
def test_joint_outlines_are_where_the_other_block_is(part, scale):
    """All of the rim of the joint, but for what runs along an edge of the panel: there is a fold or a cut already."""
    nets, every = marked(part, scale)
    drawn = [(panel, m) for _, panel, m in every if m.kind == "outline"]
    for panel, m in drawn:
        lines = shapely.MultiLineString(list(m.paths))
        edge = shape(panel).boundary
        rims = []
        for j in (j for j in nets.joints if lies_on(panel, j)):
            rim = shapely.union_all([shapely.LinearRing(in_plane(panel, loop)) for loop in (j.outline, *j.holes)])
            if rim.buffer(1e-6).covers(lines) and rim.length - lines.length < edge.length:
                rims.append(rim)
        assert rims
        rim = min(rims, key=lambda r: abs(r.length - lines.length))
        assert shape(panel).buffer(1e-6).covers(lines)
        assert rim.difference(lines.buffer(1e-6)).difference(edge.buffer(1e-5)).length < 1e-6
        assert lines.intersection(edge.buffer(1e-6)).length < 1e-3, "not on top of a fold or a cut"
    if part in (parts.TWO_SPIGOTS, parts.BORED, parts.ROCKER):
        assert len(drawn) == len(nets.joints) == 2
