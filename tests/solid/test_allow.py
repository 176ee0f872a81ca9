"""Card: the built model measures what it should outside, nothing changes without it, and what binds is told."""

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import parts
from foldsketch.base.card import NO_CARD, Card
from foldsketch.base.findings import FoldsketchError
from foldsketch.job import pipeline
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, PrismShape, Ring
from foldsketch.sheet.layout.net_lines import cut_paths, fold_lines
from foldsketch.sheet.page.draw import draw_sheets
from foldsketch.solid.card.allowance import apply_card_allowance
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.write.net_json import net_json
from foldsketch.write.pdf import pdf
from strategies import parts as any_part

THICK = Card(0.25)


def solids_of(part, card, rule="faces", **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return apply_card_allowance(faceted, join(faceted, rule), card, 1.0)


def heights(skin, sense=1.0):
    """Distance of every face from the origin along its own normal."""
    return {(f.feature, f.side, f.kind): sense * float(f.normal @ skin.corners[f.loops[0][0]]) for f in skin.faces}


def one(shape, length=20.0):
    return Part("p", (Axis("A"),), (Feature("p", "A", shape, 0, length),))


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_part_still_folds_right(part, rule):
    made = pipeline.make_model(part, pipeline.Choices(card=THICK, join=rule))
    assert made.nets.checks.passed()


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_every_face_goes_in_by_half_the_card(part):
    """The middle of the sheet half a thickness below the surface: then the outside is the part's own."""
    before, after = solids_of(part, NO_CARD), solids_of(part, THICK)
    for a, b in zip(before.blocks, after.blocks, strict=True):
        for k, f in enumerate(a.skin.faces):
            for loop in f.loops:
                d = (b.skin.corners[list(loop)] - a.skin.corners[list(loop)]) @ f.normal
                assert d == pytest.approx(np.full(len(loop), -0.125), abs=1e-9), k


def test_a_bore_and_what_goes_in_it():
    """A tube folded of a net N across flats is N - T inside and N + T outside, so the bore's net is T wider than the
    hole and the spigot's T narrower than itself."""
    sleeve = solids_of(one(Ring(60, 30), 40), THICK).blocks[0].skin
    plain = solids_of(one(Ring(60, 30), 40), NO_CARD).blocks[0].skin
    for before, after in zip(heights(plain).items(), heights(sleeve).items(), strict=True):
        (_, _, kind), was, now = *before[:1], before[1], after[1]
        if kind != "side":
            continue
        if was < 0:  # the bore's sides look at the axis
            assert -2 * now - 0.25 == pytest.approx(-2 * was)
        else:
            assert 2 * now + 0.25 == pytest.approx(2 * was)


def test_volume_shrinks_by_the_surface():
    """A prism n-gon R, h: (A - P t/2 + ...) (h - t), exactly the smaller prism's volume."""
    skin = solids_of(one(Cylinder(40), 30), THICK, sides=12, radius="outside").blocks[0].skin
    inradius = 20 - 0.125
    assert skin.volume == pytest.approx(12 * inradius**2 * math.tan(math.pi / 12) * (30 - 0.25), rel=1e-12)


def test_a_cones_point_moves_along_its_axis():
    """All sides of a pyramid move in alike, so their common point stays one."""
    skin = solids_of(one(Cone(40, 0), 30), THICK).blocks[0].skin
    top = skin.corners[skin.corners[:, 2].argmax()]
    assert top[:2] == pytest.approx([0, 0], abs=1e-9)
    assert top[2] < 30 - 0.125


def test_what_is_thinner_than_the_card_is_kept_and_told():
    skin = solids_of(one(Cylinder(40), 0.2), NO_CARD).blocks[0].skin
    assert inset_skin(skin, 0.125) is None
    made = solids_of(one(Cylinder(40), 0.2), THICK)
    assert made.blocks[0].skin.volume == pytest.approx(skin.volume)
    assert any("without allowance" in f.what for f in made.findings)


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
@pytest.mark.parametrize("name", THINNER)
def test_two_faces_of_a_wall_never_change_places(name, walls):
    """A wall of 0.2 mm and card of 0.25 mm: the middle of the outer sheet would lie within that of the inner one. Such
    a block is drawn as it is, and told."""
    axes = (Axis("A"), Axis("B", (9.8, 0, 0)), Axis("X", (0, 0, 24.8), (1, 0, 0)))
    part = Part("p", axes, THINNER[name])
    before, after = solids_of(part, NO_CARD, walls=walls), solids_of(part, Card(0.5), walls=walls)
    assert [b.skin.volume for b in after.blocks] == [b.skin.volume for b in before.blocks]
    assert any("without allowance" in f.what for f in after.findings)
    assert inset_skin(before.blocks[0].skin, 0.02) is not None, "thin enough card goes in"
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0, card=Card(0.5), facets=FacetChoice(walls=walls)))
    assert made.nets.checks.passed()


def planes(skin):
    """(n, 4): normal and distance from the origin of every face."""
    return np.array([[*f.normal, f.normal @ skin.corners[f.loops[0][0]]] for f in skin.faces])


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(any_part(), st.sampled_from(["faces", "fuse"]), st.sampled_from(["folded", "rolled"]))
def test_the_outside_of_the_built_model_is_the_skin_itself(part, rule, walls):
    """Every face lies half a card below its place in any part's skin, or the block is told to be
    drawn without allowance."""
    try:
        before, after = (solids_of(part, c, rule, walls=walls) for c in (NO_CARD, THICK))
    except FoldsketchError:
        return
    told = sum("without allowance" in f.what for f in after.findings)
    for a, b in zip(before.blocks, after.blocks, strict=True):
        if np.array_equal(a.skin.corners, b.skin.corners):
            told -= 1
            continue
        own = planes(a.skin) - [0, 0, 0, 0.125]
        for f in b.skin.faces:
            ids = [v for loop in f.loops for v in loop]
            heights = b.skin.corners[ids] @ f.normal
            # One of the part's own planes, half a card below; the loops' corners all lie in it.
            assert np.abs(own - [*f.normal, heights.mean()]).max(axis=1).min() < 1e-8
            assert heights == pytest.approx(np.full(len(ids), heights.mean()), abs=1e-8)
        assert 0 < b.skin.volume < a.skin.volume
    assert told == 0


def test_nothing_changes_without_card():
    a, b = (
        pipeline.make_model(parts.TWO_SPIGOTS, pipeline.Choices()),
        pipeline.make_model(parts.TWO_SPIGOTS, pipeline.Choices(card=NO_CARD)),
    )
    assert net_json(a.nets, a.sheets) == net_json(b.nets, b.sheets)
    assert b"card" not in net_json(b.nets, b.sheets)
    assert pdf(draw_sheets(a.nets, a.sheets), "p") == pdf(draw_sheets(b.nets, b.sheets), "p")


def test_tabs_lie_one_card_under_their_targets():
    made = pipeline.make_model(one(Cylinder(40), 30), pipeline.Choices(card=THICK))
    piece = made.nets.pieces[0]
    lids = [t for t in piece.tabs if abs(t.angle - math.pi / 2) < 1e-9]
    assert lids and {t.under for t in lids} == {0.25}
    roots = {t.line for t in lids}
    drawn = [run for run, angle in fold_lines(piece, lambda p: p) if abs(angle - math.pi / 2) < 1e-9]
    away = []
    for (x0, y0), (x1, y1) in roots:
        mine = [r for r in drawn if abs(r[0][0] - x0) < 1e-6 and abs(r[1][0] - x1) < 1e-6 and abs(r[0][1] - y0) < 1]
        away += [abs(r[0][1] - y0) for r in mine if y0 == pytest.approx(y1)]
    assert away and all(d == pytest.approx(0.25) for d in away)


def depths(nets):
    """Of every tab its fold angle and how deep its crease, on the middle of the sheet, lies under the middle of its
    target, in thicknesses of the card: from where both panels stand in space."""
    panels = {(p.id, q.id): q for p in nets.pieces for q in p.panels}
    for piece in nets.pieces:
        for t in piece.tabs:
            own, target = panels[piece.id, t.panel], panels[t.meets.piece, t.meets.panel]
            a, b = (np.array(v) for v in t.line)
            along = (b - a) / np.linalg.norm(b - a)
            crease = (a + b) / 2 + np.array([-along[1], along[0]]) * t.under
            stands = own.to_space @ np.array([*crease, 0.0]) + own.origin
            yield t.angle, float((target.origin - stands) @ target.to_space[:, 2]) / nets.card.thickness


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_how_deep_tabs_lie_under_their_targets(part, rule):
    """One thickness at right angles, mountain or valley, and at sharper ones; 1 - cos of the angle at flatter ones."""
    for angle, depth in depths(pipeline.make_model(part, pipeline.Choices(card=THICK, join=rule)).nets):
        flat = abs(angle) < math.pi / 2 - 1e-6
        assert depth == pytest.approx(1 - math.cos(angle) if flat else 1.0, abs=1e-6), math.degrees(angle)


@pytest.mark.parametrize("card", [NO_CARD, Card(0.25), Card(0.5)], ids=lambda c: f"{c.thickness}")
def test_a_tab_is_shorter_by_what_its_crease_moves_in(card):
    """So that the flap from crease to rim is as broad as without card: 7 mm, the broadest, where there is room."""
    block = one(PrismShape(4, 60.0), 40)
    piece = pipeline.make_model(block, pipeline.Choices(scale=1.0, card=card)).nets.pieces[0]
    lids = [t for t in piece.tabs if abs(t.angle - math.pi / 2) < 1e-9]
    assert len(lids) == len(piece.tabs) == 7
    for t in lids:
        (x0, y0), (x1, y1) = t.line
        away = (t.outline - (x0, y0)) @ (y1 - y0, x0 - x1) / math.hypot(x1 - x0, y1 - y0)
        assert float(away.max()) + t.under == pytest.approx(7.0)
        assert t.under == pytest.approx(card.thickness)


def test_pin_holes_let_the_needle_through():
    thin, thick = (pipeline.make_model(one(Cylinder(40), 30), pipeline.Choices(card=c)) for c in (NO_CARD, THICK))

    def pins(made):
        return {d[2] for p in made.nets.pieces for m in p.marks if m.kind == "pin" for d in m.dots}

    assert {r + 0.125 for r in pins(thin)} == pins(thick)


def test_a_thin_wall_and_a_tight_fit_are_told():
    part = Part(
        "p",
        (Axis("A"), Axis("B", (4.0, 0, 0))),
        (
            Feature("sleeve", "A", Cylinder(40), 0, 30),
            Feature("offset bore", "B", Cylinder(30.6), -1, 31, True),
            Feature("shaft", "B", Cylinder(30.6), 0, 30),
        ),
    )
    told = [f.text for f in solids_of(part, THICK).findings]
    assert any("'sleeve'" in t and "0.7 mm on paper" in t for t in told), told
    assert any("'shaft'" in t and "would bind" in t for t in told), told
    assert not [f for f in solids_of(part, NO_CARD).findings if "bind" in f.text]


def test_a_shaft_pressed_into_its_bore_has_no_thin_wall():
    """It stands 0.2 mm proud of the bore all round and is written after it: nothing is cut from it."""
    sleeve = Feature("sleeve", "A", Cylinder(60), 0, 30)
    bore = Feature("bore", "A", Cylinder(30), -1, 31, True)
    shaft = Feature("shaft", "A", Cylinder(30.4), 0, 30)
    told = [f.text for f in solids_of(Part("p", (Axis("A"),), (sleeve, bore, shaft)), THICK).findings]
    assert not [t for t in told if "too thin" in t]
    assert any("would bind" in t for t in told)
    told = [f.text for f in solids_of(Part("p", (Axis("A"),), (sleeve, shaft, bore)), THICK).findings]
    assert any("'shaft'" in t and "0.2 mm on paper" in t for t in told)


def test_thick_card_is_slit_down_to_the_creases():
    """Between two tabs on one edge the cut goes on to the crease; thin card gives without."""
    thin, thick = (
        pipeline.make_model(one(Cylinder(40), 30), pipeline.Choices(card=Card(t))).nets.pieces[0] for t in (0.25, 0.5)
    )
    lengths = []
    for piece in (thin, thick):
        paths = [p for p in cut_paths(piece, lambda p: p) if len(p) == 2]
        lengths.append([math.dist(*p) for p in paths])
    assert all(d > 1 for d in lengths[0])
    slits = [d for d in lengths[1] if d < 1]
    assert slits == pytest.approx([0.5] * len(slits), abs=1e-5)
    lids = [t for t in thick.tabs if abs(t.angle - math.pi / 2) < 1e-9]
    assert len(lids) < len(slits) <= 2 * len(lids), "neighbours share one"
