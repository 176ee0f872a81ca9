"""Merge features: what a groove or an arm separates in a stack of sections, and a machinist would call one feature."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from foldsketch.mesh.features.part_frame import PartFrame
from foldsketch.part.model import Cylinder, Feature, Plate, Ring

TOUCH_MM = 1e-9
"""Ends of neighbouring features are equal to within this."""


def merge_lands_at_grooves(features: list[Feature]) -> list[Feature]:
    """Two lands with a groove between them become one cylinder with a ring cut out of it.

    Two bores with an inner groove between them one bore.
    """
    out = list(features)
    for groove in features:
        if not groove.name.startswith("groove") or not isinstance(groove.shape, Cylinder):
            continue
        alike = [f for f in out if f.axis == groove.axis and f.cut == groove.cut]
        below, above = _neighbours(alike, groove.start, groove.end)
        if groove.cut and len(below) == len(above) == 1 and below[0].shape == above[0].shape:
            out = _joined(out, below[0], above[0])
        elif not groove.cut and _is_alone(groove, features):
            floor = groove.shape.diameter
            lands = [next((f for f in side if _diameter(f) > floor), None) for side in (below, above)]
            if lands[0] is not None and lands[1] is not None and lands[0].shape == lands[1].shape:
                land = _diameter(lands[0])
                out = [f for f in out if f is not groove and f not in lands]
                ring = Ring(round(max(land * 1.1, land + 2), 1), floor)
                out += [replace(lands[0], end=lands[1].end), replace(groove, shape=ring, cut=True)]
    return out


def _neighbours(features: list[Feature], start: float, end: float) -> tuple[list[Feature], list[Feature]]:
    """Those of features that end where something starts, and those that start where it ends."""
    below = [f for f in features if abs(f.end - start) < TOUCH_MM]
    return below, [f for f in features if abs(f.start - end) < TOUCH_MM]


def _is_alone(groove: Feature, features: list[Feature]) -> bool:
    """Whether no other material is beside a groove's floor."""
    beside = [f for f in features if f.start < groove.end - TOUCH_MM and f.end > groove.start + TOUCH_MM]
    return sum(not f.cut for f in beside) == 1


def _diameter(f: Feature) -> float:
    return f.shape.diameter if isinstance(f.shape, Cylinder) else 0.0


def merge_spigots_through_arms(features: list[Feature], frame: PartFrame) -> list[Feature]:
    """A spigot on both sides of an arm that goes round it goes through the arm."""
    at = {a.name: a.point for a in frame.axes}
    out = list(features)
    for arm in features:
        if arm.cut or not isinstance(arm.shape, Plate):
            continue
        for x, y, r in arm.shape.hull:
            spigots = [
                f
                for f in out
                if not f.cut
                and f.shape == Cylinder(round(2 * r, frame.decimals))
                and hypot(at[f.axis][0] - x, at[f.axis][1] - y) < 1e-3
            ]
            below, above = _neighbours(spigots, arm.start, arm.end)
            if below and above:
                out = _joined(out, below[0], above[0])
    return out


def _joined(features: list[Feature], below: Feature, above: Feature) -> list[Feature]:
    """The features with one made longer, to the end of another, which goes."""
    return [replace(f, end=above.end) if f is below else f for f in features if f is not above]
