"""Reading, measured: parts drawn by the gmsh kernel, posed and damaged, against what the mesh reader finds.

Run: python benchmarks/reading.py [--part NAME] [--per-turn N ...] [--variant NAME ...]

Prints, for each part and variant: cylinders drawn, found, missed, invented; worst error of diameter (mm), axis
position (mm) and direction (degrees); share of the surface explained; reading time over the time of trimesh.load.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import trimesh

sys.path.insert(0, str(Path(__file__).parent))

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.recognise import recognise_mesh
from reading_parts import PARTS, Drawn, Round, draw, kernel

Array = np.ndarray


@dataclass(frozen=True)
class Pose:
    """What was done to a mesh: a turn, a shift and a scale (file units per mm)."""

    turn: Array
    shift: Array
    scale: float = 1.0

    @staticmethod
    def none() -> Pose:
        return Pose(np.eye(3), np.zeros(3))


def binary_stl(triangles: Array) -> bytes:
    """Bytes of a binary STL."""
    rows = np.zeros(len(triangles), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = triangles
    return b"drawn by an outside kernel".ljust(80) + np.uint32(len(triangles)).tobytes() + rows.tobytes()


def ascii_stl(triangles: Array, places: int) -> bytes:
    """Bytes of an ASCII STL with fixed decimals."""
    lines = ["solid x"]
    for t in triangles:
        lines += ["facet normal 0 0 0", "outer loop"]
        lines += ["vertex " + " ".join(f"{x:.{places}f}" for x in p) for p in t]
        lines += ["endloop", "endfacet"]
    return "\n".join([*lines, "endsolid x", ""]).encode()


def random_pose(seed: int, reach: float = 50.0) -> Pose:
    from scipy.spatial.transform import Rotation

    rng = np.random.default_rng(seed)
    return Pose(Rotation.random(random_state=seed).as_matrix(), rng.uniform(-reach, reach, 3))


Variant = Callable[[Array, int], tuple[bytes, Pose, str]]


def plain_stl(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    return binary_stl(t), Pose.none(), ".stl"


def posed(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    p = random_pose(seed)
    return binary_stl(t @ p.turn.T + p.shift), p, ".stl"


def inches(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    p = random_pose(seed)
    p = Pose(p.turn, p.shift, 1 / 25.4)
    return binary_stl((t @ p.turn.T + p.shift) * p.scale), p, ".stl"


def two_decimals(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    p = random_pose(seed)
    return ascii_stl(t @ p.turn.T + p.shift, 2), p, ".stl"


def four_decimals(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    p = random_pose(seed)
    return ascii_stl(t @ p.turn.T + p.shift, 4), p, ".stl"


def far_off(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    p = random_pose(seed, 20_000)
    return binary_stl(t @ p.turn.T + p.shift), p, ".stl"


def dirty(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    """A tenth turned round, some doubled, some degenerate, a few gone, bits of dirt beside it."""
    rng = np.random.default_rng(seed)
    t = t.copy()
    flip = rng.random(len(t)) < 0.1
    t[flip] = t[flip][:, ::-1]
    again = t[rng.choice(len(t), max(1, len(t) // 50), replace=False)]
    flat = t[rng.choice(len(t), 5)].copy()
    flat[:, 2] = flat[:, 1]
    keep = np.ones(len(t), dtype=bool)
    keep[rng.choice(len(t), max(1, len(t) // 300), replace=False)] = False
    speck = rng.normal(size=(4, 3, 3)) * 0.02 + t.reshape(-1, 3).max(axis=0) * 0.5
    t = np.concatenate((t[keep], again, flat, speck))
    p = random_pose(seed)
    return binary_stl(t[rng.permutation(len(t))] @ p.turn.T + p.shift), p, ".stl"


def inside_out(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    return binary_stl(t[:, ::-1]), Pose.none(), ".stl"


def ply_file(t: Array, seed: int) -> tuple[bytes, Pose, str]:
    p = random_pose(seed)
    m = trimesh.Trimesh((t @ p.turn.T + p.shift).reshape(-1, 3), np.arange(3 * len(t)).reshape(-1, 3), process=True)
    return m.export(file_type="ply"), p, ".ply"


def noisy(sigma: float) -> Variant:
    def make(t: Array, seed: int) -> tuple[bytes, Pose, str]:
        m = trimesh.Trimesh(t.reshape(-1, 3), np.arange(3 * len(t)).reshape(-1, 3), process=True)
        v = m.vertices + np.random.default_rng(seed).normal(size=m.vertices.shape) * sigma
        return binary_stl(v[m.faces]), Pose.none(), ".stl"

    return make


VARIANTS: dict[str, Variant] = {
    "plain": plain_stl,
    "posed": posed,
    "inches": inches,
    "2 decimals": two_decimals,
    "4 decimals": four_decimals,
    "far off": far_off,
    "dirty": dirty,
    "inside out": inside_out,
    "ply": ply_file,
    "noise 0.005": noisy(0.005),
    "noise 0.02": noisy(0.02),
}

CLEAN = ("plain", "posed", "inside out", "ply")


@dataclass
class Score:
    """What a reading is worth."""

    drawn: int = 0
    found: int = 0
    invented: int = 0
    diameter: float = 0.0
    position: float = 0.0
    direction: float = 0.0
    explained: float = 0.0
    ratio: float = 0.0
    seconds: float = 0.0
    words: str = ""

    @property
    def missed(self) -> int:
        return self.drawn - self.found


def error(truth: Round, pose: Pose, m: MeasuredFeature, factor: float) -> tuple[float, float, float]:
    """Diameter (mm), axis position at the feature's middle (mm) and direction (degrees) off the truth."""
    d = pose.turn @ np.array(truth.direction)
    p = pose.turn @ np.array(truth.point) + pose.shift
    u = np.array(m.direction)
    middle = np.array(m.point) / pose.scale / factor + u * (m.start + m.end) / 2 / pose.scale / factor
    off = middle - p
    tilt = float(np.degrees(np.arcsin(min(1.0, float(np.linalg.norm(np.cross(u, d)))))))
    return (
        abs(m.diameter / pose.scale / factor - truth.diameter),
        float(np.linalg.norm(off - d * (off @ d))),
        tilt,
    )


def score(drawn: Drawn, pose: Pose, readings: tuple[MeshReading, ...], loose: float) -> Score:
    """Hold cylinders against the truth. loose: mm within which a cylinder counts as the one that was drawn."""
    s = Score()
    truths = [r for r in drawn.truth if r.kind == "cylinder"]
    needed = [r for r in truths if not r.may]
    s.drawn = len(needed)
    reports = [m for r in readings for m in r.features if m.kind == "cylinder"]
    matched = set()
    for truth in truths:
        best = None
        for i, m in enumerate(reports):
            e = error(truth, pose, m, 1.0)
            if m.inner == truth.inner and e[0] < loose and e[1] < loose and e[2] < 0.5:
                matched.add(i)
                if best is None or sum(e) < sum(best):
                    best = e
        if best is not None and not truth.may:
            s.found += 1
            s.diameter, s.position, s.direction = (
                max(a, b) for a, b in zip((s.diameter, s.position, s.direction), best, strict=True)
            )
    s.invented = len(reports) - len(matched)
    s.explained = readings[0].explained_area if readings else 0.0
    return s


def run(drawn: Drawn, name: str, variant: Variant, folder: Path, seed: int = 1) -> Score:
    """Read one variant of a drawn part and hold it against the truth."""
    data, pose, suffix = variant(drawn.triangles, seed)
    path = folder / f"{drawn.name}{suffix}"
    path.write_bytes(data)
    start = time.perf_counter()
    trimesh.load(path)
    load = time.perf_counter() - start
    start = time.perf_counter()
    try:
        readings = recognise_mesh(path)
    except FoldsketchError as why:
        s = Score(drawn=sum(r.kind == "cylinder" and not r.may for r in drawn.truth), words=str(why))
        return s
    seconds = time.perf_counter() - start
    loose = 0.05 if name not in CLEAN else 0.01
    s = score(drawn, pose, readings, max(loose, 0.02))
    s.seconds, s.ratio = seconds, seconds / load
    return s


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--part", action="append", choices=list(PARTS))
    ask.add_argument("--per-turn", type=int, nargs="+", default=[24])
    ask.add_argument("--variant", nargs="+", choices=list(VARIANTS), default=list(VARIANTS))
    ask.add_argument("--quiet", action="store_true", help="only parts with something missed or invented")
    a = ask.parse_args()
    head = (
        f"{'part':16s}{'mesh':>5s}{'triangles':>10s}  {'variant':12s}{'drawn':>6s}{'found':>6s}{'miss':>5s}{'inv':>4s}"
    )
    print(head + f"{'d diam':>10s}{'d pos':>10s}{'d dir':>10s}{'explained':>10s}{'s':>7s}{'x load':>8s}")
    totals: dict[str, list[Score]] = {}
    with kernel(), tempfile.TemporaryDirectory() as folder:
        for name in a.part or PARTS:
            for per_turn in a.per_turn:
                drawn = draw(name, per_turn)
                for v in a.variant:
                    s = run(drawn, v, VARIANTS[v], Path(folder))
                    totals.setdefault(v, []).append(s)
                    if a.quiet and not s.missed and not s.invented and not s.words:
                        continue
                    print(
                        f"{name:16s}{per_turn:5d}{len(drawn.triangles):10d}  {v:12s}{s.drawn:6d}{s.found:6d}"
                        f"{s.missed:5d}{s.invented:4d}{s.diameter:10.1e}{s.position:10.1e}{s.direction:10.1e}{s.explained:10.4f}"
                        f"{s.seconds:7.2f}{s.ratio:8.1f} {s.words[:90]}",
                        flush=True,
                    )
    print()
    for v, scores in totals.items():
        print(
            f"all  {v:12s} drawn {sum(s.drawn for s in scores)}, found {sum(s.found for s in scores)}, missed "
            f"{sum(s.missed for s in scores)}, invented {sum(s.invented for s in scores)}; worst diameter "
            f"{max(s.diameter for s in scores):.1e} mm, position {max(s.position for s in scores):.1e} mm, direction "
            f"{max(s.direction for s in scores):.1e} deg"
        )


if __name__ == "__main__":
    main()
