"""Report: a reading as the JSON of the format page and as a table for people."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from foldsketch.base.units import plain
from foldsketch.mesh.features.result import Measured, Reading
from foldsketch.mesh.rebuild.compare import Comparison

FORMAT = "foldsketch-reading 1"


def reading_json(reading: Reading, held: Comparison | None = None) -> bytes:
    """The reading report: UTF-8 JSON, the same bytes for the same reading. Lengths mm, angles degrees.

    held: how the rebuilt part compares with the mesh, where it was held against it.
    """
    return (json.dumps(reading_dict(reading, held), indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def reading_dict(reading: Reading, held: Comparison | None = None) -> dict[str, Any]:
    """The report as plain data: the keys of the format page, and some more."""
    compared: dict[str, Any] = {} if held is None else {"rebuilt": _compared(held)}
    return {
        "format": FORMAT,
        "source": reading.source,
        "body": reading.name,
        "units": reading.units,
        "triangles": reading.triangles,
        "watertight": reading.watertight,
        "size": [_clean(s) for s in reading.size],
        "volume": _clean(reading.volume),
        "area": _clean(reading.area),
        "features": [_feature(m) for m in reading.features],
        "left_out": [_feature(m) for m in reading.left_out],
        "axes": [
            {
                "name": a.name,
                "point": [_clean(x) for x in a.point],
                "direction": list(a.direction),
                "features": list(a.features),
                "offset": None if a.offset is None else _clean(a.offset),
            }
            for a in reading.axes
        ],
        "bolt_circles": [
            {
                "axis": c.axis,
                "diameter": _clean(c.diameter),
                "hole": _clean(c.hole),
                "count": c.count,
                "features": list(c.features),
            }
            for c in reading.bolt_circles
        ],
        "explained_area": round(min(reading.explained_area, 1.0), 9),
        **compared,
        "findings": [f.as_dict() for f in reading.findings],
    }


def _compared(held: Comparison) -> dict[str, float]:
    """volume and area: rebuilt part over mesh; distances in mm, from the mesh to the part and back."""
    return {
        "volume": _clean(held.volume),
        "area": _clean(held.area),
        "farthest_from_mesh": _clean(held.farthest_out),
        "farthest_from_part": _clean(held.farthest_back),
        "mean_from_mesh": _clean(held.mean_out),
        "mean_from_part": _clean(held.mean_back),
        "mesh_chord": _clean(held.chord),
    }


def _clean(x: float) -> float:
    """Nine decimals of a mm are enough; no negative zero."""
    return round(x, 9) + 0.0


def _feature(m: Measured) -> dict[str, Any]:
    out: dict[str, Any] = {
        "name": m.name,
        "kind": m.kind,
        "inner": m.inner,
        "diameter": _clean(m.diameter),
        "end_diameter": _clean(m.end_diameter),
        "point": [_clean(x) for x in m.point],
        "direction": list(m.direction),
        "start": _clean(m.start),
        "end": _clean(m.end),
        "misfit_max": m.misfit_max,
        "misfit_rms": m.misfit_rms,
        "wrap": round(m.wrap, 3),
        "area": _clean(m.area),
        "role": m.role,
        "axis": m.axis,
    }
    if m.kind == "torus":
        out["tube_diameter"] = _clean(m.tube)
    return out


def reading_table(readings: Iterable[Reading]) -> str:
    """The findings as a table: features, axes, what is left out, in lines of text."""
    lines: list[str] = []
    for r in readings:
        size = " x ".join(plain(s, 2) for s in r.size)
        closed = "closed" if r.watertight else "not closed"
        lines += [f"{r.name}: {r.triangles} triangles, {closed}, {size} mm, {plain(r.volume / 1000, 2)} cm3", ""]
        rows: list[tuple[str, ...]] = [("feature", "axis", "diameter", "from", "to", "wrap", "misfit")]
        for m in r.features:
            if m.kind == "plane":
                continue
            d = plain(m.diameter)
            if m.kind == "cone":
                d = f"{d} > {plain(m.end_diameter)}"
            if m.kind == "torus":
                d = f"{d} / {plain(m.tube)}"
            note = "" if not m.left_out or r.keep else " (left out)"
            rows.append(
                (
                    m.name + (" (bore side)" if m.inner and m.kind == "cone" else "") + note,
                    m.axis or "-",
                    d,
                    plain(m.start),
                    plain(m.end),
                    f"{m.wrap:.0f}",
                    f"{m.misfit_max:.1g}",
                )
            )
        lines += _columns(rows)
        if r.axes:
            lines += ["", *_columns([("axis", "offset", "point", "direction"), *_axis_rows(r)])]
        faces = sum(m.kind == "plane" for m in r.features)
        lines += ["", f"{faces} flat faces; {100 * r.explained_area:.2f} % of the surface is explained", ""]
        lines += [str(f) for f in r.findings] + [""]
    return "\n".join(lines)


def _axis_rows(r: Reading) -> list[tuple[str, str, str, str]]:
    return [
        (
            a.name,
            "-" if a.offset is None else plain(a.offset),
            ", ".join(plain(x) for x in a.point),
            ", ".join(plain(x, 4) for x in a.direction),
        )
        for a in r.axes
    ]


def _columns(rows: list[tuple[str, ...]]) -> list[str]:
    wide = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(w) if k == 0 else cell.rjust(w) for k, (cell, w) in enumerate(zip(row, wide, strict=True)))
        for row in rows
    ]
