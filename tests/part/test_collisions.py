"""What runs into its neighbour. Every case is drawn up from distances and radii in the head [D]."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.collisions import find_collisions
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate

FLANGE = Feature("flange", "A", Cylinder(100), 0, 10)
BOSS = Feature("boss", "B", Cylinder(30), 10, 40)


def part(*features, at=20.0):
    """Axis B at 20 from A, C where it is said, D across."""
    places = (Axis("A"), Axis("B", (20.0, 0.0, 0.0)), Axis("C", (at, 0.0, 0.0)), Axis("D", direction=(1.0, 0.0, 0.0)))
    return Part("p", places, features)


def hole(d, low=-1.0, high=11.0, axis="C"):
    return Feature("hole", axis, Cylinder(d), low, high, cut=True)


def told(*features, at=20.0):
    return [(f.code, f.where, *(v for _, v in f.values)) for f in find_collisions(part(*features, at=at))]


@pytest.mark.parametrize(
    ("features", "at", "expected"),
    [
        # The flange ends at 50: a hole of 10 at 44 leaves 1 mm, one at 46 is open by 1 mm.
        ((FLANGE, hole(10)), 44, []),
        ((FLANGE, hole(10)), 46, [("hole-breaks-out", "feature 'hole'", "flange")]),
        ((FLANGE, hole(10)), 54, [("hole-cuts-side", "feature 'hole'", "flange")]),
        # The boss reaches from 5 to 35: at -1 a hole of 10 ends 1 mm before it, at 1 it takes 1 mm of its foot.
        ((FLANGE, BOSS, hole(10)), -1, []),
        ((FLANGE, BOSS, hole(10)), 1, [("hole-cuts-side", "feature 'hole'", "boss")]),
        ((FLANGE, BOSS, hole(10, high=10)), 1, []),
        ((FLANGE, BOSS, hole(10)), 20, []),
        # Past the rim, but a rib beside it may be meant to hold it.
        ((FLANGE, Feature("rib", "C", Plate(hull=((0, 0, 20), (20, 0, 5))), 0, 10), hole(10)), 46, []),
        ((FLANGE, hole(10, axis="D")), 46, []),
    ],
)
def test_holes_and_the_material_around(features, at, expected):
    assert told(*features, at=at) == expected


def test_two_holes_meet():
    first = Feature("bore", "B", Cylinder(20), -1, 11, cut=True)
    assert told(FLANGE, first, hole(10), at=36) == []  # 16 apart, 10 + 5 wide: a web of 1 mm
    assert told(FLANGE, first, hole(10), at=34) == [("holes-meet", "feature 'hole'", "bore")]
    assert told(FLANGE, first, hole(10), at=22) == [], "one inside the other, as a counterbore is"
    assert told(FLANGE, first, hole(10, low=12, high=20), at=34) == [], "one above the other"


def test_two_bosses_merge():
    other = Feature("other", "C", Cylinder(20), 10, 30)
    assert told(FLANGE, BOSS, other, at=46) == []  # 26 apart, 15 + 10 wide
    assert told(FLANGE, BOSS, other, at=44) == [("bosses-merge", "feature 'other'", "boss")]
    assert told(FLANGE, BOSS, other, at=21) == [], "one inside the other"
    assert told(FLANGE, BOSS, Feature("top", "C", Cylinder(20), 40, 50), at=44) == [], "one on the other"


@given(st.floats(0, 80), st.floats(1, 60))
def test_a_hole_in_a_flange_is_told_when_its_circle_crosses_the_rim(at, d):
    """Both circles share a rim point if and only if the distance is between difference and sum of the radii [D]."""
    crosses = abs(50 - d / 2) + 1e-3 < at < 50 + d / 2 - 1e-3
    clear = at < 50 - d / 2 - 1e-3 or at > 50 + d / 2 + 1e-3
    if crosses or clear:
        assert bool(told(FLANGE, hole(d), at=at)) == crosses
