"""One browser for a module's tests of the page, one server for all."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import ARGUMENTS, chromium, served


# For a module at a time: while the driver lives, its event loop stands in the way of tests that run one of their own.
@pytest.fixture(scope="module")
def browser():
    where = chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as p:
        made = p.chromium.launch(executable_path=where, args=ARGUMENTS)
        yield made
        made.close()


@pytest.fixture(scope="session")
def server():
    with served() as where:
        yield where
