"""STL, binary and ASCII: the declared counts must fit the file; then its triangles are read."""

from __future__ import annotations

import re

import numpy as np

from foldsketch.base.findings import Finding, Quantity
from foldsketch.mesh.files import messages
from foldsketch.mesh.files.precheck import PrecheckedFile, check_triangle_count, separate_triangles, stl_length_fits

HEADER_BYTES, TRIANGLE_BYTES = 84, 50
"""Sizes in a binary STL: 80 bytes and a count, then a normal (12 bytes), three corners (36) and 2 bytes a triangle."""


def check_stl(where: str, data: bytes) -> PrecheckedFile:
    """Binary when the declared count fills the file, else ASCII when it starts with 'solid'. Raises FoldsketchError."""
    fits = stl_length_fits(data)
    is_text = not fits and not any(c < 9 or 13 < c < 32 for c in data[:4096])
    begins_solid = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower().startswith(b"solid")
    if not fits and begins_solid and (len(data) < HEADER_BYTES or is_text):
        return _check_ascii_stl(where, data)
    if len(data) < HEADER_BYTES:
        raise messages.STL_TOO_SHORT.error(where, size=len(data))
    if is_text:
        raise messages.STL_OTHER_TEXT.error(where)
    declared = int.from_bytes(data[80:84], "little")
    found = (len(data) - HEADER_BYTES) // TRIANGLE_BYTES
    extra = len(data) - HEADER_BYTES - TRIANGLE_BYTES * declared
    if extra < 0:
        quantities = [Quantity(n, "triangles", 0) for n in (declared, found)]
        raise messages.CUT_SHORT.error(where, declared=quantities[0], found=quantities[1], format="STL")
    if declared == 0 and extra == 0:
        raise messages.NO_TRIANGLES.error(where)
    if extra > max(4096, 25 * declared) or declared == 0:
        raise messages.STL_COUNT_WRONG.error(where, declared=declared, found=found)
    check_triangle_count(where, declared)
    findings: tuple[Finding, ...] = (messages.STL_EXTRA_BYTES.at(where, count=extra),) if extra else ()
    layout = [("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attributes", "<u2")]
    rows = np.frombuffer(data, dtype=layout, offset=HEADER_BYTES, count=declared)
    arrays = separate_triangles(rows["corners"].reshape(-1, 3).astype(np.float64))
    return PrecheckedFile(single_precision=True, findings=findings, arrays=arrays)


def _check_ascii_stl(where: str, data: bytes) -> PrecheckedFile:
    low = re.sub(rb"^[ \t]*((?:end)?solid)\b[^\r\n]*", rb"\1", data.lower(), flags=re.M)  # names may be any words
    facets, loops = len(re.findall(rb"facet\s+normal", low)), low.count(b"outer")
    corners = len(re.findall(rb"\bvertex\s", low))
    if facets == 0:
        raise messages.STL_WITHOUT_FACETS.error(where)
    if b"endsolid" not in low[-4096:]:
        raise messages.STL_WITHOUT_END.error(where, count=facets)
    if corners != 3 * facets or loops != facets or low.count(b"endfacet") != facets:
        raise messages.STL_CORNERS_WRONG.error(where, facets=facets, corners=corners)
    check_triangle_count(where, facets)
    rows = re.findall(rb"\bvertex[ \t]+(\S+)[ \t]+(\S+)[ \t]+(\S+)[ \t]*[\r\n]", low)
    if len(rows) != corners:
        raise messages.STL_VERTEX_INVALID.error(where)
    try:
        return PrecheckedFile(arrays=separate_triangles(np.array(rows, dtype="S32").astype(np.float64)))
    except ValueError as why:
        raise messages.STL_VERTEX_INVALID.error(where) from why
