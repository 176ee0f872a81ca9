"""Precheck: what every mesh file must pass before a parser sees it, and what a check hands on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, Message
from foldsketch.mesh.files import messages

MAX_TRIANGLES = 5_000_000


@dataclass(frozen=True, slots=True, eq=False)
class PrecheckedFile:
    """What a check hands on.

    data: the bytes for the parser; arrays: corners (n, 3) and triangles (m, 3) where the check has read them itself;
    single_precision: the numbers went through 32-bit floats; unit: of the file, or "".
    """

    data: bytes = b""
    single_precision: bool = False
    unit: str = ""
    findings: tuple[Finding, ...] = ()
    arrays: tuple[Array, Ints] | None = None


_FOREIGN_SIGNATURES: tuple[tuple[bytes, Message, str], ...] = (
    (b"\x1f\x8b", messages.PACKED, "packed with gzip"),
    (b"BZh", messages.PACKED, "packed with bzip2"),
    (b"\xfd7zXZ", messages.PACKED, "packed with xz"),
    (b"7z\xbc\xaf", messages.PACKED, "a 7z archive"),
    (b"Rar!", messages.PACKED, "a RAR archive"),
    (b"PK\x03\x04", messages.PACKED, "a zip archive"),
    (b"\x89PNG", messages.ANOTHER_KIND, "a PNG picture"),
    (b"\xff\xd8\xff", messages.ANOTHER_KIND, "a JPEG picture"),
    (b"GIF8", messages.ANOTHER_KIND, "a GIF picture"),
    (b"II*\x00", messages.ANOTHER_KIND, "a TIFF picture"),
    (b"MM\x00*", messages.ANOTHER_KIND, "a TIFF picture"),
    (b"RIFF", messages.ANOTHER_KIND, "a sound, film or picture file"),
    (b"%PDF", messages.ANOTHER_KIND, "a PDF document"),
    (b"\x7fELF", messages.ANOTHER_KIND, "a program"),
    (b"ISO-10303-21", messages.ANOTHER_KIND, "a STEP file"),
    (b"\xff\xfe", messages.UTF16, ""),
    (b"\xfe\xff", messages.UTF16, ""),
)
"""First bytes of files that are no mesh."""


def reject_foreign_formats(where: str, kind: str, data: bytes) -> None:
    """Refuse files that are plainly of another kind: pictures, archives, UTF-16 text. Raises FoldsketchError."""
    if kind == "stl" and stl_length_fits(data):
        return
    for start, message, what in _FOREIGN_SIGNATURES:
        if data.startswith(start) and not (kind == "3mf" and start.startswith(b"PK")):
            raise message.error(where, **({"kind": what} if what else {}))
    head = data[:512]
    if kind in ("obj", "off") and b"\x00" in head:
        raise messages.NOT_TEXT.error(where)
    if len(head) >= 32 and not any(head[1:64:2]) and all(head[:64:2]):
        raise messages.UTF16.error(where)


def stl_length_fits(data: bytes) -> bool:
    """True when bytes 80 to 83 declare a count that fills the file: 84 + 50 n [Burns, Automated Fabrication, 6.5]."""
    return len(data) >= 84 and len(data) == 84 + 50 * int.from_bytes(data[80:84], "little")


def check_triangle_count(where: str, count: int) -> None:
    """Raises FoldsketchError for more triangles than are read."""
    if count > MAX_TRIANGLES:
        raise messages.TOO_MANY_TRIANGLES.error(where, count=count, limit=MAX_TRIANGLES)


def join_meshes(pieces: list[tuple[Array, Ints]]) -> tuple[Array, Ints]:
    """Corners and triangles of several meshes as one, in order."""
    starts = np.cumsum([0] + [len(corners) for corners, _ in pieces[:-1]])
    return (
        np.concatenate([corners for corners, _ in pieces]),
        np.concatenate([triangles + start for (_, triangles), start in zip(pieces, starts, strict=True)]),
    )


def separate_triangles(corners: Array) -> tuple[Array, Ints]:
    """Corners (3 m, 3), three for each triangle, and the triangles (m, 3)."""
    return corners, np.arange(len(corners), dtype=np.int64).reshape(-1, 3)
