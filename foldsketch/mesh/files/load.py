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
from foldsketch.base.findings import Finding, FoldsketchError, input_error
from foldsketch.mesh import MESH_FILE_SUFFIXES
from foldsketch.mesh.files import precheck, precheck_glb, precheck_text

MAX_MESH_FILE_BYTES = 1 << 30
"""Bytes. A file above this is refused before it is opened."""

MAX_COORDINATE = 1e8
"""No part is this large in any unit that a drawing uses."""

MESH_FORMATS = tuple(ending[1:] for ending in MESH_FILE_SUFFIXES)


@dataclass(frozen=True, slots=True, eq=False)
class RawMesh:
    """Triangles as the file has them, in its own numbers.

    corners: (n, 3) float64; triangles: (m, 3) indices into corners; single: the numbers went through 32-bit floats;
    unit: what the file itself says of its unit, or "".
    """

    source: str
    kind: str
    corners: Array
    triangles: Ints
    single_precision: bool
    unit: str = ""
    findings: tuple[Finding, ...] = ()


def load_mesh(path: Path | str) -> RawMesh:
    """Read STL, PLY, OBJ, OFF, 3MF or GLB. Raises FoldsketchError with one line for anything else.

    Binary STL is 50 bytes a triangle and read as such; what else trimesh reads goes through it.

    Counts that the file declares are held against its size before anything is set aside for them; nothing that the
    file points to (textures, materials, other files) is opened.
    """
    path = Path(path)
    # A name that is no text stands in reports with question marks.
    where = (path.name or str(path)).encode("utf-8", "replace").decode()
    kind, data = _read_bytes(path, where)
    passed = PRECHECKS[kind](where, data)
    if kind == "stl" and passed.arrays is None:
        corners, triangles = _parse_binary_stl(passed.data)
    elif passed.arrays is not None:
        corners, triangles = passed.arrays
    else:
        corners, triangles = _parse_with_trimesh(where, kind, passed.data)
    _check_arrays(where, corners, triangles)
    return RawMesh(
        where,
        kind,
        np.ascontiguousarray(corners, dtype=np.float64),
        np.ascontiguousarray(triangles, dtype=np.int64),
        passed.single_precision,
        passed.unit,
        passed.findings,
    )


def _read_bytes(path: Path, where: str) -> tuple[str, bytes]:
    try:
        about = path.stat()
    except (OSError, ValueError) as why:
        raise input_error(where, "cannot be found or opened", "check the path") from why
    if stat.S_ISDIR(about.st_mode):
        raise input_error(where, "is a folder, not a mesh file", "name one file")
    if not stat.S_ISREG(about.st_mode):
        raise input_error(where, "is not an ordinary file", "name a mesh file")
    kind = path.suffix.lower().lstrip(".")
    if kind not in MESH_FORMATS:
        raise input_error(
            where, f"'{path.suffix}' is no mesh format that is read", "give STL, PLY, OBJ, OFF, 3MF or GLB"
        )
    if about.st_size == 0:
        raise input_error(where, "is empty", "export it again")
    if about.st_size > MAX_MESH_FILE_BYTES:
        size = about.st_size / 1e9
        raise input_error(where, f"is {size:.1f} GB, more than is read", "export it with a coarser tolerance")
    try:
        data = path.read_bytes()
    except OSError as why:
        raise input_error(where, f"cannot be read ({why.strerror})", "check the permissions") from why
    precheck.reject_foreign_formats(where, kind, data)
    return kind, data


def _parse_binary_stl(data: bytes) -> tuple[Array, Ints]:
    """Three corners of its own for every triangle: 50 bytes each after 84, of which the first 12 are a normal."""
    rows = np.frombuffer(data, dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")], offset=84)
    corners = rows["corners"].reshape(-1, 3).astype(np.float64)
    return corners, np.arange(len(corners), dtype=np.int64).reshape(-1, 3)


def _parse_with_trimesh(where: str, kind: str, data: bytes) -> tuple[Array, Ints]:
    import trimesh

    extra: dict[str, Any] = {"skip_materials": True} if kind in ("obj", "glb") else {}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", DeprecationWarning)
            loaded = trimesh.load_scene(io.BytesIO(data), file_type=kind, process=False, resolver=None, **extra)
            pieces = [g for g in loaded.dump() if isinstance(g, trimesh.Trimesh) and len(g.faces)]
    except FoldsketchError:
        raise
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as why:
        raise input_error(where, f"the {kind.upper()} data cannot be made out", "export it again") from why
    if not pieces:
        raise input_error(where, "holds no triangles", "export a surface mesh")
    starts = np.cumsum([0] + [len(p.vertices) for p in pieces])
    corners = np.concatenate([np.asarray(p.vertices, dtype=np.float64) for p in pieces])
    triangles = np.concatenate(
        [np.asarray(p.faces, dtype=np.int64) + s for p, s in zip(pieces, starts[:-1], strict=True)]
    )
    return corners, triangles


def _check_arrays(where: str, corners: Array, triangles: Ints) -> None:
    if corners.shape[1:] != (3,) or triangles.shape[1:] != (3,):
        raise input_error(where, "its corners or triangles are not given by threes", "export it again")
    if len(triangles) == 0 or len(corners) == 0:
        raise input_error(where, "holds no triangles", "export a surface mesh")
    if triangles.min() < 0 or triangles.max() >= len(corners):
        raise input_error(where, "a triangle names a corner that is not there", "export it again")
    low, high = corners.min(), corners.max()  # NaN goes through min and max
    if not (np.isfinite(low) and np.isfinite(high)):
        raise input_error(where, "some coordinates are not numbers", "export it again")
    if max(-low, high) > MAX_COORDINATE:
        raise input_error(
            where, f"coordinates reach {max(-low, high):.3g}, which is no part", "export it again in sound units"
        )
    if high == low:
        raise input_error(where, "all corners lie in one point", "export it again")


def _check_3mf(where: str, data: bytes) -> precheck.PrecheckedFile:
    from foldsketch.mesh.files.read_3mf import read_3mf

    corners, triangles, unit = read_3mf(where, data)
    return precheck.PrecheckedFile(b"", False, unit, arrays=(corners, triangles))


PRECHECKS: dict[str, Callable[[str, bytes], precheck.PrecheckedFile]] = {
    "stl": precheck.check_stl,
    "ply": precheck.check_ply,
    "obj": precheck_text.check_obj,
    "off": precheck_text.check_off,
    "glb": precheck_glb.check_glb,
    "3mf": _check_3mf,
}
