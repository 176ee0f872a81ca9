"""Card by published figures: bend allowance, thickness by grammage, and the folded prism's measures.

Machinery's Handbook 31, p. 1421 (bend allowance); ISO 534 (thickness in um = grammage x bulk); the folded prism's
figures and the scored fold's are derived from the geometry of a sheet that folds along its middle.
"""

import math

import numpy as np
import pytest

from foldsketch.base import card as c
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Axis, Feature, Part, PrismShape
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join


def prism(sides, across):
    """The skin of a prism with true flats."""
    part = Part("p", (Axis("A"),), (Feature("p", "A", PrismShape(sides, across), 0, 30),))
    return join(facet(part, 1.0, FacetChoice())).blocks[0].skin


def girth(skin):
    """Length round an end."""
    corners = skin.corners[list(next(f for f in skin.faces if f.kind == "end").loops[0])]
    return float(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1).sum())


def flats(skin):
    """Across flats: twice the distance of a side from the axis."""
    side = next(f for f in skin.faces if f.kind == "side")
    return 2 * float(skin.corners[side.loops[0][0]] @ side.normal)


HALF_HARD = 0.64 / (math.pi / 2)
"""Handbook: 0.64 T + 1.57 R for soft steel, half-hard copper and brass; as a share of the thickness."""


def test_the_handbooks_example():
    """Soft steel 1/8 in, 3.5 in straight, 180 degrees about 3/8 and 60 degrees about 5/8: 1.338 + 0.707 + 3.5 in.
    The Handbook rounds 1.5708 to 1.57."""
    one = c.bend_allowance(math.pi, 0.375, 0.125, HALF_HARD)
    two = c.bend_allowance(math.pi / 3, 0.625, 0.125, HALF_HARD)
    assert one == pytest.approx(1.338, abs=1e-3)
    assert two == pytest.approx(0.707, abs=1e-3)
    assert one + two + 3.5 == pytest.approx(5.545, abs=1.5e-3)


@pytest.mark.parametrize(("constant", "share"), [(0.55, 0.3501), (0.64, 0.4074), (0.71, 0.4520)])
def test_the_handbooks_constants_as_shares(constant, share):
    thickness = 2.0
    assert c.bend_allowance(math.pi / 2, 0.0, thickness, share) == pytest.approx(constant * thickness, abs=2e-3)


@pytest.mark.parametrize(("thickness", "allowance"), [(0.10, 0.0785), (0.20, 0.157), (0.25, 0.196), (0.30, 0.236)])
def test_a_scored_fold(thickness, allowance):
    """Inner radius 0, neutral line in the middle: pi T / 4 for a right angle."""
    assert c.bend_allowance(math.pi / 2, 0.0, thickness) == pytest.approx(allowance, abs=5e-4)


def test_setback_and_deduction():
    """Standard: OSSB = (R + T) tan(A/2); BD = 2 OSSB - BA. For a right angle, R 0: BD = 2 T - pi T / 4."""
    deduction = 2 - math.pi / 4
    # Each leg is measured outside, half a thickness beyond the middle on which it is drawn.
    assert c.crease_length_error(math.pi / 2, 1.0) == pytest.approx(deduction - 1.0)


@pytest.mark.parametrize(("sides", "thickness", "excess"), [(6, 0.1, 0.3464), (8, 0.25, 0.8284)])
def test_a_folded_prism_is_longer_round_outside(sides, thickness, excess):
    """So much shorter the middle is drawn than the outside is to be: n T tan(pi / n)."""
    before = prism(sides, 40.0)
    after = inset_skin(before, thickness / 2)
    assert girth(before) - girth(after) == pytest.approx(excess, abs=5e-5)


def test_a_folded_prism_across_flats():
    """Folded of a net that is drawn 40 across flats, card of 0.25 mm comes out 39.75 inside and 40.25 outside; drawn at
    39.75 it comes out 40."""
    assert flats(inset_skin(prism(6, 40.0), 0.125)) == pytest.approx(39.75)
    assert flats(inset_skin(prism(6, 40.25), 0.125)) == pytest.approx(40.0)


@pytest.mark.parametrize("grammage", [80, 160, 200, 250, 300])
def test_thickness_by_grammage(grammage):
    """Bulk between 0.8 and 1.5 cm3/g covers papers and boards."""
    made = c.parse_card(f"{grammage}gsm")
    assert 0.8 <= made.thickness * 1000 / grammage <= 1.5
    assert made.grammage == grammage


@pytest.mark.parametrize("text", ["0.25mm", "0,25 mm", "0.25MM", "250um"])
def test_a_thickness_is_read(text):
    assert c.parse_card(text).thickness == pytest.approx(0.25)


@pytest.mark.parametrize("text", ["", "card", "160", "5mm", "-1mm", "1e300gsm", "nanmm", "0.001mm"])
def test_what_is_no_card_is_refused(text):
    with pytest.raises(FoldsketchError) as caught:
        c.parse_card(text)
    assert caught.value.findings[0].code in ("card-unknown", "card-thickness")


def test_none_is_none():
    assert not c.parse_card("0mm")
