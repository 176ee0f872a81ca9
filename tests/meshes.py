"""Meshes made with general-purpose libraries, files of them, and what reading them gives."""

from __future__ import annotations

import io
import json
import struct
import zipfile
from pathlib import Path
from typing import Any

import manifold3d as m3
import numpy as np
import trimesh
from numpy.typing import NDArray

from foldsketch.base.findings import Finding
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.recognise import recognise_mesh

Array = NDArray[np.float64]
SPACE_3MF = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"


def turned(profile: list[tuple[float, float]], sections: int = 48) -> trimesh.Trimesh:
    """A solid of revolution about z, meshed in strips: corners (r, z) from the axis round to the axis."""
    t = np.arange(sections) * 2 * np.pi / sections
    rings = [np.column_stack((r * np.cos(t), r * np.sin(t), np.full(sections, z))) for r, z in profile]
    faces = []
    for k in range(len(profile) - 1):
        for i in range(sections):
            j = (i + 1) % sections
            a, b, c, d = k * sections + i, k * sections + j, (k + 1) * sections + j, (k + 1) * sections + i
            faces += [(a, b, c), (a, c, d)]
    mesh = trimesh.Trimesh(np.concatenate(rings), faces, process=True, merge_norm=True)
    mesh.update_faces(mesh.nondegenerate_faces())
    mesh.fix_normals()
    return mesh


def from_solid(solid: m3.Manifold) -> trimesh.Trimesh:
    """A solid of the boolean library as a mesh."""
    mesh = solid.to_mesh()
    return trimesh.Trimesh(np.array(mesh.vert_properties[:, :3], float), np.array(mesh.tri_verts), process=False)


def cylinder(d: float, z0: float, z1: float, x: float = 0, y: float = 0, sides: int = 96) -> m3.Manifold:
    """A cylinder along z as a solid of the boolean library; its corners are on the diameter."""
    return m3.Manifold.cylinder(z1 - z0, d / 2, d / 2, sides).translate((x, y, z0))


def box(x: float, y: float, z: float, dx: float, dy: float, dz: float) -> m3.Manifold:
    """A box from its lowest corner."""
    return m3.Manifold.cube((dx, dy, dz)).translate((x, y, z))


def read(
    mesh: trimesh.Trimesh, folder: Path, units: str | None = "mm", keep: bool = False, suffix: str = ".stl"
) -> MeshReading:
    """The reading of a mesh by way of a file."""
    path = folder / f"part{suffix}"
    path.write_bytes(mesh.export(file_type=suffix[1:]))
    return recognise_mesh(path, units, keep)[0]


def rounds(reading: MeshReading, kind: str = "cylinder") -> list[MeasuredFeature]:
    """Features of a kind."""
    return [m for m in reading.features if m.kind == kind]


def codes(findings: tuple[Finding, ...]) -> list[str]:
    """Codes of findings, in order."""
    return [f.code for f in findings]


def values(findings: tuple[Finding, ...], code: str) -> dict[str, Any]:
    """Values of the one finding of a code; quantities as plain numbers."""
    (found,) = [f for f in findings if f.code == code]
    return {name: getattr(value, "value", value) for name, value in found.values}


def stl(count: int, body: bytes = b"") -> bytes:
    """Binary STL that declares so many triangles."""
    return b"x" * 80 + struct.pack("<I", count) + body


def stl_of(points: list[list[float]], times: int = 4) -> bytes:
    """Binary STL of one triangle, so many times."""
    rows = struct.pack("<12fH", 0, 0, 0, *(c for p in points for c in p), 0)
    return stl(times, rows * times)


def glb_of(tree: dict[str, object], body: bytes = b"") -> bytes:
    """GLB of a description and its data."""
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    whole = struct.pack("<I4s", len(text), b"JSON") + text
    whole += struct.pack("<I4s", len(body), b"BIN\0") + body if body else b""
    return struct.pack("<4sII", b"glTF", 2, 12 + len(whole)) + whole


def zipped(**files: bytes) -> bytes:
    """A zip of files."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, data in files.items():
            pack.writestr(name, data)
    return out.getvalue()


def threemf(mesh: trimesh.Trimesh, unit: str = "inch", transform: str = "1 0 0 0 1 0 0 0 1 5 0 0") -> bytes:
    """3MF of a mesh at a place."""
    rows = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in mesh.vertices)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces)
    text = (
        f'<?xml version="1.0"?><model unit="{unit}" xmlns="{SPACE_3MF}"><resources><object id="1"><mesh>'
        f"<vertices>{rows}</vertices><triangles>{faces}</triangles></mesh></object></resources>"
        f'<build><item objectid="1" transform="{transform}"/></build></model>'
    )
    return zipped(**{"3D/3dmodel.model": text.encode()})
