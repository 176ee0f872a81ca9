"""Chuck, jaws and steps as the page gets them: the plan's own geometry cut open; the part ends where it should."""

import math
from functools import lru_cache

import numpy as np
import pytest
import shapely

from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.workholding_shapes import workholding_shapes
from foldsketch.web.setup_facts import set_up_facts
from tests.in_hand_plan import three_set_ups
from tests.setup_works import SAMPLES, SMALL, TWIN, planned_shaft

pytestmark = pytest.mark.slow


@lru_cache
def shown(name):
    """A sample's plan on the twin and what the page knows of its set-ups."""
    part, _ = read_part(SAMPLES / f"{name}.toml")
    made = pipeline.make_model(part)
    planned = three_set_ups() if name == "bilge-pump-cover" else plan(part, TWIN)
    return planned, made, set_up_facts(made, planned, TWIN)["setups"]


def in_space(face):
    loop = np.reshape(face["loop"], (-1, 2))
    m = np.reshape(face["m"], (3, 4))
    return loop @ m[:, :2].T + m[:, 3]


SOME = ("bilge-pump-cover", "hex-eccentric", "eccentric-shaft", "valve-lever")


@pytest.mark.parametrize("name", SOME)
def test_the_faces_close_around_the_shapes_of_the_plan(name):
    """The volume that the faces enclose, by the divergence theorem, is that of the plan's prisms."""
    planned, made, facts = shown(name)
    k = made.nets.scale
    for s, f in zip(planned.setups, facts, strict=True):
        expected = sum(shapely.Polygon(h.outline).area * (h.z[1] - h.z[0]) * k**3 for h in workholding_shapes(s, TWIN))
        faces = [g for g in f["holding"]["now"]["faces"] if not g.get("cut")]
        tops = {g["what"]: max(in_space(h)[:, 2].max() for h in faces if h["what"] == g["what"]) for g in faces}
        volume = 0.0
        for face in faces:
            area = shapely.Polygon(np.reshape(face["loop"], (-1, 2))).area
            normal, at = np.reshape(face["m"], (3, 4))[:, 2], in_space(face)[0]
            down = normal[2] > 0.5 and at[2] < tops[face["what"]]  # the lower end looks down
            volume += float(at @ normal) * area / 3 * (-1 if down else 1)
        # What is cut open is inside, where both halves meet; rounds are drawn with fewer sides.
        assert volume == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize("name", SOME)
def test_what_is_cut_open_lies_in_one_plane_through_the_centreline(name):
    planned, made, facts = shown(name)
    for s, f in zip(planned.setups, facts, strict=True):
        cut = [face for face in f["holding"]["now"]["faces"] if face.get("cut")]
        assert cut, "the chuck is always cut"
        at = np.array((*s.clamping.at, 0)) * made.nets.scale
        # The view looks against the normal of the plane: facing is the turn that brings it to the viewer.
        turn = math.radians(f["holding"]["facing"])
        towards = np.array((math.sin(turn), -math.cos(turn), 0))
        for face in cut:
            assert np.abs((in_space(face) - at) @ towards).max() < 0.02
        for face in f["holding"]["now"]["faces"]:
            off = (in_space(face) - at) @ towards
            assert (off.min() > -0.02) if face["near"] else (off.max() < 0.02)


def test_at_a_hand_over_the_part_goes_by_the_shift_and_ends_in_its_place():
    """The hex eccentric: 5 mm off centre, as its part file has it; drawn out by at least the 40 mm that were held."""
    planned, made, facts = shown("hex-eccentric")
    over = facts[1]["holding"]
    steps = over["steps"]
    assert [s["open"] for s in steps] == [[1, 0], [1, 0], [1, 0], [0, 0], [0, 1], [0, 1], [0, 1], [0, 1]]
    first, last = steps[0], steps[-1]
    assert math.hypot(*first["part"][:2]) == pytest.approx(5.0) and last["part"] == last["now"] == [0, 0, 0]
    # The axis on the line: where the part is, the axis that the step names is on the centreline.
    point = {a.name: np.array(a.point[:2]) for a in made.part.axes}
    for s in steps:
        there = point[s["axis"]] - planned.setups[1].clamping.at + s["part"][:2]
        assert np.abs(there).max() < 1e-6, s
    held = [s for s in steps if s["open"][0] == 0]
    assert all(s["part"] == s["now"] for s in held), "once it is clamped the part goes where the chuck goes"
    assert all(s["part"] == s["was"] for s in steps if s["open"][1] == 0), "and until then with the other"
    drawn = next(s for s in steps if "draws" in s["words"])
    assert drawn["part"][2] - first["part"][2] >= 40 - 1e-6
    assert "C 90.0°" in steps[1]["words"] and "5 mm off centre" in steps[1]["words"]


def test_put_in_by_hand_it_is_in_front_seated_and_held():
    part, _ = read_part(SAMPLES / "eccentric-shaft.toml")
    planned = planned_shaft()
    assert planned.setups[-1].by_hand
    last = set_up_facts(pipeline.make_model(part), planned, SMALL)["setups"][-1]["holding"]
    assert last["was"] is None
    assert [s["open"][0] for s in last["steps"]] == [1, 1, 0]
    assert last["steps"][0]["part"][2] >= 40 and last["steps"][1]["part"] == [0, 0, 0]
    assert "grip 40" in last["steps"][2]["words"] and "Axis B" in last["steps"][2]["words"]


def test_held_and_turned_surfaces_have_the_area_of_the_band():
    """Held on the flange, z 0 to 8: the area of a regular prism of the panels' own width, 8 mm high [D]."""
    planned, made, facts = shown("bilge-pump-cover")
    one = facts[0]["holding"]["painted"]
    panels = {(n, p.id): p for n, piece in enumerate(made.nets.pieces) for p in piece.panels}
    walls = {(q["piece"], q["panel"]): q for q in one if q["kind"] == "held"}
    assert len(walls) >= 6
    for where, q in walls.items():
        panel = panels[where]
        assert panel.feature == "flange" and panel.kind == "side"
        shape = shapely.Polygon(panel.outline)
        share = 8.0 / 12.0  # of the flange's height, by the part file
        assert sum(shapely.Polygon(np.reshape(v, (-1, 2))).area for v in q["loops"][:1]) == pytest.approx(
            share * shape.area, rel=1e-3
        )
    cut = {t.surface for t in planned.setups[0].cuts}
    turned = {panels[q["piece"], q["panel"]].feature for q in one if q["kind"] == "turned"}
    assert turned and turned <= {name.removesuffix(" +z").removesuffix(" -z") for name in cut}


def test_without_a_machine_there_is_no_chuck():
    planned, made, _ = shown("eccentric-shaft")
    bare = set_up_facts(made, planned)["setups"]
    assert all(not s["holding"]["now"]["faces"] and s["holding"]["steps"] for s in bare)
