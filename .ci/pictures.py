"""Draws the pictures of the guide, docs/pictures/*.png, anew: what today's commands print, and the page in a browser.

    python .ci/pictures.py

It needs what the tests need: pypdfium2, playwright, a Chromium. packed-jaw.svg is drawn by hand. Look at every picture.
"""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
SAMPLES, PICTURES = ROOT / "samples", ROOT / "docs" / "pictures"

SMALL = ["--machine", "samples/machines/small.toml", "--batch", "10"]

PAGE_PICTURES = {
    "sheet": (["make", "samples/bilge-pump-cover.toml"], "bilge-pump-cover.pdf", 0, 100),
    "setup-sheet": (["setups", "samples/eccentric-shaft.toml", *SMALL], "eccentric-shaft-setups.pdf", 3, 76),
    "booklet": (["make", "samples/offset-bore-sleeve.toml", "--booklet"], "offset-bore-sleeve-booklet.pdf", 2, 75),
    "by-hand": (["make", "samples/bilge-pump-cover.toml", "--by-hand"], "bilge-pump-cover-by-hand.pdf", 0, 94),
}
"""Name: the command, the PDF that it writes, the page counted from 0, and dots per inch."""


def run(words: list[str], out: Path) -> None:
    """One foldsketch command, from the top folder."""
    command = [sys.executable, "-m", "foldsketch.cli", *words, "--out", str(out)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)


def page_of_pdf(path: Path, page: int, dpi: float) -> Any:
    """A page of a PDF as a picture; -1 is the last one."""
    import pypdfium2

    document = pypdfium2.PdfDocument(path)
    try:
        return document[page % len(document)].render(scale=dpi / 72).to_pil()
    finally:
        document.close()


def models(out: Path) -> None:
    """The folded model of every sample, as `make` draws it, and that of the tutorial."""
    for path in sorted(SAMPLES.glob("*.toml")):
        run(["make", str(path)], out)
        (PICTURES / f"{path.stem}.png").write_bytes((out / f"{path.stem}.png").read_bytes())
    page = (ROOT / "docs" / "tutorial.md").read_text("utf-8")
    text = re.search(r"```toml\n(.*?)```", page, re.S)
    assert text
    part = out / "tutorial.toml"
    part.write_text(text[1].replace("diamter", "diameter"), "utf-8")
    run(["make", str(part), "--sides", "8"], out)
    (PICTURES / "tutorial.png").write_bytes((out / "tutorial.png").read_bytes())


def printed(out: Path) -> None:
    """One page each of sheets, set-ups, booklet and the by-hand page."""
    for name, (words, pdf, page, dpi) in PAGE_PICTURES.items():
        run(words, out)
        page_of_pdf(out / pdf, page, dpi).convert("RGB").save(PICTURES / f"{name}.png", optimize=True)


IN_HAND = ["--machine", "samples/machines/twin.toml", "--in-hand", "--plan"]
IN_HAND_PICTURES = {
    "chuck": ("bilge-pump-cover", "3", "chuck-4", 0, (0.0, 0.14, 1.0, 1.0)),
    "tray": ("offset-bore-sleeve", "3", "in-hand", -1, (0.0, 0.0, 1.0, 1.0)),
    "hand-over": ("offset-bore-sleeve", "3", "in-hand", -2, (0.0, 0.0, 1.0, 1.0)),
    "building": ("offset-bore-sleeve", "3", "in-hand", 1, (0.0, 0.0, 1.0, 1.0)),
}
"""By name: sample, plan, PDF, its page, and the part of it that is shown: left, top, right, bottom."""


def in_hand(out: Path) -> None:
    """A paper chuck, the tray of a hand-over, and the fixture of the tests' plan of three set-ups."""
    for name, (sample, plan, pdf, page, (left, top, right, bottom)) in IN_HAND_PICTURES.items():
        run(["setups", f"samples/{sample}.toml", *IN_HAND, plan], out)
        picture = page_of_pdf(out / f"{sample}-{pdf}.pdf", page, 84).convert("RGB")
        w, h = picture.size
        shown = picture.crop((round(left * w), round(top * h), round(right * w), round(bottom * h)))
        shown.save(PICTURES / f"in-hand-{name}.png", optimize=True)
    sys.path.insert(0, str(ROOT))
    from foldsketch.job.budget import model
    from foldsketch.job.choices import Choices
    from foldsketch.job.in_hand_outputs import set_up_in_hand
    from tests.in_hand_plan import three_set_ups
    from tests.setup_works import COVER, TWIN

    path = out / "fixture.pdf"
    path.write_bytes(set_up_in_hand(model(COVER, Choices(scale=1.0)), three_set_ups(), TWIN).files["chuck-2.pdf"])
    picture = page_of_pdf(path, 0, 84).convert("RGB")
    shown = picture.crop((0, round(0.6 * picture.height), picture.width, picture.height))
    shown.save(PICTURES / "in-hand-fixture.png", optimize=True)


JAW_CALL_OUTS = {
    1: (157.0, 196.5), 2: (114.5, 128.5), 3: (116.0, 176.0), 4: (147.0, 165.0), 5: (85.0, 131.0), 6: (67.0, 145.0),
    7: (101.0, 127.0), 8: (134.0, 134.5), 9: (212.0, 158.5), 10: (203.0, 88.0), 11: (37.0, 80.0), 12: (284.0, 116.0),
    13: (19.0, 136.0), 14: (283.0, 56.0),
}  # fmt: skip
"""Number: where it stands on the jaw drawing, mm from the lower left corner."""


FIXTURE_CALL_OUTS = {
    1: (118.0, 197.5), 2: (115.0, 176.0), 3: (150.0, 167.0), 4: (95.0, 108.0), 5: (146.0, 86.0), 6: (121.0, 121.5),
    7: (101.0, 126.0), 8: (146.0, 128.5), 9: (41.0, 80.0), 10: (252.0, 171.0), 11: (285.0, 116.0), 12: (292.0, 60.0),
    13: (292.0, 44.0), 14: (292.0, 34.0),
}  # fmt: skip
"""The same on the fixture drawing."""

NUMBERED = {
    "jaw-drawing": ("bilge-pump-cover", "twin", "3", "jaws-4", JAW_CALL_OUTS),
    "fixture-drawing": ("bilge-pump-cover", "small", "1", "fixture-4", FIXTURE_CALL_OUTS),
}
"""By name: sample, machine, plan, PDF, and numbers of the toolroom's checklist."""


def toolroom_drawings(out: Path) -> None:
    """The drawings for the toolroom, with the numbers of its checklists."""
    from PIL import ImageDraw, ImageFont

    from foldsketch.base.lettering import font_path

    for name, (sample, machine, plan, pdf, call_outs) in NUMBERED.items():
        words = ["--machine", f"samples/machines/{machine}.toml", "--plan", plan, "--jaws"]
        run(["setups", f"samples/{sample}.toml", *words], out)
        dpi = 130.0
        picture = page_of_pdf(out / f"{sample}-{pdf}.pdf", 0, dpi).convert("RGB")
        pen, px = ImageDraw.Draw(picture), dpi / 25.4
        font = ImageFont.truetype(str(font_path()), 3.4 * px)
        for number, (x, y) in call_outs.items():
            at, r = (x * px, picture.height - y * px), 3.0 * px
            pen.ellipse((at[0] - r, at[1] - r, at[0] + r, at[1] + r), fill=(179, 0, 60))
            pen.text(at, str(number), fill="white", font=font, anchor="mm")
        picture.save(PICTURES / f"{name}.png", optimize=True)


def browser_page() -> None:
    """The page in a browser: table and model, nets laid flat, a set-up, a hand-over, for a projector, the sheets."""
    from playwright.sync_api import sync_playwright

    spec = importlib.util.spec_from_file_location("browser", ROOT / "tests" / "web" / "browser.py")
    assert spec and spec.loader
    browser = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(browser)
    with browser.served() as where, sync_playwright() as p:
        chromium = p.chromium.launch(executable_path=browser.chromium(), args=browser.ARGUMENTS)
        page = chromium.new_page(viewport={"width": 1375, "height": 773}, device_scale_factor=0.8)

        def shoot(name: str) -> None:
            page.mouse.move(0, 0)
            page.wait_for_timeout(2000)  # what turns comes to rest
            page.screenshot(path=PICTURES / f"page-{name}.png")

        page.goto(where)  # it begins with the pump cover
        browser.made(page)
        browser.until(page, "document.body.dataset.whole === document.body.dataset.made")
        page.fill("#spoken", "lug 16 x 12 at 34, 90 deg, bore 8")
        browser.until(page, "!document.getElementById('take-more').disabled")
        shoot("table")
        page.fill("#spoken", "")
        page.click("[data-go=see]")
        page.get_by_role("button", name="outlet spigot", exact=True).click()
        page.click("#play")
        browser.until(page, "Number(document.getElementById('fold').value) === 0")
        shoot("flat")
        page.click("#play")
        browser.until(page, "Number(document.getElementById('fold').value) === 1")
        page.get_by_role("button", name="outlet spigot", exact=True).click()
        page.click("#setup-2")
        shoot("spin")
        page.click("#setup-1")
        page.wait_for_timeout(2000)
        page.click("#first-step")
        browser.until(page, "document.getElementById('step-words').textContent.startsWith('1 of')")
        for _ in range(4):
            page.wait_for_timeout(1500)
            page.click("#step-on")
        shoot("hand-over")
        page.click("#present")
        page.click("#setup-2")
        shoot("present")
        page.keyboard.press("Escape")
        page.click("[data-go=take]")
        page.wait_for_selector("#sheets img", timeout=60_000)
        shoot("sheets")
        chromium.close()


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        models(Path(folder))
        printed(Path(folder))
        toolroom_drawings(Path(folder))
        in_hand(Path(folder))
    browser_page()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
