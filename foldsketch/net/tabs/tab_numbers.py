"""The number on a tab: as large as fits inside its outline, along its root or, on a steep narrow tab, across it."""

from __future__ import annotations

from math import pi

from foldsketch.base.lettering import UNDERLINE_DROP_SHARE, is_ambiguous_upside_down, text_width
from foldsketch.net.tabs.cut_edges import TabShape

TAB_NUMBER_LAYOUTS = ((2.5, False, 0.3), (1.8, False, 0.3), (1.8, True, 0.3), (1.8, False, -0.35), (1.8, True, -0.35))
"""Capital height, mm, whether the number runs away from the root, and the gap to the slanted sides, mm; the most
readable first. Where nothing else fits, the empty corners of the number's box may reach over a slanted side: figures
are round there."""

TAB_NUMBER_CLEARANCES_MM = 0.3, 0.05
"""Gap to the root and to the far side, mm: wanted, and at least."""

UNDERLINE_CLEARANCE_MM = 0.2
"""mm between the line under a number and what is next to it."""


def place_tab_number(number: int, length: float, shape: TabShape) -> tuple[float, float, float, float]:
    """Where a number goes on a tab: its centre along the root and away from it, its capital height, its turn.

    length: of the root, mm. The height is 0 where no number fits. All in mm, the turn in radians.
    """
    deep, a, b = shape
    text = str(number)
    barred = is_ambiguous_upside_down(text)
    for size, across, beside in TAB_NUMBER_LAYOUTS:
        # The line under an ambiguous number is between it and the root, or at its side.
        bar = UNDERLINE_DROP_SHARE * size + UNDERLINE_CLEARANCE_MM if barred else 0.0
        wide, high = text_width(text, size), size + bar
        if across:
            wide, high = high, wide
            if barred and beside < 0:
                continue  # the line would reach over the side
        gap = TAB_NUMBER_CLEARANCES_MM[beside < 0]
        if high + 2 * gap > deep:
            continue
        # The middle of the tab, or nearer to its root, where it is wider.
        for y in (deep / 2, high / 2 + gap):
            top = y + high / 2
            left, right = a * top / deep, length - b * top / deep
            if right - left >= wide + 2 * beside:
                middle = (left + right) / 2
                return (middle - bar / 2, y, size, pi / 2) if across else (middle, y + bar / 2, size, 0.0)
    return length / 2, deep / 2, 0.0, 0.0
