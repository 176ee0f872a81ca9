"""Recognise: a mesh file becomes readings — features with names, axes with letters, and what was left out."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.findings import Finding, input_error
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.units import MM_PER_UNIT, format_number
from foldsketch.mesh.features.axes import CoaxialGroup, HolePattern, find_hole_patterns, group_coaxial_surfaces
from foldsketch.mesh.features.merge_rounds import MergedSurface, merge_split_surfaces
from foldsketch.mesh.features.naming import measure_surfaces, name_features, to_vec3
from foldsketch.mesh.features.result import BoltCircle, MeasuredAxis, MeasuredFeature, MeshReading
from foldsketch.mesh.features.surface_roles import assign_roles, find_adjacent_surfaces
from foldsketch.mesh.features.unexplained import describe_unexplained
from foldsketch.mesh.files.load import RawMesh, load_mesh
from foldsketch.mesh.geometry.measure import coordinate_bounds
from foldsketch.mesh.repair.clean import Body, clean_mesh
from foldsketch.mesh.segmentation.coarse_rounds import resolve_coarse_rounds
from foldsketch.mesh.segmentation.segment import Segmentation, segment_surfaces


def recognise_mesh(
    path: Path | str,
    units: str | None = None,
    keep: bool = False,
    body: str | None = None,
    progress: Listener = ignore_progress,
) -> tuple[MeshReading, ...]:
    """Readings of the bodies in a mesh file, the largest first.

    units: unit of the file's numbers (mm, cm, m, in, ft, um), or None to take them as mm and say so; keep: fillets,
    chamfers and draft stay; body: name or number of the one body to read. Raises FoldsketchError.
    """
    if units is not None and units not in MM_PER_UNIT:
        raise input_error("--units", f"'{units}' is no unit that is known", f"give one of {', '.join(MM_PER_UNIT)}")
    raw = load_mesh(path)
    progress("read", 0.1)
    bodies = clean_mesh(raw, MM_PER_UNIT[units] if units else 1.0)
    if body is not None:
        bodies = _select_body(bodies, body)
    return tuple(recognise(b, raw, units, keep, progress) for b in bodies)


def _select_body(bodies: tuple[Body, ...], wanted: str) -> tuple[Body, ...]:
    for k, b in enumerate(bodies):
        if wanted in (b.name, str(k + 1)):
            return (b,)
    names = ", ".join(f"'{b.name}'" for b in bodies)
    raise input_error("--body", f"there is no body '{wanted}'", f"give one of {names}, or its number")


def recognise(
    body: Body, raw: RawMesh, units: str | None = None, keep: bool = False, progress: Listener = ignore_progress
) -> MeshReading:
    """The reading of one cleaned body."""
    surfaces, coarse = resolve_coarse_rounds(body.name, segment_surfaces(body, progress))
    pieces = merge_split_surfaces(surfaces)
    roles = assign_roles(surfaces, pieces, find_adjacent_surfaces(surfaces, pieces))
    leading = [k for k, p in enumerate(pieces) if p.found.shape.kind != "plane" and roles[k] in ("feature", "draft")]
    lines = group_coaxial_surfaces(surfaces, pieces, leading)
    rings = find_hole_patterns(lines, pieces, 10 * surfaces.reach)
    bolts = {k for ring in rings for i in ring.members for k in lines[i].pieces}
    everything = name_features(measure_surfaces(surfaces, pieces, roles, lines), surfaces.reach, bolts)
    gone = tuple(m for m in everything if m.kind == "cylinder" and m.left_out and not keep)
    features = tuple(m for m in everything if m not in gone)
    axes = _measured_axes(lines, everything)
    circles = _bolt_circles(lines, rings, everything)
    low, high = coordinate_bounds(body.corners)
    findings = [
        *_unit_findings(body.name, raw, units, high - low),
        *body.findings,
        *coarse,
        *_noise_findings(body.name, surfaces),
        *_omitted_findings(body, everything, keep),
        *_feature_findings(body.name, axes, circles, everything),
        *describe_unexplained(body.name, surfaces),
    ]
    progress("read", 1.0)
    return MeshReading(
        raw.source,
        body.name,
        units,
        len(body.triangles),
        body.watertight,
        body.volume,
        body.area,
        to_vec3(high - low),
        features,
        axes,
        circles,
        surfaces.explained,
        tuple(findings),
        surfaces,
        to_vec3(_main_direction(lines, pieces)),
        keep,
        gone,
    )


def _main_direction(lines: list[CoaxialGroup], pieces: list[MergedSurface]) -> Array:
    """The datum axis's direction, or without one the normal of the largest face."""
    if lines:
        return lines[0].direction
    faces = [p.found.shape.direction for p in pieces if p.found.shape.kind == "plane"]
    if not faces:
        return np.array([0.0, 0.0, 1.0])
    d = faces[0]
    return -d if d[int(np.argmax(np.abs(d)))] < 0 else d


def _measured_axes(lines: list[CoaxialGroup], features: tuple[MeasuredFeature, ...]) -> tuple[MeasuredAxis, ...]:
    out = []
    for line in lines:
        mine = tuple(m.name for m in features if m.axis == line.letter)
        first = next((m for m in features if m.axis == line.letter), None)
        if first is None:
            continue
        offset = None
        if abs(float(line.direction @ lines[0].direction)) > 1 - 1e-8:
            off = line.point - lines[0].point
            d = lines[0].direction
            offset = float(np.linalg.norm(off - d * float(off @ d)))
        out.append(MeasuredAxis(line.letter, first.point, first.direction, mine, offset))
    return tuple(out)


def _bolt_circles(
    lines: list[CoaxialGroup], rings: list[HolePattern], features: tuple[MeasuredFeature, ...]
) -> tuple[BoltCircle, ...]:
    out = []
    for ring in rings:
        letters = {lines[i].letter for i in ring.members}
        names = tuple(m.name for m in features if m.axis in letters and m.kind == "cylinder")
        out.append(BoltCircle(lines[ring.about].letter, ring.diameter, ring.hole, len(ring.members), names))
    return tuple(out)


def _unit_findings(where: str, raw: RawMesh, units: str | None, size: Array) -> list[Finding]:
    if units is not None:
        return []
    mm = " x ".join(format_number(float(s), 2) for s in size)
    inches = " x ".join(format_number(float(s) * 25.4, 1) for s in size)
    said = f"; the file's own word for its unit is {raw.unit}" if raw.unit else ""
    return [
        Finding(
            "warning",
            where,
            f"no unit was given, so its numbers are taken as mm: {mm} mm over all "
            f"(were they inches, it would be {inches} mm){said}",
            "give --units mm, in, cm or m",
        )
    ]


def _noise_findings(where: str, surfaces: Segmentation) -> list[Finding]:
    if surfaces.noise == 0.0:
        return []
    return [
        Finding(
            "warning",
            where,
            f"its corners stray about {surfaces.noise:.2g} mm from smooth surfaces (one standard deviation): a "
            f"diameter found on n corners is good to about {2 * surfaces.noise:.2g} / sqrt(n) mm, a small one less so",
            "use the mesh from CAD if there is one",
        )
    ]


def _omitted_findings(body: Body, features: tuple[MeasuredFeature, ...], keep: bool) -> list[Finding]:
    words = {"fillet": "fillets", "rounding": "rounded edges", "chamfer": "chamfers", "draft": "drafted walls"}
    out = []
    for role, many in words.items():
        mine = [m for m in features if m.role == role]
        if not mine:
            continue
        area = sum(m.area for m in mine)
        share = 100 * area / body.area
        fate = "kept" if keep else "left out of the paper model"
        if role == "draft" and not keep:
            fate = "taken as straight, at mid-height size"
        out.append(
            Finding(
                "note",
                body.name,
                f"{len(mine)} {many}, {format_number(area, 1)} mm2 ({share:.1f} % of the surface): {fate}",
                "" if keep else "give --keep to keep them",
            )
        )
    return out


def _feature_findings(
    where: str, axes: tuple[MeasuredAxis, ...], circles: tuple[BoltCircle, ...], features: tuple[MeasuredFeature, ...]
) -> list[Finding]:
    out = [
        Finding(
            "note",
            where,
            f"bolt circle of {c.count} holes, diameter {format_number(c.hole)}, "
            f"on diameter {format_number(c.diameter)} about axis {c.axis}",
        )
        for c in circles
    ]
    rounds = [m for m in features if m.kind != "plane" and m.role in ("feature", "draft")]
    if not any(m.wrap > 180 for m in rounds):
        some = "; the rounds that it has go no more than half-way round" if rounds else ""
        out.append(Finding("note", where, f"no round features were found, so there is nothing to turn{some}"))
    out += [
        Finding("note", f"axis {a.name}", f"{format_number(a.offset)} mm from and parallel to axis {axes[0].name}")
        for a in axes[1:]
        if a.offset is not None and not any(set(a.features) <= set(c.features) for c in circles)
    ]
    return out
