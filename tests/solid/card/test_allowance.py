"""Card thickness: the built model measures what it should outside, and what jams is reported."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

import parts
from examples import examples, few
from foldsketch.base.card import NO_CARD, Card
from foldsketch.base.findings import FoldsketchError, mm
from foldsketch.job import pipeline
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.solid.card.allowance import apply_card_allowance, check_card_fit
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.faceting.sides import FacetChoice
from solids import planes, single, solids_of, with_card
from strategies import parts as any_part

THICK = Card(0.25)
A = Axis("A")


def codes(solids):
    """Codes of the findings."""
    return [f.code for f in solids.findings]


def fit_findings(*features, thickness=0.25, scale=1.0, axes=(A,)):
    """Code, place, bore and length, mm, of every finding about walls and fits."""
    return [
        (f.code, f.where, f.value("bore"), round((dict(f.values).get("wall") or f.value("reduction")).value, 9))
        for f in check_card_fit(Part("p", axes, features), Card(thickness), scale)
    ]


@pytest.mark.parametrize("part", few(parts.ALL), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_part_still_folds_up(part, rule):
    made = pipeline.make_model(part, pipeline.Choices(card=THICK, join=rule))
    assert made.nets.checks.passed()


def test_a_body_thinner_than_the_card_is_kept_and_reported():
    skin = with_card(single(Cylinder(40), 0.2), NO_CARD).blocks[0].skin
    assert inset_skin(skin, 0.125) is None
    made = with_card(single(Cylinder(40), 0.2), THICK)
    assert made.blocks[0].skin.volume == pytest.approx(skin.volume)
    (found,) = made.findings
    assert (found.code, found.level, found.where) == ("card-not-compensated", "warning", "block of 'p'")
    assert found.value("thickness") == mm(0.25)


BODY = Feature("body", "A", Cylinder(60), 0, 30)


THINNER = {
    "ring": (Feature("ring", "A", Ring(60, 59.6), 0, 30),),
    "floor": (BODY, Feature("pocket", "A", Cylinder(40), 0.2, 31, cut=True)),
    "offset bore": (BODY, Feature("bore", "B", Cylinder(40), -1, 31, cut=True)),
    "blind offset bore": (BODY, Feature("bore", "B", Cylinder(40), 10, 31, cut=True)),
    "web between grooves": (
        BODY,
        Feature("low", "A", Ring(70, 40), 10, 14.9, cut=True),
        Feature("high", "A", Ring(70, 40), 15.1, 20, cut=True),
    ),
    "cross hole under an end": (BODY, Feature("hole", "X", Cylinder(10), -40, 40, cut=True)),
}


@pytest.mark.parametrize("walls", ["folded", "rolled"])
@pytest.mark.parametrize("name", few(THINNER, 1, every=3))
def test_two_faces_of_a_wall_never_change_places(name, walls):
    """A wall of 0.2 mm and card of 0.25 mm: the middle of the outer sheet would be within that of the inner one. Such
    a block is drawn as it is, and reported."""
    axes = (Axis("A"), Axis("B", (9.8, 0, 0)), Axis("X", (0, 0, 24.8), (1, 0, 0)))
    part = Part("p", axes, THINNER[name])
    before, after = with_card(part, NO_CARD, walls=walls), with_card(part, Card(0.5), walls=walls)
    assert [b.skin.volume for b in after.blocks] == [b.skin.volume for b in before.blocks]
    assert "card-not-compensated" in codes(after)
    assert inset_skin(before.blocks[0].skin, 0.02) is not None, "thinner card fits"
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0, card=Card(0.5), facets=FacetChoice(walls=walls)))
    assert made.nets.checks.passed()


@examples(25, suppress_health_check=[HealthCheck.too_slow])
@given(any_part(), st.sampled_from(["faces", "fuse"]), st.sampled_from(["folded", "rolled"]))
def test_the_outside_of_the_built_model_is_the_skin_itself(part, rule, walls):
    """Every face is half a card below the same face of the part, or the block is reported as not compensated."""
    try:
        before, after = (with_card(part, c, rule, walls=walls) for c in (NO_CARD, THICK))
    except FoldsketchError:
        return
    reported = codes(after).count("card-not-compensated")
    for a, b in zip(before.blocks, after.blocks, strict=True):
        if np.array_equal(a.skin.corners, b.skin.corners):
            reported -= 1
            continue
        own = planes(a.skin) - [0, 0, 0, 0.125]
        for f in b.skin.faces:
            ids = [v for loop in f.loops for v in loop]
            heights = b.skin.corners[ids] @ f.normal
            # One of the part's own planes, half a card below, with all corners of the loops in it.
            assert np.abs(own - [*f.normal, heights.mean()]).max(axis=1).min() < 1e-8
            assert heights == pytest.approx(np.full(len(ids), heights.mean()), abs=1e-8)
        assert 0 < b.skin.volume < a.skin.volume
    assert reported == 0


def test_nothing_changes_without_card():
    faceted, solids = solids_of(parts.TWO_SPIGOTS)
    assert apply_card_allowance(faceted, solids, NO_CARD, 1.0) is solids


def test_joints_stay_where_they_are():
    before, after = (with_card(parts.TWO_SPIGOTS, c) for c in (NO_CARD, THICK))
    for one, two in zip(before.joints, after.joints, strict=True):
        assert np.array_equal(one.outline, two.outline)


def test_a_thin_wall_and_a_tight_fit_are_reported():
    part = Part(
        "p",
        (Axis("A"), Axis("B", (4.0, 0, 0))),
        (
            Feature("sleeve", "A", Cylinder(40), 0, 30),
            Feature("offset bore", "B", Cylinder(30.6), -1, 31, True),
            Feature("shaft", "B", Cylinder(30.6), 0, 30),
        ),
    )
    found = {f.where: f for f in with_card(part, THICK).findings}
    wall, fit = found["feature 'sleeve'"], found["feature 'shaft'"]
    assert (wall.code, wall.value("bore")) == ("wall-too-thin-for-card", "offset bore")
    assert wall.value("wall").value == pytest.approx(0.7), "20 - 4 - 15.3"
    assert (fit.code, fit.value("bore"), fit.value("reduction")) == ("spigot-jams", "offset bore", mm(0.45))
    assert not with_card(part, NO_CARD).findings


def test_a_shaft_in_a_smaller_bore_has_no_thin_wall():
    """It is 0.2 mm larger in radius than the bore and listed after it, so nothing is cut from it."""
    sleeve = Feature("sleeve", "A", Cylinder(60), 0, 30)
    bore = Feature("bore", "A", Cylinder(30), -1, 31, True)
    shaft = Feature("shaft", "A", Cylinder(30.4), 0, 30)
    assert fit_findings(sleeve, bore, shaft) == [("spigot-jams", "feature 'shaft'", "bore", 0.45)]
    assert ("wall-too-thin-for-card", "feature 'shaft'", "bore", 0.2) in fit_findings(sleeve, shaft, bore)


def test_a_shaft_in_a_ring_with_a_bore_of_its_own_size_jams():
    ring = Feature("ring", "A", Ring(60, 30), 0, 20)
    jams = ("spigot-jams", "feature 'shaft'", "ring", 0.45)
    assert fit_findings(ring, Feature("shaft", "A", Cylinder(30), 0, 40)) == [jams]
    assert not fit_findings(ring, Feature("shaft", "A", Cylinder(20), 0, 40)), "5 mm of clearance"
    assert not fit_findings(ring, Feature("shaft", "A", Cylinder(30), 20, 40)), "on the ring and not in it"


def test_a_wall_thinner_than_four_layers_of_card_is_reported():
    """Two skins and the tabs behind both are four thicknesses, 1 mm of 0.25 mm card."""

    def ring(bore):
        return Feature("ring", "A", Ring(60, bore), 0, 20)

    def thin(wall):
        return [("wall-too-thin-for-card", "feature 'ring'", "ring", wall)]

    assert fit_findings(ring(58.2)) == thin(0.9)
    assert not fit_findings(ring(57.8))
    assert fit_findings(ring(57.8), scale=0.5) == thin(0.55)
    assert not fit_findings(ring(58.2), thickness=0.2)


def test_the_wall_of_an_offset_bore_is_measured_where_it_is_thinnest():
    """60/2 - 8 - 43/2 = 0.5 mm, wherever the two axes are."""
    for x, y in ((0.0, 0.0), (30.0, -20.0)):
        axes = (Axis("A", (x, y, 0.0)), Axis("B", (x + 4.8, y + 6.4, 0.0)))
        body = Feature("body", "A", Cylinder(60), 0, 20)
        bore = Feature("bore", "B", Cylinder(43), -1, 21, True)
        thin = ("wall-too-thin-for-card", "feature 'body'", "bore", 0.5)
        assert fit_findings(body, bore, axes=axes) == [thin]
        assert not fit_findings(body, Feature("bore", "B", Cylinder(40), -1, 21, True), axes=axes)


def test_a_boss_in_the_bore_of_a_later_ring_has_no_wall_there():
    """The ring adds material about it and takes none away."""
    boss, ring = Feature("boss", "A", Cylinder(60), 0, 20), Feature("ring", "A", Ring(80, 59.4), 0, 20)
    assert not fit_findings(boss, ring)


def test_features_that_share_no_height_have_no_wall_between_them():
    ring = Feature("ring", "A", Ring(60, 30), 0, 20)
    for other in (
        Feature("collar", "A", Cylinder(31), 20, 40),
        Feature("low", "A", Cylinder(31), -20, 0),
        Feature("cross", "X", Cylinder(31), 40, 60),
    ):
        axes = (A, Axis("X", (0.0, 0.0, 10.0), (1.0, 0.0, 0.0)))
        assert not fit_findings(ring, other, axes=axes)
