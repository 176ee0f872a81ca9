"""How long large meshes take to read, over trimesh.load of the same file, and the most memory.

Run: python benchmarks/reading_speed.py [--triangles 300000 1000000] [--part stack filleted …]

Every part is drawn by the gmsh kernel at a mesh size that gives about so many triangles, written as binary STL, and
read in a process of its own: trimesh.load and recognise_mesh in turn, the best of three each.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

ONE = """
import json, resource, sys, time
import trimesh
from foldsketch.mesh.features.recognise import recognise_mesh
load, read = [], []
for _ in range(3):
    t = time.perf_counter(); trimesh.load(sys.argv[1]); load.append(time.perf_counter() - t)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    t = time.perf_counter(); r = recognise_mesh(sys.argv[1], "mm")[0]; read.append(time.perf_counter() - t)
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
rounds = sum(m.kind != "plane" for m in r.features)
print(json.dumps([r.triangles, min(load), min(read), peak, rounds, r.explained_area]))
"""


def stl_of(name: str, wanted: int, folder: Path) -> Path:
    """A drawn part of about so many triangles as binary STL; the mesh size is found in two steps."""
    from reading import binary_stl
    from reading_parts import draw

    drawn = draw(name, 24, 4.0)
    size = 4.0
    for _ in range(3):
        size *= (len(drawn.triangles) / wanted) ** 0.5
        drawn = draw(name, 24, size)
        if abs(len(drawn.triangles) / wanted - 1) < 0.1:
            break
    path = folder / f"{name}-{wanted}.stl"
    path.write_bytes(binary_stl(drawn.triangles))
    return path


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--triangles", type=int, nargs="+", default=[3_000, 300_000, 1_000_000])
    ask.add_argument("--part", nargs="+", default=["stack", "filleted", "casting"])
    ask.add_argument("--keep", metavar="DIR", help="keep the meshes there, and take those that are there")
    a = ask.parse_args()
    from reading_parts import kernel

    head = f"{'part':12s}{'triangles':>10s}{'load s':>9s}{'read s':>9s}"
    print(head + f"{'ratio':>7s}{'GB':>6s}{'rounds':>8s}{'explained':>11s}")
    with kernel(), tempfile.TemporaryDirectory() as temporary:
        folder = Path(a.keep or temporary)
        folder.mkdir(parents=True, exist_ok=True)
        for name in a.part:
            for wanted in a.triangles:
                path = folder / f"{name}-{wanted}.stl"
                if not path.exists():
                    stl_of(name, wanted, folder)
                done = subprocess.run(
                    [sys.executable, "-c", ONE, str(path)], capture_output=True, text=True, check=True
                )
                n, load, read, peak, rounds, explained = json.loads(done.stdout)
                print(
                    f"{name:12s}{n:10d}{load:9.3f}{read:9.3f}{read / load:7.2f}{peak:6.2f}{rounds:8d}{explained:11.4f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
