"""The quick model comes down to some ten minutes: smaller, in one net, or with its sides turned."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from foldsketch.assembly.build_warnings import narrow_bridge_widths
from foldsketch.assembly.work_time import Pace, measure_work, work_minutes
from foldsketch.job import pipeline, quick_model
from foldsketch.job.choices import Choices
from foldsketch.job.messages import QUICK_CHANGED, QUICK_SMALLER
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.sheet.layout.paper import parse_scale

SAMPLES = Path(__file__).parents[2] / "samples"
QUICK = Choices(quick=True)

TEN_MINUTES = [
    "bilge-pump-cover",
    "cross-drilled-boss",
    "eccentric-shaft",
    "hex-eccentric",
    "offset-bore-sleeve",
    "tapered-spigot",
    "valve-lever",
    "lessons/1-one-offset-spigot",
    "lessons/2-offset-bore",
    "lessons/3-eccentric",
    "lessons/4-two-spigots",
]
LONGER = {
    "three-boss-rocker": 14,
    "single-throw-crank": 12,
    "double-throw-crank": 18,
    "lessons/5-double-throw-crank": 18,
}


def sample(name):
    return read_part(SAMPLES / f"{name}.toml")[0]


def minutes(made, pace=None):
    return work_minutes(measure_work(made.nets), *([pace] if pace else []))


def changed(made):
    """The finding that says how a quick model was changed, or None."""
    return next((f for f in made.findings if f.code in (QUICK_CHANGED.code, QUICK_SMALLER.code)), None)


def test_the_quick_sides_come_with_the_choice():
    """Six sides at least and no more than 2.5 mm off: an eccentric of 44 mm at 1:1 has 6 sides, not 20."""
    made = pipeline.make_model(sample("eccentric-shaft"), replace(QUICK, scale=1.0))
    assert {p.sides for p in made.faceted.prisms} == {6}


@pytest.mark.parametrize("name", TEN_MINUTES)
def test_the_quick_model_of_a_sample_takes_ten_minutes_at_an_ordinary_pace(name):
    made = quick_model.model(sample(name), QUICK)
    assert round(minutes(made)) <= 10
    assert made.nets.scale >= 0.5 and len(made.sheets) <= 2
    assert not any(not b.bare for p in made.nets.pieces for b in p.butts)


@pytest.mark.slow
@pytest.mark.parametrize("name", LONGER)
def test_that_of_a_crank_or_rocker_takes_a_little_longer(name):
    """Five or seven diameters, each with its strip and its two rims, two to three minutes each; three bosses."""
    made = quick_model.model(sample(name), QUICK)
    assert 10 < round(minutes(made)) <= LONGER[name]


@pytest.mark.slow
def test_sides_are_turned_where_else_little_would_be_left_beside_an_opening():
    """The pins of a double-throw crank are 2 mm from the rims of its webs, and on paper half of that at most: less,
    where flats lie along flats. Where corners point towards the rim there is more."""
    part = sample("double-throw-crank")
    made = quick_model.model(part, QUICK)
    straight = quick_model.model(part, replace(QUICK, scale=0.5, join="fuse"))
    assert len(narrow_bridge_widths(straight.nets.pieces)) == 4 and narrow_bridge_widths(made.nets.pieces) == []
    assert (made.nets.scale, made.join) == (0.5, "fuse")
    assert "turned by 30°" in changed(made).value("changes")
    off = np.angle(complex(*made.faceted.datum_direction[:2]) / complex(*straight.faceted.datum_direction[:2]))
    assert off == pytest.approx(np.pi / 6)
    webs = [p for p in made.faceted.prisms if p.feature.name == "web 1"]
    corners = webs[0].corners[:, :2]
    assert np.hypot(*corners.T)[np.argmax(corners[:, 1])] == pytest.approx(corners[:, 1].max()), "one points to the pin"


@pytest.mark.slow
def test_a_net_that_is_glued_in_more_goes_is_no_gain():
    """The rocker in one net at half size would take ten minutes by the count, with its arms closing all at once; two
    who followed its booklet would rather have had the four blocks."""
    rocker = sample("three-boss-rocker")
    blocks = pipeline.make_model(rocker, replace(QUICK, scale=0.5, join="faces"))
    facets = replace(QUICK.facets, rotation=np.pi / 18)
    one = pipeline.make_model(rocker, replace(QUICK, scale=0.5, join="fuse", facets=facets))
    assert round(minutes(one)) <= 10 and narrow_bridge_widths(one.nets.pieces) == []
    assert not any(not b.bare for p in one.nets.pieces for b in p.butts) and len(one.sheets) <= len(blocks.sheets)
    assert not quick_model.is_acceptable(one, blocks)
    made = quick_model.model(rocker, QUICK)
    assert (made.nets.scale, made.join, len(made.nets.pieces)) == (0.5, "faces", 4)


def test_sides_are_turned_only_for_what_would_tear(monkeypatch):
    """The single-throw crank in one net tears nowhere: nothing else is tried. At a given scale the double-throw crank
    is turned too."""
    tried = []
    plain = pipeline.make_model
    monkeypatch.setattr(
        pipeline, "make_model", lambda part, choices, listener: tried.append(choices) or plain(part, choices)
    )
    quick_model.model(sample("single-throw-crank"), QUICK)
    assert len(tried) == 4 and not any(c.facets.rotation for c in tried)
    tried.clear()
    made = quick_model.model(sample("double-throw-crank"), replace(QUICK, scale=0.5))
    assert (made.nets.scale, made.join, narrow_bridge_widths(made.nets.pieces)) == (0.5, "fuse", [])
    assert "turned by 30°" in changed(made).value("changes")
    assert [c.facets.rotation for c in tried[:2]] == [0.0, 0.0] and all(c.facets.rotation for c in tried[2:])


def test_what_was_changed_is_listed_and_undone_as_it_says():
    made = quick_model.model(sample("offset-bore-sleeve"), QUICK)
    note = changed(made)
    assert (made.nets.scale, made.join, note.code) == (0.5, "fuse", QUICK_SMALLER.code)
    assert note.value("after") == round(minutes(made))
    undo = replace(QUICK, scale=parse_scale(note.value("scale")), join=note.value("join"))
    back = quick_model.model(sample("offset-bore-sleeve"), undo)
    assert (back.nets.scale, back.join, changed(back)) == (1.0, "faces", None)
    assert note.value("before") == round(minutes(back))


def test_the_kindest_change_that_comes_down_to_ten_is_taken(monkeypatch):
    """Smaller alone does it for the boss; in one body at full size it would take longer."""
    made = quick_model.model(sample("cross-drilled-boss"), QUICK)
    assert (made.nets.scale, made.join) == (0.5, "faces") and len(made.nets.joints) == 1
    fused = quick_model.model(sample("cross-drilled-boss"), replace(QUICK, scale=1.0, join="fuse"))
    assert round(minutes(fused)) > 10
    both = quick_model.model(sample("cross-drilled-boss"), replace(QUICK, scale=0.5, join="fuse"))
    monkeypatch.setattr(quick_model, "MIN_SAVING_MINUTES", 0.1)
    assert minutes(both) < minutes(made) - 0.1, "both changes would save a little more"
    again = quick_model.model(sample("cross-drilled-boss"), QUICK)
    assert (again.nets.scale, again.join) == (0.5, "faces"), "but one will do"


@pytest.mark.parametrize(("own", "wanted"), [({"scale": 1.0}, (1.0, "fuse")), ({"join": "faces"}, (0.5, "faces"))])
def test_what_the_user_chose_stays(own, wanted):
    made = quick_model.model(sample("double-throw-crank"), replace(QUICK, **own))
    assert (made.nets.scale, made.join) == wanted
    both = quick_model.model(sample("double-throw-crank"), replace(QUICK, scale=1.0, join="faces"))
    assert (both.nets.scale, both.join) == (1.0, "faces") and changed(both) is None


def test_only_a_quick_model_is_changed_and_only_when_it_takes_longer_than_ten_minutes():
    plain = quick_model.model(sample("double-throw-crank"), Choices())
    assert plain.join == "faces" and changed(plain) is None
    swift = quick_model.model(sample("double-throw-crank"), replace(QUICK, pace=Pace(0.0, 0.1, 1.0, 1.0)))
    assert (swift.nets.scale, swift.join) == (1.0, "faces") and changed(swift) is None, (
        "ten minutes at the user's own pace"
    )
    first = quick_model.model(sample("lessons/1-one-offset-spigot"), QUICK)
    assert first.nets.scale == 1.0 and changed(first) is None


def test_a_change_that_makes_trouble_or_saves_no_minute_is_not_taken(monkeypatch):
    at_first = quick_model.model(sample("eccentric-shaft"), replace(QUICK, scale=1.0, join="faces"))
    monkeypatch.setattr(quick_model, "is_acceptable", lambda other, made: False)
    made = quick_model.model(sample("eccentric-shaft"), QUICK)
    assert (made.nets.scale, made.join, changed(made)) == (at_first.nets.scale, "faces", None)
    monkeypatch.undo()
    monkeypatch.setattr(quick_model, "MIN_SAVING_MINUTES", 100.0)
    assert changed(quick_model.model(sample("eccentric-shaft"), QUICK)) is None
    monkeypatch.undo()
    monkeypatch.setattr(quick_model, "MAX_PANELS_FOR_VARIANTS", 3)
    assert changed(quick_model.model(sample("eccentric-shaft"), QUICK)) is None


def test_no_worse_counts_taped_edges_warnings_and_sheets():
    made = quick_model.model(sample("eccentric-shaft"), replace(QUICK, scale=1.0))
    warned = replace(made, findings=(*made.findings, replace(made.findings[0], level="warning")))
    more = replace(made, sheets=(*made.sheets, *made.sheets))
    first = made.nets.pieces[0]
    bare = next(b for p in made.nets.pieces for b in p.butts)
    taped = replace(first, butts=(*first.butts, replace(bare, bare=False)))
    untabbed = replace(made, nets=replace(made.nets, pieces=(taped, *made.nets.pieces[1:])))
    assert quick_model.is_acceptable(made, made)
    for worse in (warned, more, untabbed):
        assert not quick_model.is_acceptable(worse, made) and quick_model.is_acceptable(made, worse)


def shaft(*more):
    axes = (Axis("A"), Axis("B", (20.0, 0.0, 0.0)))
    own = (Feature("flange", "A", Cylinder(80), 0, 10), Feature("spigot", "A", Cylinder(40), 10, 40))
    return Part("p", axes, (*own, *more))


def test_a_smaller_model_that_lacks_a_feature_or_makes_a_round_a_bar_is_worse():
    whole = quick_model.model(shaft(Feature("pin", "B", Cylinder(9), 40, 50)), replace(QUICK, scale=1.0))
    assert quick_model.is_acceptable(whole, whole)
    less = quick_model.model(shaft(), replace(QUICK, scale=1.0))
    assert not quick_model.is_acceptable(less, whole), "the pin and its axis would be lost"
    bar = replace(
        whole, faceted=replace(whole.faceted, prisms=tuple(replace(p, sides=4) for p in whole.faceted.prisms))
    )
    assert not quick_model.is_acceptable(bar, whole)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["eccentric-shaft", "valve-lever", "three-boss-rocker", "lessons/3-eccentric"])
@pytest.mark.parametrize("walls", ["folded", "rolled"])
def test_what_undoes_a_change_takes_the_time_that_is_named(name, walls):
    choices = replace(QUICK, facets=replace(QUICK.facets, walls=walls))
    note = changed(quick_model.model(sample(name), choices))
    if note is not None:
        undo = replace(choices, scale=parse_scale(note.value("scale")), join=note.value("join"))
        assert round(minutes(quick_model.model(sample(name), undo))) == note.value("before")
