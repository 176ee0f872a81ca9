"""The general way measured: a free form of 5,120 triangles down to 300 panels, unfolded and checked.

Run: python benchmarks/general_way.py [--panels 300] [--times 3]

Prints the best of some runs of each stage, in processor time: the decimation alone (fast-simplification, one call), the
whole of simplify (decimation until the panels fit, merging, crossing check, two-sided distances), nets (skin,
unfolding, tabs, marks, the oracle), and both together; and each over the decimation.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import trimesh
from fast_simplification import simplify as collapse

from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.mesh.panels.simplify import simplify
from foldsketch.net.build import build_nets
from foldsketch.net.model import Nets
from foldsketch.net.refold import check_nets
from foldsketch.net.unfolding.face_graph import build_face_graph
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.sheet.layout.paper import parse_paper, printable_size
from foldsketch.solid.joining.polyhedron import block_from_polyhedron


def free_form() -> trimesh.Trimesh:
    """A bumpy lump, about 80 mm long."""
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=30)
    x, y, z = mesh.vertices.T
    r = 1 + 0.15 * np.sin(0.11 * x + 0.3) * np.cos(0.09 * y) + 0.1 * np.sin(0.1 * z * x / 10)
    mesh.vertices = mesh.vertices * r[:, None] * [1.3, 1, 0.8]
    return mesh


def best(times: int, work: Callable[[], object]) -> tuple[float, object]:
    """Least processor seconds of so many runs, and the last result."""
    least, made = float("inf"), None
    for _ in range(times):
        start = time.process_time()
        made = work()
        least = min(least, time.process_time() - start)
    return least, made


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--panels", type=int, default=300)
    ask.add_argument("--times", type=int, default=3)
    a = ask.parse_args()
    mesh = free_form()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lump.stl"
        path.write_bytes(mesh.export(file_type="stl"))
        read, readings = best(1, lambda: recognise_mesh(path, "mm"))
    reading = readings[0]  # type: ignore[index]
    body = reading.segmentation.body
    least, _ = best(
        a.times, lambda: collapse(body.corners, body.triangles.astype(np.int32), target_count=a.panels, agg=7)
    )
    whole, simplified = best(a.times, lambda: simplify(reading, a.panels))
    faceted, solids = block_from_polyhedron("lump", simplified.corners, simplified.polygons, 1.0)  # type: ignore[attr-defined]
    graph = build_face_graph(solids.blocks[0].skin)
    page = printable_size(parse_paper("A3"))
    flat, pieces = best(a.times, lambda: unfold(graph, faceted.datum_direction, page))
    nets, made = best(a.times, lambda: build_nets(faceted, solids, 1.0, page))
    assert isinstance(made, Nets)
    oracle, checks = best(a.times, lambda: check_nets(made))
    print(f"{len(body.triangles)} triangles, {len(solids.blocks[0].skin.faces)} panels, {len(pieces)} pieces")  # type: ignore[arg-type]
    print(f"checks passed: {checks.passed()}")  # type: ignore[attr-defined]
    for name, seconds in (
        ("reading", read),
        ("decimation alone", least),
        ("simplify, all of it", whole),
        ("unfolding", flat),
        ("the oracle", oracle),
        ("nets with tabs, marks, oracle", nets),
        ("the general way, all of it", whole + nets),
    ):
        print(f"{name:32s}{1000 * seconds:9.1f} ms{seconds / least:9.1f} x decimation")


if __name__ == "__main__":
    main()
