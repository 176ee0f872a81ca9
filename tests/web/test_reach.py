"""Every action within reach: of a finger, of few tab stops, with large text, without motion, at every size."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import listened, made, until
from test_access import judged

SIZES = {False: ((1366, 768), (683, 384)), True: ((1024, 768), (1920, 1080), (390, 844))}
"""Screens with a mouse, and under a finger. 683 x 384 is a laptop's at a zoom of 200 %."""

SMALL = """(least) => [...document.querySelectorAll('button, select, input:not([type=file]), summary, a:not(.skip), ' +
    'textarea, [role=slider], .file, [tabindex="0"]')]
  .filter((e) => e.checkVisibility() && !e.closest('.unseen'))
  .map((e) => {
    const held = e.matches('[type=radio], [type=checkbox]') ? e.closest('label') || e : e;
    const r = held.getBoundingClientRect();
    const edge = e.matches('circle') ? parseFloat(getComputedStyle(e).strokeWidth) : 0;  // unseen, and held as well
    return [r.width + edge, r.height + edge, e.id || e.getAttribute('aria-label') || e.textContent.slice(0, 30)];
  })
  .filter(([width, height]) => Math.min(width, height) < least - 0.5)"""
"""What can be pressed and is smaller than so many pixels."""

FOCUSED = """() => { const e = document.activeElement;
  return e.id || e.dataset.download || e.getAttribute('aria-label') || e.getAttribute('name') || e.textContent; }"""

ACTIONS = {
    "say": ("spoken", "file", "sample", "flange, diameter", "minutes", "hold", "present"),
    "see": ("play", "run", "setup-0", "machine", "minutes", "hold"),
    "take": ("print", "all.zip", "sheets.pdf", "model.html", "save", "minutes"),
}
"""What people come to do, in each moment."""

MOST_STOPS = 30


def opened(browser, server, width, height, touch, **options):
    context = browser.new_context(
        viewport={"width": width, "height": height}, has_touch=touch, is_mobile=touch, **options
    )
    page = listened(context.new_page())
    page.goto(server)
    made(page)
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    return page


@pytest.mark.slow
@pytest.mark.parametrize("touch", SIZES, ids=["mouse", "touch"])
def test_at_every_size(browser, server, touch):
    """Targets of 24 px, 44 under a finger; axe-core's rules; nothing sideways with text at twice its size."""
    page = opened(browser, server, *SIZES[touch][0], touch)
    for width, height in SIZES[touch]:
        page.set_viewport_size({"width": width, "height": height})
        for moment in ("say", "see", "take"):
            page.click(f"[data-go={moment}]")
            where = f"{moment}, {width} x {height}"
            assert page.evaluate(SMALL, 44 if touch else 24) == [], where
            # Colours, names and roles are the same at every size, and judged at one: test_access.
            judged(page, where, ["target-size", "button-name"])
            page.evaluate("document.documentElement.style.fontSize = '200%'")
            assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, where
            page.evaluate("document.documentElement.style.fontSize = ''")
    assert page.told == []
    page.context.close()


@pytest.mark.slow
def test_the_main_actions_are_within_thirty_tab_stops(browser, server):
    page = opened(browser, server, 1366, 768, False)
    skips = page.locator(".skip").count()
    for moment, actions in ACTIONS.items():
        page.click(f"[data-go={moment}]")
        stops = {}
        for first in [None, *range(skips)]:  # straight on, or by a link that skips
            if first is not None and not page.locator(".skip").nth(first).evaluate("(e) => e.checkVisibility()"):
                continue
            page.locator(".skip").nth(first or 0).focus()
            for k in range(1 if first is None else first, MOST_STOPS):
                page.keyboard.press("Enter" if k == first else "Tab")
                at = page.evaluate(FOCUSED)
                stops[at] = min(stops.get(at, MOST_STOPS), k + 1)
        assert [a for a in actions if a not in stops] == [], (moment, stops)
    assert page.told == []
    page.context.close()


@pytest.mark.slow
def test_without_motion_the_model_is_folded_at_once(browser, server):
    """Where motion is to be reduced nothing moves between flat and folded."""
    page = opened(browser, server, 1366, 768, False, reduced_motion="reduce")
    seen = page.evaluate(
        """async () => {
            const seen = new Set(), state = window.foldsketch.state;
            document.getElementById('play').click();
            for (let k = 0; k < 30; k++) { seen.add(state.fold); await new Promise(requestAnimationFrame); }
            return [...seen];
        }"""
    )
    assert set(seen) <= {0, 1} and 0 in seen
    assert page.told == []
    page.context.close()
