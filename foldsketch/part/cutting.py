"""Cutting data of the usual materials with carbide tools: a start for cutting times, to be replaced by the shop's own.

All figures are from memory [M], the middle of what handbooks give for roughing and finishing with coated carbide, and
right to perhaps a third. Other materials have none: their times and cutting speeds stay unknown.
"""

from __future__ import annotations

from typing import NamedTuple


class CuttingData(NamedTuple):
    """rough_speed, finish_speed: m/min.

    Rough_feed, finish_feed: mm a turn; depth: most a roughing pass takes, mm; force: N per mm2 of chip section
    (specific cutting force); drill_speed: m/min; drill_feed: mm a turn over the drill's diameter; mill_speed: m/min;
    mill_feed: mm a tooth over the cutter's diameter.
    """

    rough_speed: float
    finish_speed: float
    rough_feed: float
    finish_feed: float
    depth: float
    force: float
    drill_speed: float
    drill_feed: float
    mill_speed: float
    mill_feed: float


_GREY_IRON = CuttingData(120, 160, 0.25, 0.12, 2, 1500, 70, 0.016, 110, 0.0050)
_STEEL = CuttingData(150, 200, 0.25, 0.12, 2, 2200, 80, 0.013, 120, 0.0045)
_STAINLESS = CuttingData(100, 130, 0.20, 0.10, 1.5, 2600, 45, 0.010, 70, 0.0040)
_BRONZE = CuttingData(150, 200, 0.20, 0.10, 2, 1100, 80, 0.014, 150, 0.0050)
_BRASS = CuttingData(200, 280, 0.25, 0.12, 2.5, 750, 120, 0.018, 200, 0.0060)
_ALUMINIUM = CuttingData(400, 600, 0.30, 0.15, 3, 800, 150, 0.020, 300, 0.0060)

CUTTING_DATA: dict[str, CuttingData] = {
    "grey cast iron": _GREY_IRON,
    "cast iron": _GREY_IRON,
    "steel": _STEEL,
    "stainless steel": _STAINLESS,
    "brass": _BRASS,
    "bronze": _BRONZE,
    "gunmetal": _BRONZE,
    "aluminium": _ALUMINIUM,
    "aluminum": _ALUMINIUM,
}
"""Material name (lower case) to its cutting data; gunmetal is a tin bronze, brass the free-cutting kind."""
