"""What is drawn and not built: circles, lines and words, against the part's own figures."""

import json
import random
from math import dist
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.job.pipeline import make_model
from foldsketch.part.details import axis_lines
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, Ring
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.write.net_json import net_json
from strategies import random_part

SAMPLES = Path(__file__).parents[3] / "samples"
COVER = read_part(SAMPLES / "bilge-pump-cover.toml")[0]


SCALE = 1.0


def drawn_on(made, feature):
    """What is drawn of a feature, each with its piece and panel."""
    return [(p, p.panel(d.panel), d) for p in made.nets.pieces for d in p.drawn if d.feature == feature]


@pytest.fixture(scope="module")
def cover():
    octagons = FacetChoice(sides=8, radius_rule="outside")
    return make_model(COVER, Choices(scale=SCALE, facets=octagons), level="no shown bores", spare_tabs=True)


@pytest.mark.parametrize(
    ("feature", "radius", "at", "visible", "hidden"),
    [
        ("inlet bore", 11, (20, 0), {0, 42}, {12}),
        ("outlet bore", 8, (-22, 0), {0, 36}, {12}),
        ("bolt hole 1", 4.5, (26.163, 26.163), {0, 12}, set()),
    ],
)
def test_a_bore_is_a_true_circle_on_every_face_that_it_opens_in(cover, feature, radius, at, visible, hidden):
    """Where the part file has it; the faces between two blocks are told from those that stay in sight."""
    seen, covered = set(), set()
    for _, panel, d in drawn_on(cover, feature):
        assert (d.kind, d.radius, d.line) == ("circle", radius * SCALE, None)
        x, y, z = panel.in_space(np.array([d.centre]))[0] / SCALE
        assert (x, y) == pytest.approx(at, abs=1e-3)
        (covered if d.hidden else seen).add(round(float(z), 6))
    assert seen == visible and covered == hidden


def test_holes_without_other_features_on_their_axis_have_no_letter_but_a_cross(cover):
    letters = {m.text for p in cover.nets.pieces for m in p.marks if m.kind == "centre" and m.text}
    assert letters == {"A", "B", "C"}
    crosses = [
        m for p in cover.nets.pieces for m in p.marks if m.kind in ("drawn", "hidden") and not m.axis and m.paths
    ]
    assert len(crosses) == 8 and all(len(m.paths) >= 2 for m in crosses)


def test_equal_holes_have_one_label_on_a_face_and_a_bore_its_size(cover):
    texts = [m.text for p in cover.nets.pieces for m in p.marks if m.kind == "drawn" and m.text]
    assert texts.count("4 × Ø9") == 2
    assert any("Ø22" in t for t in texts) and any("Ø16" in t for t in texts)


def test_every_axis_has_a_pin_hole_wherever_it_leaves_the_model(cover):
    """Its bores are not built: A at both faces of the flange, B and C at the under side and at their lids."""
    ends = {(0, "A"), (12, "A"), (0, "B"), (42, "B"), (0, "C"), (36, "C")}
    found = set()
    for piece in cover.nets.pieces:
        for m in piece.marks:
            if m.kind == "pin":
                z = piece.panel(m.panel).in_space(np.array([m.at]))[0][2] / SCALE
                found.add((round(float(z)), m.axis))
    assert ends <= found


def test_a_groove_is_two_lines_on_every_wall_that_it_cuts():
    part = read_part(SAMPLES / "hex-eccentric.toml")[0]
    made = make_model(part, Choices(scale=1.0), level="no details", spare_tabs=True)
    here = drawn_on(made, "clip groove")
    walls = [q for p in made.nets.pieces for q in p.panels if q.feature == "pilot" and q.kind == "side"]
    assert len(here) == 2 * len(walls) and {d.kind for _, _, d in here} == {"line"}
    heights = [panel.in_space(np.array(d.line))[:, 2] for _, panel, d in here]
    assert {round(float(z), 6) for own in heights for z in own} == {64, 70}
    # No word is below 2.5 mm: on walls of 9 mm the name has room at twice the size.
    large = make_model(part, Choices(scale=2.0, paper="A3"), level="no details", spare_tabs=True)
    assert any(m.text.startswith("clip groove") for p in large.nets.pieces for m in p.marks)


def test_a_chamfer_is_a_line_on_the_wall_and_a_circle_on_the_end():
    spigot = (Feature("spigot", "A", Cylinder(40), 0, 50), Feature("chamfer", "A", Cone(40, 36), 50, 52))
    made = make_model(Part("p", (Axis("A"),), spigot), Choices(scale=1.0), level="no details")
    here = drawn_on(made, "chamfer")
    lines = [(panel, d) for _, panel, d in here if d.kind == "line"]
    assert {round(float(z), 6) for panel, d in lines for z in panel.in_space(np.array(d.line))[:, 2]} == {50}
    circles = [(panel.in_space(np.array([d.centre]))[0][2], d.radius) for _, panel, d in here if d.kind == "circle"]
    assert circles == [(pytest.approx(52), 18)]


def test_the_bore_of_a_ring_is_drawn_under_the_rings_name():
    ring = (Feature("flange", "A", Cylinder(80), 0, 10), Feature("sleeve", "A", Ring(40, 20), 10, 50))
    made = make_model(Part("p", (Axis("A"),), ring), Choices(scale=1.0), level="no shown bores")
    bores = [
        (round(float(panel.in_space(np.array([d.centre]))[0][2])), d.hidden)
        for _, panel, d in drawn_on(made, "sleeve")
        if d.radius == 10
    ]
    assert sorted(bores) == [(10, True), (50, False)], "not in the flange, which comes before it"


def test_a_blind_bore_opens_at_one_end():
    part = (Feature("boss", "A", Cylinder(60), 0, 40), Feature("bore", "A", Cylinder(20), 15, 41, cut=True))
    made = make_model(Part("p", (Axis("A"),), part), Choices(scale=1.0), level="no shown bores")
    assert [round(float(panel.in_space(np.array([d.centre]))[0][2])) for _, panel, d in drawn_on(made, "bore")] == [40]


@pytest.mark.parametrize(("rule", "found"), [("outside", 2), ("equal-area", 0), ("inside", 0)])
def test_the_true_circle_is_on_an_end_where_it_lies_on_the_face(rule, found):
    part = Part("p", (Axis("A"),), (Feature("disc", "A", Cylinder(60), 0, 20),))
    made = make_model(part, Choices(scale=1.0, facets=FacetChoice(sides=8, radius_rule=rule)))
    here = drawn_on(made, "disc")
    assert len(here) == found and all(d.radius == 30 for _, _, d in here)


def test_the_net_file_has_what_is_drawn():
    made = model(COVER, Choices(minutes=15))
    tree = json.loads(net_json(made.nets, made.sheets))
    rows = [d for p in tree["pieces"] for d in p["drawn"] if d["feature"] == "bolt hole 1"]
    assert all(set(d) == {"feature", "axis", "panel", "kind", "centre", "radius", "hidden"} for d in rows)
    assert {(d["axis"], d["kind"], d["radius"]) for d in rows} == {("D", "circle", 4.5 * tree["scale"])}


def test_a_circle_leaves_room_for_the_number_of_an_edge(cover):
    """A flat of the flange touches its circle where the number of the edge stands."""
    made = model(COVER, Choices(minutes=15, scale=1.0))
    for piece in made.nets.pieces:
        words = [m for m in piece.marks if m.text and m.kind == "text" and m.text.isdigit()]
        rims = [shapely.LineString(p) for m in piece.marks if m.kind in ("drawn", "hidden") for p in m.paths]
        rims += [
            shapely.Point(x, y).buffer(r, 64).exterior
            for m in piece.marks
            if m.kind in ("drawn", "hidden")
            for x, y, r in m.circles
        ]
        for m in words:
            assert all(line.distance(shapely.Point(m.at)) > m.size / 2 for line in rims)


@examples(30)
@given(st.integers(0, 10**6))
def test_what_is_drawn_on_a_random_part_lies_on_its_axis_and_on_its_panel(seed):
    part = random_part(random.Random(seed))
    try:
        made = make_model(part, Choices(scale=1.0), level="no shown bores")
    except FoldsketchError:
        return
    lines = axis_lines(part)
    names = {f.name: f for f in part.features}
    for piece in made.nets.pieces:
        for d in piece.drawn:
            panel = piece.panel(d.panel)
            face = shapely.Polygon(panel.outline, panel.holes)
            axis = part.axis(d.axis)
            assert lines[d.axis] == lines[names[d.feature].axis]
            if d.kind == "circle":
                assert axis.distance_to(tuple(panel.in_space(np.array([d.centre]))[0])) < 1e-6
                assert face.buffer(1e-6).intersects(shapely.Point(d.centre).buffer(d.radius))
            else:
                assert face.distance(shapely.Point(d.centre)) < 1e-6 and dist(*d.line) > 0


def test_a_keyway_is_its_outline_on_the_end_and_on_the_wall():
    """10 wide and from 11 above the centre, on flats that touch the Ø32: 5 deep there, 32 long on the wall."""
    slot = Feature("keyway", "A", Plate(((-5, 11), (5, 11), (5, 20), (-5, 20))), -1, 32, cut=True)
    part = Part("Shaft", (Axis("A"),), (Feature("journal", "A", Cylinder(32), 0, 45), slot))
    made = make_model(
        part,
        Choices(scale=1.0, facets=FacetChoice(sides=8, radius_rule="outside")),
        level="no details",
        spare_tabs=True,
    )
    assert [f.name for f in made.drawn] == ["keyway"]
    found = {}
    for _, panel, d in drawn_on(made, "keyway"):
        ends = panel.in_space(np.array(d.line))
        found.setdefault(panel.kind, []).append(ends)
        assert ((np.abs(ends[:, 0]) <= 5 + 1e-6) & (ends[:, 1] >= 11 - 1e-6) & (ends[:, 1] <= 16 + 1e-6)).all()
        assert ((ends[:, 2] >= -1e-6) & (ends[:, 2] <= 32 + 1e-6)).all()
    lengths = {kind: sorted(float(dist(*e)) for e in lines) for kind, lines in found.items()}
    assert lengths == {"end": pytest.approx([5, 5, 10], abs=1e-3), "side": pytest.approx([10, 32, 32], abs=1e-3)}


def test_pads_and_ribs_are_drawn_where_they_stand_and_grooves_of_tapers_by_their_two_ends():
    pad_axes = [Axis(x, (-40.0, y, 0.0)) for x, y in zip("CDE", (-30.0, 0.0, 30.0), strict=True)]
    axes = (Axis("A"), Axis("B", (25.0, 0.0, 0.0)), *pad_axes)
    pads = tuple(Feature(f"pad {x}", x, Cylinder(20), 16, 20) for x in "CDE")
    rib = Feature("rib", "A", Plate(((-20.0, -3.0), (10.0, -3.0), (10.0, 3.0), (-20.0, 3.0))), 16, 30)
    groove = (Feature("in", "A", Cone(60, 56), -6, -4), Feature("out", "A", Cone(56, 60), -4, -2))
    rounds = (
        Feature("flange", "A", Cylinder(150), 0, 16),
        Feature("spigot", "B", Cylinder(30), 16, 50),
        Feature("low", "A", Cylinder(60), -10, -6),
        Feature("high", "A", Cylinder(60), -2, 0),
    )
    part = Part("p", axes, (*rounds, *pads, rib, *groove))
    made = make_model(part, Choices(scale=1.0, minutes=None), level="no details")
    for pad in pads:
        (found,) = [(panel, d) for _, panel, d in drawn_on(made, pad.name)]
        assert found[0].feature == "flange" and found[0].origin[2] == pytest.approx(16)
        assert found[1].radius == pytest.approx(10)
    outline = [d.line for _, _, d in drawn_on(made, "rib")]
    assert sorted(round(dist(*line), 6) for line in outline) == [6, 6, 30, 30]
    ends = [d for name in ("in", "out") for _, panel, d in drawn_on(made, name) if d.kind == "line"]
    walls = [p for q in made.nets.pieces for p in q.panels if p.feature == "low" and p.kind != "end"]
    assert len(ends) == 2 * len(walls), "where the groove begins and ends, not where its two tapers meet"
