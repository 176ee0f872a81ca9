"""Densities of the usual materials, kg/m3, each inside the band of published tables.

Bands: Gere, Mechanics of Materials, 5th ed., density table as reproduced in the project's references;
grey iron: a published density table there (6600 to 7400).
"""

from __future__ import annotations

DENSITY_KG_PER_M3: dict[str, float] = {
    "steel": 7850.0,
    "stainless steel": 7900.0,
    "cast iron": 7200.0,
    "grey cast iron": 7150.0,
    "aluminium": 2700.0,
    "aluminum": 2700.0,
    "brass": 8500.0,
    "bronze": 8700.0,
    "copper": 8900.0,
    "titanium": 4500.0,
    "nylon": 1100.0,
    "polyethylene": 960.0,
    "gunmetal": 8700.0,
}
"""Material name (lower case) to density, kg/m3."""


def material_key(name: str) -> str:
    """The name under which a material is looked up.

    >>> material_key("  Grey  Cast iron")
    'grey cast iron'
    """
    return " ".join(name.lower().split())
