"""Densities lie in published bands."""

import pytest

from foldsketch.part.material import DENSITY_KG_PER_M3

# Gere, Mechanics of Materials, 5th ed., density table; grey iron: a published density table (references, section 7).
BANDS = {
    "steel": (7850, 7850), "cast iron": (7000, 7400), "grey cast iron": (6600, 7400), "aluminium": (2700, 2800),
    "aluminum": (2700, 2800), "brass": (8400, 8600), "bronze": (8200, 8800), "gunmetal": (8200, 8800),
    "copper": (8900, 8900), "titanium": (4500, 4500), "nylon": (880, 1100), "polyethylene": (960, 1400),
    "stainless steel": (7480, 8000),
}  # fmt: skip


@pytest.mark.parametrize("name", DENSITY_KG_PER_M3)
def test_default_densities_lie_in_the_published_bands(name):
    low, high = BANDS[name]
    assert low <= DENSITY_KG_PER_M3[name] <= high
