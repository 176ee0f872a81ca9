"""Files opened on the page in a real Chromium: which bodies, and a worn part that is read anyway."""

import re
import sys
from pathlib import Path

import manifold3d as m3
import pytest
import trimesh

sys.path.insert(0, str(Path(__file__).parent))
from browser import listened, made, until

from foldsketch.web.tasks import run_task
from tests.meshes import cylinder, from_solid

pytestmark = pytest.mark.slow


def stepped(d, x=0.0):
    """A stepped pin: the disc's diameter is the body's mark."""
    return cylinder(d, 0, 20, x, sides=48) + cylinder(d / 2, 20, 45, x, sides=48)


@pytest.fixture(scope="module")
def two_bodies(tmp_path_factory):
    path = tmp_path_factory.mktemp("bodies") / "pair.stl"
    trimesh.util.concatenate([from_solid(stepped(40, 100)), from_solid(stepped(60))]).export(path)
    return path


@pytest.fixture(scope="module")
def worn(tmp_path_factory):
    """With a lump of weld at the step, that no measured surface explains."""
    path = tmp_path_factory.mktemp("worn") / "worn.stl"
    lump = m3.Manifold.sphere(9, 24).scale((1, 1.6, 0.8)).rotate((20, 30, 0)).translate((24, 0, 20))
    from_solid(stepped(60) + lump).export(path)
    return path


def opened(browser, server, path):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    page.now = made(page)
    page.set_input_files("#file", path)
    page.check("#which-unit input[value=mm]")
    page.click("#unit-go")
    return page


def diameters(page):
    return sorted(
        {float(v) for v in re.findall(r"diameter += ([\d.]+)", page.evaluate("document.getElementById('text').value"))}
    )


@pytest.mark.parametrize(("ticks", "expected"), [((), [30, 60]), ((2,), [20, 30, 40, 60])])
def test_the_bodies_of_a_file_are_chosen(browser, server, two_bodies, ticks, expected):
    page = opened(browser, server, two_bodies)
    page.wait_for_selector("#which-bodies[open]")
    lines = page.locator("#bodies label").all_inner_texts()
    assert [line.split(":")[0] for line in lines] == ["1", "2"] and "60 × 60 × 45 mm" in lines[0]
    assert page.locator("#bodies input:checked").count() == 1
    page.uncheck("#bodies input[value='1']")
    assert page.locator("#bodies-go").is_disabled()
    page.check("#bodies input[value='1']")
    for k in ticks:
        page.check(f"#bodies input[value='{k}']")
    page.click("#bodies-go")
    made(page, page.now)
    assert diameters(page) == pytest.approx(expected, rel=2e-3)
    assert page.inner_text("h1").startswith("pair")
    assert page.told == []
    page.context.close()


def test_the_smaller_body_alone_and_none_at_all(browser, server, two_bodies):
    page = opened(browser, server, two_bodies)
    page.wait_for_selector("#which-bodies[open]")
    before = page.evaluate("document.getElementById('text').value")
    page.keyboard.press("Escape")
    until(page, "document.getElementById('state').textContent === 'not read'")
    assert page.evaluate("document.getElementById('text').value") == before
    page.set_input_files("#file", two_bodies)
    page.check("#which-unit input[value=mm]")
    page.click("#unit-go")
    page.wait_for_selector("#which-bodies[open]")
    page.check("#bodies input[value='2']")
    page.uncheck("#bodies input[value='1']")
    page.click("#bodies-go")
    made(page, page.now)
    assert diameters(page) == pytest.approx([20, 40], rel=2e-3)
    page.context.close()


def test_a_worn_part_is_refused_with_the_reason_and_read_anyway(browser, server, worn):
    page = opened(browser, server, worn)
    page.wait_for_selector("#anyway[open]", timeout=60_000)
    why = page.inner_text("#anyway-why")
    assert "mm" in why and "--" not in why
    page.click("#anyway button[value='']")
    until(page, "document.getElementById('state').textContent.startsWith('not read')")
    assert page.locator("#findings li.error").count() >= 1
    page.set_input_files("#file", worn)
    page.check("#which-unit input[value=mm]")
    page.click("#unit-go")
    page.wait_for_selector("#anyway[open]", timeout=60_000)
    page.click("#anyway-go")
    page.locator("#notes summary").click()
    made(page, page.now)
    assert max(diameters(page)) >= 59 and "missing" in page.inner_text("#remarks")
    assert page.locator("#findings li.error").count() == 0
    assert page.told == []
    page.context.close()


def test_a_body_that_is_not_there_is_told(two_bodies):
    task = {"do": "read", "data": two_bodies.read_bytes(), "ending": ".stl", "units": "mm", "body": "7"}
    assert b'"level":"error"' in run_task(task)["json"]
