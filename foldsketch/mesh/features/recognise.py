"""Recognise: a mesh file becomes readings — features with names, axes with letters, and what was left out."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.findings import Finding, refuse
from foldsketch.base.progress import Listener, silent
from foldsketch.base.units import MM_PER, plain
from foldsketch.mesh.features.axes import Circle, Line, bolt_circles, lines_of
from foldsketch.mesh.features.merge_rounds import Piece, merged
from foldsketch.mesh.features.naming import measured_pieces, named, plain_vector
from foldsketch.mesh.features.result import BoltCircle, Measured, MeasuredAxis, Reading
from foldsketch.mesh.features.surface_roles import contacts, roles_of
from foldsketch.mesh.features.unexplained import near_misses
from foldsketch.mesh.files.load import RawMesh, load_mesh
from foldsketch.mesh.geometry.measure import box_of
from foldsketch.mesh.repair.clean import Body, clean
from foldsketch.mesh.segmentation.coarse_rounds import coarse_rounds
from foldsketch.mesh.segmentation.segment import Surfaces, surfaces_of


def read_mesh(
    path: Path | str,
    units: str | None = None,
    keep: bool = False,
    body: str | None = None,
    progress: Listener = silent,
) -> tuple[Reading, ...]:
    """Readings of the bodies in a mesh file, the largest first.

    units: unit of the file's numbers (mm, cm, m, in, ft, um), or None to take them as mm and say so; keep: fillets,
    chamfers and draft stay; body: name or number of the one body to read. Raises FoldsketchError.
    """
    if units is not None and units not in MM_PER:
        raise refuse("--units", f"'{units}' is no unit that is known", f"give one of {', '.join(MM_PER)}")
    raw = load_mesh(path)
    progress("read", 0.1)
    bodies = clean(raw, MM_PER[units] if units else 1.0)
    if body is not None:
        bodies = _the_one(bodies, body)
    return tuple(recognise(b, raw, units, keep, progress) for b in bodies)


def _the_one(bodies: tuple[Body, ...], wanted: str) -> tuple[Body, ...]:
    for k, b in enumerate(bodies):
        if wanted in (b.name, str(k + 1)):
            return (b,)
    names = ", ".join(f"'{b.name}'" for b in bodies)
    raise refuse("--body", f"there is no body '{wanted}'", f"give one of {names}, or its number")


def recognise(
    body: Body, raw: RawMesh, units: str | None = None, keep: bool = False, progress: Listener = silent
) -> Reading:
    """The reading of one cleaned body."""
    surfaces, coarse = coarse_rounds(body.name, surfaces_of(body, progress))
    pieces = merged(surfaces)
    roles = roles_of(surfaces, pieces, contacts(surfaces, pieces))
    leading = [k for k, p in enumerate(pieces) if p.found.shape.kind != "plane" and roles[k] in ("feature", "draft")]
    lines = lines_of(surfaces, pieces, leading)
    rings = bolt_circles(lines, pieces, 10 * surfaces.reach)
    bolts = {k for ring in rings for i in ring.members for k in lines[i].pieces}
    everything = named(measured_pieces(surfaces, pieces, roles, lines), surfaces.reach, bolts)
    gone = tuple(m for m in everything if m.kind == "cylinder" and m.left_out and not keep)
    features = tuple(m for m in everything if m not in gone)
    axes = _axes(lines, everything)
    circles = _circles(lines, rings, everything)
    low, high = box_of(body.corners)
    findings = [
        *_units(body.name, raw, units, high - low),
        *body.findings,
        *coarse,
        *_noise(body.name, surfaces),
        *_left_out(body, everything, keep),
        *_told(body.name, axes, circles, everything),
        *near_misses(body.name, surfaces),
    ]
    progress("read", 1.0)
    return Reading(
        raw.source,
        body.name,
        units,
        len(body.triangles),
        body.watertight,
        body.volume,
        body.area,
        plain_vector(high - low),
        features,
        axes,
        circles,
        surfaces.explained,
        tuple(findings),
        surfaces,
        plain_vector(_main(lines, pieces)),
        keep,
        gone,
    )


def _main(lines: list[Line], pieces: list[Piece]) -> Array:
    """The datum axis's direction, or without one the normal of the largest face."""
    if lines:
        return lines[0].direction
    faces = [p.found.shape.direction for p in pieces if p.found.shape.kind == "plane"]
    if not faces:
        return np.array([0.0, 0.0, 1.0])
    d = faces[0]
    return -d if d[int(np.argmax(np.abs(d)))] < 0 else d


def _axes(lines: list[Line], features: tuple[Measured, ...]) -> tuple[MeasuredAxis, ...]:
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


def _circles(lines: list[Line], rings: list[Circle], features: tuple[Measured, ...]) -> tuple[BoltCircle, ...]:
    out = []
    for ring in rings:
        letters = {lines[i].letter for i in ring.members}
        names = tuple(m.name for m in features if m.axis in letters and m.kind == "cylinder")
        out.append(BoltCircle(lines[ring.about].letter, ring.diameter, ring.hole, len(ring.members), names))
    return tuple(out)


def _units(where: str, raw: RawMesh, units: str | None, size: Array) -> list[Finding]:
    if units is not None:
        return []
    mm = " x ".join(plain(float(s), 2) for s in size)
    inches = " x ".join(plain(float(s) * 25.4, 1) for s in size)
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


def _noise(where: str, surfaces: Surfaces) -> list[Finding]:
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


def _left_out(body: Body, features: tuple[Measured, ...], keep: bool) -> list[Finding]:
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
                f"{len(mine)} {many}, {plain(area, 1)} mm2 ({share:.1f} % of the surface): {fate}",
                "" if keep else "give --keep to keep them",
            )
        )
    return out


def _told(
    where: str, axes: tuple[MeasuredAxis, ...], circles: tuple[BoltCircle, ...], features: tuple[Measured, ...]
) -> list[Finding]:
    out = [
        Finding(
            "note",
            where,
            f"bolt circle of {c.count} holes, diameter {plain(c.hole)}, "
            f"on diameter {plain(c.diameter)} about axis {c.axis}",
        )
        for c in circles
    ]
    rounds = [m for m in features if m.kind != "plane" and m.role in ("feature", "draft")]
    if not any(m.wrap > 180 for m in rounds):
        some = "; the rounds that it has go no more than half-way round" if rounds else ""
        out.append(Finding("note", where, f"no round features were found, so there is nothing to turn{some}"))
    out += [
        Finding("note", f"axis {a.name}", f"{plain(a.offset)} mm from and parallel to axis {axes[0].name}")
        for a in axes[1:]
        if a.offset is not None and not any(set(a.features) <= set(c.features) for c in circles)
    ]
    return out
