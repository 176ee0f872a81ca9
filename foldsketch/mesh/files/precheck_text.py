"""Gates for OBJ and OFF, the formats that are plain lines of numbers."""

from __future__ import annotations

import re
from itertools import pairwise

import numpy as np

from foldsketch.base.findings import input_error
from foldsketch.mesh.files.precheck import EXPORT_AGAIN, MAX_TRIANGLES, PrecheckedFile, too_many_triangles

OBJ_LINE_PATTERN = rb"^[ \t]*[%b][ \t]+([^\n#]+)"
"""A line of an OBJ file that begins with one of the letters, and what it holds; one without words does not count."""


def check_obj(where: str, data: bytes) -> PrecheckedFile:
    """Lines of corners and faces; lines that name materials are taken out, so that nothing else is opened."""
    plain = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").replace(b"\\\n", b" ")
    corner_lines = re.findall(OBJ_LINE_PATTERN % b"v", plain, re.M)
    face_lines = re.findall(OBJ_LINE_PATTERN % b"f", plain, re.M)
    if not corner_lines or not face_lines:
        raise input_error(where, "has no 'v' or no 'f' lines: it holds no surface", EXPORT_AGAIN)
    if len(face_lines) > MAX_TRIANGLES:
        raise too_many_triangles(where, len(face_lines))
    if max(map(len, face_lines)) > 4000:
        raise input_error(where, "has a face of more corners than is sensible", EXPORT_AGAIN)
    try:
        corners = np.array([row.split()[:3] for row in corner_lines], dtype="S32").astype(np.float64)
        rows = [[int(word.split(b"/")[0]) for word in row.split()] for row in face_lines]
    except ValueError as why:
        raise input_error(where, "some 'v' or 'f' lines hold no numbers", EXPORT_AGAIN) from why
    if any(abs(i) > MAX_TRIANGLES * 3 for row in rows for i in row):
        raise input_error(where, "a face names a corner that is not there", EXPORT_AGAIN)
    if corners.ndim != 2 or corners.shape[1] != 3 or min(map(len, rows)) < 3:
        raise input_error(where, "some 'v' or 'f' lines are too short", EXPORT_AGAIN)
    if any(i < 0 for row in rows for i in row):
        rows = _resolve_negative_indices(plain, rows)
    fan = [(row[0], a, b) for row in rows for a, b in pairwise(row[1:])]
    triangles = np.array(fan, dtype=np.int64) - 1
    return PrecheckedFile(b"", False, arrays=(corners, triangles))


def _resolve_negative_indices(plain: bytes, rows: list[list[int]]) -> list[list[int]]:
    """Negative numbers of a face count back from the corners read so far."""
    seen, k, out = 0, 0, []
    for found in re.finditer(OBJ_LINE_PATTERN % b"vf", plain, re.M):
        if found.group().lstrip()[:1] == b"v":
            seen += 1
        else:
            out.append([i if i > 0 else seen + 1 + i for i in rows[k]])
            k += 1
    return out


def check_off(where: str, data: bytes) -> PrecheckedFile:
    """'OFF', three counts, then lines; the counts must fit into the file."""
    words = re.sub(rb"#[^\n]*", b"", data[:65536]).split()
    if not words or not words[0].upper().endswith(b"OFF"):
        raise input_error(where, "does not start with 'OFF'", EXPORT_AGAIN)
    counts = words[1:3]
    if words[0].upper() != b"OFF" or len(counts) < 2 or not all(w.isdigit() and len(w) < 12 for w in counts):
        raise input_error(where, "is no plain OFF file with its counts in the second line", EXPORT_AGAIN)
    corners, faces = map(int, counts)
    if corners * 6 + faces * 8 > len(data):
        raise input_error(
            where, f"declares {corners} corners and {faces} faces, more than its size holds", EXPORT_AGAIN
        )
    if corners == 0 or faces == 0:
        raise input_error(where, "holds no triangles", "export a surface mesh")
    rows = len(re.findall(rb"^[ \t]*[-+.0-9][^\n]*$", data, re.M))
    if rows < corners + faces + 1 and not (rows == corners + faces and b"OFF " in data[:64]):
        raise input_error(
            where, f"declares {corners} corners and {faces} faces and has {rows} lines: it is cut short", EXPORT_AGAIN
        )
    if faces > MAX_TRIANGLES:
        raise too_many_triangles(where, faces)
    return PrecheckedFile(data, False)
