"""The file to send: whole in itself, safe with any name, folding right in a real browser with the network off."""

import base64
import hashlib
import io
import json
import re
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from foldsketch.job import pipeline
from foldsketch.job.budget import model
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import plan
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.web.facts import MAX_ANIMATED_PANELS
from foldsketch.web.share import share

sys.path.insert(0, str(Path(__file__).parent))
from browser import ARGUMENTS, chromium, page_of, until

SAMPLES = Path(__file__).parents[2] / "samples"
EVIL = "<script>alert(1)</script>\"'&"


def shared(sample="bilge-pump-cover", **changes):
    part, _ = read_part(SAMPLES / f"{sample}.toml")
    part = replace(part, **changes)
    return share(pipeline.make_model(part), plan(part, DEFAULT_MACHINE)).decode()


@pytest.fixture(scope="module")
def cover(tmp_path_factory):
    path = tmp_path_factory.mktemp("share") / "cover.html"
    path.write_text(shared(), "utf-8")
    return path


def test_small_and_whole(cover):
    text = cover.read_text("utf-8")
    assert len(text.encode()) < 300_000
    for outside in re.findall(r"""(?:src|href)=["']?([^"' >]+)""", text):
        pytest.fail(f"asks for {outside}")
    assert not re.findall(r"https?://(?!www\.w3\.org/)", text)


def test_the_policy_allows_only_its_own_script_and_style(cover):
    text = cover.read_text("utf-8")
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text)[1]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    for tag in ("script", "style"):
        body = re.search(rf"<{tag}>(.*?)</{tag}>", text, re.S)[1]
        digest = base64.b64encode(hashlib.sha256(body.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy


def test_names_stay_names(browser, tmp_path):
    part, _ = read_part(SAMPLES / "eccentric-shaft.toml")
    features = tuple(replace(f, name=EVIL + f.name) for f in part.features)
    text = shared("eccentric-shaft", name=EVIL, features=features)
    assert text.count("<script>") == 1
    assert "alert(1)" in json.dumps(json.loads(re.search(r'id="facts">(.*?)</script>', text, re.S)[1]))
    path = tmp_path / "evil.html"
    path.write_text(text, "utf-8")
    with page_of(browser, path) as page:
        page.on("dialog", lambda d: pytest.fail("a name ran as a script"))
        assert page.inner_text("h1").startswith(EVIL)
        assert page.told == []


def test_an_inch_part_speaks_inches():
    """The lever's pin stands 2.25 in from the hub (57.15 mm); unbalance stays in g mm."""
    facts = json.loads(re.search(r'id="facts">(.*?)</script>', shared("valve-lever"), re.S)[1])
    assert [a["offset"] for a in facts["axes"]] == ["0 in", "2.25 in"]
    values = [v for s in facts["setups"] for _, v in s["figures"]]
    assert any(v == "2.25 in" for v in values) and any(v.endswith("g mm") for v in values)
    assert not any(re.search(r"\d mm\b", v) for v in values)


def test_a_large_model_is_a_still_picture(monkeypatch):
    import foldsketch.web.share as share

    monkeypatch.setattr(share, "MAX_ANIMATED_PANELS", 50)
    text = shared()
    assert "data:image/png;base64," in text
    assert MAX_ANIMATED_PANELS >= 200


def test_in_a_browser(browser, cover):
    with page_of(browser, cover, viewport={"width": 1280, "height": 800}) as page:
        assert page.told == []
        assert page.asked == [cover.as_uri()]
        assert page.locator(".stage").get_attribute("aria-label")
        # Every control has a name for a screen reader.
        for control in page.locator("input, select, button").all():
            named = control.get_attribute("aria-label") or control.inner_text()
            ident = control.get_attribute("id")
            assert named or page.locator(f"label[for={ident}]").count() == 1
        # A set-up shows its figures and the cautions.
        page.locator("[data-setup]").last.click()
        figures = page.inner_text("#numbers")
        assert "20 mm" in figures or "22 mm" in figures
        assert "guards" in figures
        # The keyboard chooses a feature, and table and model show it together.
        row = page.locator("button.name").first
        row.focus()
        page.keyboard.press("Enter")
        assert row.get_attribute("aria-pressed") == "true"
        assert page.locator(".panel.chosen").count() > 3
        page.locator(".stage").focus()
        # The part lies in the machine: up on the screen is around its axis.
        before = page.evaluate("window.foldsketch.state.swing")
        page.keyboard.press("ArrowUp")
        assert page.evaluate("window.foldsketch.state.swing") != before


CORNERS = """() => {
  // Where the first corner of every panel stands in the model, in mm, from the boxes and transforms of the browser.
  const out = [];
  for (const face of document.querySelectorAll('.face')) {
    const svg = face.ownerSVGElement, s = getComputedStyle(svg), box = svg.viewBox.baseVal;
    const [ox, oy] = s.transformOrigin.split(' ').map(parseFloat), left = parseFloat(s.left), top = parseFloat(s.top);
    const m = new DOMMatrix().translate(left + ox, top + oy).multiply(new DOMMatrix(s.transform)).translate(-ox, -oy);
    const q = face.getPointAtLength(0), k = svg.width.baseVal.value / box.width;
    const p = m.transformPoint(new DOMPoint((q.x - box.x) * k, (q.y - box.y) * k, 0));
    out.push([p.x / 4, -p.y / 4, p.z / 4]);
  }
  return out;
}"""


@pytest.mark.slow
def test_the_browser_folds_as_the_oracle_does(browser, cover):
    """The first corner of every panel stands where the net file says, within the page's rounding."""
    part, _ = read_part(SAMPLES / "bilge-pump-cover.toml")
    made = pipeline.make_model(part)
    expected = sorted(
        tuple(p.to_space[:, :2] @ p.outline[0] + p.origin) for piece in made.nets.pieces for p in piece.panels
    )
    with page_of(browser, cover) as page:
        got = sorted(tuple(p) for p in page.evaluate(CORNERS))
        assert len(got) == len(expected)
        left = list(got)
        for e in expected:
            near = min(left, key=lambda g: sum((a - b) ** 2 for a, b in zip(g, e, strict=True)))
            assert sum((a - b) ** 2 for a, b in zip(near, e, strict=True)) ** 0.5 < 0.05
            left.remove(near)
        page.evaluate("window.foldsketch.state.fold = 0; window.foldsketch.place()")
        flat = page.evaluate(CORNERS)
        assert max(p[2] for p in flat) - min(p[2] for p in flat) < 0.05, "unfolded, all paper lies on the table"


def test_reduced_motion_and_narrow_screens(browser, cover):
    with page_of(browser, cover, reduced_motion="reduce", viewport={"width": 820, "height": 1100}) as page:
        page.click("#play")
        assert page.evaluate("window.foldsketch.state.fold") == 0
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= 820


STILL = """(view) => {
  // The bare stage and blank paper: ink that is half dark is as grey as the ground.
  document.querySelector('.stage p').hidden = true;
  document.querySelector('.stage').style.background = '#77a';
  for (const e of document.querySelectorAll('.word, .line, .dot')) e.remove();
  Object.assign(window.foldsketch.state, { zoom: 0.8 }, view);
  window.foldsketch.place();
}"""
PLAIN = """() => {
  // The timer that puts the printed panels back is kept until the picture is taken.
  const own = window.setTimeout;
  window.setTimeout = (f) => { window.later = f; return 0; };
  window.foldsketchPlain = true;
  window.foldsketch.move();
  window.setTimeout = own;
}"""
VIEWS = (
    {"fold": 1, "tilt": 62, "swing": -28},
    {"fold": 0.55, "tilt": 40, "swing": 75},
    {"fold": 1, "tilt": -30, "swing": 140, "apart": 0.7, "spin": 50},
    {"fold": 0.1, "tilt": 20, "swing": 10},
)


def paper(page):
    """Which points of the stage show paper or ink, coarsely."""
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    picture = Image.open(io.BytesIO(page.locator(".stage").screenshot())).convert("L")
    return np.array(picture.crop((4, 4, picture.width - 4, picture.height - 4)))


@pytest.mark.slow
@pytest.mark.parametrize("view", VIEWS)
def test_the_plain_picture_in_motion_shows_the_same_model(browser, cover, view):
    """What the canvas draws in motion covers what the browser's own 3-D draws at rest: 99 % of the stage alike."""
    with page_of(browser, cover, viewport={"width": 1280, "height": 800}) as page:
        # The page first tries how quick the browser is, and that puts the printed panels in their places.
        until(page, "window.foldsketchPlain !== undefined")
        page.evaluate(STILL, view)
        ground = page.evaluate("getComputedStyle(document.querySelector('.stage')).backgroundColor")
        level = round(np.dot([int(v) for v in re.findall(r"\d+", ground)[:3]], (0.299, 0.587, 0.114)))
        rest = np.abs(paper(page).astype(int) - level) > 12
        page.evaluate(PLAIN)
        assert page.locator(".stage canvas").is_visible()
        plain = np.abs(paper(page).astype(int) - level) > 12
        assert 0.02 < rest.mean() < 0.7
        assert (rest != plain).mean() < 0.01
        page.evaluate("window.later()")
        assert not page.locator(".stage canvas").is_visible(), "at rest the printed panels stand there again"


@pytest.mark.slow
def test_a_slow_browser_moves_plainly(browser, cover):
    """Frames that take too long turn the plain picture on by themselves, and the folding goes on to its end."""
    with page_of(browser, cover) as page:
        page.evaluate("""() => {
          const own = window.requestAnimationFrame.bind(window);
          const wait = () => { const end = performance.now() + 60; while (performance.now() < end); };
          window.requestAnimationFrame = (f) => own((t) => { wait(); f(t); });
        }""")
        page.click("#play")
        until(page, "window.foldsketchPlain === true")
        until(page, "window.foldsketch.state.fold === 0")
        assert page.locator(".stage canvas").count() == 1


FRAMES = """async () => {
  const state = window.foldsketch.state;
  document.getElementById('play').click();
  let n = 0;
  do { await new Promise((r) => requestAnimationFrame(r)); n++; }
  while (n < 3 || (state.fold > 0 && state.fold < 1));
  return n;
}"""
"""Folds the model once; how many frames were drawn."""


def processor_seconds(browser):
    """Of all processes of a browser since it began."""
    found = browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")
    return sum(p["cpuTime"] for p in found["processInfo"])


@pytest.mark.slow
def test_two_hundred_panels_fold_at_thirty_frames_a_second(browser, tmp_path):
    """Without WebGL and without a graphics card.

    By processor time, of the quickest of some foldings: two threads of one core slow each other.
    """
    discs = tuple(Feature(f"disc {k}", "AB"[k % 2], Cylinder(60), 10.0 * k, 10.0 * k + 10) for k in range(15))
    part = Part("stack", (Axis("A"), Axis("B", (8.0, 0.0, 0.0))), discs)
    made = pipeline.make_model(part, pipeline.Choices(facets=FacetChoice(sides=12), sheets=30))
    assert sum(len(p.panels) for p in made.nets.pieces) >= 200
    path = tmp_path / "stack.html"
    path.write_bytes(share(made, None))
    bare = browser.browser_type.launch(
        executable_path=chromium(), args=[*ARGUMENTS, "--disable-gpu", "--disable-3d-apis"]
    )
    with page_of(bare, path, viewport={"width": 1280, "height": 800}) as page:
        assert not page.evaluate("!!document.createElement('canvas').getContext('webgl')")
        until(page, "window.foldsketchPlain !== undefined")
        each = []
        while len(each) < 8 and min(each, default=1.0) >= 1 / 30:
            before = processor_seconds(bare)
            frames = page.evaluate(FRAMES)
            each.append((processor_seconds(bare) - before) / frames)
    bare.close()
    assert 0 < min(each) < 1 / 30


@pytest.mark.slow
def test_between_set_ups_the_part_moves_off_centre_by_the_shift(browser, cover):
    """The centreline stands still; the part moves from the one axis to the other, then turns about that one."""
    with page_of(browser, cover, viewport={"width": 1280, "height": 800}) as page:
        page.click("#setup-1")
        until(page, "document.getElementById('now').textContent.includes('runs true')")
        first = page.evaluate("window.foldsketch.state.at")
        page.click("#run")
        until(page, "window.foldsketch.state.spin !== 0")
        page.click("#setup-2")
        until(page, "document.getElementById('now').textContent.startsWith('Moves off centre')")
        between = page.evaluate("window.foldsketch.state.at")
        until(page, "document.getElementById('now').textContent.includes('runs true')")
        second = page.evaluate("window.foldsketch.state.at")
        assert first == [0, 0]
        assert second == [20, 0], "axis B of the sample, 20 mm from the datum, at full size"
        assert 0 <= between[0] <= 20
        spun = page.evaluate("window.foldsketch.state.spin")
        until(page, f"window.foldsketch.state.spin !== {spun}")
        page.click("#run")
        stopped = page.evaluate("window.foldsketch.state.spin")
        page.click("#step")
        assert abs((page.evaluate("window.foldsketch.state.spin") - stopped) % 360 - 15) < 1e-6
        page.click("#back")
        assert abs(page.evaluate("window.foldsketch.state.spin") - stopped) < 1e-6


@pytest.mark.slow
def test_reduced_motion_turns_in_steps(browser, cover):
    with page_of(browser, cover, reduced_motion="reduce") as page:
        page.click("#setup-1")
        assert page.evaluate("window.foldsketch.state.at") == [0, 0]
        page.click("#run")
        until(page, "window.foldsketch.state.spin >= 15")
        assert page.evaluate("window.foldsketch.state.spin") % 15 == 0


@pytest.mark.slow
def test_what_is_tucked_in_is_drawn_as_what_it_is(browser, tmp_path):
    """Tongues, flaps, lips and hooks in their own look, with their slits and second creases; they fold and go in."""
    part, _ = read_part(SAMPLES / "bilge-pump-cover.toml")
    made = model(part, pipeline.Choices(hold="tuck"))
    tabs = [t for p in made.nets.pieces for t in p.tabs]
    path = tmp_path / "tucked.html"
    path.write_bytes(share(made, None))
    seen = "(what) => [...document.querySelectorAll(what)].filter((e) => e.getClientRects().length).length"
    with page_of(browser, path, viewport={"width": 1280, "height": 800}, reduced_motion="reduce") as page:
        assert page.evaluate(seen, ".flap") == 0, "all of it has gone in"
        for fold in (0, 0.5):
            page.evaluate("(v) => { const f = window.foldsketch; f.state.fold = v; f.move(); f.place(); }", fold)
            for kind in ("flap", "lip", "lock", "land", "hook"):
                count = sum(t.part == kind for t in tabs)
                assert count and page.evaluate(seen, f".flap.{kind}:not(.glued)") >= count
            assert page.evaluate(seen, ".flap.tongue") == sum(bool(t.slit) and not t.part for t in tabs) > 3
        assert page.locator(".tab .line.slit").count() == sum(len(t.openings) for t in tabs) > 0
        assert page.locator(".tab .line.bend").count() == sum(t.bend is not None for t in tabs) > 0
        # A tongue stands off its panel as it folds: where they meet in the end, half way they are at half the angle.
        turned = """() => [...document.querySelectorAll('.tucked')].map((e) => {
            const m = new DOMMatrix(getComputedStyle(e).transform), p = e.previousElementSibling;
            const of = (q) => new DOMMatrix(getComputedStyle(q).transform);
            let q = p;
            while (q.classList.contains('tab')) q = q.previousElementSibling;
            const n = of(q);
            return Math.acos(Math.min(1, m.m31 * n.m31 + m.m32 * n.m32 + m.m33 * n.m33));
        })"""
        angles = sorted(abs(t.angle) / 2 for p in made.nets.pieces for t in p.tabs)
        assert sorted(page.evaluate(turned)) == pytest.approx(angles, abs=2e-3)
        assert page.told == []
