"""What is drawn at axes, folded up: crosses, arrows, ticks and the z arrow run where they should in space; frames hold
their words."""

import itertools
import math
import re
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline, quick_model
from foldsketch.net.marks.axis_centres import PIN_HOLE_RADIUS_MM
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets
from on_paper import in_plane, in_space, lies_on, marked, shape

SAMPLES = Path(__file__).parents[2] / "samples"
SCALES = [1.0, 0.5]


def along(panel, a, b):
    """Direction in space of a line on paper."""
    d = panel.to_space[:, :2] @ (np.array(b) - np.array(a))
    return d / np.linalg.norm(d)


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_the_rays_of_a_cross_look_straight_away_from_its_pin_hole_and_stay_on_the_panel(part, scale):
    seen = 0
    _, every = marked(part, scale)
    pins = {(panel.id, piece.id, m.axis): m for piece, panel, m in every if m.kind == "pin"}
    for piece, panel, m in every:
        pin = pins.get((panel.id, piece.id, m.axis))
        if m.kind != "centre" or m.text or pin is None:
            continue
        assert m.at == pin.at == pin.dots[0][:2]
        bearings = []
        for near, far in m.paths:
            assert math.dist(near, m.at) == pytest.approx(PIN_HOLE_RADIUS_MM + 0.3)
            assert PIN_HOLE_RADIUS_MM + 0.6 <= math.dist(far, m.at) <= 5.0
            assert math.dist(near, far) == pytest.approx(math.dist(far, m.at) - math.dist(near, m.at)), "outwards"
            assert shape(panel).buffer(1e-9).contains(shapely.LineString([near, far]))
            # The strip along an edge is for its number, unless next to nothing would be left of the ray.
            way = np.subtract(far, near) / math.dist(far, near)
            ahead = shapely.LineString([far, np.add(far, way * 3.2)]).intersects(shape(panel).boundary)
            beyond = shapely.LineString([m.at, np.add(m.at, way * 4.9)]).intersects(shape(panel).boundary)
            assert not ahead or beyond or math.dist(far, m.at) == pytest.approx(1.6)
            bearings.append(math.degrees(math.atan2(near[1] - m.at[1], near[0] - m.at[0])) % 90)
            seen += 1
        assert all(abs((b - bearings[0] + 45) % 90 - 45) < 1e-6 for b in bearings), "a cross"
        if shape(panel).boundary.distance(shapely.Point(m.at)) > 6:
            assert len(m.paths) == 4
            square = abs(panel.to_space[2, 2]) > 0.99  # an axis along z on a level panel
            if square and part.axis(m.axis).along_z and shape(panel).boundary.distance(shapely.Point(m.at)) > 8:
                assert [math.dist(far, m.at) for _, far in m.paths] == pytest.approx([4.6] * 4)
    assert seen or not pins


@pytest.mark.parametrize("part", [parts.BORED, parts.SLEEVE, parts.OFFSET_SLEEVE, parts.ROCKER], ids=lambda p: p.name)
def test_lines_round_a_bore_look_at_the_axis_in_it_from_the_material(part):
    """Each begins half a millimetre beyond a corner of the bore and runs on the panel, away from the axis."""
    seen = 0
    for _, panel, m in marked(part)[1]:
        if m.kind != "centre" or m.text or not m.paths or shape(panel).contains(shapely.Point(m.at)):
            continue
        (hole,) = [h for h in panel.holes if shapely.Polygon(h).contains(shapely.Point(m.at))]
        assert 1 <= len(m.paths) <= 4
        for near, far in m.paths:
            line = shapely.LineString([near, far])
            assert shape(panel).contains(line)
            corner = min(hole, key=lambda c: math.dist(c, near))
            assert math.dist(corner, near) == pytest.approx(0.5)
            assert math.dist(near, m.at) == pytest.approx(math.dist(corner, m.at) + 0.5)
            assert math.dist(far, m.at) == pytest.approx(math.dist(near, m.at) + line.length)
            assert 0.8 - 1e-9 <= line.length <= 2.6 + 1e-9
            seen += 1
    assert seen >= 4


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


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_joint_outlines_stand_where_the_other_block_does(part, scale):
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
def test_every_net_bears_its_own_number_once_in_a_frame(part):
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
        assert sides == pytest.approx([text_width(m.text, m.size) + 1.2, m.size + 1.2] * 2)
        assert np.mean(frame[:4], axis=0) == pytest.approx(m.at)
        box = shapely.Polygon(frame)
        assert box.area == pytest.approx(sides[0] * sides[1]), "square at its corners"
        c, s = math.cos(m.angle), math.sin(m.angle)
        assert abs((np.array(frame[1]) - frame[0]) @ (-s, c)) < 1e-6, "along its words"
        assert shape(panel).contains(box)
        largest = sorted((shape(p).area for p in piece.panels), reverse=True)[:4]
        assert shape(panel).area >= min(largest) - 1e-3, "on one of its large panels"


@pytest.mark.parametrize("scale", [1.0, 0.5])
@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_an_edge_number_stands_just_inside_its_edge_between_its_quarters(part, scale):
    """Its middle 1.75 to 2.7 mm from an edge that is glued under that number, its foot towards that edge."""
    nets, every = marked(part, scale)
    lines = {}
    for p in nets.pieces:
        for j in (*p.tabs, *p.butts):
            lines.setdefault((j.meets.piece, j.meets.panel, str(j.number)), []).append(j.meets.line)
    count, beside = len(lines), 0
    for piece, panel, m in every:
        own = lines.pop((piece.id, panel.id, m.text), None) if m.kind == "text" and not m.paths else None
        if own is None:
            continue
        ok = False
        for a, b in np.array(own):
            d = (b - a) / np.linalg.norm(b - a)
            share = (np.array(m.at) - a) @ d / np.linalg.norm(b - a)
            deep = (np.array(m.at) - a) @ (-d[1], d[0])
            foot = (math.sin(m.angle), -math.cos(m.angle))
            down = abs(foot @ d) < 1e-6 and foot @ np.array((-d[1], d[0])) < 0
            there = min(abs(deep - 1.75), abs(deep - 2.2), abs(deep - 2.7)) < 1e-6
            ok |= bool(0.25 - 1e-6 <= share <= 0.75 + 1e-6 and there and down)
        assert ok, (piece.id, m)
        beside += all(abs(math.dist(m.at, a) - math.dist(m.at, b)) > 1e-6 for a, b in own)
    bare = [own for own in lines.values() if max(math.dist(a, b) for a, b in own) >= 1]
    told = re.search(r"(\d+) edge number", " ".join(f.what for f in nets.findings if f.where == "marks"))
    assert len(bare) == (int(told[1]) if told else 0)
    if part in (parts.ROCKER, parts.BORED) and scale == 0.5:
        assert beside >= 3, "where the middle of an edge is taken they move along it"
    if part in (parts.TWO_SPIGOTS, parts.HEX, parts.SLEEVE) and scale == 1.0:
        assert not bare, "there is room for all, beside what stands at the middle of an edge"
    assert len(bare) < (0.15 if scale == 1.0 else 0.45) * count


@pytest.mark.parametrize("scale", [1.0, 0.5, 0.3])
@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_letters_of_the_key_stand_in_circles_and_run_from_k(part, scale):
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
        assert seen[piece.id] == set(letters), "no letter stands for something that is circled nowhere"


@pytest.mark.parametrize("name", ["double-throw-crank", "bilge-pump-cover"])
def test_no_ring_of_the_key_meets_a_frame_or_another_ring(name):
    part = read_part(SAMPLES / f"{name}.toml")[0]
    rings = 0
    for quick in (False, True):
        facets = coarsen_facets(FacetChoice()) if quick else FacetChoice()
        made = quick_model.model(part, pipeline.Choices(quick=quick, facets=facets))
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


def test_words_along_an_axis_that_slants_through_a_square_are_no_offset():
    """A cross axis pierces sides slanted: a small cross and a pin hole there, and no arrow."""
    cross = Axis("X", (0.0, 0.0, 30.0), (math.cos(0.3), math.sin(0.3), 0.0))
    body = Feature("body", "A", PrismShape(4, 40.0), 0, 60)
    peg = Feature("peg", "X", Cylinder(8), 40, 60)
    _, every = marked(Part("p", (Axis("A"), cross), (body, peg)))
    own = [(panel, m) for _, panel, m in every if m.axis == "X" and panel.feature == "body"]
    assert {m.kind for _, m in own} >= {"pin", "centre"}
    assert not [m for _, m in own if m.kind == "offset"]
    for panel, m in own:
        if m.kind == "pin":
            place = in_space(panel, m.at) - np.array(cross.point)
            assert np.linalg.norm(np.cross(place, cross.direction)) < 1e-6
        if m.kind == "centre" and m.paths:
            assert all(math.dist(far, m.at) <= 2.0 for _, far in m.paths)
