"""Skins with every face moved inwards by half the card."""

import math

import numpy as np
import pytest

import parts
from foldsketch.base.card import NO_CARD, Card
from foldsketch.part.model import Cone, Cylinder, Ring
from solids import planes, single, with_card

THICK = Card(0.25)


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_every_face_moves_inwards_by_half_the_card(part):
    """The middle of the sheet half a thickness below the surface, so that its outside is the part's surface."""
    before, after = with_card(part, NO_CARD), with_card(part, THICK)
    for a, b in zip(before.blocks, after.blocks, strict=True):
        for k, f in enumerate(a.skin.faces):
            for loop in f.loops:
                d = (b.skin.corners[list(loop)] - a.skin.corners[list(loop)]) @ f.normal
                assert d == pytest.approx(np.full(len(loop), -0.125), abs=1e-9), k


def test_a_bore_gets_wider_on_paper_and_a_spigot_narrower():
    """A tube folded from a net N across flats is N - T inside and N + T outside, so the bore's net is T wider than the
    hole and the spigot's T narrower than itself."""
    sleeve, plain = (with_card(single(Ring(60, 30), 40), c).blocks[0].skin for c in (THICK, NO_CARD))
    for f, now, was in zip(plain.faces, planes(sleeve)[:, 3], planes(plain)[:, 3], strict=True):
        if f.kind == "side" and was < 0:  # the sides of the bore face the axis
            assert -2 * now - 0.25 == pytest.approx(-2 * was)
        elif f.kind == "side":
            assert 2 * now + 0.25 == pytest.approx(2 * was)


def test_volume_shrinks_by_the_surface():
    """A prism n-gon R, h: (A - P t/2 + ...) (h - t), exactly the smaller prism's volume."""
    skin = with_card(single(Cylinder(40), 30), THICK, sides=12, radius_rule="outside").blocks[0].skin
    inradius = 20 - 0.125
    assert skin.volume == pytest.approx(12 * inradius**2 * math.tan(math.pi / 12) * (30 - 0.25), rel=1e-12)


def test_the_point_of_a_cone_moves_along_its_axis():
    """All sides of a pyramid move by the same distance, so they still meet in one point."""
    skin = with_card(single(Cone(40, 0), 30), THICK).blocks[0].skin
    top = skin.corners[skin.corners[:, 2].argmax()]
    assert top[:2] == pytest.approx([0, 0], abs=1e-9)
    assert top[2] < 30 - 0.125
