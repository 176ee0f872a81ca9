"""Speed over the history: the main job, the reading and the page at several commits, in one run, as ratios.

    python benchmarks/history.py f9a4753 3e4216f HEAD > docs/history-of-speed.md

Every commit is unpacked into a folder of its own and measured by processes that import it from there. The commits take
turns, so that a busy moment of the machine meets them alike; the best of all rounds counts. Processor time is compared,
for the page and the main job time by the clock: the kernel that makes the union works on every core. What is divided by
(the boolean union, bare imports, trimesh.load) is the same for all commits and measured in the same rounds.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

ROOT = Path(__file__).resolve().parents[1]

IN_PROCESS = """
import json, sys, time
from pathlib import Path
import trimesh, foldsketch
from foldsketch.job import pipeline
from foldsketch.mesh.features.recognise import read_mesh
from foldsketch.part.file.read import read_part
from foldsketch.sheet.page.draw import draw_sheets
try:
    from foldsketch.solid.joining.kernel import solid_of
except ImportError:  # a tree from before that module
    from foldsketch.solid.joining.skin import solid_of
tree, small, large = map(Path, sys.argv[1:])
assert Path(foldsketch.__file__).is_relative_to(tree), foldsketch.__file__

def best(work, times):
    took = []
    for _ in range(times):
        wall, start = time.perf_counter(), time.process_time(); work()
        took.append((time.process_time() - start, time.perf_counter() - wall))
    return min(t[0] for t in took), min(t[1] for t in took)

part, _ = read_part(tree / "samples" / "bilge-pump-cover.toml")
first = pipeline.model(part)
choices = pipeline.Choices(scale=first.nets.scale)

def union():
    made = None
    for k, p in enumerate(first.faceted.prisms):
        one = solid_of(p, 10_000 + k)
        made = one if made is None else made - one if p.cut else made + one
    made.num_tri()

def main():
    made = pipeline.model(part, choices)
    draw_sheets(made.nets, made.sheets)

print(json.dumps({
    "main": best(main, 9)[1], "union": best(union, 25)[1], "job by the clock": best(lambda: pipeline.model(part), 5)[1],
    "small": best(lambda: read_mesh(small, "mm"), 5)[0], "load small": best(lambda: trimesh.load(small), 15)[0],
    "large": best(lambda: read_mesh(large, "mm"), 1)[0], "load large": best(lambda: trimesh.load(large), 3)[0],
}))
"""

EDIT = """async (d) => {
  // Pages of every age: those that plan set-ups after the nets tell in `whole` when they are done with the last edit.
  const text = document.getElementById('text'), told = document.body.dataset, began = performance.now();
  const late = () => { if (performance.now() - began > 30000) throw new Error('the page does not answer'); };
  while (told.whole !== undefined && told.whole !== told.made) { late(); await new Promise((r) => setTimeout(r, 20)); }
  const before = told.made, start = performance.now();
  text.value = text.value.replace(/diameter = 3[0-9.]+/, 'diameter = ' + d);
  text.dispatchEvent(new Event('input'));
  while (told.made === before) { late(); await new Promise((r) => requestAnimationFrame(r)); }
  await new Promise((r) => requestAnimationFrame(r));
  return performance.now() - start;
}"""

BARE = "import numpy, trimesh, shapely, manifold3d, reportlab, svgwrite"

ROWS = (
    ("main job of the pump cover, over the boolean union of the same prisms", "main", "union"),
    ("cold `make` of the pump cover, over the bare import of the libraries", "cold", "bare"),
    ("reading the cast cover (3,476 triangles), over `trimesh.load`", "small", "load small"),
    ("reading a casting ({triangles:,} triangles), over `trimesh.load`", "large", "load large"),
    ("from an edit on the page to nets on the screen, over the first commit's job in the process", "page", "first job"),
    ("the same, over the commit's own job in the process", "page", "job by the clock"),
)
COMMON = ("union", "bare", "load small", "load large")


def unpacked(commit: str, folder: Path) -> tuple[str, str, Path]:
    """The commit's short name, its first line, and a folder with its files."""
    told = subprocess.run(["git", "log", "-1", "--format=%h%n%s", commit], cwd=ROOT, capture_output=True, check=True)
    short, subject = told.stdout.decode().strip().split("\n")
    tree = folder / short
    tree.mkdir()
    packed = subprocess.run(["git", "archive", short], cwd=ROOT, capture_output=True, check=True).stdout
    subprocess.run(["tar", "-x", "-C", str(tree)], input=packed, check=True)
    return short, subject, tree


def environment(tree: Path) -> dict[str, str]:
    """Python finds the commit's package before any other."""
    return {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": ""}


def timed(command: list[str], tree: Path) -> float:
    """Seconds of the processor that a process takes, started and ended."""
    before = os.times()
    subprocess.run(command, cwd=tree, env=environment(tree), check=True, capture_output=True)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def in_process(tree: Path, small: Path, large: Path) -> dict[str, float]:
    """Seconds of everything that needs no process of its own."""
    command = [sys.executable, "-c", IN_PROCESS, str(tree), str(small), str(large)]
    done = subprocess.run(command, cwd=tree, env=environment(tree), capture_output=True, text=True)
    if done.returncode:
        raise SystemExit(done.stderr)
    found: dict[str, float] = json.loads(done.stdout)
    return found


def page(tree: Path, edits: int = 8) -> float:
    """Seconds from an edit to nets on the screen of a real browser, the best of some edits."""
    from playwright.sync_api import sync_playwright

    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        port = s.getsockname()[1]
    command = [sys.executable, "-m", "foldsketch.cli", "serve", "--no-browser", "--port", str(port)]
    server = subprocess.Popen(command, cwd=tree, env=environment(tree), stdout=subprocess.DEVNULL)
    try:
        for _ in range(200):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=1).close()
                break
            except OSError:
                time.sleep(0.1)
        with sync_playwright() as p:
            arguments = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--disable-3d-apis"]
            browser = p.chromium.launch(executable_path="/usr/bin/chromium", args=arguments)
            shown = browser.new_page(viewport={"width": 1440, "height": 900}, bypass_csp=True)
            shown.goto(f"http://127.0.0.1:{port}/")
            shown.wait_for_selector("body[data-made]", timeout=60_000)
            took = min(float(shown.evaluate(EDIT, f"36.{d}")) for d in range(1, edits + 1))
            browser.close()
    finally:
        server.terminate()
        server.wait(10)
    return took / 1000


def measured(trees: list[Path], rounds: int, small: Path, large: Path) -> list[dict[str, float]]:
    """For every commit the least seconds of each measurement."""
    least: list[dict[str, float]] = [{} for _ in trees]

    def keep(k: int, found: dict[str, float]) -> None:
        for name, took in found.items():
            for one in least if name in COMMON else (least[k],):
                one[name] = min(took, one.get(name, took))

    for turn in range(rounds):
        for step in range(len(trees)):
            k = (turn + step) % len(trees)
            tree = trees[k]
            keep(k, in_process(tree, small, large))
            sample = str(tree / "samples" / "bilge-pump-cover.toml")
            make = [sys.executable, "-m", "foldsketch.cli", "make", sample, "--out", str(tree / "out")]
            for _ in range(3):
                keep(k, {"bare": timed([sys.executable, "-c", BARE], tree), "cold": timed(make, tree)})
            keep(k, {"page": page(tree)})
            print(f"round {turn + 1}, {tree.name}: {least[k]}", file=sys.stderr)
    return least


HEAD = """# Speed over the history

Written by `python benchmarks/history.py {command}`: the same measurements at {n} commits in one
run, on a machine of {cores} cores shared with others, at low priority, Python {python}, the best of {rounds} rounds in
which the commits took turns. Ratios only, of processor time (the main job and the page: by the clock, so a busy
machine shows). What is divided by is measured in the same run, and is the same for all commits but in the last row.
Smaller is better. The later commits also do more: what they draw and check beside the earlier ones is in the figures.
"""


def told(commits: list[tuple[str, str, Path]], least: list[dict[str, float]], rounds: int, triangles: int) -> str:
    """The page, as Markdown."""
    names = [short for short, _, _ in commits]
    least = [{**one, "first job": least[0]["job by the clock"]} for one in least]
    lines = [
        HEAD.format(
            command=" ".join(names), cores=os.cpu_count(), python=platform.python_version(), rounds=rounds, n=len(names)
        ),
        "| commit | what it was |",
        "|---|---|",
        *[f"| {short} | {subject} |" for short, subject, _ in commits],
        "",
        "| ratio | " + " | ".join(names) + " |",
        "|---|" + "---|" * len(names),
    ]
    for what, above, below in ROWS:
        ratios = [one[above] / one[below] for one in least]
        cells = [f"{r:.0f}" if r >= 10 else f"{r:.2f}" for r in ratios]
        lines.append(f"| {what.format(triangles=triangles)} | " + " | ".join(cells) + " |")
    return "\n".join(lines) + "\n"


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("commits", nargs="+", metavar="COMMIT")
    ask.add_argument("--rounds", type=int, default=3)
    ask.add_argument("--triangles", type=int, default=100_000)
    a = ask.parse_args()
    os.nice(10)
    from reading_parts import kernel
    from reading_speed import stl_of

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        commits = [unpacked(c, folder) for c in a.commits]
        with kernel():
            large = stl_of("casting", a.triangles, folder)
        small = ROOT / "samples" / "bilge-pump-cover-cast.stl"
        least = measured([tree for _, _, tree in commits], a.rounds, small, large)
        triangles = (large.stat().st_size - 84) // 50
    sys.stdout.write(told(commits, least, a.rounds, triangles))


if __name__ == "__main__":
    main()
