"""A journey in a real Chromium, from nothing to a file to send; two tabs; what dies under the page."""

import os
import re
import signal
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import SAMPLES, free_port, listened, made, serve, until

pytestmark = pytest.mark.slow


def whole(page):
    """Waits until the set-ups of the model that is shown are there as well; the model's number."""
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    return page.get_attribute("body", "data-made")


def typed(page, label, value, before):
    """A value typed into the table as a user does, and the model that comes of it."""
    cell = page.get_by_label(label, exact=True)
    cell.fill(value)
    cell.press("Enter")
    return made(page, before)


def pulled(page, mark, dx, dy):
    """A mark of plan or side view dragged by pixels, in steps."""
    box = mark.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for k in range(1, 6):
        page.mouse.move(x + dx * k / 5, y + dy * k / 5)
    page.mouse.up()


def text_of(page):
    return page.evaluate("document.getElementById('text').value")


def test_from_nothing_to_a_file_to_send(browser, server, tmp_path):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    now = made(page)
    page.select_option("#sample", label="a new part in mm")
    now = made(page, now)
    # Typed: a name, sizes, one more spigot on an axis of its own.
    now = typed(page, "part, name", "Strainer lid", now)
    assert page.inner_text("h1").startswith("Strainer lid")
    now = typed(page, "flange, diameter", "80", now)
    page.click("#add-axis")
    now = made(page, now)
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "axis C, offset"
    now = typed(page, "axis C, offset", "22", now)
    now = typed(page, "axis C, angle", "180", now)
    page.click("#add")
    now = made(page, now)
    page.get_by_label("spigot 1, axis", exact=True).select_option("C")
    now = made(page, now)
    assert page.get_by_label("spigot 1, start", exact=True).input_value() == "12.5", "a new line stands on the flange"
    now = typed(page, "spigot 1, end", "12,5+25,5", now)
    assert page.locator("#findings li.error").count() == 0
    # Dragged: a centre in the plan, an end in the side view; both come to rest on half millimetres.
    pulled(page, page.locator("#plan [data-axis=B]"), 14, 0)
    now = made(page, now)
    body = re.search(r'name   = "B"\noffset = ([\d.]+)', text_of(page))
    assert float(body[1]) > 15 and float(body[1]) * 2 % 1 == 0
    flange = page.locator("#side [data-level='12.5']")
    pulled(page, flange, 0, -12)
    now = made(page, now)
    ends = {float(v) for v in re.findall(r"(?:end|start) += ([\d.]+)", text_of(page))}
    assert 12.5 not in ends, "the flange's end and the spigots' starts moved together"
    risen = min(e for e in ends if e > 0)
    assert risen > 12.5 and risen * 2 % 1 == 0
    assert text_of(page).count(f"= {risen:g}\n") == 3
    page.click("#undo")
    now = made(page, now)
    assert text_of(page).count("= 12.5\n") == 3, "one step back undoes the whole drag"
    page.click("#redo")
    now = made(page, now)
    # Folded and unfolded, the spigot shown in table, plan, side view and model.
    page.click("#play")
    until(page, "window.foldsketch.state.fold === 0")
    page.click("#play")
    until(page, "window.foldsketch.state.fold === 1")
    page.click("[data-go=see]")
    page.get_by_role("button", name="spigot 1", exact=True).click()
    for where in ("#plan .round.chosen", "#side .round.chosen", ".entry.chosen", ".panel.chosen"):
        assert page.locator(where).count() >= 1
    # Spun about a set-up.
    now = whole(page)
    page.click("#run")
    until(page, "window.foldsketch.state.setup === 0 && window.foldsketch.state.spin > 1")
    assert "guards" in page.inner_text("#numbers")
    page.click("#run")
    # Made otherwise: fewer sides are fewer panels; then printed, sheets, booklet and talk sheets.
    before = page.locator(".face").count()
    page.click("[data-go=take]")
    page.fill("#sides", "6")
    page.press("#sides", "Tab")
    now = made(page, now)
    assert page.locator(".face").count() < before
    whole(page)
    for view in ("sheets", "booklet", "talk", "by-hand"):
        page.click(f"[data-show={view}]")
        page.wait_for_selector(f"#{view} img", timeout=60_000)
        assert page.locator(f"#{view} img").first.evaluate("(e) => e.decode().then(() => e.naturalWidth)") > 300
        assert page.locator("#print").is_visible()
    for what, begin in (
        ("sheets.pdf", b"%PDF"),
        ("booklet.pdf", b"%PDF"),
        ("sheets-dxf.zip", b"PK"),
        ("all.zip", b"PK"),
    ):
        with page.expect_download(timeout=60_000) as saved:
            page.click(f"[data-download='{what}']")
        assert Path(saved.value.path()).read_bytes().startswith(begin)
        assert saved.value.suggested_filename == f"strainer-lid-{what}"
    # Sent: the file opens alone, with the network off, and folds.
    with page.expect_download(timeout=60_000) as saved:
        page.click("[data-download='model.html']")
    sent = tmp_path / "sent.html"
    saved.value.save_as(sent)
    alone = listened(browser.new_context(offline=True).new_page())
    alone.goto(sent.as_uri())
    assert alone.inner_text("h1").startswith("Strainer lid")
    alone.click("#play")
    until(alone, "window.foldsketch.state.fold === 0")
    assert alone.told == [] and alone.asked == [sent.as_uri()]
    # Loaded again, nothing is lost.
    text = text_of(page)
    page.reload()
    made(page)
    assert text_of(page) == text and page.input_value("#sides") == "6"
    assert page.told == []
    page.context.close()
    alone.context.close()


def test_the_keyboard_alone(browser, server):
    """Everything on the desk is reached with the tabulator, and centres and ends are moved with the arrows."""
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    now = made(page)
    wanted = {
        "say": {
            "spoken",
            "B",
            "12",
            "42",
            "units",
            "file",
            "as-text",
            "flange, diameter",
            "add",
            "undo",
            "sample",
            "minutes",
        },
        "see": {"play", "run", "speed", "setup-1", "machine", "minutes"},
        "take": {"print", "save", "sheets.pdf", "all.zip", "paper", "card", "walls", "by-hand.pdf", "minutes"},
    }
    page.click("#as-table")
    page.get_by_label("outlet spigot, end", exact=True).fill("35")
    page.keyboard.press("Enter")
    now = made(page, now)
    page.get_by_label("outlet spigot, end", exact=True).fill("36")
    page.keyboard.press("Enter")
    now = whole(page)
    for moment, names in wanted.items():
        page.click(f"[data-go={moment}]")
        reached = set()
        for _ in range(160):
            page.keyboard.press("Tab")
            reached |= set(
                page.evaluate("""() => { const e = document.activeElement, d = e.dataset;
              return [e.id, d.axis, d.level, d.download, e.getAttribute('aria-label')]; }""")
            )
        assert names <= reached, (moment, names - reached)
    page.click("[data-go=say]")
    level = page.locator("#side [data-level='36']")
    level.focus()
    page.keyboard.press("ArrowUp")
    now = made(page, now)
    assert "end      = 36.5" in text_of(page)
    assert page.evaluate("document.activeElement.dataset.level") == "36.5", "the focus stays on what moved"
    page.keyboard.press("ArrowUp")
    now = made(page, now)
    assert "end      = 37" in text_of(page)
    page.keyboard.press("Control+z")
    now = made(page, now)
    assert "end      = 36.5" in text_of(page)
    assert "end      = 37.5" in text_of(page), "the bore that runs a millimetre past the outlet went along"
    page.locator("#plan [data-axis=B]").focus()
    page.keyboard.press("ArrowUp")
    made(page, now)
    assert re.search(r"offset = 20 .*\nangle  = 1 ", text_of(page))
    assert page.told == []
    page.context.close()


def test_typing_on_with_the_tabulator(browser, server):
    """A name typed and left with the tabulator: the next cell has the focus, though the rows are built anew."""
    page = listened(browser.new_context().new_page())
    page.goto(server)
    now = made(page)
    cell = page.get_by_label("flange, name", exact=True)
    cell.fill("disc")
    cell.press("Tab")
    now = made(page, now)
    focus = "document.activeElement.getAttribute('aria-label')"
    until(page, f"{focus} === 'disc, axis'")
    for _ in range(2):
        page.keyboard.press("Tab")
    assert page.evaluate(focus) == "disc, diameter"
    page.keyboard.type("88")
    page.keyboard.press("Tab")
    made(page, now)
    assert 'name     = "disc"' in text_of(page) and "diameter = 88" in text_of(page)
    assert page.evaluate(focus) == "disc, start"
    # A part file in JSON is left to the text.
    page.click("#as-text")
    page.fill("#text", '{"name": "x"}')
    page.click("#as-table")
    assert "JSON" in page.inner_text("#entries")
    assert page.locator("#units").is_disabled()
    assert page.told == []
    page.context.close()


def test_units_are_chosen_and_turned(browser, server):
    page = listened(browser.new_context().new_page())
    page.goto(server)
    now = made(page)
    page.select_option("#sample", label="a new part in inches")
    now = made(page, now)
    assert page.input_value("#units") == "in"
    assert page.get_by_label("flange, diameter", exact=True).input_value() == "3"
    page.select_option("#units", "mm")
    now = made(page, now)
    # 3 in and 0.5 in, the inch being 25.4 mm.
    assert page.get_by_label("flange, diameter", exact=True).input_value() == "76.2"
    assert page.get_by_label("flange, end", exact=True).input_value() == "12.7"
    page.select_option("#units", "in")
    now = made(page, now)
    assert page.get_by_label("flange, diameter", exact=True).input_value() == "3"
    assert "Ø3 in" in page.text_content("table[aria-label=Features]")
    # The lever's outline is turned as well, and its angle is not.
    page.select_option("#sample", label="valve lever")
    now = made(page, now)
    page.select_option("#units", "mm")
    made(page, now)
    text = text_of(page)
    assert "outline = [[-22.86, -15.24], [72.39, -15.24], [72.39, 15.24], [-22.86, 15.24]]" in text
    assert "offset = 57.15\nangle  = 0" in text
    assert page.told == []
    page.context.close()


def test_what_stands_on_an_end_goes_along_when_it_is_typed(browser, server):
    page = listened(browser.new_context().new_page())
    page.goto(server)
    now = made(page)
    now = typed(page, "flange, end", "20", now)
    rows = re.findall(r"start    = ([\d.-]+).*\n(?:end      = ([\d.]+))", text_of(page))
    # Flange, two spigots (12 to 42 and 12 to 36 before), their bores that run past by 1, four bolt holes likewise.
    assert rows == [("0", "20"), ("20", "50"), ("20", "44"), ("-1", "51"), ("-1", "45")] + [("-1", "21")] * 4
    assert "inlet spigot, outlet spigot went along" in page.inner_text("#state")
    page.click("#undo")
    now = made(page, now)
    assert page.get_by_label("inlet spigot, end", exact=True).input_value() == "42"
    # What is no number is told beside the cell, and nothing is written.
    text = text_of(page)
    cell = page.get_by_label("flange, diameter", exact=True)
    cell.fill("six")
    cell.press("Enter")
    assert cell.get_attribute("aria-invalid") == "true"
    assert "a number is wanted" in page.locator(".entry p.error").inner_text()
    assert text_of(page) == text
    assert page.told == []
    page.context.close()


def test_a_mesh_is_read_only_when_its_unit_is_chosen(browser, server):
    page = listened(browser.new_context().new_page())
    page.goto(server)
    now = made(page)
    page.set_input_files("#file", SAMPLES / "ballast-pump-crank.stl")
    page.wait_for_selector("#which-unit[open]")
    assert page.locator("#which-unit input:checked").count() == 0
    assert page.locator("#unit-go").is_disabled()
    page.click("#which-unit button[value='']")
    assert "ballast" not in text_of(page)
    page.set_input_files("#file", SAMPLES / "ballast-pump-crank.stl")
    page.check("#which-unit input[value=mm]")
    page.click("#unit-go")
    made(page, now)
    assert "Read from a mesh" in text_of(page)
    assert page.told == []
    page.context.close()


def test_a_dropped_step_file_is_read_at_once(browser, server):
    """A STEP file has its unit: the page does not ask for one."""
    pytest.importorskip("cascadio")
    page = listened(browser.new_context().new_page())
    page.goto(server)
    now = made(page)
    data = (SAMPLES / "bilge-pump-cover-cast.step").read_text("utf-8")
    drop = """(data) => {
        const files = new DataTransfer();
        files.items.add(new File([data], "cover.STEP"));
        document.dispatchEvent(new DragEvent("drop", { dataTransfer: files, cancelable: true }));
    }"""
    page.evaluate(drop, data)
    made(page, now)
    assert page.locator("#which-unit[open]").count() == 0
    assert "Read from STEP" in text_of(page) and "diameter = 90" in text_of(page)
    assert page.inner_text("h1").startswith("cover")
    assert page.told == []
    page.context.close()


def test_two_tabs_do_not_mix(browser, server):
    """Each tab keeps its own part, also over a reload; a new tab begins with the last word."""
    context = browser.new_context()
    one, two = listened(context.new_page()), listened(context.new_page())
    for page, sample in ((one, "eccentric shaft"), (two, "hex eccentric")):
        page.goto(server)
        now = made(page)
        page.select_option("#sample", label=sample)
        made(page, now)
    assert one.inner_text("h1").startswith("Eccentric shaft")
    one.reload()
    made(one)
    assert one.inner_text("h1").startswith("Eccentric shaft")
    assert two.inner_text("h1").startswith("Hexagon eccentric")
    asked = (
        one.evaluate("sessionStorage.getItem('foldsketch-tab')"),
        two.evaluate("sessionStorage.getItem('foldsketch-tab')"),
    )
    assert asked[0] != asked[1]
    assert one.told == two.told == []
    context.close()


def workers_of(process):
    """Ids of the worker processes that a server has started."""
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    every = [children, *Path(f"/proc/{process.pid}/task").glob("*/children")]
    found = {int(pid) for c in every if c.exists() for pid in c.read_text().split()}
    return [pid for pid in found if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes()]


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="finds the worker by /proc")
def test_what_dies_under_the_page_loses_nothing(browser):
    port = free_port()
    process = serve(port)
    page = listened(browser.new_context().new_page())
    try:
        page.goto(f"http://127.0.0.1:{port}/")
        now = made(page)
        workers = workers_of(process)
        assert workers
        for pid in workers:
            os.kill(pid, signal.SIGKILL)
        now = typed(page, "flange, diameter", "92", now)
        assert "Ø92" in page.text_content("table[aria-label=Features]"), "a new worker took over"
        whole(page)
    finally:
        process.terminate()
        process.wait(10)
    cell = page.get_by_label("flange, diameter", exact=True)
    cell.fill("94")
    cell.press("Enter")
    page.wait_for_selector("#findings li.error")
    assert "nothing typed here is lost" in page.inner_text("#findings")
    process = serve(port)
    try:
        page.reload()
        made(page)
        assert page.get_by_label("flange, diameter", exact=True).input_value() == "94"
        assert "Ø94" in page.text_content("table[aria-label=Features]")
        whole(page)
    finally:
        page.context.close()
        process.terminate()
        process.wait(10)


def test_a_part_comes_back_from_the_other_unit_unchanged(browser, server):
    """12.5 mm, 22 mm and 0.0625 in are no round numbers there; turned and turned back they are what they were."""
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    page.goto(server)
    now = made(page)
    parts = (("a new part in mm", "mm", "in", "12.347"), ("a new part in inches", "in", "mm", "0.0625"))
    for sample, unit, other, odd in parts:
        page.select_option("#sample", label=sample)
        now = made(page, now)
        now = typed(page, "axis B, offset", odd, now)
        text = text_of(page)
        page.select_option("#units", other)
        now = made(page, now)
        assert text_of(page) != text
        cell = page.get_by_label("axis B, offset", exact=True)
        factor = 25.4 if other == "mm" else 1 / 25.4
        assert abs(float(cell.input_value()) - float(odd) * factor) < 0.0005 * max(factor, 0.1)
        page.select_option("#units", unit)
        now = made(page, now)
        assert text_of(page) == text
    # Long numbers stay on the drawing: the level's words end inside the side view.
    page.select_option("#sample", label="a new part in mm")
    now = made(page, now)
    page.select_option("#units", "in")
    made(page, now)
    edge = page.locator("#side").bounding_box()
    for word in page.locator("#side text.level").all():
        box = word.bounding_box()
        assert box["x"] + box["width"] <= edge["x"] + edge["width"] + 0.5
    assert page.told == []
    page.context.close()


def test_a_cell_with_the_cursor_in_it_follows_the_part(browser, server):
    page = listened(browser.new_context().new_page())
    page.goto(server)
    now = made(page)
    cell = page.get_by_label("flange, diameter", exact=True)
    cell.fill("94")
    cell.press("Enter")
    now = made(page, now)
    assert cell.evaluate("(e) => e === document.activeElement")
    page.evaluate("document.getElementById('undo').click()")
    now = made(page, now)
    assert cell.evaluate("(e) => e === document.activeElement") and cell.input_value() == "90"
    # What is being typed is left alone.
    cell.fill("9")
    page.evaluate("document.getElementById('redo').click()")
    made(page, now)
    assert cell.input_value() == "9"
    assert page.told == []
    page.context.close()


def test_the_findings_name_the_pages_own_controls(browser, server):
    """What few minutes cost is told in words of the page, not of the command's options; with more it is taken back."""
    page = listened(browser.new_context().new_page())
    page.goto(server)
    now = made(page)
    page.select_option("#sample", label="offset bore sleeve")
    now = made(page, now)
    told = page.text_content("#remarks")
    assert "is held with tape" in told and "add hold glue" in told and "--" not in told
    assert re.search(r"about \d+ minutes at an ordinary pace", page.text_content("#summary"))
    page.focus("#minutes")
    page.keyboard.press("End")
    made(page, now)
    assert "is held with tape" not in page.text_content("#remarks")
    assert page.told == []
    page.context.close()


def test_choices_kept_from_before_auto_are_not_taken_for_the_users_own(browser, server):
    """What was kept without saying which state it is of had "faces" as the default of its join."""
    page = listened(browser.new_context().new_page())
    page.goto(server)
    made(page)
    for own, join in (({}, "auto"), ({"kept": 2}, "faces")):
        page.evaluate(
            "own => { const old = JSON.parse(localStorage.getItem('foldsketch-desk')); delete old.kept;"
            " const text = JSON.stringify({...old, join: 'faces', scale: '1:2', ...own});"
            " localStorage.setItem('foldsketch-desk', text); sessionStorage.setItem('foldsketch-desk', text); }",
            own,
        )
        page.reload()
        made(page)
        assert (page.input_value("#join"), page.input_value("#scale")) == (join, "1:2")
    assert page.told == []
    page.context.close()
