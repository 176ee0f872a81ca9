"""Paper chucks: jaws that stand upright where the plan has them, a part that goes in and does not when it is off."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from foldsketch.base.findings import FoldsketchError
from foldsketch.job import messages as m
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.job.in_hand_outputs import set_up_in_hand
from foldsketch.job.paper_chuck import JAW_PLAY_MM, paper_chuck
from foldsketch.job.paper_stand import paper_stand
from foldsketch.net.model import Fold, Nets
from foldsketch.net.refold import check_nets, fold_piece
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.set_up_text import WAY_TEXT
from tests.setup_works import COVER, SHAFT, SMALL, TWIN, planned_cover, planned_shaft

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def chucks():
    """The chucks of the cover's plan with bored jaws, and of the shaft packed and in bored jaws."""
    cover, shaft = model(COVER, Choices()), model(SHAFT, Choices(scale=1.0))
    found = [paper_chuck(s, TWIN, cover) for s in planned_cover(3).setups]
    found += [paper_chuck(s, SMALL, shaft) for s in planned_shaft().setups]
    return found + [paper_chuck(s, SMALL, shaft) for s in plan(SHAFT, SMALL, batch=10).setups[2:]]


def test_most_are_built(chucks):
    assert sum(len(c.creases) == 3 for c in chucks) >= 6
    assert {c.set_up.clamping.way for c in chucks if c.creases} >= {"bored_jaws", "packed_three_jaw", "soft_jaws"}


def test_folded_up_the_jaws_stand_upright_on_their_creases(chucks):
    """From the folds alone: a jaw's crease stays in the disc's plane, its tip is right above it on the printed side."""
    for c in chucks:
        assert check_nets(Nets("chuck", 1.0, (), (), (c.disc, c.cone))).passed()
        folded = fold_piece(c.disc)
        for panel in c.disc.panels[1:]:
            rotation, shift = folded[panel.id]
            corners = np.column_stack((panel.outline, np.zeros(4))) @ rotation.T + shift
            heights = np.sort(corners[:, 2])
            assert heights[:2] == pytest.approx(0, abs=1e-9) and heights[2:] == pytest.approx(heights[3])
            assert heights[3] >= 4
            low, high = corners[corners[:, 2] < 1e-9], corners[corners[:, 2] > 1e-9]
            line = shapely.LineString(low[:, :2])
            assert all(line.distance(shapely.Point(p[:2])) < 1e-9 for p in high)


def test_the_seated_part_meets_no_jaw_and_does_when_it_is_off(chucks):
    """Jaws as thin sheets along their creases, the part as its model's own outline: clear by the play at least, also
    where a facet rises beside a jaw; moved 0.9 towards any jaw it hits that one."""
    for c in chucks:
        part = shapely.Polygon(c.held)
        for crease in c.creases.values():
            wall = shapely.LineString(crease)
            gap = part.distance(wall)
            assert gap >= JAW_PLAY_MM
            away = crease.mean(axis=0) / np.hypot(*crease.mean(axis=0))
            moved = shapely.affinity.translate(part, *(0.9 * away))
            assert moved.distance(wall) == 0


def test_jaws_stand_where_the_plan_has_them(chucks):
    """Numbered the way round that the worked end shows them, 120 degrees apart; jaw 1 along +x."""
    for c in chucks:
        turns = {k: math.atan2(*crease.mean(axis=0)[::-1]) for k, crease in c.creases.items()}
        if not turns:
            continue
        way = 1 if c.set_up.clamping.from_end == "+z" else -1
        assert turns[1] == pytest.approx(0, abs=1e-9)
        assert turns[2] == pytest.approx(way * 2 * math.pi / 3) and turns[3] == pytest.approx(-way * 2 * math.pi / 3)


def test_the_axis_on_the_spindle_is_the_middle_of_the_disc():
    """The cover's inlet on the spindle: the flange's centre is 20 beside the skewer, towards jaw 1."""
    cover = model(COVER, Choices(scale=1.0))
    s = next(s for s in planned_cover(3).setups if s.clamping.on_centreline == "B")
    made = paper_chuck(s, TWIN, cover)
    middle = shapely.Polygon(made.held).centroid
    assert (middle.x, middle.y) == pytest.approx((20, 0), abs=1e-6)
    assert made.radius == 75, "in-hand.md, section 2"


def test_windows_keep_clear_of_skewer_rim_and_each_other(chucks):
    for c in chucks:
        windows = [shapely.Polygon(p.outline) for p in c.disc.panels[1:]]
        for k, w in enumerate(windows):
            assert w.distance(shapely.Point(0, 0)) >= 4
            assert c.radius - np.hypot(*shapely.get_coordinates(w).T).max() >= 4
            assert all(w.distance(o) >= 3 for o in windows[k + 1 :])
        dots = [d for mark in c.disc.marks if mark.kind == "pin" for d in mark.dots]
        assert len(dots) == 4 and all(w.distance(shapely.Point(x, y)) >= 2 for w in windows for x, y, _ in dots)


def test_what_lies_behind_the_grip_keeps_the_jaws_flat(chucks):
    """Held by its flange with the spigots in the chuck, the cover would stand on its spigots."""
    c = next(c for c in chucks if c.set_up.clamping.from_end == "-z" and c.findings)
    assert c.findings[0].code == m.BEHIND_PAPER_JAWS.code and not c.creases


def test_stands_fold_up_and_a_wrong_fold_shows():
    stand = paper_stand(75, 1)
    checks = check_nets(Nets("stand", 1.0, (), (), (stand,)))
    assert checks.passed() and checks.refold_gap < 1e-9
    first = stand.folds[0]
    bent = stand.__class__(
        stand.id, 0, stand.panels, (Fold(first.panels, first.line, first.angle * 0.9), *stand.folds[1:]), stand.tabs
    )
    assert check_nets(Nets("stand", 1.0, (), (), (bent,))).refold_gap > 1
    high = {round(float(p.outline[:, 1].max()), 6) for p in stand.panels[:4]}
    assert high == {75 + 7 + 10.0}


def test_files_and_minutes_of_the_cover():
    """in-hand.md gives 2.9 minutes a chuck with its cone and 2.3 a stand; ours has four chucks."""
    made = set_up_in_hand(model(COVER, Choices()), planned_cover(3), TWIN)
    assert {f"chuck-{k}.{kind}" for k in (1, 2, 3, 4) for kind in ("pdf", "net.json")} <= set(made.files)
    assert {"stands.pdf", "in-hand.pdf"} <= set(made.files)
    assert made.minutes == pytest.approx(4 * 2.9 + 2 * 2.3, rel=0.15)


PLAIN = {"a fed bar": {"way": "fed_bar"}, "centres": {"way": "between_centres"}, "a bore": {"held_inside": True}}


@pytest.mark.parametrize("how", PLAIN)
def test_what_card_cannot_grip_gets_a_plain_disc(how):
    """Its finding says so in one line; folded, only the disc and its cone are left, and the cone's pricks are there."""
    s = planned_cover(1).setups[0]
    change = PLAIN[how]
    held = (
        replace(s, held_inside=True)
        if "held_inside" in change
        else replace(s, clamping=replace(s.clamping, **change), jaws=())
    )
    c = paper_chuck(held, TWIN, model(COVER, Choices(scale=1.0)))
    assert [f.code for f in c.findings] == [m.PLAIN_PAPER_DISC.code]
    assert len(c.disc.panels) == 1 and not c.disc.panels[0].holes and not c.creases
    assert sum(len(mark.dots) for mark in c.disc.marks if mark.kind == "pin") == 4


def test_every_way_of_holding_has_a_paper_chuck():
    """No way that a plan prints is refused."""
    made, s = model(COVER, Choices(scale=1.0)), planned_cover(1).setups[0]
    for way in WAY_TEXT:
        assert paper_chuck(replace(s, clamping=replace(s.clamping, way=way)), TWIN, made).disc.panels


def test_a_disc_that_no_page_takes_is_refused():
    planned = planned_cover(1)
    with pytest.raises(FoldsketchError) as error:
        set_up_in_hand(model(COVER, Choices(scale=2.0)), replace(planned, setups=planned.setups[:1]), TWIN)
    assert {f.code for f in error.value.findings} == {m.CHUCK_TOO_LARGE.code}


def test_an_axis_that_leaves_the_model_in_an_open_bore_is_told():
    """A bush of 60 with a bore of 40, 3 off: both axes lie in the bore, no needle finds paper."""
    bush = Feature("bush", "A", Cylinder(60), 0, 45)
    bore = Feature("bore", "B", Cylinder(40), -1, 46, cut=True)
    part = Part("Bush", (Axis("A"), Axis("B", (3.0, 0.0, 0.0))), (bush, bore), material="bronze")
    made = set_up_in_hand(model(part, Choices()), plan(part, SMALL, batch=50), SMALL)
    assert [f.where for f in made.findings if f.code == m.AXIS_IN_OPENING.code] == ["axis A", "axis B"]
    cover = set_up_in_hand(model(COVER, Choices()), planned_cover(3), TWIN)
    assert not [f for f in cover.findings if f.code == m.AXIS_IN_OPENING.code]


def test_a_jaw_bears_its_own_number_alone(chucks):
    """On a jaw's footprint stand its number and its distance; the set-up's number stands beside them, in words."""
    seen = 0
    for c in chucks:
        feet = [
            np.array(run) for mark in c.disc.marks if mark.kind == "outline" and not mark.axis for run in mark.paths
        ]
        words = [mark for mark in c.disc.marks if mark.kind == "text"]
        for word in words:
            on = [f for f in feet if shapely.MultiPoint(f).convex_hull.contains(shapely.Point(word.at))]
            if on:
                assert word.size in (2.5, 3.5) and not word.axis and not word.text.startswith("set-up"), word.text
        seen += any(word.text == f"set-up {c.set_up.number}" for word in words)
    assert seen >= len(chucks) / 2
