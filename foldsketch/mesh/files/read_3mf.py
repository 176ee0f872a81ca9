"""3MF: a zip of XML, opened with a limit on everything that could grow; no entity, no outside file."""

from __future__ import annotations

import io
import zipfile
import zlib
from contextlib import suppress
from typing import Any
from xml.etree import ElementTree
from xml.parsers import expat

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import input_error
from foldsketch.mesh.files.precheck import MAX_TRIANGLES

MAX_UNPACKED_BYTES = 150_000_000
MAX_COMPRESSION_RATIO = 100
_UNIT_SYMBOLS = {"millimeter": "mm", "centimeter": "cm", "meter": "m", "inch": "in", "foot": "ft", "micron": "um"}


class _PrologEnded(Exception):
    """The document's own element begins, or a document type stands before it."""


def _has_doctype(text: bytes) -> bool:
    """Whether XML has a document type, the one place for entities, in whatever encoding; its content is not read."""
    found = []

    def doctype(*_: object) -> None:
        found.append(True)
        raise _PrologEnded

    def element(*_: object) -> None:
        raise _PrologEnded

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = doctype
    parser.StartElementHandler = element
    # What is no XML is told by whoever reads it.
    with suppress(_PrologEnded, expat.ExpatError, LookupError, ValueError):
        parser.Parse(text, True)
    return bool(found)


def read_3mf(where: str, data: bytes) -> tuple[Array, Ints, str]:
    """Corners (n, 3), triangles (m, 3) and the unit that the file names. Raises FoldsketchError."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as pack:
            entries = pack.infolist()
            unpacked = sum(e.file_size for e in entries)
            if len(entries) > 2000:
                raise input_error(where, f"holds {len(entries)} files, more than a 3MF needs", "export it as STL")
            if unpacked > MAX_UNPACKED_BYTES:
                raise input_error(where, f"unpacks to {unpacked / 1e6:.0f} MB, more than is read", "export it as STL")
            models = [e for e in entries if e.filename.lower().endswith(".model")]
            if not models:
                raise input_error(where, "is a zip without a 3D model in it", "export it again")
            for e in models:
                if e.file_size > 10_000_000 and e.file_size > MAX_COMPRESSION_RATIO * max(1, e.compress_size):
                    raise input_error(
                        where, "unpacks to far more than its size: it is refused unopened", "export it again"
                    )
            texts = [pack.read(e) for e in models]
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, OSError, EOFError, ValueError) as why:
        raise input_error(where, "is no sound zip, as a 3MF must be", "export it again") from why
    shapes: dict[str, tuple[Array, Ints]] = {}
    groups: dict[str, list[tuple[str, Array]]] = {}
    build: list[tuple[str, Array]] = []
    unit = ""
    for text in texts:
        if _has_doctype(text):
            raise input_error(where, "its XML declares entities", "export it again")
        try:
            root = ElementTree.fromstring(text)
            unit = unit or _UNIT_SYMBOLS.get(root.get("unit", "millimeter"), "")
            _collect_objects(root, shapes, groups, build)
        except (ElementTree.ParseError, ValueError, KeyError, TypeError) as why:
            raise input_error(where, "its model cannot be made out", "export it again") from why
    placed = _place_objects(where, shapes, groups, build)
    if not placed:
        raise input_error(where, "holds no triangles", "export a surface mesh")
    starts = np.cumsum([0] + [len(c) for c, _ in placed])
    corners = np.concatenate([c for c, _ in placed])
    triangles = np.concatenate([t + s for (_, t), s in zip(placed, starts[:-1], strict=True)])
    return corners, triangles, unit


def _tag_name(node: Any) -> str:
    return str(node.tag).rsplit("}", 1)[-1]


def _parse_transform(text: str | None) -> Array:
    """3MF writes a 4 x 3 matrix by rows, for row vectors."""
    out = np.eye(4)
    if text:
        values = np.array(text.split(), dtype=np.float64)
        out[:3, :] = values.reshape(4, 3).T
    return out


def _collect_objects(
    root: Any,
    shapes: dict[str, tuple[Array, Ints]],
    groups: dict[str, list[tuple[str, Array]]],
    build: list[tuple[str, Array]],
) -> None:
    for node in root.iter():
        if _tag_name(node) == "item":
            build.append((node.attrib["objectid"], _parse_transform(node.get("transform"))))
        if _tag_name(node) != "object":
            continue
        number = node.attrib["id"]
        rows = [v for v in node.iter() if _tag_name(v) == "vertex"]
        faces = [t for t in node.iter() if _tag_name(t) == "triangle"]
        if rows and faces:
            corners = np.array([(v.attrib["x"], v.attrib["y"], v.attrib["z"]) for v in rows], dtype="U32")
            triangles = np.array([(t.attrib["v1"], t.attrib["v2"], t.attrib["v3"]) for t in faces], dtype="U16")
            shapes[number] = (corners.astype(np.float64), triangles.astype(np.int64))
        groups[number] = [
            (c.attrib["objectid"], _parse_transform(c.get("transform")))
            for c in node.iter()
            if _tag_name(c) == "component"
        ]


def _place_objects(
    where: str,
    shapes: dict[str, tuple[Array, Ints]],
    groups: dict[str, list[tuple[str, Array]]],
    build: list[tuple[str, Array]],
) -> list[tuple[Array, Ints]]:
    """Every built object in its place; components may nest 16 deep."""
    todo = [(name, m, 0) for name, m in (build or [(n, np.eye(4)) for n in shapes])]
    placed: list[tuple[Array, Ints]] = []
    total = steps = 0
    while todo:
        name, m, depth = todo.pop()
        steps += 1
        if name in shapes:
            corners, triangles = shapes[name]
            total += max(len(triangles), len(corners))
            placed.append((corners @ m[:3, :3].T + m[:3, 3], triangles))
        if depth > 16 or total > MAX_TRIANGLES or steps > 10_000:
            raise input_error(where, "its components nest or repeat more than is sensible", "export it as STL")
        todo += [(child, m @ t, depth + 1) for child, t in groups.get(name, [])]
    return placed
