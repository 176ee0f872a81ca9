"""Ratios of the main job, all measured in one run of this file.

    python benchmarks/main_job.py

1. facet to checked nets and drawn sheets of the pump cover, against the boolean union of the same prisms (limit 20);
2. the whole cold `make` of a sample, against the bare import of the libraries (limit 0.7);
3. growth of cost with the number of panels, 50 to 1,600 (limit n^1.2).
"""

from __future__ import annotations

import math
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "samples" / "bilge-pump-cover.toml"


def best(work, repeat=7):
    times = []
    for _ in range(repeat):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def union_of(prisms):
    from foldsketch.solid.joining.kernel import to_manifold

    made = None
    for k, p in enumerate(prisms):
        one = to_manifold(p, 10_000 + k)
        made = one if made is None else made - one if p.cut else made + one
    made.num_tri()
    return made.volume()


def main_against_union():
    from foldsketch.job import pipeline
    from foldsketch.part.file.read import read_part
    from foldsketch.sheet.page.draw import draw_sheets
    from foldsketch.solid.faceting.facet import facet
    from foldsketch.solid.faceting.sides import FacetChoice

    part, _ = read_part(SAMPLE)
    scale = pipeline.make_model(part).nets.scale
    prisms = facet(part, scale, FacetChoice()).prisms

    def main():
        made = pipeline.make_model(part, pipeline.Choices(scale=scale))
        draw_sheets(made.nets, made.sheets)

    # In turn, so that a machine which is shared slows both: the ratio of the least times, and the middle one of all.
    jobs, unions = [], []
    for _ in range(40):
        jobs.append(best(main, 1))
        unions.append(best(lambda: union_of(prisms), 3))
    a, b = min(jobs), min(unions)
    middle = median(x / y for x, y in zip(jobs, unions, strict=True))
    print(
        f"main job {a * 1e3:.1f} ms, union {b * 1e3:.2f} ms: ratio {a / b:.1f}, {middle:.1f} in the middle of 40 turns"
    )
    print("  (asked: at most 20)")


def cold_against_imports():
    bare = [sys.executable, "-c", "import numpy, trimesh, shapely, manifold3d, reportlab, svgwrite"]
    # Our modules are compiled once, as an installed library's are, and not at every run.
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    with tempfile.TemporaryDirectory() as out:
        make = [sys.executable, "-m", "foldsketch.cli", "make", str(SAMPLE), "--out", out]

        def run(command):
            subprocess.run(command, check=True, capture_output=True, env=env)

        run(make)
        a, b = [], []
        for _ in range(15):
            b.append(best(lambda: run(bare), 1))
            a.append(best(lambda: run(make), 1))
    middle = median(x / y for x, y in zip(a, b, strict=True))
    print(
        f"cold make {min(a):.2f} s, bare imports {min(b):.2f} s: ratio {min(a) / min(b):.2f}, {middle:.2f} in the "
        "middle (asked: at most 0.7)"
    )


def growth():
    from foldsketch.net.build import build_nets
    from foldsketch.part.model import Axis, Cylinder, Feature, Part
    from foldsketch.solid.faceting.facet import facet
    from foldsketch.solid.faceting.sides import FacetChoice
    from foldsketch.solid.joining.blocks import join

    times = []
    for count in (50, 100, 200, 400, 800, 1600):
        # Discs of twelve sides and two ends each, stacked on alternating centres.
        n = max(1, round(count / 14))
        features = tuple(Feature(f"disc {k}", "AB"[k % 2], Cylinder(60), 10.0 * k, 10.0 * k + 10) for k in range(n))
        part = Part("stack", (Axis("A"), Axis("B", (8.0, 0.0, 0.0))), features)

        def work(part=part):
            faceted = facet(part, 1.0, FacetChoice(sides=12))
            return build_nets(faceted, join(faceted), 1.0)

        panels = sum(len(p.panels) for p in work().pieces)
        times.append((panels, best(work, 3)))
        print(f"  {panels:5d} panels {times[-1][1] * 1e3:8.1f} ms")
    (n0, t0), (n1, t1) = times[0], times[-1]
    print(f"growth n^{math.log(t1 / t0) / math.log(n1 / n0):.2f} (asked: at most n^1.2)")


if __name__ == "__main__":
    main_against_union()
    cold_against_imports()
    growth()
