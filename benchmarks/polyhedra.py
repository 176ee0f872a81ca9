"""Random polyhedra through the general way, from the mesh file to checked nets: overlap-free always, pieces counted.

python benchmarks/polyhedra.py 0 500        # seeds from, to

In turn: hulls of random points, bumpy balls (star-shaped, with hollows), hulls joined, hulls bored through. The first
oracle is the program's; the second reads the net file alone (tests/write), and overlaps are measured once more from it.
"""

from __future__ import annotations

import json
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import manifold3d
import numpy as np
import shapely
import trimesh

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "write"))

from test_net_json import verdict

from foldsketch.base.findings import FoldsketchError
from foldsketch.job.mesh_pipeline import model_from_panels
from foldsketch.job.pipeline import Choices
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.mesh.panels.simplify import simplify
from foldsketch.write.net_json import net_json

NOTHING = 1e-3
"""Area in common, mm2, below which panels do not overlap, as the program has it: far below a pencil line."""

KINDS = ("hull", "bumpy", "joined", "bored")


def hull(r: random.Random, size: float = 40.0) -> manifold3d.Manifold:
    """The hull of a few random points."""
    count = r.randint(5, 30)
    return manifold3d.Manifold.hull_points([[r.uniform(-size, size) for _ in range(3)] for _ in range(count)])


def body(kind: str, r: random.Random) -> trimesh.Trimesh:
    """A random closed mesh."""
    if kind == "bumpy":
        ball = trimesh.creation.icosphere(subdivisions=r.choice([1, 1, 1, 2]), radius=30)
        ball.vertices *= np.array([[r.uniform(0.6, 1.4)] for _ in ball.vertices])
        return ball
    made = hull(r)
    if kind == "joined":
        for _ in range(r.randint(1, 2)):
            made += hull(r).translate([r.uniform(-40, 40) for _ in range(3)])
    if kind == "bored":
        made -= manifold3d.Manifold.cylinder(300, r.uniform(3, 12), -1, r.randint(3, 6), True)
    mesh = made.to_mesh()
    return trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts)


def overlap(tree: dict) -> float:  # type: ignore[type-arg]
    """The largest area, mm2, that two panels of one piece share on paper, by the net file."""
    most = 0.0
    for piece in tree["pieces"]:
        panels = [shapely.Polygon(p["outline"], p["holes"]) for p in piece["panels"]]
        near = shapely.STRtree(panels)
        one, two = near.query(panels, predicate="intersects")
        for a, b in zip(one, two, strict=True):
            if a < b:
                # On a grid: without one, neighbours whose common edge differs in the last bits may come out as one.
                most = max(most, shapely.intersection(panels[a], panels[b], grid_size=1e-7).area)
    return most


def main(first: int, last: int) -> int:
    count: Counter[str] = Counter()
    reasons: Counter[str] = Counter()
    pieces: dict[str, list[int]] = {k: [] for k in KINDS}
    folder = Path(tempfile.mkdtemp())
    slowest, worst = (0.0, -1), (0.0, 0.0, 0.0, 0.0)
    for seed in range(first, last):
        r = random.Random(seed)
        kind = KINDS[seed % len(KINDS)]
        path = folder / "body.stl"
        path.write_bytes(body(kind, r).export(file_type="stl"))
        begun = time.monotonic()
        try:
            reading = recognise_mesh(path, "mm")[0]
            made = model_from_panels(simplify(reading, r.choice([40, 80, 160])), "body", Choices(paper="A3", scale=1.0))
        except FoldsketchError as why:
            count["refused"] += 1
            reasons[f"{kind}: {why.findings[0].what}"[:110]] += 1
        except Exception as why:
            count["crashed"] += 1
            print(f"seed {seed} ({kind}): {why!r}")
        else:
            tree = json.loads(net_json(made.nets, made.sheets))
            found = (*verdict(tree), overlap(tree))
            worst = tuple(map(max, worst, found))  # type: ignore[assignment]
            good = max(found[:3]) < 1e-6 and found[3] < NOTHING
            count["folds right, overlap-free" if good else "failed"] += 1
            if not good:
                print(f"seed {seed} ({kind}): {found}")
            pieces[kind].append(len(made.nets.pieces))
        slowest = max(slowest, (time.monotonic() - begun, seed))
    print(f"{last - first} bodies: {dict(count)}; slowest seed {slowest[1]}, {slowest[0]:.1f} s")
    for kind, found in pieces.items():
        if found:
            ones = sum(n == 1 for n in found)
            print(f"  {kind}: {len(found)} made, {ones} in one piece, mean {np.mean(found):.1f}, most {max(found)}")
    print("  worst gap {:.1e} mm, panels {:.1e} mm, volume {:.1e}, overlap {:.1e} mm2".format(*worst))
    for what, n in reasons.most_common(12):
        print(f"  refused {n}: {what}")
    return 1 if count["crashed"] or count["failed"] else 0


if __name__ == "__main__":
    a, b = (int(v) for v in (sys.argv[1:3] or ("0", "500")))
    raise SystemExit(main(a, b))
