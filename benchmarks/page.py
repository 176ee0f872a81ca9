"""The page in a real Chromium: from an edit to nets on the screen against the same job in the process; frames a second.

python benchmarks/page.py [edits] [frames]
"""

from __future__ import annotations

import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "web"))

from browser import EDIT
from playwright.sync_api import Browser, sync_playwright

from foldsketch.job import pipeline
from foldsketch.job.budget import model
from foldsketch.part.file.read import parse_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.web.share import share

ROOT = Path(__file__).parents[1]
DIAMETER = re.compile(r"(?<=\bdiameter = )[0-9.]+")

TURNS = 12
"""Edits of each sample; the quickest counts, for the page as for the job alone."""

FRAMES = """async () => {
  // As a user does it: the button, and every frame that the browser gives until the model lies still.
  const state = window.foldsketch.state, start = performance.now();
  document.getElementById('play').click();
  let n = 0, last = start, worst = 0;
  do {
    await new Promise((r) => requestAnimationFrame(r));
    const now = performance.now();
    worst = Math.max(worst, now - last); last = now; n++;
  } while (n < 3 || (state.fold > 0 && state.fold < 1));
  return [n * 1000 / (last - start), worst, Boolean(window.foldsketchPlain)];
}"""


def main() -> None:
    arguments = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--disable-3d-apis"]
    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path="/usr/bin/chromium", args=arguments)
        for what in sys.argv[1:] or ["edits", "frames"]:
            {"edits": edits, "frames": frames}[what](browser)
        browser.close()


def edits(browser: Browser) -> None:
    """From an edit to nets on the screen, every sample, against the job alone in this process."""
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        port = s.getsockname()[1]
    command = [sys.executable, "-m", "foldsketch.cli", "serve", "--no-browser", "--port", str(port)]
    server = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL)
    for _ in range(100):
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=1).close()
            break
        except OSError:
            time.sleep(0.1)
    page = browser.new_page(viewport={"width": 1440, "height": 900}, bypass_csp=True)
    page.goto(f"http://127.0.0.1:{port}/")
    page.wait_for_selector("body[data-made]", timeout=60_000)
    slowest, most = 0.0, 0.0
    for sample in sorted((ROOT / "samples").glob("*.toml")):
        text = sample.read_text("utf-8")
        own, shown = [], []
        for k in range(TURNS):
            more = (k + 1) * 1e-3
            edited = DIAMETER.sub(lambda m, more=more: f"{float(m[0]) + more:g}", text, count=1)
            assert edited != text
            shown.append(page.evaluate(EDIT, edited))
            start = time.perf_counter()
            model(parse_part(edited, "toml", "x")[0])
            own.append((time.perf_counter() - start) * 1e3)
        ratio = min(shown) / min(own)
        print(f"{sample.stem}: {min(shown):.0f} ms, the job alone {min(own):.0f} ms: ratio {ratio:.1f}", flush=True)
        slowest, most = max(slowest, min(shown)), max(most, ratio)
    print(f"edit to nets on the screen: at most {slowest:.0f} ms and {most:.1f} times the job (asked: 250 ms, 3)")
    server.terminate()


def frames(browser: Browser) -> None:
    """Frames a second while stacks of discs unfold and fold, without WebGL."""
    for n in (8, 14, 28):
        discs = tuple(Feature(f"disc {k}", "AB"[k % 2], Cylinder(60), 10.0 * k, 10.0 * k + 10) for k in range(n))
        part = Part("stack", (Axis("A"), Axis("B", (8.0, 0.0, 0.0))), discs)
        made = pipeline.make_model(part, pipeline.Choices(facets=FacetChoice(sides=12), sheets=30))
        panels = sum(len(x.panels) for x in made.nets.pieces)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "stack.html"
            path.write_bytes(share(made, None))
            page = browser.new_page(viewport={"width": 1280, "height": 800}, bypass_csp=True)
            page.goto(path.as_uri())
            page.wait_for_timeout(1500)
            for turn in ("the first time", "again"):
                rate, worst, plain = page.evaluate(FRAMES)
                page.wait_for_timeout(1500)
                how = "plain faces" if plain else "printed panels"
                print(f"folding {panels} panels {turn}: {rate:.0f} frames a second, longest {worst:.0f} ms, {how}")
            page.close()


if __name__ == "__main__":
    main()
