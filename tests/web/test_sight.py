"""Plan and side view: every distance readable, a read-out while dragging, marks wide enough for a hand, zoom."""

import re
import sys
from itertools import combinations
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import listened, made, until

pytestmark = pytest.mark.slow

MANY = "flange 120 x 12; 6 bolt holes 9 on 104; " + "; ".join(
    f"lug 10 x {5 + k} at {20 + 2 * k}, {47 * k} deg" for k in range(1, 10)
)
WORDS = """() => [...document.querySelectorAll('#plan text')].map((e) => {
  const r = e.getBoundingClientRect();
  return [e.textContent, r.left + 1, r.top + 2, r.right - 1, r.bottom - 2, r.height];
})"""


def opened(browser, server, **options):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}, **options).new_page())
    page.goto(server)
    page.now = made(page)
    return page


def said(page, words):
    page.fill("#spoken", words)
    until(page, "!document.getElementById('take-new').disabled")
    page.click("#take-new")
    made(page, page.now)


def done(page):
    assert page.told == []
    page.context.close()


def test_every_distance_is_there_and_none_lies_on_another(browser, server):
    """Nine offset lugs and a bolt circle: sixteen axes, each letter and distance once, at one size on the screen."""
    page = opened(browser, server)
    said(page, MANY)
    words = page.evaluate(WORDS)
    shown = [w[0] for w in words]
    letters = [w for w in shown if re.fullmatch("[A-Z]", w)]
    distances = [w.split()[-1] for w in shown if not re.fullmatch("[A-Z]", w)]
    assert "6 on Ø104" in shown and sorted(distances) == sorted([f"{20 + 2 * k}" for k in range(1, 10)] + ["Ø104"])
    assert len(letters) == len(set(letters)) >= 12
    for p, q in combinations(words, 2):
        apart = p[1] >= q[3] or q[1] >= p[3] or p[2] >= q[4] or q[2] >= p[4]
        assert apart, (p, q)
    assert min(w[5] for w in words) >= 12
    # Zoomed, words keep their size and the drawing grows.
    across = "document.querySelector('#plan circle.round').getBoundingClientRect().width"
    before = page.evaluate(across)
    page.locator("#plan").locator("..").get_by_label("zoom in").click()
    assert page.evaluate(across) == pytest.approx(1.4 * before, rel=0.01)
    assert max(w[5] for w in page.evaluate(WORDS)) == pytest.approx(max(w[5] for w in words), abs=1)
    page.locator("#plan .axis").first.press("0")
    assert page.evaluate(across) == pytest.approx(before, rel=0.01)
    done(page)


@pytest.mark.parametrize(("touch", "least"), [(False, 24), (True, 44)])
def test_marks_are_wide_enough(browser, server, touch, least):
    """The width over which a press takes hold of a mark, px: the point that far beside its middle is still the mark."""
    page = opened(browser, server, has_touch=touch)
    covered = """() => [...document.querySelectorAll('.views .axis')].filter((e) => {
        const r = e.getBoundingClientRect();
        return document.elementFromPoint((r.left + r.right) / 2, (r.top + r.bottom) / 2)?.closest('.zooms');
    }).length"""
    page.set_viewport_size({"width": 1024, "height": 768})
    assert page.evaluate(covered) == 0, "no button lies on a mark of the cover"
    said(page, "flange 60 x 40; inlet 30 x 40 at 10")
    for mark in ("#plan .axis", "#side .axis"):
        held = page.locator(mark).first.evaluate(
            """(e, least) => {
                const r = e.getBoundingClientRect(), by = least / 2 - 0.5;
                const x = (r.left + r.right) / 2, y = (r.top + r.bottom) / 2;
                return [[by, 0], [0, by], [0, -by]].every(([u, v]) => document.elementFromPoint(x + u, y + v) === e);
            }""",
            least,
        )
        assert held, mark
    done(page)


def test_a_dragged_hole_takes_its_circle_along_and_tells_where_it_is(browser, server):
    page = opened(browser, server)
    box = page.locator("#plan [data-axis=D]").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 8, y + 8, steps=4)
    told = page.locator("#plan + .zooms + .readout").inner_text()
    page.mouse.up()
    page.now = made(page, page.now)
    found = re.fullmatch(r"D ([\d.]+) mm ∠ (\d+)°", told)
    assert found and float(found[1]) < 37
    text = page.evaluate("document.getElementById('text').value")
    assert text.count(f"offset = {found[1]}\n") == 4
    assert page.get_by_label("bolt hole, on", exact=True).input_value() == f"{2 * float(found[1]):g}"
    assert not page.locator("#plan + .zooms + .readout").is_visible()
    page.click("#undo")
    made(page, page.now)
    assert page.evaluate("document.getElementById('text').value").count("offset = 37") == 4
    done(page)
