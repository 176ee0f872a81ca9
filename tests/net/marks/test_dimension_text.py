"""Names and sizes as they are written on paper."""

import pytest

from foldsketch.net.marks.dimension_text import length_text, name_and_size
from foldsketch.part.model import Cone, Cylinder, Feature, Plate, PrismShape, Ring


@pytest.mark.parametrize(
    ("shape", "mm", "inches"),
    [
        (Cylinder(25.4), "Ø25.4", "Ø1 in"),
        (Cone(50.8, 25.4), "Ø50.8 to Ø25.4", "Ø2 in to Ø1 in"),
        (Ring(50.8, 12.7), "Ø50.8 / Ø12.7", "Ø2 in / Ø0.5 in"),
        (PrismShape(4, 25.4), "square 25.4", "square 1 in"),
        (PrismShape(6, 25.4), "hexagon 25.4", "hexagon 1 in"),
        (PrismShape(8, 25.4), "8 flats 25.4", "8 flats 1 in"),
        (Plate(outline=((0, 0), (9, 0), (0, 9))), "25.4 thick", "1 in thick"),
        (Plate(), "", ""),
    ],
    ids=lambda v: type(v).__name__,
)
def test_a_size_is_written_as_in_the_trade_in_the_parts_units(shape, mm, inches):
    feature = Feature("boss", "A", shape, 0, 25.4)
    assert name_and_size(feature, "mm") == ("boss", mm)
    assert name_and_size(feature, "in") == ("boss", inches)


def test_lengths_are_rounded_to_what_a_rule_shows():
    assert [length_text(v, "mm") for v in (12.0, 12.345, 0.004)] == ["12 mm", "12.35 mm", "0 mm"]
    assert length_text(12.7, "in") == "0.5 in"
