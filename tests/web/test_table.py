"""The table of the part: a bolt circle as one line, copies, mirrored copies, shapes from their pictures."""

import sys
from math import cos, radians, sin
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import listened, made

from foldsketch.part.file.read import parse_part
from foldsketch.part.model import PrismShape

pytestmark = pytest.mark.slow


@pytest.fixture
def page(browser, server):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    page.now = made(page)
    yield page
    assert page.told == []
    page.context.close()


def part_of(page):
    part, _ = parse_part(page.evaluate("document.getElementById('text').value"), "toml", "page")
    return part


def cell(page, label, value):
    found = page.get_by_label(label, exact=True)
    found.fill(value)
    found.press("Enter")
    page.now = made(page, page.now)


def centres(part, stem):
    found = [part.axis(f.axis).point for f in part.features if f.name.startswith(stem)]
    return sorted((round(x, 3), round(y, 3)) for x, y, _ in found)


def on_circle(many, across, first):
    """Where holes on a circle are, by the definition of a bolt circle [D]."""
    turns = [radians(first + 360 * k / many) for k in range(many)]
    return sorted((round(across / 2 * cos(a), 3), round(across / 2 * sin(a), 3)) for a in turns)


def test_a_bolt_circle_is_one_line(page):
    """Count, circle and first angle of the cover's four holes, and a second circle of its own."""
    assert page.locator(".entry.circle").count() == 1
    assert page.get_by_label("axis D, offset", exact=True).count() == 0, "its axes have no lines of their own"
    cell(page, "bolt hole, count", "6")
    cell(page, "bolt hole, on", "37*2+2")
    cell(page, "bolt hole, first", "30")
    cell(page, "bolt hole, diameter", "6.6")
    part = part_of(page)
    assert centres(part, "bolt hole") == on_circle(6, 76, 30)
    assert {f.shape.diameter for f in part.features if f.name.startswith("bolt hole")} == {6.6}
    assert len(part.features) == 11 and len({f.axis for f in part.features}) == 9
    page.click("#add-bolts")
    page.now = made(page, page.now)
    assert page.locator(".entry.circle").count() == 2
    assert page.evaluate("document.activeElement.getAttribute('aria-label')").endswith(", count")
    page.keyboard.press("Control+a")
    page.keyboard.type("3")
    page.keyboard.press("Enter")
    page.now = made(page, page.now)
    assert len(part_of(page).features) == 14
    assert centres(part_of(page), "hole") == on_circle(3, 74, 0), "0.82 of the flange, between the others"
    page.get_by_label("remove bolt hole", exact=True).click()
    page.now = made(page, page.now)
    assert len(part_of(page).features) == 8
    page.click("#undo")
    page.now = made(page, page.now)
    assert len(part_of(page).features) == 14


def test_copies_mirrored_and_not(page):
    """The spigot on B at 20, 0 has its like at -20, 0; a lug below the centre has one above it."""
    page.get_by_label("more of inlet spigot", exact=True).click()
    page.get_by_label("mirror inlet spigot left to right", exact=True).click()
    page.now = made(page, page.now)
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "inlet spigot 1, name"
    part = part_of(page)
    assert part.axis(part.features[2].axis).point == pytest.approx((-20, 0, 0), abs=1e-6)
    assert part.features[2].shape == part.features[1].shape
    page.get_by_label("mirror inlet spigot top to bottom", exact=True).click()
    assert "lies on the mirror line" in page.inner_text("#state")
    page.get_by_label("duplicate inlet spigot", exact=True).click()
    page.now = made(page, page.now)
    assert [f.axis for f in part_of(page).features if f.name.startswith("inlet spigot")].count("B") == 2


def test_a_shape_is_chosen_by_its_picture(page):
    page.get_by_label("outlet spigot, shape: cylinder", exact=True).click()
    assert page.locator(".shapes svg").count() == 5
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.className") == "shape"
    page.keyboard.press("Enter")
    for _ in range(3):
        page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.now = made(page, page.now)
    (spigot,) = (f for f in part_of(page).features if f.name == "outlet spigot")
    assert isinstance(spigot.shape, PrismShape) and (spigot.shape.flats, spigot.shape.across_flats) == (6, 30)
    assert page.get_by_label("outlet spigot, shape: hexagon", exact=True).is_visible()


def test_what_runs_into_its_neighbour_is_told_at_its_line(page):
    """Bolt holes of 20 on a circle of 74 stand 10.9 mm clear of the centre line: they meet the spigots, by name."""
    line = page.locator(".entry", has=page.get_by_label("bolt hole, diameter", exact=True)).locator("p")
    assert not line.is_visible()
    cell(page, "bolt hole, diameter", "20")
    assert line.is_visible()
    assert "cuts into the side of 'inlet spigot'" in line.inner_text()
    page.click("#notes summary")
    assert "4 features" in page.inner_text("#remarks") or "similar" in page.inner_text("#remarks")
    cell(page, "bolt hole, diameter", "9")
    assert not line.is_visible()
