"""Assemble: the parts of several bodies become one part, each in its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan2, cos, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.axes import axis_letter
from foldsketch.mesh.features.measure_features import to_vec3
from foldsketch.mesh.features.part_frame import PartFrame
from foldsketch.mesh.rebuild.islands import in_file_order
from foldsketch.mesh.rebuild.rebuild import make_names_unique
from foldsketch.part.file.same_axes import find_same_axes, move_to_axis, straighten_direction
from foldsketch.part.model import Axis, Cone, Feature, FeatureShape, Part, Plate, PrismShape


def move_to_frame(part: Part, own: PartFrame, other: PartFrame) -> Part:
    """A part in the frame of another body. own, other: the two frames, in one mesh."""
    turn = other.rotation @ own.rotation.T
    shift = other.to_part_frame(own.origin)
    moved = {a.name: _moved_axis(a, turn, shift, other) for a in part.axes}
    features = tuple(_moved_feature(f, part.axis(f.axis), moved[f.axis], turn, shift, other) for f in part.features)
    return replace(part, axes=tuple(moved.values()), features=features)


def join_parts(name: str, parts: Sequence[Part]) -> Part:
    """One part of several in one frame: an axis on the line of an earlier one is that, others get the next letter.

    A body of plates alone gets no axis of its own where the datum is parallel. Each feature names its body in its note;
    what stands in a bore comes after it.
    """
    axes: list[Axis] = []
    features: list[Feature] = []
    for part in parts:
        to: dict[str, Axis] = {}
        if axes and all(isinstance(f.shape, Plate) and part.axis(f.axis).along_z for f in part.features):
            part = _on_axis(part, axes[0])
            to[axes[0].name] = axes[0]
        for a in (a for a in part.axes if a.name not in to):
            fresh = replace(a, name=axis_letter(len(axes)))
            to[a.name] = find_same_axes([*axes, fresh]).get(fresh.name, fresh)
            if to[a.name] is fresh:
                axes.append(fresh)
        for f in part.features:
            features.append(move_to_axis(replace(f, note=f.note or part.name), part.axis(f.axis), to[f.axis]))
    return Part(name, tuple(axes), make_names_unique(in_file_order(features, axes)))


def _on_axis(part: Part, axis: Axis) -> Part:
    """A part of plates on axes along z, all on another axis along z instead."""
    features = []
    for f in part.features:
        assert isinstance(f.shape, Plate)
        dx, dy, up = (a - b for a, b in zip(part.axis(f.axis).point, axis.point, strict=True))
        outline = tuple((x + dx, y + dy) for x, y in f.shape.outline)
        hull = tuple((x + dx, y + dy, r) for x, y, r in f.shape.hull)
        features.append(replace(f, axis=axis.name, shape=Plate(outline, hull), start=f.start + up, end=f.end + up))
    return Part(part.name, (axis,), tuple(features))


def _moved_axis(a: Axis, turn: Array, shift: Array, frame: PartFrame) -> Axis:
    """An axis after a turn and a shift; one along z points up and begins at z 0."""
    direction = straighten_direction(to_vec3(turn @ np.array(a.direction)), ())
    x, y, z = (turn @ np.array(a.point) + shift).tolist()
    moved = Axis(a.name, frame.rounded(x, y, z), direction)
    return Axis(a.name, frame.rounded(x, y)) if moved.along_z else moved


def _moved_feature(f: Feature, old: Axis, new: Axis, turn: Array, shift: Array, frame: PartFrame) -> Feature:
    """A feature after a turn and a shift, in the frame of its new axis."""
    to_new = np.array(new.frame) @ turn @ np.array(old.frame).T
    flipped = bool(to_new[2, 2] < 0)
    base = new.height_of(to_vec3(turn @ np.array(old.point) + shift))
    ends = sorted(round(float(base + to_new[2, 2] * h), frame.decimals) + 0.0 for h in (f.start, f.end))
    shape = _moved_shape(f.shape, to_new[:2, :2], flipped, frame)
    return replace(f, start=ends[0], end=ends[1], shape=shape)


def _moved_shape(shape: FeatureShape, across: Array, flipped: bool, frame: PartFrame) -> FeatureShape:
    """A shape turned by a matrix (2, 2) in its own plane, or mirrored where its axis is turned over."""
    match shape:
        case Cone(a, b):
            return Cone(b, a) if flipped else shape
        case PrismShape(n, across_flats, angle):
            x, y = across @ np.array([cos(angle), sin(angle)])
            return PrismShape(n, across_flats, round(atan2(y, x), 9))
        case Plate(outline, hull):
            points = [frame.rounded(*(across @ np.array(p)).tolist())[:2] for p in outline]
            circles = tuple((*frame.rounded(*(across @ np.array([x, y])).tolist())[:2], r) for x, y, r in hull)
            return Plate(tuple(points[::-1] if flipped else points), circles)
    return shape
