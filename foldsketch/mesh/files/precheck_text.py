"""OBJ and OFF, the formats that are plain lines of numbers."""

from __future__ import annotations

import re
from itertools import pairwise

import numpy as np

from foldsketch.base.findings import Quantity
from foldsketch.mesh.files import messages
from foldsketch.mesh.files.precheck import MAX_TRIANGLES, PrecheckedFile, check_triangle_count

OBJ_LINE_PATTERN = rb"^[ \t]*([%b])[ \t]+([^\n#]+)"
"""A line of an OBJ file that begins with one of the letters, and what it holds; an empty one does not count."""

MAX_FACE_BYTES = 4000
"""Longest line of an OBJ file that is read as a face."""


def check_obj(where: str, data: bytes) -> PrecheckedFile:
    """The corners ('v' lines) and the faces ('f' lines), these as fans of triangles; materials are not opened.

    Raises FoldsketchError.
    """
    plain = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").replace(b"\\\n", b" ")
    lines = re.findall(OBJ_LINE_PATTERN % b"vf", plain, re.M)
    corner_lines = [text for letter, text in lines if letter == b"v"]
    face_lines = [text for letter, text in lines if letter == b"f"]
    if not corner_lines or not face_lines:
        raise messages.OBJ_WITHOUT_SURFACE.error(where)
    check_triangle_count(where, len(face_lines))
    if max(map(len, face_lines)) > MAX_FACE_BYTES:
        raise messages.OBJ_FACE_TOO_LONG.error(where)
    try:
        corners = np.array([row.split()[:3] for row in corner_lines], dtype="S32").astype(np.float64)
        rows = [[int(word.split(b"/")[0]) for word in row.split()] for row in face_lines]
    except ValueError as why:
        raise messages.OBJ_LINE_INVALID.error(where) from why
    if any(abs(i) > 3 * MAX_TRIANGLES for row in rows for i in row):
        raise messages.NO_SUCH_CORNER.error(where)
    if corners.ndim != 2 or corners.shape[1] != 3 or min(map(len, rows)) < 3:
        raise messages.OBJ_LINE_INVALID.error(where)
    if any(i < 0 for row in rows for i in row):
        rows = _resolve_negative_indices([letter for letter, _ in lines], rows)
    triangles = np.array([(row[0], a, b) for row in rows for a, b in pairwise(row[1:])], dtype=np.int64) - 1
    return PrecheckedFile(arrays=(corners, triangles))


def _resolve_negative_indices(letters: list[bytes], rows: list[list[int]]) -> list[list[int]]:
    """Negative numbers of a face count back from the corners read so far. letters: of all lines, in order."""
    seen = np.cumsum([letter == b"v" for letter in letters])[[letter == b"f" for letter in letters]].tolist()
    return [[i if i > 0 else n + 1 + i for i in row] for n, row in zip(seen, rows, strict=True)]


def check_off(where: str, data: bytes) -> PrecheckedFile:
    """'OFF', three counts, then lines; the counts must fit the file. Raises FoldsketchError."""
    words = re.sub(rb"#[^\n]*", b"", data[:65536]).split()
    if not words or words[0].upper() != b"OFF":
        raise messages.INVALID.error(where, format="OFF")
    counts = words[1:3]
    if len(counts) < 2 or not all(w.isdigit() and len(w) < 12 for w in counts):
        raise messages.OFF_COUNTS_MISSING.error(where)
    corners, faces = map(int, counts)
    if corners == 0 or faces == 0:
        raise messages.NO_TRIANGLES.error(where)
    lines = len(re.findall(rb"^[ \t]*[-+.0-9][^\n]*$", data, re.M))
    needed = corners + faces + (0 if b"OFF " in data[:64] else 1)
    if lines < needed or corners * 6 + faces * 8 > len(data):
        declared, found = (Quantity(n, "lines", 0) for n in (needed, lines))
        raise messages.CUT_SHORT.error(where, declared=declared, found=found, format="OFF")
    check_triangle_count(where, faces)
    return PrecheckedFile(data)
