"""A real Chromium for the tests: missing, it fails them where CI is set and skips them elsewhere."""

import os
import shutil
import socket
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parents[2] / "samples"
ARGUMENTS = ["--no-sandbox", "--disable-dev-shm-usage"]


EDIT = """async (d) => {
  const text = document.getElementById('text');
  while (document.body.dataset.whole !== document.body.dataset.made) await new Promise((r) => setTimeout(r, 20));
  const before = document.body.dataset.made, start = performance.now();
  text.value = d;
  text.dispatchEvent(new Event('input'));
  while (document.body.dataset.made === before) await new Promise((r) => requestAnimationFrame(r));
  await new Promise((r) => requestAnimationFrame(r));
  return performance.now() - start;
}"""
"""Puts a part file into the page; the milliseconds until its nets are on the screen."""


def chromium():
    found = next((shutil.which(n) for n in ("chromium", "chromium-browser", "google-chrome") if shutil.which(n)), None)
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        found = None
    if found is None:
        if os.environ.get("CI"):
            pytest.fail("no Chromium, or no playwright, for the browser tests")
        pytest.skip("no Chromium, or no playwright")
    return found


def listened(page):
    """The page, keeping what it writes to the console and every request that it makes."""
    page.told = []
    page.asked = []
    page.on("console", lambda m: page.told.append(m.text) if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda e: page.told.append(str(e)))
    page.on("request", lambda r: page.asked.append(r.url))
    return page


@contextmanager
def page_of(browser, path, offline=True, **options):
    """The page of a file, with the errors that it wrote to the console and every request that it made."""
    context = browser.new_context(offline=offline, **options)
    page = listened(context.new_page())
    page.goto(path.as_uri())
    yield page
    context.close()


def serve(port, samples=SAMPLES):
    """The command serve in a process of its own, listening: it says so on its first line."""
    command = [sys.executable, "-m", "foldsketch.cli", "serve", "--no-browser", "--port", str(port)]
    process = subprocess.Popen(
        [*command, "--samples", str(samples)], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    with process.stdout:
        assert process.stdout.readline().startswith("the page is at")
    return process


def free_port():
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return s.getsockname()[1]


@contextmanager
def served():
    """The address of a server of its own."""
    port = free_port()
    process = serve(port)
    try:
        yield f"http://127.0.0.1:{port}/"
    finally:
        process.terminate()
        process.wait(10)


def made(page, before="-"):
    """Waits until the page shows another model than the one before; its number."""
    return page.evaluate(
        """(before) => new Promise((done, fail) => {
            const made = () => document.body.dataset.made, late = setTimeout(() => fail(new Error(
                "no new model after a minute; the page says " + document.getElementById("settle").innerText)), 60000);
            const look = () => {
                if (!made() || made() === before) return;
                clearTimeout(late);
                document.removeEventListener("made", look);
                done(made());
            };
            document.addEventListener("made", look);
            look();
        })""",
        before,
    )


def until(page, expression, seconds=20):
    """Waits until an expression holds on the page, looked at in every frame that it draws.

    The page's own policy forbids the browser driver's usual way, which builds a function from text.
    """
    page.evaluate(
        f"""() => new Promise((done, fail) => {{
            const late = setTimeout(() => fail(new Error("never so: " + {expression!r})), {1000 * seconds});
            const look = () => {{
                if (!({expression})) return requestAnimationFrame(look);
                clearTimeout(late);
                done();
            }};
            look();
        }})"""
    )
