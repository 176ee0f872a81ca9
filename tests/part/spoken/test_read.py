"""A part from spoken lines: sizes as they were said, in mm; what cannot be understood is an error with its line."""

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.spoken.read import read_spoken

SAID = "flange 4 x 0.5; inlet 2 x 1 at 0.75, 90 deg; name Drain cover"


def test_inches_are_turned_to_mm():
    """One inch is 25.4 mm exactly."""
    part, _ = read_spoken(SAID, "in")
    assert part.name == "Drain cover" and part.units == "in"
    flange, inlet = part.features
    assert flange.shape.diameter == pytest.approx(101.6) and inlet.shape.diameter == pytest.approx(50.8)
    assert part.axis("B").point[:2] == pytest.approx((0, 19.05), abs=1e-9)


def test_every_line_that_is_not_understood_is_told():
    with pytest.raises(FoldsketchError) as why:
        read_spoken("flange 90 x; boss 20 x 10; nut 30 y 4")
    assert [f.where for f in why.value.findings] == ["'flange 90 x'", "'nut 30 y 4'"]


def test_another_unit_is_refused():
    with pytest.raises(FoldsketchError, match="ft"):
        read_spoken("flange 90 x 12", "ft")


def test_a_material_alone_and_an_offset_are_understood():
    part, _ = read_spoken("drive end 25 x 40; pin 20 x 30 offset 6, 90 deg; Cast iron")
    assert part.material == "Cast iron"
    assert part.axis("B").point[:2] == pytest.approx((0, 6), abs=1e-9)
