"""Bodies with bores right through them: what is put together by hand is what the boolean kernel makes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.tolerance import DEFAULT_TOLERANCE
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining import blocks
from foldsketch.solid.joining.blocks import join
from foldsketch.solid.joining.through_bores import bore_through

L_SHAPE = Plate(outline=((-30.0, -30.0), (30.0, -30.0), (30.0, -5.0), (0.0, -5.0), (0.0, 30.0), (-30.0, 30.0)))


BODIES = (Cylinder(60), PrismShape(6, 60), Plate(hull=((-20.0, 0.0, 15.0), (20.0, 0.0, 25.0))), L_SHAPE)


def drilled(body, bores, start=0.0, end=12.0, down=False):
    """A body on A with bores at (x, y, diameter, start, end); down: their axes point down."""
    way = (0.0, 0.0, -1.0 if down else 1.0)
    axes = [Axis("A"), *(Axis(f"B{k}", (x, y, 0.0), way) for k, (x, y, *_) in enumerate(bores))]
    features = [Feature("body", "A", body, start, end)]
    for k, (_, _, d, low, high) in enumerate(bores):
        span = (-high, -low) if down else (low, high)
        features.append(Feature(f"bore {k}", f"B{k}", Cylinder(d), *span, True))
    return Part("drilled", tuple(axes), tuple(features))


def by_hand(part):
    faceted = facet(part, 1.0, FacetChoice())
    body, *bores = faceted.prisms
    return bore_through(body, bores, faceted.datum_direction, DEFAULT_TOLERANCE)


def by_kernel(part):
    faceted = facet(part, 1.0, FacetChoice())
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(blocks, "bore_through", lambda *_: None)
        return join(faceted).blocks


def assert_same(one, two):
    assert one.euler == two.euler
    assert one.volume == pytest.approx(two.volume, rel=1e-12)
    assert np.allclose(one.corners, two.corners, rtol=0, atol=1e-9)
    assert [f[:4] for f in one.faces] == [f[:4] for f in two.faces]
    assert np.allclose([f.normal for f in one.faces], [f.normal for f in two.faces], rtol=0, atol=1e-12)


@given(
    st.sampled_from(BODIES),
    st.lists(
        st.tuples(st.integers(-24, 24), st.integers(-24, 24), st.integers(4, 20), st.just(-1.0), st.just(13.0)),
        min_size=1,
        max_size=4,
    ),
    st.booleans(),
)
def test_bores_right_through_are_what_the_kernel_makes_of_them(body, bores, down):
    part = drilled(body, bores, down=down)
    made = by_hand(part)
    if made is None:
        return
    (block,) = by_kernel(part)
    assert_same(made, block.skin)


def test_of_the_bores_that_touch_nothing_none_takes_a_boolean():
    """So that the test above compares something."""
    made = [by_hand(drilled(body, [(-15, y, 8, -1.0, 13.0)])) for body in BODIES for y in (-9, 0)]
    assert all(skin is not None for skin in made)


@pytest.mark.parametrize("body", BODIES)
def test_a_bore_well_inside_takes_no_boolean(body):
    part = drilled(body, [(-15, -7, 10, 0.0, 12.0), (-15, 5, 6, -1.0, 30.0)])
    made = by_hand(part)
    assert made is not None
    assert_same(made, by_kernel(part)[0].skin)


@pytest.mark.parametrize(
    ("body", "bore"),
    [
        (Cylinder(60), (0, 0, 10, 1.0, 13.0)),  # blind from above
        (Cylinder(60), (0, 0, 10, -1.0, 11.0)),  # blind from below
        (Cylinder(60), (25, 0, 10, -1.0, 13.0)),  # opens through the wall
        (Cylinder(60), (60, 0, 10, -1.0, 13.0)),  # beside the body
        (L_SHAPE, (15, 10, 6, -1.0, 13.0)),  # in the notch of the plate
        (L_SHAPE, (-2, -3, 6, -1.0, 13.0)),  # over its inner corner
        # A corner in the middle of a straight edge: the kernel merges the two sides.
        (
            Plate(outline=((-30.0, -30.0), (0.0, -30.0), (30.0, -30.0), (30.0, 30.0), (-30.0, 30.0))),
            (0, 0, 6, -1.0, 13.0),
        ),
        (Cone(60, 40), (0, 0, 10, -1.0, 13.0)),
        (Ring(60, 20), (20, 0, 10, -1.0, 13.0)),
    ],
)
def test_a_bore_that_touches_a_wall_or_ends_in_the_body_takes_a_boolean(body, bore):
    assert by_hand(drilled(body, [bore])) is None


def test_bores_that_touch_each_other_take_a_boolean():
    assert by_hand(drilled(Cylinder(60), [(-4, 0, 10, -1.0, 13.0), (4, 0, 10, -1.0, 13.0)])) is None


def test_a_slanted_bore_takes_a_boolean():
    axes = (Axis("A"), Axis("B", (0.0, 0.0, 6.0), (0.6, 0.0, 0.8)))
    features = (Feature("body", "A", Cylinder(60), 0, 12), Feature("bore", "B", Cylinder(6), -40, 40, True))
    assert by_hand(Part("slanted", axes, features)) is None
