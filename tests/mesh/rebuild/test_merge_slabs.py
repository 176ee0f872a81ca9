"""Which layers become one: the same figure, straight on, and nothing else."""

import pytest

from foldsketch.mesh.rebuild.merge_slabs import merge_stacked_shapes
from foldsketch.mesh.rebuild.section_shapes import SectionShape
from foldsketch.mesh.rebuild.slabs import ExtrudedShape


def disc(low, high, x=0.0, y=0.0, r=10.0, piece=-1, r_high=None):
    return ExtrudedShape(
        low, high, SectionShape("disc", False, piece, ((x, y, r),)), r, r if r_high is None else r_high
    )


def test_one_disc_goes_on():
    (one,) = merge_stacked_shapes([disc(0, 5), disc(5, 9)], 1e-6)
    assert (one.low, one.high) == (0, 9)


@pytest.mark.parametrize(
    "other",
    [disc(5, 9, x=5.0), disc(5, 9, y=5.0), disc(5, 9, r=11.0), disc(5.1, 9), disc(5, 9, piece=3)],
    ids=["beside in x", "beside in y", "wider", "a gap", "another surface"],
)
def test_what_is_not_the_same_stays_apart(other):
    assert len(merge_stacked_shapes([disc(0, 5), other], 1e-6)) == 2


def test_a_taper_goes_on_only_at_its_slope():
    first = disc(0, 5, r=10.0, r_high=11.0)
    assert len(merge_stacked_shapes([first, disc(5, 10, r=11.0, r_high=12.0)], 1e-6)) == 1
    assert len(merge_stacked_shapes([first, disc(5, 10, r=11.0, r_high=13.0)], 1e-6)) == 2
