"""Format by part: twenty drawn parts read from STEP, IGES, STL and worn STL, as the table in docs/from-an-stl.md.

Run: python benchmarks/formats.py [--part NAME ...] [--docs]

Each part is drawn and written by the gmsh kernel in a random position, read and rebuilt, and held against the drawing;
an STL, of 32 sides on a full turn, is also worn in the ways of wear.py. Times are processor seconds from the file to
the part, the CAD kernel's process with them; for STEP it prints them also over the kernel's own load, the start of its
process apart. --docs: write the table into the page.
"""

from __future__ import annotations

import argparse
import re
import resource
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import cascadio
import trimesh

from cad_parts import write_cad
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.bodies import rebuild_and_compare
from foldsketch.mesh.cad.kernel_process import CHORD_ANGLE_RAD, CHORD_ERROR_RATIO
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.solid.joining.reference_mesh import tessellate_part
from reading import Score, binary_stl, random_pose, score
from reading_parts import PARTS, Drawn, draw, kernel
from wear import PARTS_WORN, WEAR, Worn, read_worn

PAGE = Path(__file__).parents[1] / "docs" / "from-an-stl.md"
PER_TURN, SEED, LOOSE_MM, TIMES = 32, 3, 0.02, 2
MAX_VOLUME_OFF = 0.03
COLUMNS = (
    *("part", "cylinders", "found", "missed", "invented", "rebuilt right"),
    *("error: STEP", "IGES", "STL", "worn STL", "time: STEP", "IGES", "STL", "worn STL"),
)
HEAD = f"| {' | '.join(COLUMNS)} |\n{'|---' * len(COLUMNS)}|"


def seconds() -> float:
    """Processor seconds of this process and of those that it has started."""
    return sum(
        u.ru_utime + u.ru_stime for u in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


def best(work: Callable[[], object], clock: Callable[[], float]) -> float:
    """Least time of so many runs."""
    least = float("inf")
    for _ in range(TIMES):
        start = clock()
        work()
        least = min(least, clock() - start)
    return least


def to_part(path: Path, drawn: Drawn) -> Worn:
    """Read and rebuild a file, and hold cylinders and volume against what was drawn."""
    readings = recognise_mesh(path, "mm" if path.suffix == ".stl" else None)
    found = score(drawn, random_pose(SEED), readings, LOOSE_MM)
    try:
        part = rebuild_and_compare(readings[0])[0]
    except FoldsketchError as why:
        print(f"{path.name}: {why}")
        return Worn(found, "refused")
    corners, triangles = tessellate_part(part)
    made = trimesh.Trimesh(corners, triangles, process=False).volume
    return Worn(found, "right" if abs(made / drawn.volume - 1) < MAX_VOLUME_OFF else "wrong")


def over_kernel(path: Path) -> float:
    """Time from STEP to part over the kernel's own, its process's start apart."""
    data = path.read_bytes()

    def load() -> object:
        return cascadio.load(
            data, "step", CHORD_ERROR_RATIO, CHORD_ANGLE_RAD, True, use_parallel=False, include_brep=True
        )

    own = best(load, time.process_time)
    ours = best(lambda: rebuild_and_compare(recognise_mesh(path)[0]), time.process_time)
    return 1 + ours / own


def size(error: float) -> str:
    return f"{error:.0e}" if error >= 1e-9 else "< 1e-9"


def row(name: str, folder: Path) -> str:
    pose = random_pose(SEED)
    drawn = draw(name, PER_TURN)
    paths = [folder / f"{name}{ending}" for ending in (".step", ".iges", ".stl")]
    for path in paths[:2]:
        write_cad(name, path, pose.turn, pose.shift)
    paths[2].write_bytes(binary_stl(drawn.triangles @ pose.turn.T + pose.shift))
    clean = [to_part(path, drawn) for path in paths]
    start = time.process_time()
    worn = [read_worn(drawn, wear, folder) for wear in WEAR]
    wearing = (time.process_time() - start) / len(worn)
    taken = [*(best(partial(to_part, path, drawn), seconds) for path in paths), wearing]
    every = [*clean, *worn]
    for what, w in zip((*("STEP", "IGES", "STL"), *WEAR), every, strict=True):
        if w.score.missed or w.score.invented or w.outcome != "right":
            s = w.score
            print(f"  {name}, {what}: {s.missed} missed, {s.invented} invented, {w.outcome} {s.words[:90]}")
    print(f"  {name}: STEP to part takes {over_kernel(paths[0]):.1f} times the kernel's load")
    scores = [w.score for w in every]
    errors = [worst([w.score]) for w in clean] + [worst([w.score for w in worn])]
    right = sum(w.outcome == "right" for w in every)
    cells = (
        *(
            name.replace("_", " "),
            f"{clean[0].score.drawn}",
            f"{sum(s.found for s in scores)} of {sum(s.drawn for s in scores)}",
        ),
        *(f"{sum(s.missed for s in scores)}", f"{sum(s.invented for s in scores)}", f"{right} of {len(every)}"),
        *(size(e) for e in errors),
        *(f"{t:.1f}" for t in taken),
    )
    return f"| {' | '.join(cells)} |"


def worst(scores: list[Score]) -> float:
    """The largest error of a diameter or of the place of an axis, mm."""
    return max(max(s.diameter, s.position) for s in scores)


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--part", nargs="+", choices=list(PARTS), default=list(PARTS_WORN))
    ask.add_argument("--docs", action="store_true")
    a = ask.parse_args()
    rows = [HEAD]
    print(HEAD)
    with kernel(), tempfile.TemporaryDirectory() as folder:
        for name in a.part:
            rows.append(row(name, Path(folder)))
            print(rows[-1], flush=True)
    if a.docs:
        mark = re.compile(r"(<!-- formats: [^\n]*-->\n).*?(<!-- /formats -->)", re.DOTALL)
        PAGE.write_text(mark.sub(lambda m: m[1] + "\n".join(rows) + "\n" + m[2], PAGE.read_text("utf-8")), "utf-8")


if __name__ == "__main__":
    main()
