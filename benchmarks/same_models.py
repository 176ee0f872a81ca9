"""Compare what two revisions write: sheets, net files, booklets, set-up sheets of all samples, lessons and options.

    python benchmarks/same_models.py 216926f            # byte for byte
    python benchmarks/same_models.py 216926f --within 1e-9   # strokes and numbers; words may differ

The other revision is checked out beside this one into a temporary folder and run with the same Python. Without
`--within` every file has to be the same to the byte. With it, net files are compared number by number (texts and
findings apart), SVG pages by their strokes and circles, PDF pages by their path segments; pictures (PNG) are skipped.
Exits with 1 when anything differs.
"""

from __future__ import annotations

import argparse
import json
import math
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

ROOT = Path(__file__).resolve().parents[1]

MAKE: dict[str, list[str]] = {
    "plain": ["--minutes", "all", "--booklet", "--backs", "--pieces", "--dxf"],
    "quick": ["--minutes", "10", "--booklet"],
    "rolled": ["--walls", "rolled", "--booklet"],
    "fused": ["--join", "fuse", "--booklet"],
    "card": ["--card", "0.3mm"],
    "octagons": ["--sides", "8", "--radius", "outside", "--scale", "1:2"],
    "letter": ["--paper", "Letter", "--radius", "inside", "--least-step", "1"],
}
"""Ways in which every part is made."""

RUN = """
import contextlib, io, json, sys, traceback
from foldsketch.cli import main
for name, words in json.load(open(sys.argv[1])):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = main(words)
        except SystemExit as stop:
            code = stop.code
        except Exception:
            code = "traceback"
            traceback.print_exc()
    print(json.dumps([name, code, err.getvalue()[-300:] if code == "traceback" else ""]), flush=True)
"""
"""Runs the commands of a list in one process and prints each one's exit code."""


def jobs(tree: Path, out: Path) -> list[tuple[str, list[str]]]:
    """Name and words of every command, for the samples of one checkout."""
    samples = tree / "samples"
    texts = sorted(samples.glob("*.toml")) + sorted(samples.glob("lessons/*.toml"))
    found = []
    for path in [*texts, *sorted(samples.glob("*.stl"))]:
        units = ["--units", "mm"] if path.suffix == ".stl" else []
        for way, words in MAKE.items():
            found.append((f"{path.stem}/{way}", ["make", str(path), *units, *words]))
        found.append((f"{path.stem}/setups", ["setups", str(path), *units, "--gauge"]))
        found.append((f"{path.stem}/share", ["share", str(path), *units]))
        if units:
            found.append((f"{path.stem}/panels", ["make", str(path), *units, "--panels", "60", "--booklet"]))
            found.append(
                (f"{path.stem}/read", ["read", str(path), *units, "--out", str(out / path.stem / "read.toml")])
            )
        else:
            found.append((f"{path.stem}/lesson", ["lesson", str(path)]))
    return [(n, [*w, "--out", str(out / n)] if "--out" not in w else w) for n, w in found]


def write_all(tree: Path, out: Path) -> dict[str, Any]:
    """Run every command of one checkout; name of the command -> its exit code."""
    (out / "list").mkdir(parents=True)
    todo = jobs(tree, out)
    halves = [todo[::2], todo[1::2]]
    codes: dict[str, Any] = {}

    def run(k: int) -> str:
        listed = out / "list" / f"{k}.json"
        listed.write_text(json.dumps(halves[k]))
        words = [sys.executable, "-c", RUN, str(listed)]
        return subprocess.run(
            words, cwd=tree, env={"PYTHONPATH": str(tree), "PYTHONHASHSEED": "0"}, stdout=subprocess.PIPE, text=True
        ).stdout

    with ThreadPoolExecutor(2) as pool:
        for text in pool.map(run, range(2)):
            for line in text.splitlines():
                name, code, why = json.loads(line)
                codes[name] = code
                if why:
                    print(f"{name}: {why}")
    return codes


def numbers(value: Any, where: str = "") -> Iterator[tuple[str, Any]]:
    """Every number and key of a net file with its place; texts and findings are passed over."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in ("findings", "text", "checks"):
                yield from numbers(inner, f"{where}.{key}")
    elif isinstance(value, list):
        yield f"{where}#", float(len(value))
        for k, inner in enumerate(value):
            yield from numbers(inner, f"{where}[{k}]")
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield where, float(value)


def svg_strokes(data: bytes) -> Iterator[tuple[str, Any]]:
    """Every number of an SVG's shapes, with its place; words are passed over."""
    for k, node in enumerate(
        n for n in ElementTree.fromstring(data).iter() if not n.tag.endswith(("text", "title", "desc"))
    ):
        for key, value in sorted(node.attrib.items()):
            for j, found in enumerate(re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", value)):
                yield f"{k}.{key}[{j}]", float(found)


def pdf_strokes(data: bytes) -> Iterator[tuple[str, Any]]:
    """The corners of every path on every page of a PDF."""
    import pypdfium2
    import pypdfium2.raw as raw

    with pypdfium2.PdfDocument(data) as document:
        for k, page in enumerate(document):
            for j, item in enumerate(o for o in page.get_objects() if o.type == raw.FPDF_PAGEOBJ_PATH):
                for i, value in enumerate(item.get_bounds()):
                    yield f"{k}.{j}[{i}]", value


def differ(a: Path, b: Path, within: float | None) -> str:
    """How two files differ, or nothing."""
    one, two = a.read_bytes(), b.read_bytes()
    if one == two:
        return ""
    if within is None:
        return "other bytes"
    readers = {".svg": svg_strokes, ".pdf": pdf_strokes, ".json": lambda d: numbers(json.loads(d))}
    if a.suffix not in readers:
        return ""
    left, right = dict(readers[a.suffix](one)), dict(readers[a.suffix](two))
    if left.keys() != right.keys():
        odd = sorted(left.keys() ^ right.keys())
        return f"{len(odd)} places in one only, such as {odd[0]}"
    allowed = max(within, 1e-4 if a.suffix == ".pdf" else within)
    worst = max(left, key=lambda k: abs(left[k] - right[k]))
    gap = abs(left[worst] - right[worst])
    return f"{worst} is {left[worst]} and {right[worst]}" if gap > allowed or math.isnan(gap) else ""


def main() -> int:
    """Write both, compare, print; 1 when they differ."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("revision")
    parser.add_argument("--within", type=float, metavar="MM")
    parser.add_argument("--kept", type=Path, help="folder that keeps what the other revision wrote, for the next call")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        old = chosen.kept or Path(folder) / "old"
        if not (old / "codes.json").exists():
            tree = Path(folder) / "tree"
            subprocess.run(
                ["git", "worktree", "add", "-q", "--detach", str(tree), chosen.revision], cwd=ROOT, check=True
            )
            try:
                codes = write_all(tree, old)
            finally:
                subprocess.run(["git", "worktree", "remove", "--force", str(tree)], cwd=ROOT, check=True)
            (old / "codes.json").write_text(json.dumps(codes))
        before = json.loads((old / "codes.json").read_text())
        new = Path(folder) / "new"
        after = write_all(ROOT, new)
        told = [
            f"{n}: exit {before.get(n)}, now {after.get(n)}"
            for n in sorted(before.keys() | after.keys())
            if before.get(n) != after.get(n)
        ]
        names = {p.relative_to(d) for d in (old, new) for p in d.rglob("*") if p.is_file() and p.parent.name != "list"}
        names.discard(Path("codes.json"))
        for name in sorted(names):
            if not (old / name).exists() or not (new / name).exists():
                told.append(f"{name}: only {'now' if (new / name).exists() else 'before'}")
            elif why := differ(old / name, new / name, chosen.within):
                told.append(f"{name}: {why}")
        print("\n".join(told))
        print(f"{len(after)} commands, {len(names)} files compared, {len(told)} differ")
    return 1 if told else 0


if __name__ == "__main__":
    sys.exit(main())
