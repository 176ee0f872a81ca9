"""Rebuild: a reading becomes a part — discs, bores, plates, prisms and rings, by slicing along the main direction."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import numpy as np

from foldsketch.base.findings import Finding, input_error
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.part_frame import PartFrame, find_part_frame
from foldsketch.mesh.rebuild.cross_features import cross_features
from foldsketch.mesh.rebuild.merge_slabs import merge_stacked_shapes
from foldsketch.mesh.rebuild.slabs import ExtrudedShape, SlabBuilder
from foldsketch.part.model import Cone, Cylinder, Feature, FeatureShape, Part, Plate, PrismShape, Ring


def rebuild(reading: MeshReading, keep: bool | None = None) -> tuple[Part, tuple[Finding, ...]]:
    """The part that the user would have typed, and what is to be told about how it was made.

    keep: fillets, chamfers and draft stay (None: as they were read). The datum is axis A along z; material comes first,
    then cuts, so that every cut is really empty. Raises FoldsketchError when no solid can be made of the sections.
    """
    keep = reading.keep if keep is None else keep
    every = reading.features + reading.left_out
    place = find_part_frame(reading)
    work = SlabBuilder(reading, every, place, keep)
    layers = [layer for low, high in work.slabs() for layer in work.layers(low, high)]
    runs = merge_stacked_shapes(layers, work.slack)
    features = _make_features(runs, every, place, keep)
    features = _merge_spigots_through_arms(_merge_lands_at_grooves(features, every), place)
    features += cross_features(reading, every, place, keep, work.decimals)
    if not any(not f.cut for f in features):
        raise input_error(reading.name, "no solid comes out of its sections", "look at the findings of the reading")
    features.sort(key=lambda f: f.cut)
    used = {f.axis for f in features}
    axes = tuple(a for a in place.axes if a.name in used or a.name == place.axes[0].name)
    return Part(reading.name, axes, _make_names_unique(features)), tuple(work.findings)


def _make_features(
    runs: list[ExtrudedShape], features: tuple[MeasuredFeature, ...], frame: PartFrame, keep: bool
) -> list[Feature]:
    out = []
    for run in runs:
        f = run.section
        m = features[f.feature_index] if f.feature_index >= 0 else None
        made = _feature_shape(run, frame)
        if made is None:
            continue
        axis, shape = made
        low, high = run.low, run.high
        note = ""
        if m is not None and m.role == "draft" and not keep:
            note = "drafted in the mesh"
        out.append(Feature(_feature_name(run, m), axis, shape, low, high, f.cut, note=note))
    return out


def _feature_shape(run: ExtrudedShape, frame: PartFrame) -> tuple[str, FeatureShape] | None:
    f, n = run.section, frame.decimals
    if f.kind == "disc":
        x, y, r = f.circles[0]
        axis = frame.find_or_add_axis(x, y) if f.feature_index >= 0 else frame.axis_for_rough_circle(x, y, r)
        ends = [round(float(2 * r), n) for r in (run.r_low, run.r_high)]
        if max(ends) <= 10.0**-n:
            return None
        return axis, (Cylinder(ends[0]) if ends[0] == ends[1] else Cone(*ends))
    if f.kind == "regular":
        near = frame.find_axis(*f.centre)
        if near is not None:
            return near, PrismShape(f.sides, round(f.across_flats, n), round(f.rotation, 9))
        k = np.arange(f.sides)
        r = f.across_flats / 2 / np.cos(np.pi / f.sides)
        t = f.rotation + (2 * k - 1) * np.pi / f.sides
        points = tuple(
            (round(float(f.centre[0] + r * np.cos(a)), n), round(float(f.centre[1] + r * np.sin(a)), n)) for a in t
        )
        return frame.axes[0].name, Plate(outline=points)
    if f.kind == "hull":
        return frame.axes[0].name, Plate(
            hull=tuple((round(x, n) + 0.0, round(y, n) + 0.0, round(r, n)) for x, y, r in f.circles)
        )
    outline = tuple((round(x, n) + 0.0, round(y, n) + 0.0) for x, y in f.points)
    return (frame.axes[0].name, Plate(outline=outline)) if len(set(outline)) >= 3 else None


_POLYGON_NAMES = {3: "triangle", 4: "square", 5: "pentagon", 6: "hexagon", 8: "octagon"}


def _feature_name(run: ExtrudedShape, m: MeasuredFeature | None) -> str:
    f = run.section
    if f.kind == "disc":
        return m.name if m is not None else ("hollow" if f.cut else "turned")
    if f.kind == "regular":
        word = _POLYGON_NAMES.get(f.sides, f"{f.sides} flats")
        return f"{word} hole" if f.cut else word
    if f.kind == "hull":
        return "slot" if f.cut else "arm"
    return "recess" if f.cut else "plate"


def _merge_lands_at_grooves(features: list[Feature], every: tuple[MeasuredFeature, ...]) -> list[Feature]:
    """Lands with a groove floor between them become one cylinder with a ring cut out of it."""
    out = list(features)
    for groove in features:
        if not groove.name.startswith("groove") or not isinstance(groove.shape, Cylinder):
            continue
        if groove.cut:
            out = _merge_bore_through_groove(out, groove)
            continue
        alone = [f for f in features if not f.cut and f.start < groove.end - 1e-9 and f.end > groove.start + 1e-9]
        below = [f for f in out if _is_land(f, groove) and abs(f.end - groove.start) < 1e-9]
        above = [f for f in out if _is_land(f, groove) and abs(f.start - groove.end) < 1e-9]
        if len(alone) != 1 or not below or not above:
            continue
        a, b = below[0], above[0]
        if a.shape != b.shape or not isinstance(a.shape, Cylinder):
            continue
        wide = max(a.shape.diameter * 1.1, a.shape.diameter + 2)
        out = [f for f in out if f is not a and f is not b and f is not groove]
        out.append(replace(a, end=b.end))
        out.append(
            Feature(
                groove.name, groove.axis, Ring(round(wide, 1), groove.shape.diameter), groove.start, groove.end, True
            )
        )
    return out


def _merge_spigots_through_arms(features: list[Feature], frame: PartFrame) -> list[Feature]:
    """A spigot on both sides of an arm that goes round it runs through the arm."""
    at = {a.name: a.point for a in frame.axes}
    out = list(features)
    for arm in features:
        if arm.cut or not isinstance(arm.shape, Plate):
            continue
        for x, y, r in arm.shape.hull:
            ends = [
                f
                for f in out
                if not f.cut
                and f.shape == Cylinder(round(2 * r, frame.decimals))
                and hypot(at[f.axis][0] - x, at[f.axis][1] - y) < 1e-3
            ]
            below = next((f for f in ends if abs(f.end - arm.start) < 1e-9), None)
            above = next((f for f in ends if abs(f.start - arm.end) < 1e-9), None)
            if below is not None and above is not None:
                out = [replace(f, end=above.end) if f is below else f for f in out if f is not above]
    return out


def _merge_bore_through_groove(features: list[Feature], groove: Feature) -> list[Feature]:
    """A bore on both sides of an inner groove is one bore."""
    below = [f for f in features if f.cut and f.axis == groove.axis and abs(f.end - groove.start) < 1e-9]
    above = [f for f in features if f.cut and f.axis == groove.axis and abs(f.start - groove.end) < 1e-9]
    if len(below) != 1 or len(above) != 1 or below[0].shape != above[0].shape:
        return features
    return [replace(f, end=above[0].end) if f is below[0] else f for f in features if f is not above[0]]


def _is_land(f: Feature, groove: Feature) -> bool:
    if f.cut or f.axis != groove.axis or not isinstance(f.shape, Cylinder) or not isinstance(groove.shape, Cylinder):
        return False
    return f.shape.diameter > groove.shape.diameter


def _make_names_unique(features: list[Feature]) -> tuple[Feature, ...]:
    """No two features of one name."""
    seen: dict[str, int] = {}
    total: dict[str, int] = {}
    for f in features:
        total[f.name] = total.get(f.name, 0) + 1
    taken = set(total)
    out = []
    for f in features:
        if total[f.name] == 1:
            out.append(f)
            continue
        seen[f.name] = seen.get(f.name, 0) + 1
        joint = "." if f.name[-1].isdigit() else " "
        name = f"{f.name}{joint}{seen[f.name]}"
        while name in taken:
            seen[f.name] += 1
            name = f"{f.name}{joint}{seen[f.name]}"
        taken.add(name)
        out.append(replace(f, name=name))
    return tuple(out)
