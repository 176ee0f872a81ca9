"""Rebuild: a reading becomes a part of discs, bores, plates, prisms and rings, by cutting along the main direction."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np

from foldsketch.base.findings import Finding
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.part_frame import PartFrame, find_part_frame
from foldsketch.mesh.rebuild.cross_features import cross_features
from foldsketch.mesh.rebuild.islands import in_file_order
from foldsketch.mesh.rebuild.merge_features import merge_lands_at_grooves, merge_spigots_through_arms
from foldsketch.mesh.rebuild.merge_slabs import merge_stacked_shapes
from foldsketch.mesh.rebuild.messages import NO_SOLID
from foldsketch.mesh.rebuild.section_shapes import SectionShape
from foldsketch.mesh.rebuild.slabs import ExtrudedShape, SlabBuilder
from foldsketch.part.model import Cone, Cylinder, Feature, FeatureShape, Part, Plate, PrismShape

_POLYGON_NAMES = {3: "triangle", 4: "square", 5: "pentagon", 6: "hexagon", 8: "octagon"}


def rebuild(reading: MeshReading, keep: bool | None = None) -> tuple[Part, tuple[Finding, ...]]:
    """The part that the user would have typed, and findings about how it was made.

    keep: fillets, chamfers and draft stay (None: as they were read). The datum is axis A along z; material comes first,
    then cuts, so that every cut is really empty, then what stands in a pocket. Raises FoldsketchError when no solid can
    be made of the sections.
    """
    keep = reading.keep if keep is None else keep
    measured = reading.features + reading.left_out
    frame = find_part_frame(reading)
    builder = SlabBuilder(reading, measured, frame, keep)
    shapes = [shape for low, high in builder.slabs() for shape in builder.shapes_between(low, high)]
    features = _make_features(merge_stacked_shapes(shapes, builder.slack), measured, frame, keep)
    features = merge_spigots_through_arms(merge_lands_at_grooves(features), frame)
    features += cross_features(measured, frame, keep)
    if all(f.cut for f in features):
        raise NO_SOLID.error(reading.name)
    features = in_file_order(features, frame.axes)
    used = {f.axis for f in features} | {frame.axes[0].name}
    axes = tuple(a for a in frame.axes if a.name in used)
    return Part(reading.name, axes, make_names_unique(features)), tuple(builder.findings)


def _make_features(
    shapes: list[ExtrudedShape], measured: tuple[MeasuredFeature, ...], frame: PartFrame, keep: bool
) -> list[Feature]:
    out = []
    for extruded in shapes:
        f = extruded.section
        m = measured[f.feature_index] if f.feature_index >= 0 else None
        axis, shape = _feature_shape(extruded, frame)
        if shape is not None:
            name = m.name if m is not None else _feature_name(f)
            note = "drafted in the mesh" if m is not None and m.role == "draft" and not keep else ""
            out.append(Feature(name, axis, shape, extruded.low, extruded.high, f.cut, note=note))
    return out


def _feature_shape(extruded: ExtrudedShape, frame: PartFrame) -> tuple[str, FeatureShape | None]:
    """Axis and shape of a feature; no shape for what is thinner than the mesh is good for."""
    f, n, datum = extruded.section, frame.decimals, frame.axes[0].name
    if f.kind == "disc":
        low, high = (round(float(2 * r), n) for r in (extruded.r_low, extruded.r_high))
        x, y, r = f.circles[0]
        axis = frame.find_or_add_axis(x, y) if f.feature_index >= 0 else frame.axis_for_rough_circle(x, y, r)
        shape = Cylinder(low) if low == high else Cone(low, high)
        return axis, shape if max(low, high) > 10.0**-n else None
    if f.kind == "hull":
        return datum, Plate(hull=tuple(frame.rounded(*circle) for circle in f.circles))
    points = f.points
    if f.kind == "regular":
        near = frame.find_axis(*f.centre)
        if near is not None:
            return near, PrismShape(f.sides, round(f.across_flats, n), round(f.rotation, 9))
        r = f.across_flats / 2 / np.cos(np.pi / f.sides)
        t = f.rotation + (2 * np.arange(f.sides) - 1) * np.pi / f.sides
        points = tuple(zip(f.centre[0] + r * np.cos(t), f.centre[1] + r * np.sin(t), strict=True))
    outline = tuple(frame.rounded(x, y)[:2] for x, y in points)
    return datum, Plate(outline=outline) if len(set(outline)) >= 3 else None


def _feature_name(f: SectionShape) -> str:
    """What a figure is called that no measured feature makes."""
    match f.kind:
        case "disc":
            return "hollow" if f.cut else "turned"
        case "regular":
            word = _POLYGON_NAMES.get(f.sides, f"{f.sides} flats")
            return f"{word} hole" if f.cut else word
        case "hull":
            return "slot" if f.cut else "arm"
    return "recess" if f.cut else "plate"


def make_names_unique(features: list[Feature]) -> tuple[Feature, ...]:
    """The features with numbers after names that several have."""
    total = Counter(f.name for f in features)
    taken = set(total)
    out = []
    for f in features:
        if total[f.name] > 1:
            joint = "." if f.name[-1].isdigit() else " "
            k = 1
            while f"{f.name}{joint}{k}" in taken:
                k += 1
            f = replace(f, name=f"{f.name}{joint}{k}")
            taken.add(f.name)
        out.append(f)
    return tuple(out)
