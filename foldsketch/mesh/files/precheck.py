"""Gates: what a mesh file must prove about itself before it is let in to the parser."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, FoldsketchError, input_error

MAX_TRIANGLES = 5_000_000
EXPORT_AGAIN = "export it again"


@dataclass(frozen=True, slots=True, eq=False)
class PrecheckedFile:
    """data: the bytes that the parser may see; arrays: corners and triangles when the gate has read them itself."""

    data: bytes
    single_precision: bool
    unit: str = ""
    findings: tuple[Finding, ...] = ()
    arrays: tuple[Array, Ints] | None = None


_FOREIGN_SIGNATURES: tuple[tuple[bytes, str], ...] = (
    (b"\x1f\x8b", "is packed with gzip"),
    (b"BZh", "is packed with bzip2"),
    (b"\xfd7zXZ", "is packed with xz"),
    (b"7z\xbc\xaf", "is a 7z archive"),
    (b"Rar!", "is a RAR archive"),
    (b"\x89PNG", "is a PNG picture"),
    (b"\xff\xd8\xff", "is a JPEG picture"),
    (b"GIF8", "is a GIF picture"),
    (b"II*\x00", "is a TIFF picture"),
    (b"MM\x00*", "is a TIFF picture"),
    (b"RIFF", "is a sound, film or picture file"),
    (b"%PDF", "is a PDF document"),
    (b"\x7fELF", "is a program"),
    (b"ISO-10303-21", "is a STEP file, which holds no triangles"),
    (b"\xff\xfe", "is text in UTF-16"),
    (b"\xfe\xff", "is text in UTF-16"),
)


def reject_foreign_formats(where: str, kind: str, data: bytes) -> None:
    """Refuse files that are plainly another kind: pictures, archives, UTF-16 text. Raises FoldsketchError."""
    for start, what in _FOREIGN_SIGNATURES:
        if data.startswith(start) and not (kind == "stl" and stl_length_fits(data)):
            cure = "unpack it first" if "packed" in what or "archive" in what else "export it as STL"
            cure = "save it as plain text (UTF-8)" if "UTF-16" in what else cure
            raise input_error(where, f"{what}, whatever its name says", cure)
    if data.startswith(b"PK\x03\x04") and kind != "3mf":
        raise input_error(where, "is a zip archive, whatever its name says", "unpack it first")
    head = data[:512]
    if kind in ("obj", "off") and b"\x00" in head:
        raise input_error(where, "is not plain text", f"save it as plain text (UTF-8) or {EXPORT_AGAIN}")
    wide = len(head) >= 32 and not any(head[1:64:2]) and all(head[:64:2])
    if wide and not (kind == "stl" and stl_length_fits(data)):
        raise input_error(where, "looks like text in UTF-16", "save it as plain text (UTF-8)")


def stl_length_fits(data: bytes) -> bool:
    """True when bytes 80 to 83 declare a count that fills the file: 84 + 50 n [Burns, Automated Fabrication, 6.5]."""
    return len(data) >= 84 and len(data) == 84 + 50 * int.from_bytes(data[80:84], "little")


def too_many_triangles(where: str, count: int) -> FoldsketchError:
    """The error for more triangles than are read, ready to be raised."""
    return input_error(where, f"{count} triangles are more than are read", "export it with a coarser tolerance")


def check_stl(where: str, data: bytes) -> PrecheckedFile:
    """Binary when the declared count fills the file, else ASCII when it starts with 'solid'."""
    text = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    declared = int.from_bytes(data[80:84], "little") if len(data) >= 84 else 0
    if not stl_length_fits(data) and text.startswith(b"solid") and (len(data) < 84 or _is_text(data[:4096])):
        return _check_ascii_stl(where, data)
    if len(data) < 84:
        raise input_error(where, f"is no STL: {len(data)} bytes are less than its header", EXPORT_AGAIN)
    held = (len(data) - 84) // 50
    findings: tuple[Finding, ...] = ()
    if not stl_length_fits(data):
        if _is_text(data[:4096]):
            raise input_error(where, "is text, but not an STL that starts with 'solid'", EXPORT_AGAIN)
        if declared > held:
            raise input_error(
                where, f"declares {declared} triangles and holds {held}: it is cut short or no STL", EXPORT_AGAIN
            )
        if declared == 0 or (len(data) - 84 - 50 * declared) > max(4096, 25 * declared):
            raise input_error(where, f"declares {declared} triangles, but its size fits {held}", EXPORT_AGAIN)
        findings = (
            Finding("warning", where, f"{len(data) - 84 - 50 * declared} bytes follow the last triangle", EXPORT_AGAIN),
        )
    if declared == 0:
        raise input_error(where, "declares no triangles", EXPORT_AGAIN)
    if declared > MAX_TRIANGLES:
        raise too_many_triangles(where, declared)
    return PrecheckedFile(data[: 84 + 50 * declared], True, findings=findings)


def _is_text(head: bytes) -> bool:
    odd = sum(c < 9 or 13 < c < 32 for c in head)
    return odd == 0


def _check_ascii_stl(where: str, data: bytes) -> PrecheckedFile:
    low = re.sub(rb"^[ \t]*((?:end)?solid)\b[^\r\n]*", rb"\1", data.lower(), flags=re.M)  # names may be any words
    facets, loops = len(re.findall(rb"facet\s+normal", low)), low.count(b"outer")
    corners = len(re.findall(rb"\bvertex\s", low))
    if facets == 0:
        raise input_error(where, "starts like an STL, but holds no facets", EXPORT_AGAIN)
    if b"endsolid" not in low[-4096:]:
        raise input_error(where, f"is cut short: no 'endsolid' after {facets} facets", EXPORT_AGAIN)
    if corners != 3 * facets or loops != facets or low.count(b"endfacet") != facets:
        raise input_error(where, f"has {facets} facets, but {corners} corners and not three for each", EXPORT_AGAIN)
    if facets > MAX_TRIANGLES:
        raise too_many_triangles(where, facets)
    rows = re.findall(rb"\bvertex[ \t]+(\S+)[ \t]+(\S+)[ \t]+(\S+)[ \t]*[\r\n]", low)
    if len(rows) != corners:
        raise input_error(where, "some 'vertex' lines do not hold three numbers", EXPORT_AGAIN)
    try:
        numbers = np.array(rows, dtype="S32").astype(np.float64)
    except ValueError as why:
        raise input_error(where, "some 'vertex' lines hold no numbers", EXPORT_AGAIN) from why
    return PrecheckedFile(b"", False, arrays=(numbers, np.arange(len(numbers), dtype=np.int64).reshape(-1, 3)))


_PLY_TYPE_BYTES = {
    **dict.fromkeys(("char", "uchar", "int8", "uint8"), 1),
    **dict.fromkeys(("short", "ushort", "int16", "uint16"), 2),
    **dict.fromkeys(("int", "uint", "int32", "uint32", "float", "float32"), 4),
    **dict.fromkeys(("double", "float64", "int64", "uint64"), 8),
}


def check_ply(where: str, data: bytes) -> PrecheckedFile:
    """Header of at most 64 kB; the counts of all elements must fit into what follows it."""
    if not data.startswith(b"ply"):
        raise input_error(where, "does not start with 'ply'", EXPORT_AGAIN)
    found = re.search(rb"end_header\r?\n", data[:65536])
    if not found:
        raise input_error(where, "its header has no end", EXPORT_AGAIN)
    lines = data[: found.start()].decode("ascii", "replace").split("\n")
    rest, text, single = len(data) - found.end(), True, True
    needed, faces, corners = 0, 0, 0
    count, first_list = 0, ""
    kept: list[str] = []
    for line in (raw.strip() for raw in lines):
        words = line.split()
        if words[:1] == ["comment"] or words[:1] == ["obj_info"]:
            continue  # a comment may name a texture file, which is nobody's business here
        if line:
            kept.append(line)
        if words[:1] == ["format"]:
            text = words[1:2] == ["ascii"]
        elif words[:1] == ["element"]:
            if len(words) != 3 or not words[2].isdigit() or len(words[2]) > 12:
                raise input_error(where, f"its header line '{line[:60]}' is no element", EXPORT_AGAIN)
            count = int(words[2])
            faces = count if words[1] == "face" else faces
            corners = count if words[1] == "vertex" else corners
        elif words[:1] == ["property"]:
            is_list = words[1:2] == ["list"]
            if len(words) != (5 if is_list else 3):
                raise input_error(where, f"its header line '{line[:60]}' is no property", EXPORT_AGAIN)
            if not is_list and words[1:2] == ["double"]:
                single = False
            least = 2 if text else _PLY_TYPE_BYTES.get(words[2 if is_list else 1], 0)
            if least == 0:
                raise input_error(where, f"its header line '{line[:60]}' names no known type", EXPORT_AGAIN)
            needed += count * least
            first_list = first_list or (words[2] if is_list else "")
    if needed > rest + 1:
        raise input_error(
            where, f"declares data of at least {needed} bytes and holds {rest}: it is cut short", EXPORT_AGAIN
        )
    if faces == 0 or corners == 0:
        raise input_error(where, "holds no triangles", "export a surface mesh")
    if max(faces, corners) > MAX_TRIANGLES:
        raise too_many_triangles(where, faces)
    return PrecheckedFile("\n".join([*kept, "end_header\n"]).encode("ascii", "replace") + data[found.end() :], single)
