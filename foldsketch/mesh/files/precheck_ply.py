"""PLY: the counts in its header must fit the bytes that follow."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from foldsketch.base.findings import Quantity
from foldsketch.mesh.files import messages
from foldsketch.mesh.files.precheck import PrecheckedFile, check_triangle_count

MAX_HEADER_BYTES = 65536

_TYPE_BYTES = {
    **dict.fromkeys(("char", "uchar", "int8", "uint8"), 1),
    **dict.fromkeys(("short", "ushort", "int16", "uint16"), 2),
    **dict.fromkeys(("int", "uint", "int32", "uint32", "float", "float32"), 4),
    **dict.fromkeys(("double", "float64", "int64", "uint64"), 8),
}
"""Bytes of the number types in a binary PLY."""


@dataclass(slots=True)
class _Element:
    """An element of the header, such as "vertex": how many, and the types of its numbers (of a list's count)."""

    name: str
    count: int
    types: list[str] = field(default_factory=list)
    has_double: bool = False


def check_ply(where: str, data: bytes) -> PrecheckedFile:
    """The elements of the header must fit into what follows it.

    Comments, which may name a texture file, are taken out. Raises FoldsketchError.
    """
    if not data.startswith(b"ply"):
        raise messages.INVALID.error(where, format="PLY")
    end = re.search(rb"end_header\r?\n", data[:MAX_HEADER_BYTES])
    if not end:
        raise messages.PLY_HEADER_OPEN.error(where)
    lines = [line.strip() for line in data[: end.start()].decode("ascii", "replace").split("\n")]
    kept = [line for line in lines if line and line.split()[0] not in ("comment", "obj_info")]
    is_ascii = not any(line.split()[:1] == ["format"] and line.split()[1:2] != ["ascii"] for line in kept)
    elements = _read_elements(where, kept)
    needed = sum(e.count * (2 if is_ascii else _TYPE_BYTES[kind]) for e in elements for kind in e.types)
    rest = len(data) - end.end()
    if needed > rest + 1:
        declared, found = (Quantity(n, "bytes", 0) for n in (needed, rest))
        raise messages.CUT_SHORT.error(where, declared=declared, found=found, format="PLY")
    counts = {e.name: e.count for e in elements}
    if not counts.get("vertex") or not counts.get("face"):
        raise messages.NO_TRIANGLES.error(where)
    check_triangle_count(where, max(counts["vertex"], counts["face"]))
    header = "\n".join([*kept, "end_header\n"]).encode("ascii", "replace")
    return PrecheckedFile(header + data[end.end() :], not any(e.has_double for e in elements))


def _read_elements(where: str, lines: list[str]) -> list[_Element]:
    elements: list[_Element] = []
    for line in lines:
        match line.split():
            case ["element", name, count] if count.isdigit() and len(count) <= 12:
                elements.append(_Element(name, int(count)))
            case ["property", "list", kind, _, _] if kind in _TYPE_BYTES and elements:
                elements[-1].types.append(kind)
            case ["property", kind, _] if kind in _TYPE_BYTES and elements:
                elements[-1].types.append(kind)
                elements[-1].has_double |= kind in ("double", "float64")
            case ["element" | "property", *_]:
                raise messages.PLY_HEADER_LINE.error(where, line=line[:60])
    return elements
