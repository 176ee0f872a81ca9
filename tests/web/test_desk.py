"""The local page in a real Chromium: every way of editing, and what comes of it."""

import sys
from pathlib import Path

import pypdfium2
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import listened, made

pytestmark = pytest.mark.slow


def test_the_desk(browser, server):
    page = listened(browser.new_context(viewport={"width": 1440, "height": 900}).new_page())
    page.goto(server)

    first = made(page)
    assert page.locator(".face").count() == 28  # three octagons: a flange with two ends, spigots with one
    # An edit shows itself, undo takes it back, a fault is told with its line and does not lose the text.
    page.click("#as-text")
    area = page.locator("#text")
    text = area.input_value()
    area.fill(text.replace('name     = "Bilge pump cover"', 'name = "Harbour cover"'))
    second = made(page, first)
    assert page.inner_text("h1").startswith("Harbour cover")
    page.click("#undo")
    third = made(page, second)
    assert area.input_value() == text
    area.fill(text.replace("diameter = 90", "diameter = -90"))
    page.wait_for_selector("#findings li.error", timeout=30_000)
    assert page.inner_text("#findings li.error").startswith("feature 'flange': diameter")
    page.click("#findings li.error button")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "flange, diameter"
    page.click("#as-text")
    area.fill(text)
    fourth = made(page, third)
    # A centre is moved from the keyboard, by half a millimetre.
    page.locator("#plan .axis").first.focus()
    page.keyboard.press("ArrowRight")
    fifth = made(page, fourth)
    assert "offset = 20.5" in area.input_value()
    # Typed in the table, told beside the entry at fault, taken away and put there.
    # The side view: nine round features, and the ends of the material (0, 12, 36, 42).
    page.click("#as-table")
    assert page.locator("#side polygon").count() == 9
    assert page.locator("#side text.level").all_text_contents() == ["0", "12", "36", "42"]
    size = page.get_by_label("flange, diameter", exact=True)
    size.fill("94")
    size.press("Enter")
    sixth = made(page, fifth)
    assert "diameter = 94" in area.input_value()
    size.fill("-94")
    size.press("Enter")
    page.wait_for_selector(".entry p.error:visible", timeout=30_000)
    assert size.get_attribute("aria-invalid") == "true"
    size.fill("90")
    size.press("Enter")
    seventh = made(page, sixth)
    page.get_by_label("remove bolt hole").click()
    eighth = made(page, seventh)
    assert "bolt hole 4" not in area.input_value()
    page.click("#undo")
    ninth = made(page, eighth)
    assert "bolt hole 4" in area.input_value()
    page.click("#add")
    tenth = made(page, ninth)
    assert page.get_by_label("spigot 1, diameter").input_value() == "20"
    page.click("#undo")
    made(page, tenth)
    # A reload loses nothing.
    page.reload()
    made(page)
    assert "offset = 20.5" in page.locator("#text").input_value()
    # Printed, a sheet keeps its size: 210 mm are 793.7 px of CSS.
    page.click("[data-go=take]")
    page.wait_for_selector("#sheets img", timeout=30_000)
    page.emulate_media(media="print")
    assert abs(page.locator("#sheets img").first.bounding_box()["width"] - 793.7) < 1
    page.emulate_media(media="screen")
    page.wait_for_selector("#sheets img", timeout=30_000)
    with page.expect_download() as saved:
        page.click("[data-download='sheets.pdf']")
    assert Path(saved.value.path()).read_bytes().startswith(b"%PDF")
    assert page.told == []
    assert fifth != fourth
    page.close()


def test_the_browsers_printer_keeps_the_scale(browser, server):
    """Printed from the browser, sheets and talk sheets are pages of their own size, one for one, nothing between."""
    page = listened(browser.new_context().new_page())
    page.goto(server)
    made(page)
    page.click("[data-go=take]")
    for view, size in (("sheets", (210, 297)), ("talk", (297, 210)), ("sheets", (210, 297))):
        page.click(f"[data-show={view}]")
        page.wait_for_selector(f"#{view} img", timeout=60_000)
        shown = page.locator(f"#{view} img")
        for k in range(shown.count()):
            shown.nth(k).evaluate("(e) => e.decode()")
        printed = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True, print_background=True))
        assert len(printed) == shown.count(), view
        for sheet in printed:
            assert [v / 72 * 25.4 for v in sheet.get_size()] == pytest.approx(size, abs=0.5)
        printed.close()
    assert page.told == []
    page.context.close()
