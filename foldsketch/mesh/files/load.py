"""Load: a mesh file becomes arrays of numbers, or one clear line that says why not."""

from __future__ import annotations

import io
import stat
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, Quantity
from foldsketch.mesh import MESH_FILE_SUFFIXES
from foldsketch.mesh.files import messages
from foldsketch.mesh.files.precheck import PrecheckedFile, join_meshes, reject_foreign_formats
from foldsketch.mesh.files.precheck_glb import check_glb
from foldsketch.mesh.files.precheck_ply import check_ply
from foldsketch.mesh.files.precheck_stl import check_stl
from foldsketch.mesh.files.precheck_text import check_obj, check_off
from foldsketch.mesh.files.read_3mf import check_3mf

MAX_MESH_FILE_BYTES = 1 << 30
"""Bytes. A file above this is refused before it is opened."""

MAX_COORDINATE = 1e8
"""No part is this large in any unit that a drawing uses."""

PRECHECKS: dict[str, Callable[[str, bytes], PrecheckedFile]] = {
    "stl": check_stl,
    "ply": check_ply,
    "obj": check_obj,
    "off": check_off,
    "glb": check_glb,
    "3mf": check_3mf,
}
"""For every format, what checks the bytes of a file of a name."""


@dataclass(frozen=True, slots=True, eq=False)
class RawMesh:
    """Triangles as the file has them, in its own numbers.

    corners: (n, 3) float64; triangles: (m, 3) indices into corners; single_precision: the numbers went through 32-bit
    floats; unit: the file's own word for its unit, or "".
    """

    source: str
    kind: str
    corners: Array
    triangles: Ints
    single_precision: bool
    unit: str = ""
    findings: tuple[Finding, ...] = ()


def load_mesh(path: Path | str) -> RawMesh:
    """Read STL, PLY, OBJ, OFF, 3MF or GLB. Raises FoldsketchError with one finding for anything else.

    Counts that the file declares are compared with its size before memory is allocated for them; nothing that the file
    points to (textures, materials, other files) is opened.
    """
    path = Path(path)
    where, data = read_file_bytes(path, MESH_FILE_SUFFIXES)
    kind = path.suffix.lower()[1:]
    reject_foreign_formats(where, kind, data)
    checked = PRECHECKS[kind](where, data)
    corners, triangles = checked.arrays or _parse_with_trimesh(where, kind, checked.data)
    _check_arrays(where, kind, corners, triangles)
    return RawMesh(
        where,
        kind,
        np.ascontiguousarray(corners, dtype=np.float64),
        np.ascontiguousarray(triangles, dtype=np.int64),
        checked.single_precision,
        checked.unit,
        checked.findings,
    )


def read_file_bytes(path: Path, suffixes: tuple[str, ...]) -> tuple[str, bytes]:
    """Name of a file as reports show it, and its bytes.

    suffixes: the endings that are read. Raises FoldsketchError.
    """
    # Reports show what is not text in a name as question marks.
    where = (path.name or str(path)).encode("utf-8", "replace").decode()
    try:
        about = path.stat()
    except (OSError, ValueError) as why:
        raise messages.FILE_MISSING.error(where) from why
    if stat.S_ISDIR(about.st_mode):
        raise messages.IS_A_FOLDER.error(where)
    if not stat.S_ISREG(about.st_mode):
        raise messages.NOT_A_REGULAR_FILE.error(where)
    if path.suffix.lower() not in suffixes:
        raise messages.UNKNOWN_FORMAT.error(where, suffix=path.suffix)
    if about.st_size == 0:
        raise messages.EMPTY.error(where)
    if about.st_size > MAX_MESH_FILE_BYTES:
        size, limit = (Quantity(n / 1e9, "GB", 1) for n in (about.st_size, MAX_MESH_FILE_BYTES))
        raise messages.TOO_LARGE.error(where, size=size, limit=limit)
    try:
        data = path.read_bytes()
    except OSError as why:
        raise messages.UNREADABLE.error(where, reason=str(why.strerror)) from why
    return where, data


def _parse_with_trimesh(where: str, kind: str, data: bytes) -> tuple[Array, Ints]:
    import trimesh

    extra: dict[str, Any] = {"skip_materials": True} if kind == "glb" else {}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", DeprecationWarning)
            loaded = trimesh.load_scene(io.BytesIO(data), file_type=kind, process=False, resolver=None, **extra)
            pieces = [g for g in loaded.dump() if isinstance(g, trimesh.Trimesh) and len(g.faces)]
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as why:
        raise messages.INVALID.error(where, format=kind.upper()) from why
    if not pieces:
        raise messages.NO_TRIANGLES.error(where)
    return join_meshes([(np.asarray(p.vertices, np.float64), np.asarray(p.faces, np.int64)) for p in pieces])


def _check_arrays(where: str, kind: str, corners: Array, triangles: Ints) -> None:
    if corners.shape[1:] != (3,) or triangles.shape[1:] != (3,):
        raise messages.INVALID.error(where, format=kind.upper())
    if len(triangles) == 0 or len(corners) == 0:
        raise messages.NO_TRIANGLES.error(where)
    if triangles.min() < 0 or triangles.max() >= len(corners):
        raise messages.NO_SUCH_CORNER.error(where)
    low, high = float(corners.min()), float(corners.max())  # NaN goes through min and max
    if not (np.isfinite(low) and np.isfinite(high)):
        raise messages.NOT_NUMBERS.error(where)
    if max(-low, high) > MAX_COORDINATE:
        raise messages.COORDINATES_TOO_LARGE.error(where, largest=f"{max(-low, high):.3g}")
    if high == low:
        raise messages.ONE_POINT.error(where)
