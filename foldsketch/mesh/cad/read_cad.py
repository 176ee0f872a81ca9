"""Read CAD: a STEP or IGES file becomes bodies, split by the exact surfaces of their faces."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import numpy as np
from scipy.spatial import cKDTree

from foldsketch.base.arrays import Ints
from foldsketch.base.findings import Finding
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.mesh import CAD_FILE_SUFFIXES
from foldsketch.mesh.cad import messages
from foldsketch.mesh.cad.exact_corners import move_onto_surfaces
from foldsketch.mesh.cad.exact_segmentation import segment_by_faces
from foldsketch.mesh.cad.file_text import read_iges_text, read_step_text, without_colours
from foldsketch.mesh.cad.read_glb import CadSolid, read_glb
from foldsketch.mesh.cad.run_kernel import run_kernel
from foldsketch.mesh.cad.sew_faces import sew_faces
from foldsketch.mesh.cad.unite_solids import unite_solids
from foldsketch.mesh.files.load import RawMesh, read_file_bytes
from foldsketch.mesh.geometry.measure import row_norms, signed_volume
from foldsketch.mesh.repair.clean import Body, clean_mesh
from foldsketch.mesh.repair.mesh_repair import find_mesh_edges
from foldsketch.mesh.segmentation.model import Segmentation

EXACT_RESOLUTION = 1e-12
"""Rounding of a corner on exact surfaces, over the size of its body."""

_KERNEL_NAME = re.compile(r"Open CASCADE .*translator.*|COMPOUND|SOLID|SHELL|=>\[.*\]|\s*", re.IGNORECASE)
"""Names that a kernel gives to what has none in the file."""


@dataclass(frozen=True, slots=True, eq=False)
class CadFile:
    """What a STEP or IGES file holds. unit: of the file; bodies: each with its surfaces, the largest first."""

    source: str
    kind: Literal["step", "iges"]
    unit: str
    bodies: tuple[tuple[Body, Segmentation], ...]
    findings: tuple[Finding, ...]


def read_cad(path: Path, units: str | None = None, progress: Listener = ignore_progress) -> CadFile:
    """Bodies of a STEP or IGES file in mm, where the file places them.

    units: the unit that the user expects; it must be that of the file. Raises FoldsketchError.
    """
    where, data = read_file_bytes(path, CAD_FILE_SUFFIXES)
    kind: Literal["step", "iges"] = "step" if path.suffix.lower() in (".step", ".stp") else "iges"
    text = read_step_text(where, data) if kind == "step" else read_iges_text(where, data)
    if units is not None and text.units and units not in text.units:
        raise messages.UNIT_CONTRADICTS.error(where, unit=" and ".join(text.units), asked=units)
    findings = [] if text.units else [messages.UNIT_NOT_IN_FILE.at(where)]
    glb = run_kernel(where, kind, without_colours(data) if kind == "step" else data)
    progress("read", 0.1)
    try:
        solids, faces = read_glb(where, kind, glb)
    except (ValueError, LookupError, TypeError) as why:
        raise messages.KERNEL_FAILED.error(where) from why
    if not solids:
        raise messages.NO_SOLID.error(where)
    if faces is not None and faces < text.faces:
        raise messages.FACES_MISSING.error(where, listed=text.faces, made=faces)
    solids = tuple(map(sew_faces, solids)) if kind == "iges" else solids
    solids = tuple(sorted(solids, key=lambda s: -abs(signed_volume(s.corners, s.triangles))))
    names = [solid.name for solid in _named_solids(where, solids)]
    solids, united = unite_solids(solids)
    findings += [messages.SOLIDS_UNITED.at(where, bodies=tuple(names[k] for k in group)) for group in united]
    bodies = [found for solid in _named_solids(where, solids) for found in _bodies(where, solid, progress)]
    if kind == "step":  # faces of an IGES file may stand side by side without sharing their edges
        for body, _ in bodies:
            _check_closed(body)
    bodies.sort(key=lambda found: -abs(found[0].volume))
    return CadFile(where, kind, text.units[0] if text.units else "mm", tuple(bodies), tuple(findings))


def _check_closed(body: Body) -> None:
    """Raises FoldsketchError for a body with open edges."""
    count = len(find_mesh_edges(body.triangles, len(body.corners)).open_edges)
    if count:
        raise messages.BODY_OPEN.error(body.name, count=count)


def _named_solids(where: str, solids: tuple[CadSolid, ...]) -> list[CadSolid]:
    """The solids with names, a number after those that several have; the file's name for what has none."""
    stem = where.rsplit(".", 1)[0] or "part"
    names = [stem if _KERNEL_NAME.fullmatch(s.name) else s.name.strip() for s in solids]
    total, count = Counter(names), Counter[str]()
    out = []
    for solid, name in zip(solids, names, strict=True):
        count[name] += 1
        out.append(replace(solid, name=name if total[name] == 1 else f"{name} {count[name]}"))
    return out


def _bodies(where: str, solid: CadSolid, progress: Listener) -> list[tuple[Body, Segmentation]]:
    """The bodies of one solid of the file, usually one, with their surfaces."""
    cleaned = clean_mesh(RawMesh(where, "glb", solid.corners, solid.triangles, single_precision=True))
    middles = cKDTree(solid.corners[solid.triangles].mean(axis=1))
    out = []
    for k, body in enumerate(cleaned, 1):
        name = solid.name if len(cleaned) == 1 else f"{solid.name} {k}"
        face = _faces_of(body, solid.face, middles)
        shift = body.origin_shift
        surfaces = tuple(s and replace(s, point=s.point - shift) for s in solid.surfaces)
        corners = move_onto_surfaces(body.corners, body.triangles, face, surfaces, solid.corner_error)
        all_exact = all(surfaces[n] is not None for n in np.unique(face[face >= 0])) and (face >= 0).all()
        resolution = EXACT_RESOLUTION * body.size if all_exact else body.resolution
        body = replace(body, name=name, corners=corners, resolution=resolution)
        out.append((body, segment_by_faces(body, face, surfaces, progress)))
    return out


def _faces_of(body: Body, face: Ints, middles: cKDTree) -> Ints:
    """Face (m,) of every triangle of a body: of the triangle in the file whose middle is there; -1 for repairs."""
    own = body.corners[body.triangles].mean(axis=1) + body.origin_shift
    distance, nearest = middles.query(own)
    reach = 4 * body.resolution + 1e-9 * row_norms(own)
    return np.where(distance <= reach, face[nearest], -1)
