"""Report: a reading as JSON and as a table."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from foldsketch.base.findings import worst_first
from foldsketch.base.units import format_number
from foldsketch.mesh.comparison.compare import Comparison
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading

READING_FORMAT = "foldsketch-reading 2"

NO_MISFIT_MM = 1e-9
"""A misfit below this, mm, is rounding alone."""


def reading_json(bodies: Sequence[tuple[MeshReading, Comparison | None]]) -> bytes:
    """The reading report: UTF-8 JSON, the same bytes for the same readings. Lengths mm, angles degrees.

    bodies: the readings of one file, at least one, each with the comparison of its rebuilt part where there is one.
    """
    return (json.dumps(reading_dict(bodies), indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def reading_dict(bodies: Sequence[tuple[MeshReading, Comparison | None]]) -> dict[str, Any]:
    """The report as plain data: the keys of the format page, and some more. bodies: as for reading_json."""
    first = bodies[0][0]
    of_file = dict.fromkeys(f for reading, _ in bodies for f in reading.findings if f.where == first.source)
    return {
        "format": READING_FORMAT,
        "source": first.source,
        "kind": first.kind,
        "units": first.units,
        "bodies": [_body_dict(reading, compared) for reading, compared in bodies],
        "findings": [f.as_dict() for f in of_file],
    }


def _body_dict(reading: MeshReading, comparison: Comparison | None) -> dict[str, Any]:
    compared: dict[str, Any] = {} if comparison is None else {"rebuilt": _comparison_dict(comparison)}
    return {
        "name": reading.name,
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
        "findings": [f.as_dict() for f in reading.findings if f.where != reading.source],
    }


def _comparison_dict(c: Comparison) -> dict[str, float]:
    """Volume and area: rebuilt part over mesh, volume_ratio over what the file's surfaces enclose; distances in mm."""
    return {
        "volume": _round_mm(c.volume),
        "volume_ratio": _round_mm(c.true_volume),
        "area": _round_mm(c.area),
        "farthest": _round_mm(c.max_distance),
        "farthest_from_mesh": _round_mm(c.mesh_to_part_max),
        "farthest_from_part": _round_mm(c.part_to_mesh_max),
        "mean_from_mesh": _round_mm(c.mesh_to_part_mean),
        "mean_from_part": _round_mm(c.part_to_mesh_mean),
        "mesh_chord": _round_mm(c.mesh_chord_error),
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
        "tolerance": m.tolerance,
        "exact": m.exact,
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
    """The readings as lines of text: features and axes as tables, then the findings, the worst first."""
    return "\n".join(line for r in readings for line in _reading_lines(r))


def _reading_lines(r: MeshReading) -> list[str]:
    size = " x ".join(format_number(s, 2) for s in r.size)
    closed = "closed" if r.watertight else "not closed"
    rounds = [m for m in r.features if m.kind != "plane"]
    heads = ("feature", "axis", "diameter", "from", "to", "arc", "fit error")
    axis_heads = ("axis", "offset", "point", "direction")
    faces = len(r.features) - len(rounds)
    return [
        f"{r.name}: {r.triangles} triangles, {closed}, {size} mm, {format_number(r.volume / 1000, 2)} cm3",
        "",
        *_align_columns([heads, *(_feature_row(m, r) for m in rounds)]),
        *(["", *_align_columns([axis_heads, *_axis_rows(r)])] if r.axes else []),
        "",
        f"{faces} flat faces; {100 * r.explained_area:.2f} % of the surface is recognised",
        "",
        *map(str, worst_first(r.findings)),
        "",
    ]


def _feature_row(m: MeasuredFeature, r: MeshReading) -> tuple[str, ...]:
    diameter = format_number(m.diameter)
    if m.kind == "cone":
        diameter += f" > {format_number(m.end_diameter)}"
    if m.kind == "torus":
        diameter += f" / {format_number(m.tube_diameter)}"
    if r.segmentation.noise:
        diameter += f" ± {m.tolerance:.1g}"
    side = " (bore side)" if m.inner and m.kind == "cone" else ""
    fate = " (left out)" if m.left_out and not r.keep else ""
    ends = [format_number(z + _height_on_axis(m, r)) for z in (m.start, m.end)]
    misfit = "exact" if m.exact else f"{m.misfit_max:.1g}" if m.misfit_max > NO_MISFIT_MM else "none"
    return (m.name + side + fate, m.axis or "-", diameter, *ends, f"{m.covered_degrees:.0f}°", misfit)


def _height_on_axis(m: MeasuredFeature, r: MeshReading) -> float:
    """How far the point that a feature is measured from, a fillet's centre perhaps, is along its axis, mm."""
    for a in r.axes:
        if a.name == m.axis:
            return sum(d * (p - q) for d, p, q in zip(m.direction, m.point, a.point, strict=True))
    return 0.0


def _axis_rows(r: MeshReading) -> list[tuple[str, ...]]:
    return [
        (
            a.name,
            "-" if a.offset is None else format_number(a.offset),
            ", ".join(format_number(x) for x in a.point),
            ", ".join(format_number(x, 4) for x in a.direction),
        )
        for a in r.axes
    ]


def _align_columns(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Rows as lines of equal columns, the first one to the left, the others to the right."""
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        "  ".join([row[0].ljust(wide[0]), *(cell.rjust(w) for cell, w in zip(row[1:], wide[1:], strict=True))])
        for row in rows
    ]
