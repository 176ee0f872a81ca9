"""3MF: a zip of XML, opened with a limit on everything that could grow; no entity, no outside file."""

from __future__ import annotations

import io
import zipfile
import zlib
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any
from xml.etree import ElementTree
from xml.parsers import expat

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Quantity
from foldsketch.mesh.files import messages
from foldsketch.mesh.files.precheck import MAX_TRIANGLES, PrecheckedFile, join_meshes

MAX_UNPACKED_BYTES = 150_000_000
MAX_FILES_IN_PACK = 2000
MAX_COMPRESSION_RATIO = 100
MIN_SUSPECT_BYTES = 10_000_000
"""A file of the pack that unpacks to more than this must not be packed tighter than MAX_COMPRESSION_RATIO."""

MAX_COMPONENT_DEPTH, MAX_COMPONENT_STEPS = 16, 10_000
"""How deep components may be nested, and how many may be placed."""

_UNIT_SYMBOLS = {"millimeter": "mm", "centimeter": "cm", "meter": "m", "inch": "in", "foot": "ft", "micron": "um"}

Placed = tuple[str, Array]
"""Id of an object and the matrix (4, 4) that places it."""


@dataclass(slots=True)
class _Model:
    """What the XML holds: the mesh of every object, the components of every object, and what is built."""

    meshes: dict[str, tuple[Array, Ints]] = field(default_factory=dict)
    components: dict[str, list[Placed]] = field(default_factory=dict)
    build: list[Placed] = field(default_factory=list)


class _PrologEnded(Exception):
    """The document's own element begins, or a document type is there before it."""


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
    # What is not XML is refused by whoever reads it.
    with suppress(_PrologEnded, expat.ExpatError, LookupError, ValueError):
        parser.Parse(text, True)
    return bool(found)


def check_3mf(where: str, data: bytes) -> PrecheckedFile:
    """Corners and triangles of everything that is built, and the unit that the file names. Raises FoldsketchError."""
    model = _Model()
    unit = ""
    for text in _unpack_models(where, data):
        if _has_doctype(text):
            raise messages.THREEMF_ENTITIES.error(where)
        try:
            root = ElementTree.fromstring(text)
            unit = unit or _UNIT_SYMBOLS.get(root.get("unit", "millimeter"), "")
            _collect_objects(root, model)
        except (ElementTree.ParseError, ValueError, KeyError, TypeError) as why:
            raise messages.INVALID.error(where, format="3MF") from why
    placed = _place_objects(where, model)
    if not placed:
        raise messages.NO_TRIANGLES.error(where)
    return PrecheckedFile(unit=unit, arrays=join_meshes(placed))


def _unpack_models(where: str, data: bytes) -> list[bytes]:
    """The XML of every model in a pack; sizes are checked before anything is unpacked."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as pack:
            entries = pack.infolist()
            unpacked = sum(e.file_size for e in entries)
            if len(entries) > MAX_FILES_IN_PACK:
                raise messages.THREEMF_TOO_MANY_FILES.error(where, count=len(entries), limit=MAX_FILES_IN_PACK)
            if unpacked > MAX_UNPACKED_BYTES:
                size, limit = (Quantity(n / 1e6, "MB", 0) for n in (unpacked, MAX_UNPACKED_BYTES))
                raise messages.THREEMF_UNPACKS_TOO_LARGE.error(where, size=size, limit=limit)
            models = [e for e in entries if e.filename.lower().endswith(".model")]
            if not models:
                raise messages.THREEMF_WITHOUT_MODEL.error(where)
            if any(e.file_size > max(MIN_SUSPECT_BYTES, MAX_COMPRESSION_RATIO * e.compress_size) for e in models):
                raise messages.THREEMF_PACKED_TOO_TIGHT.error(where, limit=MAX_COMPRESSION_RATIO)
            return [pack.read(e) for e in models]
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, OSError, EOFError, ValueError) as why:
        raise messages.THREEMF_NOT_A_ZIP.error(where) from why


def _tag_name(node: Any) -> str:
    return str(node.tag).rsplit("}", 1)[-1]


def _placed(node: Any) -> Placed:
    """Object and matrix of an item or a component: 3MF writes a 4 x 3 matrix by rows, for row vectors."""
    matrix = np.eye(4)
    if node.get("transform"):
        matrix[:3, :] = np.array(node.get("transform").split(), dtype=np.float64).reshape(4, 3).T
    return node.attrib["objectid"], matrix


def _collect_objects(root: Any, model: _Model) -> None:
    for node in root.iter():
        if _tag_name(node) == "item":
            model.build.append(_placed(node))
        if _tag_name(node) != "object":
            continue
        inside: dict[str, list[Any]] = {}
        for n in node.iter():
            inside.setdefault(_tag_name(n), []).append(n)
        rows, faces = inside.get("vertex", []), inside.get("triangle", [])
        if rows and faces:
            corners = np.array([(v.attrib["x"], v.attrib["y"], v.attrib["z"]) for v in rows], dtype="U32")
            triangles = np.array([(t.attrib["v1"], t.attrib["v2"], t.attrib["v3"]) for t in faces], dtype="U16")
            model.meshes[node.attrib["id"]] = (corners.astype(np.float64), triangles.astype(np.int64))
        model.components[node.attrib["id"]] = [_placed(c) for c in inside.get("component", [])]


def _place_objects(where: str, model: _Model) -> list[tuple[Array, Ints]]:
    """The mesh of every built object in its place."""
    todo = [(name, m, 0) for name, m in (model.build or [(n, np.eye(4)) for n in model.meshes])]
    placed: list[tuple[Array, Ints]] = []
    total = steps = 0
    while todo:
        name, m, depth = todo.pop()
        steps += 1
        if name in model.meshes:
            corners, triangles = model.meshes[name]
            total += max(len(triangles), len(corners))
            placed.append((corners @ m[:3, :3].T + m[:3, 3], triangles))
        if depth > MAX_COMPONENT_DEPTH or total > MAX_TRIANGLES or steps > MAX_COMPONENT_STEPS:
            raise messages.THREEMF_COMPONENTS.error(where)
        todo += [(child, m @ t, depth + 1) for child, t in model.components.get(name, [])]
    return placed
