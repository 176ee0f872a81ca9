"""The net file: a second fold-up check, written from its description alone, sharing no code with the first.

docs/file-formats.md: rotate each panel about its fold lines by the angle, and every tab's line must land on the line it
meets, every panel on its to_space, and the folded skin must enclose the block's volume.
"""

import json
import math

import pytest

import parts
from examples import few
from foldsketch.base.card import Card
from foldsketch.job import pipeline
from foldsketch.part.model import Cylinder, Feature
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.write.net_json import net_json
from nets import quick_model


def add(a, b):
    return [x + y for x, y in zip(a, b, strict=True)]


def sub(a, b):
    return [x - y for x, y in zip(a, b, strict=True)]


def dot(a, b):
    return sum(x * y for x, y in zip(a, b, strict=True))


def cross(a, b):
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]


def spun(p, a, b, degrees):
    """Point p turned about the line from a to b by the right-hand rule (quaternion)."""
    d = sub(b, a)
    size = math.sqrt(dot(d, d))
    h = math.radians(degrees) / 2
    w, v = math.cos(h), [math.sin(h) * x / size for x in d]
    q = sub(p, a)
    t = [2 * x for x in cross(v, q)]
    return add(a, add(add(q, [w * x for x in t]), cross(v, t)))


def fold_up(piece):
    """Every panel's own map from paper to space, as a chain of turns that ends on the first panel's place."""
    chains = {piece["panels"][0]["id"]: []}
    grown = True
    while grown:
        grown = False
        for f in piece["folds"]:
            one, two = f["panels"]
            a, b = ([*p, 0.0] for p in f["line"])
            if one in chains and two not in chains:
                chains[two] = [(a, b, f["angle"]), *chains[one]]
                grown = True
            elif two in chains and one not in chains:
                chains[one] = [(b, a, f["angle"]), *chains[two]]
                grown = True
    root = piece["panels"][0]

    def place(panel, p):
        p = [*p, 0.0]
        for a, b, angle in chains[panel]:
            p = spun(p, a, b, angle)
        return [o + dot(row, p) for o, row in zip(root["origin"], root["to_space"], strict=True)]

    return place


def far(a, b):
    return math.dist(a, b)


def verdict(tree):
    """Largest gap of edges, largest gap of panels, largest relative volume error."""
    places = {p["id"]: fold_up(p) for p in tree["pieces"]}
    gap = panel_gap = 0.0
    enclosed = dict.fromkeys((b["id"] for b in tree["blocks"]), 0.0)
    for piece in tree["pieces"]:
        place = places[piece["id"]]
        for t in (*piece["tabs"], *piece["butts"]):
            here = [place(t["panel"], p) for p in t["line"]]
            meets = t["meets"]
            there = [places[meets["piece"]](meets["panel"], p) for p in meets["line"]]
            gap = max(gap, min(max(far(here[0], there[i]), far(here[1], there[1 - i])) for i in (0, 1)))
        for panel in piece["panels"]:
            for p in panel["outline"]:
                wanted = [o + dot(row, [*p, 0.0]) for o, row in zip(panel["origin"], panel["to_space"], strict=True)]
                panel_gap = max(panel_gap, far(place(panel["id"], p), wanted))
            for loop in (panel["outline"], *panel["holes"]):
                q = [place(panel["id"], p) for p in loop]
                enclosed[piece["block"]] += sum(dot(q[0], cross(q[i], q[i + 1])) for i in range(1, len(q) - 1)) / 6
        for joint in (tree["joints"][k] for k in piece.get("open", ())):
            # Its outline runs anticlockwise seen against the normal, which points out of the first block.
            sense = 1 if joint["blocks"][0] == piece["block"] else -1
            q = joint["outline"]
            cone = sum(dot(q[0], cross(q[i], q[i + 1])) for i in range(1, len(q) - 1)) / 6
            enclosed[piece["block"]] += sense * cone
    error = max(abs(enclosed[b["id"]] - b["volume"]) / b["volume"] for b in tree["blocks"])
    return gap, panel_gap, error


def tree_of(part, scale=1.0, quick=False, **choice):
    made = quick_model(part, pipeline.Choices(scale=scale, **choice), quick)
    return json.loads(net_json(made.nets, made.sheets))


@pytest.mark.parametrize("part", few(parts.ALL, 3), ids=lambda p: p.name)
@pytest.mark.parametrize("quick", [False, True])
def test_the_net_file_alone_rebuilds_the_model(part, quick):
    gap, panel_gap, error = verdict(tree_of(part, quick=quick))
    assert gap < 1e-9
    assert panel_gap < 1e-9
    assert error < 1e-9


def test_a_rolled_and_a_compensated_model_rebuild_too():
    """Rolled folds and tabs that are one card under their target are marked in the file, and only they."""
    rolled = tree_of(parts.SLEEVE, facets=FacetChoice(walls="rolled"))
    thick, plain = tree_of(parts.SLEEVE, card=Card(0.25)), tree_of(parts.SLEEVE)
    for tree in (rolled, thick, plain):
        assert max(verdict(tree)) < 1e-9
    folds, tabs = ([item for p in tree["pieces"] for item in p[k]] for tree, k in ((rolled, "folds"), (thick, "tabs")))
    assert any(f.get("rolled") for f in folds) and any(t.get("under") == 0.25 for t in tabs)
    assert (thick["card"], "card" in plain) == (0.25, False)
    assert not any("rolled" in f for p in plain["pieces"] for f in p["folds"])
    assert not any("under" in t for p in plain["pieces"] for t in p["tabs"])


@pytest.mark.parametrize("part", few(parts.ALL), ids=lambda p: p.name)
def test_taped_edges_stand_in_butts_and_meet(part):
    tree = tree_of(part, hold="tape")
    assert tree["hold"] == "tape" and max(verdict(tree)) < 1e-9
    assert not any(p["tabs"] for p in tree["pieces"])
    assert all(b.get("strips", 0) > 0 or b["bare"] for p in tree["pieces"] for b in p["butts"])
    assert all(len(j["taped"]) >= 3 and max(j["taped"]) < len(j["outline"]) for j in tree["joints"])
    assert "taped" not in tree_of(parts.SLEEVE)["joints"] and tree_of(parts.SLEEVE)["hold"] == "glue"


@pytest.mark.parametrize("hold", ["glue", "tape"])
def test_a_block_without_a_foot_end_is_closed_by_its_joint(hold):
    """Two spigots stand on a flange: neither has an end there, and the file says which joint closes it."""
    tree = tree_of(parts.TWO_SPIGOTS, quick=True, hold=hold)
    assert max(verdict(tree)) < 1e-9
    assert sorted(p.get("open", []) for p in tree["pieces"])[-2:] == [[0], [1]]
    for piece in tree["pieces"]:
        for t in (*piece["tabs"], *piece["butts"]):
            assert ("joint" in t) == (t["meets"]["piece"] == "1" != piece["id"] and piece["block"] > 0)
        piece.pop("open", None)
    assert verdict(tree)[2] > 0.1


def test_findings_have_code_and_values():
    """Two spigots that touch along a line."""
    own = [Feature(name, axis, Cylinder(40), 0, 20) for name, axis in (("one", "A"), ("two", "B"))]
    tree = tree_of(parts.part(own, parts.at("B", 40, 0)))
    (found,) = [f for f in tree["findings"] if f["code"] == "bodies-apart"]
    assert (found["level"], found["values"]) == ("warning", {"bodies": 2, "names": "'one'; 'two'"})
    assert "'one'; 'two'" in found["text"]


def test_it_finds_a_flipped_fold():
    tree = tree_of(parts.BORED)
    tree["pieces"][0]["folds"][2]["angle"] *= -1
    assert verdict(tree)[0] > 1


def test_it_finds_a_wrong_volume():
    tree = tree_of(parts.BORED)
    tree["blocks"][0]["volume"] *= 1.001
    assert verdict(tree)[2] > 5e-4


def test_keys_of_the_format():
    tree = tree_of(parts.BORED)
    assert tree["format"] == "foldsketch-net 1"
    assert {"part", "units", "scale", "blocks", "joints", "pieces", "sheets", "checks"} <= tree.keys()
    piece = tree["pieces"][0]
    assert {"id", "block", "panels", "folds", "tabs", "marks"} <= piece.keys()
    assert {"id", "outline", "holes", "feature", "kind", "to_space", "origin"} <= piece["panels"][0].keys()
    assert {"number", "panel", "outline", "line", "meets"} <= piece["tabs"][0].keys()
    assert {"kind", "panel", "axis", "at", "text"} <= piece["marks"][0].keys()
    assert {"refold_gap", "overlap_area", "tabs_inside", "volume_error"} <= tree["checks"].keys()
    assert {m["kind"] for p in tree["pieces"] for m in p["marks"]} <= {
        "centre", "datum", "outline", "pin", "offset", "text"
    }  # fmt: skip


def test_offsets_are_written_on_the_faces():
    tree = tree_of(parts.ECCENTRIC, scale=2.0)
    texts = [m["text"] for p in tree["pieces"] for m in p["marks"] if m["kind"] == "offset" and m["text"]]
    assert any("5 at 30°" in t for t in texts)


def test_every_face_that_an_axis_pierces_has_its_pin_hole():
    tree = tree_of(parts.ECCENTRIC)
    pins = [(m["axis"], p["id"]) for p in tree["pieces"] for m in p["marks"] if m["kind"] == "pin"]
    # Two blocks, two ends each, and both axes go through every one of them (offset 5 in a journal of 40 and 30).
    assert sorted(pins) == sorted([(a, k) for k in ("1", "2") for a in ("A", "A", "B", "B")])
