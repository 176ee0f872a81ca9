"""A real Chromium for the tests: missing, it fails them where CI is set and skips them elsewhere."""

import os
import shutil
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parents[2] / "samples"
ARGUMENTS = ["--no-sandbox", "--disable-dev-shm-usage"]


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
    end = time.monotonic() + 60
    while (number := page.get_attribute("body", "data-made")) in (None, before):
        told = page.locator("#state, #findings").all_inner_texts()
        assert time.monotonic() < end, f"no new model after a minute; the page says {told}"
        page.wait_for_timeout(10)
    return number


def until(page, expression, seconds=20):
    """Waits until an expression holds on the page; the page's own policy forbids the browser driver's usual way."""
    end = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < end, expression
        page.wait_for_timeout(10)
