"""A real Chromium for the tests: missing, it fails them where CI is set and skips them elsewhere."""

import os
import shutil
from contextlib import contextmanager

import pytest


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


@contextmanager
def page_of(path, offline=True, **options):
    """The page of a file, with the errors that it wrote to the console and every request that it made."""
    where = chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path=where, args=["--no-sandbox", "--disable-dev-shm-usage"])
        context = browser.new_context(offline=offline, **options)
        page = context.new_page()
        page.told = []
        page.asked = []
        page.on("console", lambda m: page.told.append(m.text) if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda e: page.told.append(str(e)))
        page.on("request", lambda r: page.asked.append(r.url))
        page.goto(path.as_uri())
        yield page
        browser.close()
