"""The sheet that the page is: shares of the screen, what is greyed out when, the title block, the projector."""

import io
import json
import re
import sys
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

sys.path.insert(0, str(Path(__file__).parent))
from browser import SAMPLES, listened, made, until

from foldsketch.web.tasks import run_task

COVER = (SAMPLES / "bilge-pump-cover.toml").read_text("utf-8")
SHARE = """() => {
  const what = document.body.dataset.moment === 'take' ? '#prints' : '.stage';
  const r = document.querySelector(what).getBoundingClientRect();
  const area = (r.width * r.height) / innerWidth / innerHeight;
  return { width: r.width / innerWidth, height: r.height / innerHeight, area,
    sideways: document.documentElement.scrollWidth - innerWidth };
}"""


@pytest.mark.slow
def test_the_picture_has_the_largest_part_of_every_screen(browser, server):
    """55 % of a laptop's width in Say, 70 in See and Take; 55 % of a tablet's height; nothing scrolls sideways."""
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    made(page)
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    wanted = {(1366, 768): "wide", (1920, 1080): "wide", (1024, 768): "tablet", (768, 1024): "tall", (390, 844): "tall"}
    for (width, height), kind in wanted.items():
        page.set_viewport_size({"width": width, "height": height})
        for moment in ("say", "see", "take"):
            page.click(f"[data-go={moment}]")
            found = page.evaluate(SHARE)
            where = (width, height, moment, found)
            assert found["sideways"] <= 0, where
            if kind == "tall":
                assert found["height"] >= 0.55 and found["width"] >= 0.99, where
            elif kind == "wide":
                assert found["width"] >= (0.55 if moment == "say" else 0.70), where
            else:
                assert found["height"] >= 0.55 and found["width"] >= 0.55, where
            for always in ("#estimate", "#minutes"):
                box = page.locator(always).bounding_box()
                assert box["y"] >= 0 and box["y"] + box["height"] <= height + 1, (always, where)
    # Text at twice its size narrows the layout as a smaller window does.
    page.set_viewport_size({"width": 1366, "height": 768})
    page.evaluate("document.documentElement.style.fontSize = '32px'")
    for moment in ("say", "see", "take"):
        page.click(f"[data-go={moment}]")
        assert page.evaluate(SHARE)["sideways"] <= 0
    page.evaluate("document.documentElement.style.fontSize = ''")
    # For a projector: over half of the screen for the picture, no words below 28 px, and Escape leads back.
    page.set_viewport_size({"width": 1920, "height": 1080})
    page.click("#present")
    page.click("#setup-2")
    until(page, "document.querySelectorAll('#numbers dl.main b').length === 5")
    assert page.evaluate(SHARE)["area"] >= 0.57
    sizes = page.evaluate("""() => [...document.querySelectorAll('.desk *')]
      .filter((e) => e.checkVisibility() && !e.closest('svg') && e.getBoundingClientRect().height > 1)
      .filter((e) => [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()))
      .map((e) => [parseFloat(getComputedStyle(e).fontSize), e.textContent.slice(0, 30)])""")
    assert len(sizes) > 12 and min(sizes)[0] >= 28, min(sizes)
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.id") == "present"
    assert page.told == []
    page.context.close()


@pytest.mark.slow
def test_a_part_with_a_fault_prints_nothing_and_says_why(browser, server):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    now = made(page)
    cell = page.get_by_label("flange, diameter", exact=True)
    cell.fill("-90")
    cell.press("Enter")
    page.wait_for_selector("#findings li.error")
    assert page.inner_text("#settle-head") == "1 to settle before anything is printed"
    assert page.inner_text("#estimate b") == "–"
    page.click("[data-go=take]")
    assert page.locator("#why-not").is_visible()
    for button in page.locator("[data-needs]").all():
        assert button.get_attribute("aria-disabled") == "true"
        assert button.get_attribute("aria-describedby") == "why-not"
    assert page.locator("#save").get_attribute("aria-disabled") is None, "the part file can be saved"
    page.emulate_media(media="print")
    assert not page.locator("#prints").is_visible()
    page.emulate_media(media="screen")
    page.click("#findings li.error button")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "flange, diameter"
    page.keyboard.type("90")
    page.keyboard.press("Enter")
    made(page, now)
    assert page.inner_text("#settle-head") == "Nothing to settle."
    assert page.locator("[data-needs][aria-disabled=true]").count() == 0
    assert page.told == []
    page.context.close()


@pytest.mark.slow
def test_the_title_block_chooses_minutes_and_hold(browser, server):
    """The ticks are the models that there are; the right end builds everything; tape needs less time than glue."""
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    now = made(page)
    slider = page.locator("#minutes")
    steps = int(slider.get_attribute("max")) + 1
    assert page.locator("#ticks i").count() == steps >= 5
    usual = int(re.match(r"\d+", page.inner_text("#estimate b"))[0])
    assert usual <= 15
    slider.focus()
    page.keyboard.press("ArrowRight")
    now = made(page, now)
    more = int(re.match(r"\d+", page.inner_text("#estimate b"))[0])
    assert more > usual
    page.keyboard.press("End")
    now = made(page, now)
    everything = int(re.match(r"\d+", page.inner_text("#estimate b"))[0])
    assert everything > more and slider.input_value() == str(steps - 1)
    assert "drawn" not in page.inner_text("#buys") and page.locator(".face").count() > 60
    page.locator("#hold").get_by_text("tape").click()
    made(page, now)
    assert int(re.match(r"\d+", page.inner_text("#estimate b"))[0]) < everything
    page.reload()
    made(page)
    assert page.is_checked("[name=hold][value=tape]") and slider.input_value() == slider.get_attribute("max")
    assert page.told == []
    page.context.close()


@pytest.mark.slow
def test_the_picture_prints_as_not_to_scale(browser, server):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    made(page)
    printed = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))
    words = "".join(sheet.get_textpage().get_text_range() for sheet in printed)
    assert "Not to scale" in words and "Bilge pump cover" in words
    printed.close()
    page.context.close()


@pytest.mark.slow
def test_the_nets_stay_in_the_frame_through_the_whole_folding(browser, server):
    """At every tenth of the way the outermost points of the stage show its ground and no paper."""
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}, reduced_motion="reduce").new_page())
    page.goto(server)
    made(page)
    page.evaluate("""() => {
      const stage = document.querySelector('.stage');
      stage.style.background = '#77a';
      document.querySelector('h1').hidden = stage.querySelector('p').hidden = true;
    }""")
    for k in range(11):
        view = {"fold": k / 10, "tilt": 12 + 5 * k, "swing": -2.8 * k}
        page.evaluate("(v) => { Object.assign(window.foldsketch.state, v); window.foldsketch.place(); }", view)
        picture = np.array(Image.open(io.BytesIO(page.locator(".stage").screenshot())).convert("L")).astype(int)
        inked = np.abs(picture - picture[3, 3]) > 12
        assert inked.mean() > 0.05, "the model is on the stage"
        edges = (inked[3], inked[-4], inked[:-3, 3], inked[:-3, -4])
        assert not np.concatenate(edges).any(), view
    page.context.close()


@pytest.mark.slow
def test_the_machine_is_chosen_loaded_or_left_out(browser, server):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    now = made(page)
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    page.click("[data-go=see]")
    assert "harbour workshop twin-spindle lathe" in page.inner_text(".machine")
    page.select_option("#machine", label="none: the model only")
    now = made(page, now)
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    assert page.locator("[data-setup]").count() == 0 and page.locator(".machine").count() == 0
    page.set_input_files("#machine-file", SAMPLES / "machines" / "single-spindle.toml")
    made(page, now)
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    assert page.inner_text(".machine") == "on " + page.evaluate(
        "document.getElementById('machine').selectedOptions[0].text"
    )
    page.click("#setup-0")
    assert page.locator("[data-setup] small").all_inner_texts()[1:] == ["main"] * (
        page.locator("[data-setup]").count() - 1
    )
    assert page.told == []
    page.context.close()


def setups(**task):
    return json.loads(run_task({"do": "setups", "text": COVER, **task})["json"])


@pytest.mark.slow
def test_set_ups_are_for_the_machine_that_is_given():
    single = (SAMPLES / "machines" / "single-spindle.toml").read_text("utf-8")
    usual, other = setups(), setups(machine=single)
    assert usual["machine"] != other["machine"]
    assert {s["spindle"] for s in usual["setups"]} == {"main", "sub"}
    assert {s["spindle"] for s in other["setups"]} == {"main"}
    assert setups()["machine"] == usual["machine"], "back to the usual one"
    none = setups(machine="none")
    assert none["setups"] == [] and none["findings"][0]["code"] == "page-no-machine"
    broken = setups(machine="name =")
    assert broken["setups"] == [] and broken["findings"]


def test_how_a_part_lies_in_the_machine():
    """The main spindle is at the left, the sub-spindle at the right: the worked end points away from the chuck."""
    for s in setups()["setups"]:
        right = s["spindle"] == "main"
        assert s["lie"] == (1 if (s["from_end"] == "+z") == right else -1)
        assert [f["name"] for f in s["main"]][:2] == ["Off centre", "Indicator"]
