"""Chuck and jaws on the stage in a real Chromium: the steps of a hand-over, choices, keys, reduced motion."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import SAMPLES, page_of, until
from test_access import judged

from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import plan
from foldsketch.web.share import share

pytestmark = pytest.mark.slow

STATE = "window.foldsketch.state"
SEEN = """(what) => [...document.querySelectorAll(what)].filter(
    (e) => e.getClientRects().length && e.checkVisibility()).length"""


@pytest.fixture(scope="module")
def eccentric(tmp_path_factory):
    """The file to send of the part that the sub-spindle takes over 5 mm off centre."""
    path = tmp_path_factory.mktemp("holding") / "eccentric.html"
    part, _ = read_part(SAMPLES / "hex-eccentric.toml")
    data = share(pipeline.make_model(part), plan(part, DEFAULT_MACHINE), DEFAULT_MACHINE)
    assert len(data) < 300_000
    path.write_bytes(data)
    return path


def words(page):
    return page.inner_text("#step-words")


def stepped(page, button, begins):
    page.locator(button).focus()
    page.keyboard.press("Enter")
    until(page, f"document.getElementById('step-words').textContent.startsWith({begins!r})")


def test_a_meeting_stops_at_each_step_of_a_hand_over(browser, eccentric):
    """By keys alone, without motion: each press is one step, and the two chucks are where the words say."""
    with page_of(browser, eccentric, viewport={"width": 1366, "height": 768}, reduced_motion="reduce") as page:
        page.locator("#setup-1").focus()
        page.keyboard.press("Enter")
        until(page, f"{STATE}.setup === 1 && {STATE}.lie !== 0")
        alone = page.evaluate(SEEN, ".stage .metal, .stage .sawn")
        assert alone > 20 and words(page).startswith("8 of 8: Axis B is on the centreline of the sub-spindle")
        assert page.locator("#step-on").is_disabled()
        stepped(page, "#first-step", "1 of 8")
        assert page.evaluate(SEEN, ".stage .metal, .stage .sawn") > alone + 20, "both chucks"
        assert page.locator("#first-step").is_disabled()
        told = [words(page)]
        seen = []
        for k in range(2, 9):
            stepped(page, "#step-on", f"{k} of 8")
            told.append(words(page))
            seen.append(page.evaluate(f"[{STATE}.part, {STATE}.now, {STATE}.open, {STATE}.axis]"))
        for begin, step in zip(
            ("holds", "off centre", "comes up", "clamps", "opens", "draws", "X 0", "Axis B"), told, strict=True
        ):
            assert begin in step
        assert seen[0][1][1] == 5, "the sub-spindle has moved 5 mm off centre"
        assert [s[2] for s in seen] == [[1, 0], [1, 0], [0, 0], [0, 1], [0, 1], [0, 1], [0, 1]]
        assert [s[3] for s in seen] == ["A"] * 5 + ["B"] * 2
        assert page.inner_text(".axis-letter") == "B"
        stepped(page, "#step-back", "7 of 8")
        # Spinning shows the set-up as it is in the end.
        page.click("#run")
        until(page, f"{STATE}.spin > 0 && !{STATE}.handing")
        page.click("#run")
        judged(page, "a set-up with its chuck")
        assert page.told == []


def test_the_film_plays_all_steps_and_a_step_stops_it(browser, eccentric):
    with page_of(browser, eccentric, viewport={"width": 1280, "height": 800}) as page:
        page.click("#setup-1")
        until(page, f"{STATE}.setup === 1 && Math.abs({STATE}.lie) === 1")
        page.clock.install()
        page.click("#film")
        for k in range(1, 9):
            for _ in range(200):
                if words(page).startswith(f"{k} of 8"):
                    break
                page.clock.run_for(100)
            assert words(page).startswith(f"{k} of 8"), k
        page.click("#film")
        page.clock.run_for(5000)
        page.click("#step-back")
        stopped = words(page)
        page.clock.run_for(20_000)
        assert words(page) == stopped
        assert page.told == []


def test_lying_or_standing_cut_open_or_whole(browser, eccentric):
    with page_of(browser, eccentric, viewport={"width": 1280, "height": 800}, reduced_motion="reduce") as page:
        page.click("#setup-0")
        until(page, f"{STATE}.setup === 0 && {STATE}.lie === 1")
        cut = page.evaluate(SEEN, ".stage .sawn")
        assert cut >= 2 and page.evaluate(SEEN, ".near .metal") == 0
        page.click("#cut-open")
        assert page.evaluate(SEEN, ".stage .sawn") == 0 and page.evaluate(SEEN, ".near .metal") > 5
        assert page.get_attribute("#cut-open", "aria-pressed") == "false"
        page.click("#lies")
        until(page, f"{STATE}.lie === 0")
        page.click("#lies")
        until(page, f"{STATE}.lie === 1")
        # Unfolded there is nothing to hold.
        page.click("#play")
        until(page, f"{STATE}.fold === 0")
        assert page.evaluate(SEEN, ".stage .metal") == 0
        page.click("#setup--1")
        until(page, f"{STATE}.setup === -1")
        assert page.locator(".surface").count() == 0 and page.evaluate(SEEN, ".stage .metal") == 0
        assert page.told == []


def test_drawn_plainly_the_chuck_is_there_as_well(browser, eccentric):
    with page_of(browser, eccentric, viewport={"width": 1280, "height": 800}, reduced_motion="reduce") as page:
        page.click("#setup-0")
        until(page, f"{STATE}.setup === 0 && {STATE}.lie === 1")
        counted = """() => {
            window.foldsketchPlain = true;
            window.foldsketch.move();
            const c = document.querySelector('.stage canvas'), n = {};
            const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
            for (let i = 0; i < d.length; i += 4) {
                const k = `${d[i]},${d[i + 1]},${d[i + 2]}`;
                n[k] = (n[k] || 0) + 1;
            }
            return n;
        }"""
        colours = page.evaluate(counted)
        assert colours.get("230,223,200", 0) > 1000, "the cut faces, #e6dfc8"
        assert colours.get("207,210,205", 0) > 1000, "the chuck's face, #cfd2cd"
