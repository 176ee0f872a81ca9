"""The axes' colours on the page: one axis, one colour everywhere, readable on every ground, a letter beside each."""

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import listened, made, until

from foldsketch.sheet.page.axis_colours import axis_colour_indices
from foldsketch.web.axis_colours import axis_style_sheet
from foldsketch.web.share import web_file_text

PART = """name = "Pins of the harbour workshop"
units = "mm"

[[axis]]
name = "A"
at = [0, 0]

[[axis]]
name = "pin"
offset = 12
angle = 0

[[axis]]
name = "C"
offset = 12
angle = 120

[[feature]]
name = "disc"
axis = "A"
shape = "cylinder"
diameter = 60
start = 0
end = 10

[[feature]]
name = "first"
axis = "pin"
shape = "cylinder"
diameter = 10
start = 10
end = 30

[[feature]]
name = "second"
axis = "C"
shape = "cylinder"
diameter = 10
start = 10
end = 30
"""


def luminance(colour):
    """Relative luminance of #rrggbb (WCAG 2.1)."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    r, g, b = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one, two):
    a, b = sorted((luminance(one), luminance(two)))
    return (b + 0.05) / (a + 0.05)


def themes():
    """Custom properties of the page in light and in dark."""
    style = web_file_text("page.css") + axis_style_sheet()
    light, dark = {}, {}
    for m in re.finditer(r"(@media \(prefers-color-scheme: dark\) \{\s*)?:root \{([^}]*)\}", style):
        (dark if m[1] else light).update(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", m[2]))
    return {"light": light, "dark": light | dark}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_letters_and_thin_lines_keep_their_contrast_on_every_ground(scheme):
    found = themes()[scheme]
    colours = [found[f"axis{k}"] for k in range(26)]
    assert len(set(colours)) == 26
    for ground in ("ground", "paper"):
        assert min(contrast(c, found[ground]) for c in colours) >= 4.5
    # On the stage they are lines and a letter on a ground of its own.
    assert min(contrast(c, found["table"]) for c in colours) >= 3
    # On the folded model they are print, on paper that is light in both.
    print_ = re.findall(r"--print: (#[0-9a-f]{6})", axis_style_sheet())
    assert len(print_) == 26 and min(contrast(c, found["sheet"]) for c in print_) >= 4.5


def test_the_dark_page_has_colours_of_its_own():
    found = themes()
    assert all(found["light"][f"axis{k}"] != found["dark"][f"axis{k}"] for k in range(8))


def number(classes):
    return int(re.search(r"paint(\d+)", classes)[1])


@pytest.mark.slow
def test_an_axis_has_one_colour_in_plan_side_view_table_model_and_spin(browser, server):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    first = made(page)
    page.click("#as-text")
    page.locator("#text").fill(PART)
    made(page, first)
    page.click("#as-table")
    expected = axis_colour_indices(["A", "C", "pin"])
    assert len(set(expected.values())) == 3
    for name, k in expected.items():
        dot = page.locator(f'#plan circle[data-axis="{name}"]')
        assert number(dot.get_attribute("class")) == k
        for where in ("#plan text.name", "#side tspan.name"):
            words = page.locator(where).get_by_text(name, exact=True)
            assert number(words.first.get_attribute("class")) == k, where
        entry = page.locator(f'.entry[data-name="axis {name}"] .letter')
        assert entry.inner_text() == name and number(entry.get_attribute("class")) == k
        cell = page.locator("#beside table[aria-label=Axes] td.letter").get_by_text(name, exact=True)
        assert number(cell.get_attribute("class")) == k
        # The same colour in fact, not in name alone.
        assert dot.evaluate("(e) => getComputedStyle(e).fill") == entry.evaluate("(e) => getComputedStyle(e).color")
    select = page.get_by_label("first, axis", exact=True)
    assert number(select.get_attribute("class")) == expected["pin"]
    # Printed marks of the folded panels: the letter of the axis in its colour.
    word = page.locator(".panel text.word").get_by_text("pin", exact=True).first
    assert number(word.get_attribute("class")) == expected["pin"]
    # Spun: the centreline has the colour of the axis that runs true, and the letter stands beyond the worked end.
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    page.click("[data-go=see]")
    way = page.locator("[data-setup]", has=page.locator(".letter", has_text="pin")).first
    way.click()
    until(page, "document.querySelector('#now').textContent.includes('runs true')")
    letter = page.locator(".axis-letter")
    assert letter.inner_text() == "pin" and number(letter.get_attribute("class")) == expected["pin"]
    line = page.locator(".panel:has(.centreline)").first
    assert number(line.get_attribute("class")) == expected["pin"]
    for keys in ("", "ArrowLeft", "ArrowRight"):
        page.locator(".stage").focus()
        for _ in range(2 if keys else 0):
            page.keyboard.press(keys)
        beside, along = letter.bounding_box(), line.bounding_box()
        assert abs(beside["y"] + beside["height"] / 2 - along["y"] - along["height"] / 2) < 4
        ends = (beside["x"] - along["x"] - along["width"], along["x"] - beside["x"] - beside["width"])
        assert min(abs(e) for e in ends) < 5
    page.click("#setup--1")
    until(page, "document.querySelector('.axis-letter').hidden")
    assert not page.told


@pytest.mark.slow
def test_an_axis_chosen_in_the_table_takes_its_colour_along(browser, server):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    first = made(page)
    select = page.get_by_label("inlet spigot, axis", exact=True)
    assert number(select.get_attribute("class")) == 1
    select.select_option("C")
    made(page, first)
    assert number(page.get_by_label("inlet spigot, axis", exact=True).get_attribute("class")) == 2


@pytest.mark.slow
@pytest.mark.parametrize("size", [(1366, 768), (1920, 1080), (1180, 820)])
def test_part_and_model_are_in_sight_at_once(browser, server, size):
    """A laptop, a projector, a tablet: the stage and what is around it end above the foot of the window."""
    page = listened(browser.new_context(viewport={"width": size[0], "height": size[1]}).new_page())
    page.goto(server)
    made(page)
    for what in ("#plan", "#side", ".stage", "footer"):
        box = page.locator(what).bounding_box()
        assert box["x"] >= 0 and box["y"] >= 0
        assert box["x"] + box["width"] <= size[0] + 1 and box["y"] + box["height"] <= size[1] + 1, what
        assert box["width"] >= 100 and box["height"] >= 60
    stage, foot = page.locator(".stage").bounding_box(), page.locator("footer").bounding_box()
    assert stage["y"] + stage["height"] <= foot["y"]
