"""The page for everyone: axe-core's rules (WCAG 2 A and AA, and its own good practice) on every view, light and dark.

axe-core is not ours and is not shipped: the test dependency axe-playwright-python carries it.
"""

import os
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import made, until

from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import plan
from foldsketch.web.share import share

SAMPLES = Path(__file__).parents[2] / "samples"
SERIOUS = ("serious", "critical")


def checker():
    """axe-core; missing, it fails the test where CI is set and skips it elsewhere."""
    try:
        from axe_playwright_python.sync_playwright import Axe
    except ImportError:
        if os.environ.get("CI"):
            pytest.fail("axe-playwright-python is missing")
        pytest.skip("axe-playwright-python is missing")
    return Axe()


def judged(page, shown, rules=None):
    """No finding of weight, and proof that the rules did run; rules: only these."""
    response = checker().run(page, options={"runOnly": rules} if rules else None).response
    ran = {r["id"] for r in response["passes"]}
    assert set(rules or ("color-contrast", "label")) <= ran, "the rules ran and found what to judge"
    found = [
        f"{shown}: {r['id']}: {n['target']} {n['failureSummary']}"
        for r in response["violations"]
        if r["impact"] in SERIOUS
        for n in r["nodes"]
    ]
    assert not found, "\n".join(found)


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_local_page(browser, server, scheme):
    page = browser.new_context(color_scheme=scheme, viewport={"width": 1366, "height": 768}).new_page()
    page.goto(server)
    made(page)
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    # In the dark the colours are others and nothing else is.
    rules = ["color-contrast"] if scheme == "dark" else None
    judged(page, f"say, {scheme}", rules)
    page.click("[data-go=take]")
    for view in ("sheets", "booklet", "talk", "by-hand", "told"):
        page.click(f"[data-show={view}]")
        page.wait_for_selector(f"#{view} > img, #{view} > pre")
        judged(page, f"{view}, {scheme}", rules)
    page.click("[data-go=see]")
    page.click("#setup-0")
    page.locator("button.name").first.click()
    judged(page, f"a set-up, {scheme}", rules)
    page.click("#present")
    judged(page, f"for a projector, {scheme}", ["color-contrast", "button-name"])
    page.keyboard.press("Escape")
    page.click("[data-go=say]")
    # Findings, and a field at fault.
    page.click("#as-text")
    area = page.locator("#text")
    area.fill(area.input_value().replace("diameter = 90", "diameter = -90"))
    page.wait_for_selector("#findings li.error", timeout=30_000)
    judged(page, f"findings, {scheme}", rules)
    page.click("#as-table")
    judged(page, f"a field at fault, {scheme}", rules)
    page.click("[data-go=take]")
    judged(page, f"nothing to print, {scheme}", rules)
    page.close()


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_file_to_send(browser, tmp_path, scheme):
    part, _ = read_part(SAMPLES / "bilge-pump-cover.toml")
    path = tmp_path / "cover.html"
    path.write_bytes(share(pipeline.make_model(part), plan(part, DEFAULT_MACHINE)))
    page = browser.new_context(color_scheme=scheme, offline=True).new_page()
    page.goto(path.as_uri())
    rules = ["color-contrast"] if scheme == "dark" else None
    judged(page, f"alone, {scheme}", rules)
    page.click("#setup-0")
    page.locator("button.name").first.click()
    judged(page, f"a set-up, {scheme}", rules)
    page.close()


def test_the_rules_can_fail(browser):
    """A page that is at fault is found so: pale letters, a picture without words."""
    page = browser.new_page()
    page.set_content(
        "<html lang=en><title>x</title><body style='background:#fff'><label>a<input></label><p>seen</p>"
        "<p style='color:#ccc'>pale</p><img src='data:,'></body>"
    )
    with pytest.raises(AssertionError, match=r"(?s)color-contrast.*image-alt|image-alt.*color-contrast"):
        judged(page, "bad")
    page.close()
