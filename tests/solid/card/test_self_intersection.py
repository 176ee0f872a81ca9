"""Skins whose walls go through each other, and skins that only touch."""

import dataclasses

import numpy as np
import pytest

from foldsketch.part.model import Ring
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.card.self_intersection import skin_self_intersects
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.solid.joining.polyhedron import skin_of_polygons
from solids import BRICK, BRICK_FACES, brick_with_hole, single

SQUARE = [(11, 21), (13, 21), (13, 22), (11, 22)]


@pytest.mark.parametrize(
    ("hole", "bad"),
    [
        (SQUARE, False),
        ([(10, 20), (14, 20), (14, 23), (10, 23)], False),  # no wall is left, but nothing goes through
        ([(9, 21), (13, 21), (13, 22), (9, 22)], True),  # sticks out on the left
        ([(9, 19), (15, 19), (15, 24), (9, 24)], True),  # all round outside
        ([(16, 21), (18, 21), (18, 22), (16, 22)], True),  # beside the brick
        ([(11, 21), (13, 22), (13, 21), (11, 22)], True),  # crosses itself
    ],
)
def test_a_hole_must_stay_within_its_face(hole, bad):
    good = skin_of_polygons(*brick_with_hole(SQUARE))
    moved = np.concatenate((BRICK, [(x, y, z) for z in (30.0, 32.0) for x, y in hole]))
    assert skin_self_intersects(dataclasses.replace(good, corners=moved)) == bad


def stack(low, high):
    """Two bricks in one skin, the second from low to high in y and 10.5 to 13.5 in x, whose z is that of the first."""
    second = np.array([(x, y, z) for z in (31.0, 33.0) for y in (low, high) for x in (10.5, 13.5)])
    corners = np.concatenate((BRICK, second))
    return skin_of_polygons(corners, [*BRICK_FACES, *([[v + 8 for v in loop] for loop in f] for f in BRICK_FACES)])


def test_a_wall_must_not_go_through_another():
    """Each face of both bricks is whole by itself; the upright edges of the upper go through the top of the lower."""
    assert skin_self_intersects(stack(21.0, 22.0))
    assert skin_self_intersects(stack(21.0, 25.0)), "half of it beside"
    assert not skin_self_intersects(stack(24.0, 25.0))
    assert not skin_self_intersects(stack(23.0, 25.0)), "face to face is touching"


def test_a_ring_cannot_be_offset_past_its_own_bore():
    """A ring of 60 and 40 with a wall of 10 mm: its faces can move by 4 mm; by 6 mm they would change places."""
    (block,) = join(facet(single(Ring(60, 40), 30), 1.0, FacetChoice())).blocks
    skin = block.skin
    assert not skin_self_intersects(skin)
    inner = inset_skin(skin, 4.0)
    assert inner is not None and not skin_self_intersects(inner)
    assert inset_skin(skin, 6.0) is None
    assert inset_skin(skin, 16.0) is None, "nor where both ends change places too"
