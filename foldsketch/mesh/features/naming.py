"""Naming: measured features get the trade's names and their order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from foldsketch.mesh.features.mesh_reading import MeasuredFeature

MAX_POINT_RATIO = 0.12
"""Small end over large end of a cone up to which it is a point."""

MIN_ROUND_DEGREES = 200.0
"""A cylinder that covers less of the turn is the end of a slot or of an arm."""

MAX_DISC_RATIO = 0.35
"""Length over diameter below which a cylinder is a disc."""

MAX_GROOVE_RATIO = 0.7
"""Length of a groove over that of the cylinder it is in."""


def name_features(
    features: tuple[MeasuredFeature, ...], tolerance: float, bolts: set[int], circles: Mapping[str, float]
) -> tuple[MeasuredFeature, ...]:
    """Features with names, ordered by axis, then along it; faces last.

    bolts: numbers of those in bolt circles; circles: axis of each circle to the diameter that its holes reach to, mm.
    """
    words = []
    for i, m in enumerate(features):
        word = _feature_word(m, features, tolerance)
        if i in bolts and m.kind == "cylinder":
            word = "bolt hole" if m.inner else "pad"
        elif word == "disc" and m.diameter > circles.get(m.axis, m.diameter):
            word = "flange"
        words.append(word)
    total = Counter(words)
    count: Counter[str] = Counter()
    out = []
    for i in sorted(range(len(features)), key=lambda i: _sort_key(features[i])):
        word = words[i]
        count[word] += 1
        alone = total[word] == 1 and word != "face"
        out.append(replace(features[i], name=word if alone else f"{word} {count[word]}"))
    return tuple(out)


def _sort_key(m: MeasuredFeature) -> tuple[int, int, str, float, float]:
    if m.kind == "plane":
        return (2, 0, "", -m.area, 0.0)
    late = 0 if m.role in ("feature", "draft") else 1
    return (late, len(m.axis) or 99, m.axis, m.start, -m.diameter)


def _feature_word(m: MeasuredFeature, features: tuple[MeasuredFeature, ...], tolerance: float) -> str:
    """What a feature is called. tolerance: mm that its ends may be off."""
    if m.role in ("fillet", "chamfer"):
        return m.role
    if m.role == "rounding":
        return "rounded edge"
    match m.kind:
        case "plane":
            return "face"
        case "sphere":
            return "hollow ball" if m.inner else "ball"
        case "torus":
            return "torus groove" if m.inner else "torus"
        case "cone":
            return _cone_word(m)
    if m.covered_degrees < MIN_ROUND_DEGREES:
        return "slot end" if m.inner else "round end"
    if _is_groove(m, features, tolerance):
        return "groove"
    if m.inner:
        return "bore"
    return "disc" if m.length < MAX_DISC_RATIO * m.diameter else "spigot"


def _cone_word(m: MeasuredFeature) -> str:
    if m.role == "draft":
        return "drafted bore" if m.inner else "drafted spigot"
    if min(m.diameter, m.end_diameter) < MAX_POINT_RATIO * max(m.diameter, m.end_diameter):
        return "drill point" if m.inner else "point"
    return "countersink" if m.inner else "taper"


def _is_groove(m: MeasuredFeature, features: tuple[MeasuredFeature, ...], tolerance: float) -> bool:
    """Whether a cylinder is within another one of its axis, deeper in the material."""
    for other in features:
        if other is m or other.kind != "cylinder" or other.axis != m.axis or not m.axis or other.inner != m.inner:
            continue
        deeper = m.diameter > other.diameter if m.inner else m.diameter < other.diameter
        inside = other.start + tolerance < m.start and m.end < other.end - tolerance
        if deeper and inside and other.covered_degrees > 300 and m.length < MAX_GROOVE_RATIO * other.length:
            return True
    return False
