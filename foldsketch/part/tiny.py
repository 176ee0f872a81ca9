"""Tiny steps: what is too small to fold on paper is merged into its neighbour or left out, and told."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from foldsketch.base.findings import Finding
from foldsketch.base.units import format_number
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring


def remove_tiny_steps(part: Part, least: float, scale: float = 1.0) -> tuple[Part, tuple[Finding, ...]]:
    """The part without steps smaller than least mm on paper, and a note for each that went.

    A step is the difference of radius of two coaxial rounds that touch, or the length of one. The shorter round takes
    the longer one's radius; a cone as slight becomes part of its neighbour; grooves and bores as slight are left out.
    scale: paper mm per part mm.
    """
    least /= scale
    features = list(part.features)
    notes: list[Finding] = []

    def told(f: Feature, what: str) -> None:
        cure = "leave --least-step out to have it"
        notes.append(Finding("note", f"feature '{f.name}'", what, cure))

    for f in list(features):
        small = _tiny_cut_reason(f, least)
        if small:
            features.remove(f)
            told(f, f"is left out: {small} {format_number(least * scale, 2)} mm on paper")
    merged = True
    while merged:
        merged = False
        for f in sorted(features, key=lambda f: f.length):
            other = _find_absorbing_cylinder(part, f, features, least)
            if other is not None:
                grown = replace(other, start=min(other.start, f.start), end=max(other.end, f.end))
                features = [grown if g is other else g for g in features if g is not f]
                told(
                    f, f"is merged into '{other.name}': its step is below {format_number(least * scale, 2)} mm on paper"
                )
                merged = True
                break
    if not any(not f.cut for f in features):
        return part, ()
    return part.with_features(tuple(features)), tuple(notes)


def _tiny_cut_reason(f: Feature, least: float) -> str:
    """Why a cut is too slight, or nothing."""
    if not f.cut:
        return ""
    match f.shape:
        case Ring(d, bore):
            if (d - bore) / 2 < least:
                return "its depth is below"
            if f.length < least:
                return "its width is below"
        case Cylinder(d) if d < least:
            return "its diameter is below"
    return ""


def _find_absorbing_cylinder(part: Part, f: Feature, features: list[Feature], least: float) -> Feature | None:
    """The longest round that a slight one goes into: coaxial, both material or both cut, touching, and either no more
    than a step apart or much the longer. A thin flange that holds what stands on another axis stays."""
    if not isinstance(f.shape, Cylinder | Cone):
        return None
    near = [
        g
        for g in features
        if g is not f
        and isinstance(g.shape, Cylinder)
        and g.cut == f.cut
        and g.length >= f.length
        and _coaxial(part, f, g)
        and (abs(g.start - f.end) < 1e-6 or abs(g.end - f.start) < 1e-6)
        and (_radius_step(f, g) < least or (f.length < least and not _supports_another_axis(part, f, features)))
    ]
    return max(near, key=lambda g: (g.length, g.name), default=None)


def _supports_another_axis(part: Part, f: Feature, features: list[Feature]) -> bool:
    """True when material on an axis beside a round's own touches the round: without it that would hang in the air."""
    a = part.axis(f.axis)
    for g in features:
        b = part.axis(g.axis)
        if g is f or g.cut or f.cut or _coaxial(part, f, g):
            continue
        along = sum(u * v for u, v in zip(a.direction, b.direction, strict=True))
        if abs(along) < 1 - 1e-9:
            return True
        w = [q - p for p, q in zip(a.point, b.point, strict=True)]
        shift = sum(x * u for x, u in zip(w, a.direction, strict=True))
        beside = hypot(*(x - shift * u for x, u in zip(w, a.direction, strict=True)))
        low, high = sorted((shift + along * g.start, shift + along * g.end))
        # Coaxial in fact, though by an axis of its own, it is a neighbour like any other.
        if 1e-6 < beside < f.radius + g.radius and low <= f.end + 1e-6 and high >= f.start - 1e-6:
            return True
    return False


def _radius_step(f: Feature, g: Feature) -> float:
    """Largest difference of radius between a round and a cylinder, mm."""
    match f.shape:
        case Cone(a, b):
            radii = [a / 2, b / 2]
        case _:
            radii = [f.radius]
    return max(abs(r - g.radius) for r in radii)


def _coaxial(part: Part, f: Feature, g: Feature) -> bool:
    """True for the same axis by name, or one that lies on it with the same direction and origin."""
    a, b = part.axis(f.axis), part.axis(g.axis)
    return a is b or (
        a.direction == b.direction and hypot(*(p - q for p, q in zip(a.point, b.point, strict=True))) < 1e-9
    )
