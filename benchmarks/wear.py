"""Worn meshes: twenty parts drawn by the gmsh kernel, worn by code in fourteen ways, against what the reader finds.

Run: python benchmarks/wear.py [--part NAME ...] [--wear NAME ...]

Prints for each wear: cylinders drawn, found, missed, invented; worst error of diameter and axis position, mm; how many
rebuilt parts are right (volume within 3 %), and which were refused or are wrong and were not; processor seconds a part.
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
from foldsketch.job.bodies import rebuild_and_compare
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.solid.joining.reference_mesh import tessellate_part
from reading import Pose, Score, binary_stl, score
from reading_parts import PARTS, Drawn, draw, kernel

Array = np.ndarray

PARTS_WORN = (
    *("disc", "stack", "sleeve", "blind", "offset_spigots", "eccentric", "crank", "bolt_circle", "deep_grooves"),
    *("inner_groove", "chamfered", "drafted", "cross_bore", "hexagon", "square_flange", "keyed", "lug"),
    *("countersunk", "pump_cover", "hollow"),
)


def joined(t: Array) -> trimesh.Trimesh:
    """Triangles (m, 3, 3) with their corners in common."""
    return trimesh.Trimesh(t.reshape(-1, 3), np.arange(3 * len(t)).reshape(-1, 3), process=True)


def two_missing(t: Array, rng: np.random.Generator) -> Array:
    return np.delete(t, rng.choice(len(t), 2, replace=False), axis=0)


def largest_missing(t: Array, rng: np.random.Generator) -> Array:
    area = np.linalg.norm(np.cross(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0]), axis=1)
    return np.delete(t, int(np.argmax(area)), axis=0)


def one_doubled_reversed(t: Array, rng: np.random.Generator) -> Array:
    k = int(rng.integers(len(t)))
    return np.concatenate((t, t[k : k + 1, ::-1]))


def moved_away_and_back(t: Array, rng: np.random.Generator) -> Array:
    away = np.array([1000.0, -1000.0, 1000.0], dtype=np.float32)
    return ((t.astype(np.float32) + away) - away).astype(float)


def far_away(t: Array, rng: np.random.Generator) -> Array:
    return t + np.array([1000.0, -700.0, 400.0])


def subdivided(t: Array, rng: np.random.Generator) -> Array:
    return np.asarray(joined(t).subdivide().triangles)


def remeshed(t: Array, rng: np.random.Generator) -> Array:
    return np.asarray(joined(t).subdivide_to_size(6.0).triangles)


def cracked(t: Array, rng: np.random.Generator) -> Array:
    """Every triangle with corners of its own, 1e-5 mm off."""
    return t + rng.normal(size=t.shape) * 1e-5


def soup(t: Array, rng: np.random.Generator) -> Array:
    """Every triangle with corners of its own, moved as a whole by up to 1e-3 mm."""
    return t + rng.uniform(-1e-3, 1e-3, (len(t), 1, 3))


def jittered(sigma: float) -> Callable[[Array, np.random.Generator], Array]:
    def wear(t: Array, rng: np.random.Generator) -> Array:
        m = joined(t)
        return (m.vertices + rng.normal(size=m.vertices.shape) * sigma)[m.faces]

    return wear


WEAR: dict[str, Callable[[Array, np.random.Generator], Array]] = {
    "two triangles missing": two_missing,
    "largest triangle missing": largest_missing,
    "one doubled and reversed": one_doubled_reversed,
    "corners off by 1e-6 mm": jittered(1e-6),
    "corners off by 1e-5 mm": jittered(1e-5),
    "corners off by 1e-4 mm": jittered(1e-4),
    "corners off by 1e-3 mm": jittered(1e-3),
    "corners off by 1e-2 mm": jittered(1e-2),
    "moved 1 m away and back": moved_away_and_back,
    "left 1 m away": far_away,
    "subdivided": subdivided,
    "remeshed": remeshed,
    "cracked": cracked,
    "each triangle moved by 1e-3 mm": soup,
}
SHIFT = {"left 1 m away": np.array([1000.0, -700.0, 400.0])}
NOISE = {"each triangle moved by 1e-3 mm": 1e-3, "corners off by 1e-3 mm": 1e-3, "corners off by 1e-2 mm": 1e-2}


@dataclass
class Worn:
    """What the reading of one worn part is worth; outcome: "right", "wrong" (and not refused), "refused"."""

    score: Score
    outcome: str
    codes: tuple[str, ...] = ()


def read_worn(drawn: Drawn, wear: str, folder: Path, seed: int = 1) -> Worn:
    """Wear a part, read it, and hold cylinders and volume against what was drawn."""
    path = folder / f"{drawn.name}.stl"
    path.write_bytes(binary_stl(WEAR[wear](drawn.triangles, np.random.default_rng(seed))))
    drawn_count = sum(r.kind == "cylinder" and not r.may for r in drawn.truth)
    try:
        readings = recognise_mesh(path, "mm")
    except FoldsketchError as why:
        return Worn(Score(drawn=drawn_count, words=str(why)), "refused")
    found = score(drawn, Pose(np.eye(3), SHIFT.get(wear, np.zeros(3))), readings, 0.02 + 6 * NOISE.get(wear, 0.0))
    codes = tuple(f.code for f in readings[0].findings)
    if not readings[0].has_round_features:
        return Worn(found, "no rounds", codes)
    try:
        part = rebuild_and_compare(readings[0])[0]
    except FoldsketchError as why:
        found.words = str(why)
        return Worn(found, "refused", codes)
    corners, triangles = tessellate_part(part)
    made = trimesh.Trimesh(corners, triangles, process=False).volume
    found.words = f"{made / drawn.volume:.4f}"
    return Worn(found, "right" if abs(made / drawn.volume - 1) < 0.03 else "wrong", codes)


HEAD = [
    "| wear | cylinders | found | missed | invented | diameter off | axis off | right | refused, wrong | seconds |",
    "|---|---|---|---|---|---|---|---|---|---|",
]


def row(wear: str, drawn: list[Drawn], folder: Path) -> str:
    """A row of Markdown: one wear of all parts."""
    start = time.process_time()
    done = [read_worn(d, wear, folder) for d in drawn]
    seconds = (time.process_time() - start) / len(done)
    for d, w in zip(drawn, done, strict=True):
        if w.score.missed or w.score.invented or w.outcome != "right":
            s = w.score
            print(f"  {wear}: {d.name}: {s.found} of {s.drawn}, {s.invented} invented, {w.outcome} {s.words[:99]}")
    scores = [w.score for w in done]
    not_right = [
        f"{d.name.replace('_', ' ')} ({w.outcome})" for d, w in zip(drawn, done, strict=True) if w.outcome != "right"
    ]
    return (
        f"| {wear} | {sum(s.drawn for s in scores)} | {sum(s.found for s in scores)} "
        f"| {sum(s.missed for s in scores)} | {sum(s.invented for s in scores)} "
        f"| {max(s.diameter for s in scores):.1g} mm | {max(s.position for s in scores):.1g} mm "
        f"| {len(done) - len(not_right)} of {len(done)} | {', '.join(not_right) or '-'} | {seconds:.1f} |"
    )


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--part", nargs="+", choices=list(PARTS), default=list(PARTS_WORN))
    ask.add_argument("--wear", nargs="+", choices=list(WEAR), default=list(WEAR))
    a = ask.parse_args()
    print("\n".join(HEAD))
    with kernel(), tempfile.TemporaryDirectory() as folder:
        drawn = [draw(name) for name in a.part]
        for wear in a.wear:
            print(row(wear, drawn, Path(folder)), flush=True)


if __name__ == "__main__":
    main()
