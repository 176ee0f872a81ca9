"""STEP against STL: the same drawn parts read from both, as a table in docs/from-an-stl.md.

python benchmarks/step_against_stl.py
"""

from __future__ import annotations

import re
import tempfile
import time
from pathlib import Path

from cad_parts import write_cad
from foldsketch.mesh.features.recognise import recognise_mesh
from reading import Score, binary_stl, random_pose, score
from reading_parts import Drawn, draw, kernel

PAGE = Path(__file__).parents[1] / "docs" / "from-an-stl.md"
NAMES = ("offset_spigots", "eccentric", "crank", "bolt_circle", "deep_grooves", "drafted", "cross_bore", "pump_cover")
PER_TURN, SEED, LOOSE_MM = 32, 3, 0.02
COLUMNS = (
    *("part", "cylinders", "found in STEP, STL", "invented", "diameter off, STEP", "STL"),
    *("axis off, STEP", "STL", "time, STEP", "STL"),
)
HEAD = f"| {' | '.join(COLUMNS)} |\n{'|---' * len(COLUMNS)}|"


def read(path: Path, drawn: Drawn) -> tuple[Score, float]:
    start = time.process_time()
    found = recognise_mesh(path, None if path.suffix == ".step" else "mm")
    seconds = time.process_time() - start
    return score(drawn, random_pose(SEED), found, LOOSE_MM), seconds


def size(error: float) -> str:
    return f"{error:.0e}" if error >= 1e-9 else "< 1e-9"


def row(name: str, folder: Path) -> str:
    pose = random_pose(SEED)
    step, stl = folder / f"{name}.step", folder / f"{name}.stl"
    write_cad(name, step, pose.turn, pose.shift)
    drawn = draw(name, PER_TURN)
    stl.write_bytes(binary_stl(drawn.triangles @ pose.turn.T + pose.shift))
    (a, a_seconds), (b, b_seconds) = read(step, drawn), read(stl, drawn)
    return (
        f"| {name.replace('_', ' ')} | {a.drawn} | {a.found}, {b.found} | {a.invented}, {b.invented} "
        f"| {size(a.diameter)} | {size(b.diameter)} | {size(a.position)} | {size(b.position)} "
        f"| {1000 * a_seconds:.0f} ms | {1000 * b_seconds:.0f} ms |"
    )


def main() -> None:
    with kernel(), tempfile.TemporaryDirectory() as folder:
        row(NAMES[0], Path(folder))  # the first reading imports what it needs
        table = "\n".join([HEAD, *(row(name, Path(folder)) for name in NAMES)])
    mark = re.compile(r"(<!-- step-against-stl[^\n]*-->\n).*?(<!-- /step-against-stl -->)", re.DOTALL)
    PAGE.write_text(mark.sub(lambda m: m[1] + table + "\n" + m[2], PAGE.read_text("utf-8")), "utf-8")
    print(table)


if __name__ == "__main__":
    main()
