"""Ten broken files and what the program prints for each: written into docs/from-an-stl.md.

Run: python benchmarks/broken_files.py
"""

from __future__ import annotations

import contextlib
import io
import re
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import trimesh

from foldsketch.cli import main as foldsketch

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "from-an-stl.md"
CRANK = ROOT / "samples" / "ballast-pump-crank.stl"
STEP = ROOT / "samples" / "bilge-pump-cover-cast.step"

Array = np.ndarray


def stl(triangles: Array) -> bytes:
    mesh = trimesh.Trimesh(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3), process=False)
    return bytes(mesh.export(file_type="stl"))


def without_an_end(t: Array) -> Array:
    """All triangles above nine tenths of the length are gone."""
    z = t.mean(axis=1)[:, longest(t)]
    return t[z < z.min() + 0.9 * np.ptp(z)]


def longest(t: Array) -> int:
    return int(np.argmax(np.ptp(t.reshape(-1, 3), axis=0)))


def one_corner_far(t: Array) -> Array:
    """One corner of all its triangles is 30 mm out of place."""
    t = t.copy()
    t[(t == t[0, 0]).all(axis=2)] += 30.0
    return t


def squeezed(t: Array) -> Array:
    """3 % narrower: its rounds are ovals."""
    scale = np.ones(3)
    scale[(longest(t) + 1) % 3] = 0.97
    return t * scale


def every_tenth_missing(t: Array) -> Array:
    return t[np.arange(len(t)) % 10 > 0]


def split_lengthwise(t: Array) -> Array:
    """Only one half of every round is left, and the cut is open."""
    across = t.mean(axis=1)[:, (longest(t) + 1) % 3]
    return t[across > (across.min() + across.max()) / 2]


def no_number(t: Array) -> Array:
    t = t.copy()
    t[0, 0, 0] = np.nan
    return t


def files() -> dict[str, tuple[str, bytes]]:
    """What is wrong, and the file: its name and bytes."""
    t = np.asarray(trimesh.load(CRANK).triangles, dtype=float)
    worn: dict[str, Callable[[Array], Array]] = {
        "one end is missing": without_an_end,
        "every tenth triangle is missing": every_tenth_missing,
        "one corner is 30 mm out of place": one_corner_far,
        "3 % narrower one way, so that diameters are ovals": squeezed,
        "one half alone, open where it was cut": split_lengthwise,
        "a coordinate is no number": no_number,
    }
    step, mesh = STEP.read_bytes(), CRANK.read_bytes()
    return {
        **{what: ("crank.stl", stl(wear(t))) for what, wear in worn.items()},
        "an STL cut short": ("crank.stl", mesh[: len(mesh) * 6 // 10]),
        "a letter with the ending of an STL": ("crank.stl", b"Dear Sir, here is the part.\n" * 9),
        "a STEP cut short": ("cover.step", step[: len(step) // 2]),
        "a STEP without its solid": ("cover.step", re.sub(rb"#\d+ *= *MANIFOLD_SOLID_BREP[^;]*;", b"", step)),
    }


def printed(name: str, data: bytes) -> tuple[int, str]:
    """Exit code and first line on standard error of `foldsketch read`."""
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(io.StringIO()):
        path = Path(folder) / name
        path.write_bytes(data)
        errors = io.StringIO()
        with contextlib.redirect_stderr(errors):
            code = foldsketch(["read", str(path), *(["--units", "mm"] if name.endswith("stl") else [])])
        return code, errors.getvalue().splitlines()[0] if errors.getvalue() else "nothing"


def main() -> None:
    rows = ["| what is wrong | exit code | printed first |", "|---|---|---|"]
    for what, (name, data) in files().items():
        code, line = printed(name, data)
        rows.append(f"| {what} | {code} | {line.replace('|', '/')} |")
        print(rows[-1], flush=True)
    marks = r"(<!-- broken-files: [^>]*-->\n).*?(<!-- /broken-files -->)"
    text = PAGE.read_text("utf-8")
    PAGE.write_text(re.sub(marks, lambda m: m[1] + "\n".join(rows) + "\n" + m[2], text, flags=re.DOTALL), "utf-8")


if __name__ == "__main__":
    main()
