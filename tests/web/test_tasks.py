"""Tasks of the page: findings in the part's unit and the page's words, and one clear error for what cannot be done."""

import json
from pathlib import Path

import pytest

from foldsketch.base.findings import Message, mm
from foldsketch.web import tasks
from foldsketch.web.messages import MESH_NOT_ROUND, OUT_OF_MEMORY, UNKNOWN_TASK
from foldsketch.web.tasks import findings_for_page, reword_for_page, run_task

SAMPLES = Path(__file__).parents[2] / "samples"
LEVER = (SAMPLES / "valve-lever.toml").read_text("utf-8")


def answer(**task):
    return json.loads(run_task(task)["json"])


def test_lengths_are_in_the_units_of_the_part():
    """One inch is 25.4 mm exactly."""
    gap = Message("gap", "note", "is {gap} off").at("boss", gap=mm(25.4))
    assert findings_for_page([gap])["findings"][0]["text"] == "boss: is 25.4 mm off"
    assert findings_for_page([gap], "in")["findings"][0]["text"] == "boss: is 1 in off"


def test_the_worst_comes_first_and_alike_ones_as_one():
    note, error = Message("thin", "note", "is thin"), Message("bad", "error", "is wrong")
    listed = findings_for_page([*(note.at(f"feature 'hole {k}'") for k in range(8)), error.at("boss")])["findings"]
    assert [(f["level"], f["code"]) for f in listed] == [("error", "bad"), ("note", "thin")]


@pytest.mark.parametrize(
    ("text", "page"),
    [
        ("add --minutes all", "add minutes all"),
        ("with --scale 1:1 --join faces it takes 8", "with scale 1:1 join faces it takes 8"),
        ("print larger, or with a smaller --least-step, to keep it", "print larger"),
        ("merge steps with --least-step, set --smallest, or print larger", "print larger"),
    ],
)
def test_an_option_is_named_as_the_page_does(text, page):
    assert reword_for_page("is so", text) == f"is so; {page}"


def test_an_unknown_task():
    for do in (None, "", "format the disk", 7):
        assert answer(do=do)["findings"][0]["code"] == UNKNOWN_TASK.code


def test_more_memory_than_there_is(monkeypatch):
    def greedy(task):
        raise MemoryError

    monkeypatch.setattr(tasks, "_make", greedy)
    assert answer(do="make", text=LEVER)["findings"][0]["code"] == OUT_OF_MEMORY.code


def test_a_part_in_inches_and_its_set_ups():
    made = answer(do="make", text=LEVER)
    assert made["facts"]["checked"] and made["summary"].startswith("Valve lever")
    assert answer(do="setups", text=LEVER)["setups"]


PLATE = """
name = "Plate"
units = "mm"
[[axis]]
name = "A"
at = [0, 0]
[[feature]]
name = "plate"
axis = "A"
shape = "prism"
sides = 4
across_flats = 30
start = 0
end = 10
"""


def test_a_part_with_nothing_to_turn_has_no_set_ups_and_a_note_says_why():
    made = answer(do="setups", text=PLATE)
    assert made["setups"] == [] and [f["level"] for f in made["findings"]] == ["note"]
    refused = answer(do="download", text=PLATE, what="set-ups.pdf")
    assert refused["findings"][0]["level"] == "error"
    assert answer(do="pages", text=PLATE, which="talk")["pages"] == []
    assert answer(do="download", text=PLATE, what="passwd")["findings"][0]["code"] == "unknown-download"


def test_json_is_read_as_well():
    tree = {
        "name": "Pin",
        "units": "mm",
        "axis": [{"name": "A", "at": [0, 0]}],
        "feature": [{"name": "pin", "axis": "A", "shape": "cylinder", "diameter": 20, "start": 0, "end": 30}],
    }
    assert answer(do="make", text=json.dumps(tree))["facts"]["part"] == "Pin"


def test_the_model_is_made_anew_only_for_other_text_or_choices(monkeypatch):
    from foldsketch.job import budget

    made = []
    plain = budget.model
    monkeypatch.setattr(budget, "model", lambda *asked: made.append(asked) or plain(*asked))
    monkeypatch.setattr(tasks, "_cache", tasks.SessionCache())
    for more in ({}, {}, {"backs": True}, {"sides": 8}, {"sides": 8}, {}):
        answer(do="make", text=PLATE, **more)
    assert len(made) == 3
    answer(do="make", text=PLATE.replace("30", "40"))
    assert len(made) == 4


@pytest.mark.parametrize(
    ("minutes", "code"), [("ten", "minutes-not-a-number"), ("0", "choice-out-of-range"), ("nan", "choice-out-of-range")]
)
def test_minutes_that_are_none(minutes, code):
    (found,) = answer(do="make", text=PLATE, minutes=minutes)["findings"]
    assert found["code"] == code and "minutes" in found["text"] and "--" not in found["text"]


@pytest.mark.parametrize("minutes", ["", None, "all", "15", 15])
def test_minutes_of_the_page(minutes):
    assert "facts" in answer(do="make", text=PLATE, minutes=minutes)


@pytest.mark.parametrize("sides", [8.5, True, "many", [8]])
def test_sides_that_are_no_whole_number(sides):
    assert answer(do="make", text=PLATE, sides=sides)["findings"][0]["code"] == "sides-not-whole"


@pytest.mark.parametrize("choices", [{"join": "sew", "walls": "glued", "radius": 7}, {"sides": 0}, {"sides": ""}])
def test_an_unknown_word_leaves_the_default(choices):
    assert "facts" in answer(do="make", text=PLATE, **choices)


def test_a_mesh_whose_part_is_far_off_is_read_only_when_asked_for_anyway(monkeypatch):
    from foldsketch.mesh.comparison import verdict

    monkeypatch.setattr(verdict, "MAX_VOLUME_OFF", -1.0)  # whatever is rebuilt is wrong
    task = {"do": "read", "data": (SAMPLES / "ballast-pump-crank.stl").read_bytes(), "ending": ".stl", "units": "mm"}
    made = answer(**task)
    assert made["unlike"] and "text" not in made
    assert made["findings"][0]["level"] == "error" and '"read it anyway"' in made["findings"][0]["text"]
    made = answer(**task, anyway=True)
    assert "[[feature]]" in made["text"] and made["findings"][0]["level"] == "warning"


def test_a_mesh_without_round_features():
    """A cube of 30 mm as text STL."""
    p = [(x, y, z) for x in (0, 30) for y in (0, 30) for z in (0, 30)]
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    rows = ["solid cube"]
    for a, b, c, d in quads:
        for t in ((p[a], p[b], p[c]), (p[a], p[c], p[d])):
            rows += ["facet normal 0 0 0", "outer loop", *(f"vertex {x} {y} {z}" for x, y, z in t)]
            rows += ["endloop", "endfacet"]
    data = "\n".join([*rows, "endsolid cube", ""]).encode()
    made = answer(do="read", data=data, ending=".STL", units="mm")
    assert made["findings"][0]["code"] == MESH_NOT_ROUND.code and "text" not in made
