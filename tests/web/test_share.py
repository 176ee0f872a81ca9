"""The file to send: whole in itself, safe with any name, folding right in a real browser with the network off."""

import base64
import hashlib
import json
import re
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from foldsketch import job
from foldsketch.part.read import read_part
from foldsketch.setup.machine import INVENTED
from foldsketch.setup.plan import plan
from foldsketch.web.facts import MOST_PANELS
from foldsketch.web.share import share_html

sys.path.insert(0, str(Path(__file__).parent))
from browser import page_of

SAMPLES = Path(__file__).parents[2] / "samples"
EVIL = "<script>alert(1)</script>\"'&"


def shared(sample="bilge-pump-cover", **changes):
    part, _ = read_part(SAMPLES / f"{sample}.toml")
    part = replace(part, **changes)
    return share_html(job.model(part), plan(part, INVENTED)).decode()


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


def test_names_stay_names(tmp_path):
    part, _ = read_part(SAMPLES / "eccentric-shaft.toml")
    features = tuple(replace(f, name=EVIL + f.name) for f in part.features)
    text = shared("eccentric-shaft", name=EVIL, features=features)
    assert text.count("<script>") == 1
    assert "alert(1)" in json.dumps(json.loads(re.search(r'id="facts">(.*?)</script>', text, re.S)[1]))
    path = tmp_path / "evil.html"
    path.write_text(text, "utf-8")
    with page_of(path) as page:
        page.on("dialog", lambda d: pytest.fail("a name ran as a script"))
        assert page.inner_text("h1").startswith(EVIL)
        assert page.told == []


def test_a_large_model_is_a_still_picture(monkeypatch):
    import foldsketch.web.share as share

    monkeypatch.setattr(share, "MOST_PANELS", 50)
    text = shared()
    assert "data:image/png;base64," in text
    assert MOST_PANELS >= 200


def test_in_a_browser(cover):
    with page_of(cover, viewport={"width": 1280, "height": 800}) as page:
        assert page.told == []
        assert page.asked == [cover.as_uri()]
        assert page.locator(".stage").get_attribute("aria-label")
        # Every control has a name for a screen reader.
        for control in page.locator("input, select, button").all():
            named = control.get_attribute("aria-label") or control.inner_text()
            ident = control.get_attribute("id")
            assert named or page.locator(f"label[for={ident}]").count() == 1
        # A set-up shows its figures and the cautions.
        page.select_option("#setup", "0")
        figures = page.inner_text("#numbers")
        assert "20.000 mm" in figures
        assert "guards" in figures
        # The keyboard chooses a feature, and table and model show it together.
        row = page.locator("tbody tr[tabindex]").first
        row.focus()
        page.keyboard.press("Enter")
        assert row.get_attribute("aria-selected") == "true"
        assert page.locator(".panel.chosen").count() > 3
        page.locator(".stage").focus()
        before = page.evaluate("window.foldsketch.state.swing")
        page.keyboard.press("ArrowLeft")
        assert page.evaluate("window.foldsketch.state.swing") != before


CORNERS = """() => {
  // Where the corners of every panel stand in the model, from the transforms that the browser computed.
  const out = [];
  for (const e of document.querySelectorAll('.panel, .root')) {
    const face = e.querySelector(':scope > svg > .face');
    if (!face) continue;
    let m = new DOMMatrix();
    for (let x = e; !x.classList.contains('model'); x = x.parentElement) {
      const s = getComputedStyle(x);
      const [ox, oy] = s.transformOrigin.split(' ').map(parseFloat);
      const own = new DOMMatrix().translate(ox, oy).multiply(new DOMMatrix(s.transform)).translate(-ox, -oy);
      m = own.multiply(m);
    }
    const d = face.getAttribute('d').match(/-?[\\d.]+(?:e-?\\d+)?/g).map(Number);
    const p = m.transformPoint(new DOMPoint(d[0] * 4, d[1] * 4, 0));
    out.push([p.x / 4, -p.y / 4, p.z / 4]);
  }
  return out;
}"""


def test_the_browser_folds_as_the_oracle_does(cover):
    """The first corner of every panel stands where the net file says, within the page's rounding."""
    part, _ = read_part(SAMPLES / "bilge-pump-cover.toml")
    made = job.model(part)
    expected = sorted(
        tuple(p.to_space[:, :2] @ p.outline[0] + p.origin) for piece in made.nets.pieces for p in piece.panels
    )
    with page_of(cover) as page:
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


def test_reduced_motion_and_narrow_screens(cover):
    with page_of(cover, reduced_motion="reduce", viewport={"width": 820, "height": 1100}) as page:
        page.click("#play")
        assert page.evaluate("window.foldsketch.state.fold") == 0
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= 820
