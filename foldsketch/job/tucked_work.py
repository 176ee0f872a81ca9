"""The work in what tucks a straight prism together, estimated from its sizes. Lengths paper mm."""

from __future__ import annotations

from foldsketch.assembly.work_time import Work
from foldsketch.net.tucked_tabs import LAND_TRIM_MM, TWO_HOOKS_FROM_MM
from foldsketch.net.unfolding.tucked_prisms import choose_locks, flap_sides

CUT_PER_TONGUE_MM, CUT_PER_FLAP_MM, CUT_PER_LAND_MM = 14.0, 12.0, 22.0
"""What a tongue or hook, a flap or lip, and the land of a seam add to the cut: their sides."""


def tucked_work(sides: int, width: float, height: float, lids: int, strips: int) -> Work | None:
    """Flaps, tongues and slits of a prism, beyond its outlines; None where it is too small and taped.

    width, height: of a wall; lids: ends that are built; strips: nets that its wall is cut into.
    """
    locks = choose_locks(sides, width, height, lids)
    if locks is None:
        return None
    hooks = strips * (2 if height - 2 * LAND_TRIM_MM > TWO_HOOKS_FROM_MM else 1)
    lips = sum(lock != "cap" for lock in locks)
    flaps = sum(len(flap_sides(sides, lock)) for lock in locks)
    tongues = hooks + lips
    cut = (flaps + lips) * CUT_PER_FLAP_MM + strips * CUT_PER_LAND_MM + tongues * CUT_PER_TONGUE_MM
    folds = flaps + lips + strips + tongues + sum(lock == "straight" for lock in locks)
    return Work(cut, folds, 0, 0, tongues=tongues, slits=tongues, flaps=flaps + lips + strips)
