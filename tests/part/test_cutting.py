"""Cutting data: the table of the set-up reference, section 2 [M], and the bands that handbooks give."""

import pytest

from foldsketch.part.cutting import CUTTING_DATA
from foldsketch.part.material import DENSITY_KG_PER_M3


def test_every_material_with_cutting_data_has_a_density():
    assert CUTTING_DATA.keys() <= DENSITY_KG_PER_M3.keys()


@pytest.mark.parametrize("name", CUTTING_DATA)
def test_finishing_is_faster_and_finer_than_roughing(name):
    data = CUTTING_DATA[name]
    assert data.finish_speed > data.rough_speed
    assert data.finish_feed < data.rough_feed
    assert data.drill_speed < data.rough_speed


def test_specific_cutting_forces_lie_in_their_bands():
    """N/mm2 at usual feeds [M: handbook tables]: aluminium and free-cutting brass 600 to 900, bronze 700 to 1300, iron
    1100 to 1700, plain steel 1700 to 2500, austenitic steel 2200 to 2900."""
    bands = {"aluminium": (600, 900), "brass": (600, 900), "bronze": (700, 1300), "grey cast iron": (1100, 1700),
             "steel": (1700, 2500), "stainless steel": (2200, 2900)}  # fmt: skip
    for name, (low, high) in bands.items():
        assert low <= CUTTING_DATA[name].force <= high
