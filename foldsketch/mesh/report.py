"""Report: a reading as the JSON of the format page and as a table for people."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from foldsketch.base.units import format_number
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.rebuild.compare import Comparison

READING_FORMAT = "foldsketch-reading 1"


def reading_json(reading: MeshReading, comparison: Comparison | None = None) -> bytes:
    """The reading report: UTF-8 JSON, the same bytes for the same reading. Lengths mm, angles degrees.

    held: how the rebuilt part compares with the mesh, where it was held against it.
    """
    return (
        json.dumps(reading_dict(reading, comparison), indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    ).encode()


def reading_dict(reading: MeshReading, comparison: Comparison | None = None) -> dict[str, Any]:
    """The report as plain data: the keys of the format page, and some more."""
    compared: dict[str, Any] = {} if comparison is None else {"rebuilt": _comparison_dict(comparison)}
    return {
        "format": READING_FORMAT,
        "source": reading.source,
        "body": reading.name,
        "units": reading.units,
        "triangles": reading.triangles,
        "watertight": reading.watertight,
        "size": [_round_mm(s) for s in reading.size],
        "volume": _round_mm(reading.volume),
        "area": _round_mm(reading.area),
        "features": [_feature_dict(m) for m in reading.features],
        "left_out": [_feature_dict(m) for m in reading.left_out],
        "axes": [
            {
                "name": a.name,
                "point": [_round_mm(x) for x in a.point],
                "direction": list(a.direction),
                "features": list(a.features),
                "offset": None if a.offset is None else _round_mm(a.offset),
            }
            for a in reading.axes
        ],
        "bolt_circles": [
            {
                "axis": c.axis,
                "diameter": _round_mm(c.diameter),
                "hole": _round_mm(c.hole),
                "count": c.count,
                "features": list(c.features),
            }
            for c in reading.bolt_circles
        ],
        "explained_area": round(min(reading.explained_area, 1.0), 9),
        **compared,
        "findings": [f.as_dict() for f in reading.findings],
    }


def _comparison_dict(comparison: Comparison) -> dict[str, float]:
    """volume and area: rebuilt part over mesh; distances in mm, from the mesh to the part and back."""
    return {
        "volume": _round_mm(comparison.volume),
        "area": _round_mm(comparison.area),
        "farthest_from_mesh": _round_mm(comparison.mesh_to_part_max),
        "farthest_from_part": _round_mm(comparison.part_to_mesh_max),
        "mean_from_mesh": _round_mm(comparison.mesh_to_part_mean),
        "mean_from_part": _round_mm(comparison.part_to_mesh_mean),
        "mesh_chord": _round_mm(comparison.mesh_chord_error),
    }


def _round_mm(x: float) -> float:
    """Nine decimals of a mm are enough; no negative zero."""
    return round(x, 9) + 0.0


def _feature_dict(m: MeasuredFeature) -> dict[str, Any]:
    out: dict[str, Any] = {
        "name": m.name,
        "kind": m.kind,
        "inner": m.inner,
        "diameter": _round_mm(m.diameter),
        "end_diameter": _round_mm(m.end_diameter),
        "point": [_round_mm(x) for x in m.point],
        "direction": list(m.direction),
        "start": _round_mm(m.start),
        "end": _round_mm(m.end),
        "misfit_max": m.misfit_max,
        "misfit_rms": m.misfit_rms,
        "wrap": round(m.covered_degrees, 3),
        "area": _round_mm(m.area),
        "role": m.role,
        "axis": m.axis,
    }
    if m.kind == "torus":
        out["tube_diameter"] = _round_mm(m.tube_diameter)
    return out


def reading_table(readings: Iterable[MeshReading]) -> str:
    """The findings as a table: features, axes, what is left out, in lines of text."""
    lines: list[str] = []
    for r in readings:
        size = " x ".join(format_number(s, 2) for s in r.size)
        closed = "closed" if r.watertight else "not closed"
        lines += [
            f"{r.name}: {r.triangles} triangles, {closed}, {size} mm, {format_number(r.volume / 1000, 2)} cm3",
            "",
        ]
        rows: list[tuple[str, ...]] = [("feature", "axis", "diameter", "from", "to", "wrap", "misfit")]
        for m in r.features:
            if m.kind == "plane":
                continue
            d = format_number(m.diameter)
            if m.kind == "cone":
                d = f"{d} > {format_number(m.end_diameter)}"
            if m.kind == "torus":
                d = f"{d} / {format_number(m.tube_diameter)}"
            note = "" if not m.left_out or r.keep else " (left out)"
            rows.append(
                (
                    m.name + (" (bore side)" if m.inner and m.kind == "cone" else "") + note,
                    m.axis or "-",
                    d,
                    format_number(m.start),
                    format_number(m.end),
                    f"{m.covered_degrees:.0f}",
                    f"{m.misfit_max:.1g}",
                )
            )
        lines += _align_columns(rows)
        if r.axes:
            lines += ["", *_align_columns([("axis", "offset", "point", "direction"), *_axis_rows(r)])]
        faces = sum(m.kind == "plane" for m in r.features)
        lines += ["", f"{faces} flat faces; {100 * r.explained_area:.2f} % of the surface is explained", ""]
        lines += [str(f) for f in r.findings] + [""]
    return "\n".join(lines)


def _axis_rows(r: MeshReading) -> list[tuple[str, str, str, str]]:
    return [
        (
            a.name,
            "-" if a.offset is None else format_number(a.offset),
            ", ".join(format_number(x) for x in a.point),
            ", ".join(format_number(x, 4) for x in a.direction),
        )
        for a in r.axes
    ]


def _align_columns(rows: list[tuple[str, ...]]) -> list[str]:
    wide = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(w) if k == 0 else cell.rjust(w) for k, (cell, w) in enumerate(zip(row, wide, strict=True)))
        for row in rows
    ]
