"""Verdict: whether a model may stand for its file: an error beyond limits, a warning between, else nothing."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from foldsketch.base.findings import Finding, FoldsketchError, mm, percent
from foldsketch.mesh.comparison import messages
from foldsketch.mesh.comparison.compare import Comparison
from foldsketch.mesh.features.mesh_reading import MeshReading

MAX_VOLUME_OFF, MAX_DISTANCE_OFF = 0.02, 0.01
"""Share of the volume, and of the box's diagonal, beyond which a model is wrong."""

NEAR_VOLUME_OFF, NEAR_DISTANCE_OFF = 0.01, 0.005
"""The same from which on there is a warning."""

PANEL_VOLUME_OFF, PANEL_DISTANCE_OFF = 9.7, 1.4
"""What n equal triangles in a ball are off, times n: share of its volume, and of its box's diagonal.

A triangle of side a on a ball of radius R has a circle of radius a / sqrt 3 around it, so that its middle is
a2 / (6 R) inside; n of them have the ball's area: a2 = 16 pi R2 / (n sqrt 3). That makes 4.84 R / n. The
area is less by the same share, and the volume by both.
"""

UNLIKE_CODES = frozenset(m.code for m in (messages.MISSING, messages.FILLED, messages.WRONG_VOLUME))
"""Codes of the errors about a model that is wrong."""


def verdict(where: str, compared: Comparison, panels: int = 0) -> Finding | None:
    """The error or warning about a model. panels: how many flat ones it has, 0 for a rebuilt part."""
    more_volume, more_distance = (PANEL_VOLUME_OFF / panels, PANEL_DISTANCE_OFF / panels) if panels else (0.0, 0.0)
    volume, distance = compared.volume_off - more_volume, compared.distance_off - more_distance
    values = {"volume": percent(compared.true_volume, 1), "deviation": mm(compared.max_distance)}
    place = compared.place
    at = {} if place is None else {"what": place.what, "low": mm(place.low), "high": mm(place.high)}
    if volume > MAX_VOLUME_OFF or distance > MAX_DISTANCE_OFF:
        if place is None or distance <= NEAR_DISTANCE_OFF:
            return messages.WRONG_VOLUME.at(where, **values)
        return (messages.MISSING if place.missing else messages.FILLED).at(where, **at, **values)
    if place is not None and distance > NEAR_DISTANCE_OFF:
        return messages.OFF_AT.at(where, **at, **values)
    if volume > NEAR_VOLUME_OFF:
        return messages.OFF_IN_VOLUME.at(where, **values)
    return None


def require_likeness(where: str, compared: Comparison, anyway: bool, panels: int = 0) -> tuple[Finding, ...]:
    """The warning about a model that is off, if any. Raises FoldsketchError for one that is wrong, unless anyway."""
    found = verdict(where, compared, panels)
    if found is None:
        return ()
    if found.level == "error" and not anyway:
        raise FoldsketchError(found)
    return (replace(found, level="warning"),)


def mesh_lies_on_part(reading: MeshReading, compared: Comparison) -> bool:
    """Whether all that a mesh has is on the rebuilt part; of a mesh with holes its volume says nothing.

    Space that the mesh has and the part fills, or material that the part lacks, would have walls off the part.
    """
    off = compared.mesh_to_part_max - compared.mesh_chord_error
    on_part = off <= MAX_DISTANCE_OFF * hypot(*reading.size)
    return on_part and (not reading.watertight or verdict(reading.name, compared) is None)
