"""Recognise: a mesh file becomes readings: features with names, axes with letters, and what was left out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.findings import Finding, Quantity, mm, percent, quoted
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.units import MM_PER_UNIT
from foldsketch.mesh import CAD_FILE_SUFFIXES
from foldsketch.mesh.cad.exact_segmentation import box_of_surfaces
from foldsketch.mesh.cad.read_cad import CadFile, read_cad
from foldsketch.mesh.features import messages
from foldsketch.mesh.features.axes import CoaxialGroup, group_coaxial_surfaces
from foldsketch.mesh.features.hole_patterns import HolePattern, find_hole_patterns
from foldsketch.mesh.features.measure_features import measure_surfaces, to_vec3
from foldsketch.mesh.features.merge_rounds import MergedSurface, merge_split_surfaces
from foldsketch.mesh.features.mesh_reading import (
    HALF_TURN_DEG,
    BoltCircle,
    MeasuredAxis,
    MeasuredFeature,
    MeshReading,
)
from foldsketch.mesh.features.naming import name_features
from foldsketch.mesh.features.surface_roles import assign_roles, find_adjacent_surfaces
from foldsketch.mesh.features.unexplained import describe_unexplained
from foldsketch.mesh.files.load import RawMesh, load_mesh
from foldsketch.mesh.geometry.measure import coordinate_bounds
from foldsketch.mesh.repair.clean import Body, clean_mesh
from foldsketch.mesh.segmentation.coarse_rounds import resolve_coarse_rounds
from foldsketch.mesh.segmentation.model import Segmentation
from foldsketch.mesh.segmentation.segment import segment_surfaces

ALL_BODIES = "all"
"""What stands for every body of a file in place of a name."""

_ROLE_WORDS = {"fillet": "fillets", "rounding": "rounded edges", "chamfer": "chamfers", "draft": "drafted walls"}


def recognise_mesh(
    path: Path | str,
    units: str | None = None,
    keep: bool = False,
    body: str | None = None,
    progress: Listener = ignore_progress,
) -> tuple[MeshReading, ...]:
    """Readings of the bodies in a mesh, STEP or IGES file, the largest first.

    units: unit of the file's numbers (mm, cm, m, in, ft, um), or None to take them as mm, with a warning; STEP and IGES
    have their own; keep: fillets, chamfers and draft stay; body: names or numbers of those to read, as "2", "1,3" or
    "all". Raises FoldsketchError.
    """
    if units is not None and units not in MM_PER_UNIT:
        raise messages.UNKNOWN_UNIT.error("--units", unit=units, known=", ".join(MM_PER_UNIT))
    if Path(path).suffix.lower() in CAD_FILE_SUFFIXES:
        return _recognise_cad(read_cad(Path(path), units, progress), keep, body, progress)
    raw = load_mesh(path)
    progress("read", 0.1)
    bodies = clean_mesh(raw, MM_PER_UNIT[units] if units else 1.0)
    chosen = _chosen_bodies([b.name for b in bodies], body)
    return tuple(recognise(bodies[k], raw, units, keep, progress) for k in chosen)


def recognise(
    body: Body, raw: RawMesh, units: str | None = None, keep: bool = False, progress: Listener = ignore_progress
) -> MeshReading:
    """The reading of one cleaned body of a mesh."""
    segmentation, coarse = resolve_coarse_rounds(body.name, segment_surfaces(body, progress))
    low, high = coordinate_bounds(body.corners)
    first = _unit_findings(body.name, raw, units, high - low)
    reading = _make_reading(segmentation, (*first, *body.findings, *coarse), raw.source, units, keep)
    reading = replace(reading, triangles=len(body.triangles))
    progress("read", 1.0)
    return reading


def _recognise_cad(file: CadFile, keep: bool, body: str | None, progress: Listener) -> tuple[MeshReading, ...]:
    """Readings of the bodies of a STEP or IGES file."""
    chosen = [file.bodies[k] for k in _chosen_bodies([b.name for b, _ in file.bodies], body)]
    readings = []
    for one, segmentation in chosen:
        reading = _make_reading(segmentation, (*file.findings, *one.findings), file.source, file.unit, keep)
        low, high = box_of_surfaces(segmentation)
        size = to_vec3(high - low)
        readings.append(replace(reading, kind=file.kind, volume=segmentation.volume, size=size))
    progress("read", 1.0)
    return tuple(readings)


def _chosen_bodies(names: list[str], body: str | None) -> list[int]:
    """Numbers of the bodies to read: all, or those that were named by name or number, as "2", "1,3" or "all"."""
    everything = list(range(len(names)))
    if body is None or (body == ALL_BODIES and body not in names):
        return everything
    chosen = set()
    for one in [body] if body in names else body.split(","):
        found = [k for k in everything if one.strip() in (names[k], str(k + 1))]
        if not found:
            raise messages.NO_SUCH_BODY.error("--body", body=one.strip(), bodies=quoted(names))
        chosen.update(found[:1])
    return sorted(chosen)


def _make_reading(
    segmentation: Segmentation, first: tuple[Finding, ...], source: str, units: str | None, keep: bool
) -> MeshReading:
    """The reading of one body from its surfaces. first: findings that come before its own."""
    body = segmentation.body
    merged = merge_split_surfaces(segmentation)
    roles = assign_roles(segmentation, merged, find_adjacent_surfaces(segmentation, merged))
    turned = [k for k, m in enumerate(merged) if m.surface.shape.kind != "plane" and roles[k] in ("feature", "draft")]
    groups = group_coaxial_surfaces(segmentation, merged, turned)
    patterns = find_hole_patterns(groups, merged, 10 * segmentation.tolerance)
    bolts = {k for pattern in patterns for i in pattern.members for k in groups[i].members}
    measured = measure_surfaces(segmentation, merged, roles, groups)
    reach = {groups[p.centre_index].letter: p.diameter + p.hole for p in patterns}
    everything = name_features(measured, segmentation.tolerance, bolts, reach)
    left_out = tuple(m for m in everything if m.kind == "cylinder" and m.left_out and not keep)
    axes = _measured_axes(groups, everything)
    circles = _bolt_circles(groups, patterns, everything)
    low, high = coordinate_bounds(body.corners)
    findings = [
        *first,
        *_noise_findings(body.name, segmentation.noise),
        *_left_out_findings(body, everything, keep),
        *_feature_findings(body.name, circles, everything),
        *describe_unexplained(body.name, segmentation),
    ]
    return MeshReading(
        source=source,
        name=body.name,
        units=units,
        triangles=len(body.triangles),
        watertight=body.watertight,
        volume=body.volume,
        area=body.area,
        size=to_vec3(high - low),
        features=tuple(m for m in everything if m not in left_out),
        axes=axes,
        bolt_circles=circles,
        explained_area=segmentation.explained_fraction,
        findings=tuple(findings),
        segmentation=segmentation,
        main_direction=to_vec3(_main_direction(groups, merged)),
        keep=keep,
        left_out=left_out,
    )


def _main_direction(groups: list[CoaxialGroup], merged: list[MergedSurface]) -> Array:
    """The datum axis's direction, or without one the normal of the largest face."""
    if groups:
        return groups[0].direction
    for m in merged:
        if m.surface.shape.kind == "plane":
            d = m.surface.shape.direction
            return -d if d[int(np.argmax(np.abs(d)))] < 0 else d
    return np.array([0.0, 0.0, 1.0])


def _measured_axes(groups: list[CoaxialGroup], features: tuple[MeasuredFeature, ...]) -> tuple[MeasuredAxis, ...]:
    out = []
    for group in groups:
        mine = [m for m in features if m.axis == group.letter]
        offset = None
        if group.is_parallel(groups[0]):
            off, d = group.point - groups[0].point, groups[0].direction
            offset = float(np.linalg.norm(off - d * float(off @ d)))
        if mine:
            names = tuple(m.name for m in mine)
            out.append(MeasuredAxis(group.letter, mine[0].point, mine[0].direction, names, offset))
    return tuple(out)


def _bolt_circles(
    groups: list[CoaxialGroup], patterns: list[HolePattern], features: tuple[MeasuredFeature, ...]
) -> tuple[BoltCircle, ...]:
    out = []
    for p in patterns:
        letters = {groups[i].letter for i in p.members}
        names = tuple(m.name for m in features if m.axis in letters and m.kind == "cylinder" and m.inner)
        out.append(BoltCircle(groups[p.centre_index].letter, p.diameter, p.hole, len(p.members), names))
    return tuple(out)


def _unit_findings(where: str, raw: RawMesh, units: str | None, size: Array) -> list[Finding]:
    if units is not None:
        return []
    x, y, z = size.tolist()
    values = {"x": mm(x), "y": mm(y), "z": mm(z)}
    values |= {"inch_x": mm(25.4 * x, 1), "inch_y": mm(25.4 * y, 1), "inch_z": mm(25.4 * z, 1)}
    return [
        messages.UNIT_NOT_AS_IN_FILE.at(where, unit=raw.unit, **values)
        if raw.unit
        else messages.UNIT_ASSUMED.at(where, **values)
    ]


def _noise_findings(where: str, noise: float) -> list[Finding]:
    return [messages.NOISY.at(where, noise=mm(noise, 4), accuracy=mm(2 * noise, 4))] if noise else []


def _left_out_findings(body: Body, features: tuple[MeasuredFeature, ...], keep: bool) -> list[Finding]:
    out = []
    for role, words in _ROLE_WORDS.items():
        areas = [m.area for m in features if m.role == role]
        if areas:
            message = messages.KEPT if keep else messages.DRAFT_STRAIGHTENED if role == "draft" else messages.LEFT_OUT
            area, share = Quantity(sum(areas), "mm2", 1), percent(sum(areas) / body.area)
            out.append(message.at(body.name, kind=words, count=len(areas), area=area, share=share))
    return out


def _feature_findings(
    where: str, circles: tuple[BoltCircle, ...], features: tuple[MeasuredFeature, ...]
) -> list[Finding]:
    out = [
        messages.BOLT_CIRCLE.at(where, count=c.count, hole=mm(c.hole, 3), diameter=mm(c.diameter, 3), axis=c.axis)
        for c in circles
    ]
    rounds = [m for m in features if m.is_round]
    if not any(m.covered_degrees > HALF_TURN_DEG for m in rounds):
        out.append((messages.ONLY_PARTIAL_ROUNDS if rounds else messages.NO_ROUND_FEATURES).at(where))
    return out
