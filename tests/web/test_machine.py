"""The form of a machine file: what is typed goes into the file, its name with its figures, faults lead to fields."""

import json
import re
import sys
import tomllib
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from browser import SAMPLES, listened, made, until

from foldsketch.web.tasks import run_task

COVER = (SAMPLES / "bilge-pump-cover.toml").read_text("utf-8")
TWIN = (SAMPLES / "machines" / "twin-spindle.toml").read_text("utf-8")


def test_a_fault_of_the_machine_file_is_one_to_settle_at_its_line():
    text = TWIN.replace("speed      = 4000", "speed      = -5")
    line = 1 + text[: text.index("= -5")].count("\n")
    answer = json.loads(run_task({"do": "setups", "text": COVER, "machine": text})["json"])
    (found,) = answer["findings"]
    assert (found["level"], found["of"], found["line"]) == ("error", "machine", line)
    assert answer["setups"] == []


@pytest.mark.slow
def test_a_machine_is_edited_and_kept(browser, server):
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())

    def typed(label, value):
        before = page.evaluate("document.body.dataset.made")
        page.get_by_label(label, exact=True).fill(value)
        page.keyboard.press("Enter")
        made(page, before)
        until(page, "document.body.dataset.whole === document.body.dataset.made", 60)

    page.goto(server)
    made(page)
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    page.click("[data-go=see]")
    page.click("#edit-machine summary")
    usual = page.inner_text(".machine")
    typed("main spindle, chuck holds Ø, to", "160+5")
    assert page.inner_text(".machine") == f"{usual}, changed", "other figures never stand under the old name"
    typed("name", "Slipway lathe")
    assert page.inner_text(".machine") == "on Slipway lathe"
    typed("four-jaw", "")
    with page.expect_download() as kept:
        page.click("#save-machine")
    assert kept.value.suggested_filename == "slipway-lathe.toml"
    text = Path(kept.value.path()).read_text("utf-8")
    machine = tomllib.loads(text)
    assert machine["name"] == "Slipway lathe" and machine["spindle"][0]["largest"] == 165
    assert "four_jaw" not in machine["holding"] and machine["spindle"][1] == tomllib.loads(TWIN)["spindle"][1]
    assert "# of the part that finds room behind the gripped length" in text, "comments stay"
    # A comma before three digits is asked about, and nothing is written until it is answered.
    swing = page.get_by_label("largest Ø that may turn", exact=True)
    swing.fill("1,250")
    swing.press("Enter")
    assert swing.get_attribute("aria-invalid") == "true"
    before = page.evaluate("document.body.dataset.made")
    page.get_by_role("button", name="1250", exact=True).click()
    made(page, before)
    assert swing.input_value() == "1250"
    until(page, "document.body.dataset.whole === document.body.dataset.made", 60)
    # Where the figures go, the name goes.
    page.click("[data-go=take]")
    assert page.inner_text("#talk-size") == "on Slipway lathe"
    with page.expect_download() as sent:
        page.click("[data-download='model.html']")
    facts = re.search(r'id="facts">(.*?)</script>', Path(sent.value.path()).read_text("utf-8"))
    assert json.loads(facts[1])["machine"] == "Slipway lathe"
    # A fault leads to its field; the model still prints.
    page.click("[data-go=see]")
    typed("main spindle, speed limit, r/min", "-5")
    until(page, "document.querySelector('#findings li.error')", 30)
    assert page.inner_text("#settle-head") == "1 to settle in the machine file"
    page.click("#findings li.error button")
    assert page.evaluate("document.activeElement.dataset.key") == "speed"
    page.reload()
    made(page)
    page.click("[data-go=see]")
    assert page.evaluate("document.getElementById('machine').selectedOptions[0].text") == "Slipway lathe"
    assert page.told == []
    page.context.close()


@pytest.mark.slow
def test_a_machine_in_json_has_its_form_and_changes_can_be_undone(browser, server, tmp_path):
    path = tmp_path / "quay.json"
    path.write_text(json.dumps({**tomllib.loads(TWIN), "name": "Quay lathe"}), "utf-8")
    page = listened(browser.new_context(viewport={"width": 1366, "height": 768}).new_page())
    whole = "document.body.dataset.whole === document.body.dataset.made"
    shown = "document.getElementById('machine').selectedOptions[0].text"

    def done(before):
        made(page, before)
        until(page, whole, 60)
        return page.evaluate("document.body.dataset.made")

    page.goto(server)
    now = done("-")
    page.click("[data-go=see]")
    page.set_input_files("#machine-file", path)
    now = done(now)
    assert page.inner_text(".machine") == "on Quay lathe" and page.locator("#findings li.error").count() == 0
    page.click("#edit-machine summary")
    grip = page.get_by_label("main spindle, shortest grip", exact=True)
    assert float(grip.input_value()) == tomllib.loads(TWIN)["spindle"][0]["grip"]
    grip.fill("7")
    grip.press("Enter")
    now = done(now)
    assert page.evaluate(f"{shown}") == "Quay lathe"
    page.click("#undo")
    now = done(now)
    assert float(grip.input_value()) == tomllib.loads(TWIN)["spindle"][0]["grip"]
    page.click("#undo")
    now = done(now)
    assert page.evaluate(shown) == "the usual lathe" and "Quay" not in page.inner_text(".machine")
    page.reload()
    now = done("-")
    page.click("#redo")
    now = done(now)
    page.click("[data-go=see]")
    assert page.inner_text(".machine") == "on Quay lathe"
    page.click("#redo")
    done(now)
    assert float(grip.input_value()) == 7
    assert page.told == []
    page.context.close()
