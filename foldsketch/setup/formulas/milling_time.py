"""Drilling and milling time: holes, rounds and faces by a drill or a driven cutter, minutes.

Plain cutting formulas; constants common practice or from memory [M].
"""

from __future__ import annotations

from math import ceil, pi

from foldsketch.part.cutting import CuttingData
from foldsketch.setup.formulas.turning_time import RUN_IN_MM, CutTime, speed_for
from foldsketch.setup.formulas.work_limits import Cap

PECK_FACTORS = ((3.0, 1.0), (5.0, 1.3), (float("inf"), 1.6))
"""Depth over diameter up to which a hole takes so many times the time of an uninterrupted one [M]."""

DRILL_POINT_SHARE = 0.3
"""Length of a drill's point over its diameter: 118 degrees [D: tan 31 degrees / 2]."""

NEXT_HOLE_MIN = 0.03
"""Minutes to the next hole of a pattern [M]."""

CUTTER_TEETH = 4
"""Teeth of a driven cutter [M]."""

OUTSIDE_LEVEL_SHARE, OUTSIDE_WIDTH_SHARE = 1.5, 0.3
"""Height and width of cut over the cutter's diameter when milling around a diameter [M]."""

MILLING_FINISH_MM = 0.2
"""Left a side for the finishing turn of a cutter [M]."""

FACE_WIDTH_SHARE, FACE_LAYER_MM = 0.75, 2.0
"""Width of cut over the cutter's diameter, and height of a layer, when milling a face [M]."""

MIN_NEIGHBOUR_GAP_MM, MAX_CUTTER_STICK_OUT = 0.5, 5.0
"""Least clearance of a cutter beside a neighbour, mm; most stick-out over its diameter [C]."""


def drill(diameter: float, depth: float, data: CuttingData, cap: Cap, holes: int = 1) -> CutTime:
    """Drilling equal holes: peck (L + 0.3 d + 2) / (f n) each, f = k d, and the moves between them."""
    wanted = speed_for(data.drill_speed, diameter)
    found = min(Cap(wanted, "cut"), cap, key=lambda c: c.speed)
    peck = next(factor for most, factor in PECK_FACTORS if depth / diameter <= most)
    feed = data.drill_feed * diameter
    one = peck * (depth + DRILL_POINT_SHARE * diameter + RUN_IN_MM) / (feed * found.speed)
    minutes = holes * one + (holes - 1) * NEXT_HOLE_MIN
    return CutTime(minutes, holes, depth, (found.speed,), *found, wanted)


def drill_torque(diameter: float, data: CuttingData) -> float:
    """Torque of a drill, N m: k_c f d2 / 8 [two edges, each half the feed, at a quarter of the diameter; D].

    >>> from foldsketch.part.cutting import CUTTING_DATA
    >>> round(drill_torque(16, CUTTING_DATA["grey cast iron"]), 1)
    12.3
    """
    return data.force * data.drill_feed * diameter * diameter**2 / 8 / 1000


def _cutter(diameter: float, data: CuttingData, cap: Cap) -> tuple[float, Cap]:
    """Feed of a cutter, mm/min, and its speed."""
    found = min(Cap(speed_for(data.mill_speed, diameter), "cut"), cap, key=lambda c: c.speed)
    return CUTTER_TEETH * data.mill_feed * diameter * found.speed, found


def _milled(minutes: float, turns: int, stock: float, cutter: float, data: CuttingData, found: Cap) -> CutTime:
    return CutTime(minutes, turns, stock, (found.speed,), *found, speed_for(data.mill_speed, cutter))


def mill_outside(diameter: float, height: float, stock: float, cutter: float, data: CuttingData, cap: Cap) -> CutTime:
    """Milling around a diameter. The feed counts at the finished surface, so a turn takes pi d / F whatever the cutter.

    turns: ceil(h / 1.5 d_c) levels x ceil((stock - 0.2) / 0.3 d_c) widths, and one to finish.
    """
    feed, found = _cutter(cutter, data, cap)
    levels = ceil(height / (OUTSIDE_LEVEL_SHARE * cutter) - 1e-9)
    widths = max(0, ceil((stock - MILLING_FINISH_MM) / (OUTSIDE_WIDTH_SHARE * cutter) - 1e-9))
    turns = levels * widths + 1
    return _milled(turns * pi * diameter / feed, turns, stock, cutter, data, found)


def mill_bore(diameter: float, height: float, cutter: float, data: CuttingData, cap: Cap) -> CutTime:
    """Milling a drilled bore to size: ceil(h / d_c) levels, each roughed and finished."""
    feed, found = _cutter(cutter, data, cap)
    turns = 2 * ceil(height / cutter - 1e-9)
    return _milled(turns * pi * diameter / feed, turns, 0.0, cutter, data, found)


def mill_face(area: float, stock: float, cutter: float, data: CuttingData, cap: Cap) -> CutTime:
    """Milling a face: area / (0.75 d_c) / F for each layer of 2 mm."""
    feed, found = _cutter(cutter, data, cap)
    layers = max(1, ceil(stock / FACE_LAYER_MM - 1e-9))
    minutes = layers * area / (FACE_WIDTH_SHARE * cutter) / feed
    return _milled(minutes, layers, stock, cutter, data, found)


def largest_cutter(gap: float, stick_out: float, cutters: tuple[float, ...]) -> float | None:
    """The largest cutter, mm, that goes between a diameter and its neighbour and reaches far enough; None for none.

    gap: mm to the neighbour's finished diameter. d_c <= gap - 0.5, stick-out <= 5 d_c.

    >>> largest_cutter(9.0, 34.0, (4.0, 6.0, 8.0, 10.0))
    8.0
    """
    fitting = [c for c in cutters if c <= gap - MIN_NEIGHBOUR_GAP_MM and stick_out <= MAX_CUTTER_STICK_OUT * c]
    return max(fitting, default=None)


def milling_torque(height: float, width: float, cutter: float, data: CuttingData) -> float:
    """Torque of a cutter, N m: power a_p a_e F k_c over the angular speed [D]; F / n is the feed a turn.

    height, width: of the cut, mm.
    """
    return height * width * CUTTER_TEETH * data.mill_feed * cutter * data.force / (2 * pi) / 1000
