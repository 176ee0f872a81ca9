"""Pages that the program has a say in: commands, tutorial, reports. What they show is what it does today."""

import importlib
import importlib.util
import json
import re
import subprocess
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

import pytest
from packaging.version import Version

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"


@pytest.fixture(scope="module")
def pages():
    spec = importlib.util.spec_from_file_location("pages", ROOT / ".ci" / "pages.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(autouse=True)
def wide(monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")


def older_libraries():
    """Older ones cut fused bodies into the same faces in another order, so that other nets tie."""
    return Version(version("manifold3d")) < Version("3.5") or Version(version("shapely")) < Version("2.2")


def test_the_commands_page_is_up_to_date(pages):
    assert (DOCS / "commands.md").read_text("utf-8") == pages.commands_page(), "run python .ci/pages.py"


@pytest.mark.slow
def test_the_samples_page_is_up_to_date(pages):
    assert set(pages.ABOUT) == {p.stem for p in (ROOT / "samples").glob("*.toml")}
    if older_libraries():
        pytest.skip("other nets tie")
    assert (DOCS / "samples.md").read_text("utf-8") == pages.samples_page(), "run python .ci/pages.py"


@pytest.mark.slow
@pytest.mark.parametrize(
    "job", [("bilge-pump-cover", "twin"), ("eccentric-shaft", "single-spindle"), ("tapered-spigot", "large")]
)
def test_the_page_of_plans_is_up_to_date(job, monkeypatch):
    """A few rows of it, and every sample and machine: the whole page takes minutes."""
    monkeypatch.syspath_prepend(str(ROOT / ".ci"))
    plans_page = importlib.import_module("plans_page")
    page = (DOCS / "set-up-plans.md").read_text("utf-8")
    for row in plans_page._plans_of(job):
        assert f"| {' | '.join(row)} |" in page, "run python .ci/pages.py --plans"
    assert page.count("| machine | parts |") == len(list((ROOT / "samples").glob("*.toml")))
    assert set(plans_page.MACHINES) == {p.stem for p in (ROOT / "samples" / "machines").glob("*.toml")}


@pytest.mark.slow
@pytest.mark.parametrize("name", ["bilge-pump-cover", "offset-bore-sleeve", "lessons/3-eccentric"])
def test_the_page_of_models_is_up_to_date(name, monkeypatch):
    """Some of its tables, and one for every sample and lesson: the whole page takes minutes."""
    if older_libraries():
        pytest.skip("other nets tie")
    monkeypatch.syspath_prepend(str(ROOT / ".ci"))
    models_page = importlib.import_module("models_page")
    page = (DOCS / "models.md").read_text("utf-8")
    for row in models_page.rows_of(ROOT / "samples" / f"{name}.toml"):
        assert f"| {' | '.join(row)} |" in page, "run python .ci/pages.py --models"
    assert page.count("| hold | minutes asked |") == len(models_page.parts())


@pytest.mark.slow
def test_the_tutorial_shows_what_its_commands_print(pages):
    page = (DOCS / "tutorial.md").read_text("utf-8")
    told = pages.tutorial_page(page)
    assert told.count("```text") == 3
    assert pages.last_bits_apart(told) == pages.last_bits_apart(page), "run python .ci/pages.py"


def test_the_tutorial_tells_the_tabs_of_its_nets(pages, tmp_path):
    """One long tab a net joins two sides; the journal has one end and four tabs at its foot; all folds go back."""
    page = (DOCS / "tutorial.md").read_text("utf-8")
    (part,) = re.findall(r"```toml\n(.*?)```", page, re.S)
    (tmp_path / "eccentric.toml").write_text(part.replace(*pages.SLIP), "utf-8")
    words = ["make", "eccentric.toml", "--sides", "8", "--out", "out"]
    subprocess.run([sys.executable, "-m", "foldsketch.cli", *words], cwd=tmp_path, check=True, capture_output=True)
    net = json.loads((tmp_path / "out" / "eccentric.net.json").read_text("utf-8"))
    assert len(net["pieces"]) == 2
    for piece, ends, feet in zip(net["pieces"], (1, 2), (4, 0), strict=True):
        kind = {p["id"]: p["kind"] for p in piece["panels"]}
        assert sum(k == "end" for k in kind.values()) == ends
        assert sum("joint" in t for t in piece["tabs"]) == feet
        (long,) = (t for t in piece["tabs"] if "joint" not in t and kind[t["meets"]["panel"]] == "side")
        assert kind[long["panel"]] == "side"
        assert all(f["angle"] > 0 for f in piece["folds"])
        assert all(kind[t["panel"]] == "side" for t in piece["tabs"])


BY_NAME = ("values", "cut_by")


def keys(value):
    """Every key in a report, at any depth; a finding's values are named by its message, what cuts by what is cut."""
    if isinstance(value, dict):
        return set(value) | {k for name, v in value.items() if name not in BY_NAME for k in keys(v)}
    return {k for v in value for k in keys(v)} if isinstance(value, list) else set()


REPORTS = [
    ("The set-up report", ["setups", "samples/bilge-pump-cover.toml", "--json", "--location", "1"]),
    ("The reading report", ["read", "samples/bilge-pump-cover-cast.stl", "--units", "mm", "--json"]),
]


def format_keys(heading):
    """The keys that a section of the page of file formats names, and those above all sections."""
    page = (DOCS / "file-formats.md").read_text("utf-8")
    own = page.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
    assert own
    return set(re.findall(r"`(\w+)`", page.partition("\n## ")[0] + own))


@pytest.mark.slow
@pytest.mark.parametrize(("heading", "words"), REPORTS, ids=["setups", "reading"])
def test_every_key_of_a_report_is_on_the_page(heading, words):
    done = subprocess.run(
        [sys.executable, "-m", "foldsketch.cli", *words], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert keys(json.loads(done.stdout)) <= format_keys(heading)


def test_every_key_of_a_net_file_is_on_the_page(tmp_path):
    words = ["make", "samples/bilge-pump-cover.toml", "--out", str(tmp_path)]
    subprocess.run([sys.executable, "-m", "foldsketch.cli", *words], cwd=ROOT, capture_output=True, check=True)
    net = json.loads((tmp_path / "bilge-pump-cover.net.json").read_text("utf-8"))
    assert keys(net) <= format_keys("The net file")


def test_the_notebook_example_runs(tmp_path, monkeypatch, capsys):
    code = re.search(r"```python\n(.*?)```", (DOCS / "how-to.md").read_text("utf-8"), re.S)[1]
    (tmp_path / "samples").symlink_to(ROOT / "samples")
    monkeypatch.chdir(tmp_path)
    exec(compile(code, "how-to.md", "exec"), {})
    assert "Eccentric shaft: scale 1:1" in capsys.readouterr().out
    assert (tmp_path / "out" / "eccentric-shaft.pdf").exists()


def example(page):
    return re.search(r"```toml\n(.*?)```", (DOCS / page).read_text("utf-8"), re.S)[1]


def test_the_part_file_of_the_page_is_one():
    from foldsketch.part.file.axes import AXIS_KEYS
    from foldsketch.part.file.blank import BLANK_KEYS
    from foldsketch.part.file.features import COMMON_KEYS, SIZE_KEYS
    from foldsketch.part.file.read import PART_FILE_KEYS, parse_part

    part, findings = parse_part(example("part-file.md"), "toml", "part-file.md")
    assert [f.name for f in part.features] == ["flange"]
    assert not findings
    told = set(re.findall(r"\b(\w+)\b", (DOCS / "part-file.md").read_text("utf-8")))
    assert {
        *PART_FILE_KEYS,
        *AXIS_KEYS,
        *COMMON_KEYS,
        *BLANK_KEYS,
        *SIZE_KEYS,
        *(k for sizes in SIZE_KEYS.values() for k in sizes),
    } <= told


def test_the_materials_of_the_page_are_those_that_are_known():
    from foldsketch.part.material import DENSITY_KG_PER_M3

    page = (DOCS / "part-file.md").read_text("utf-8").partition("## Materials")[2]
    found = re.findall(r"([a-z][a-z ]+?)(?: \(or ([a-z]+)\))? (\d{3,4})[,.]", page.replace("\n", " "))
    listed = {name.strip(): float(density) for one, other, density in found for name in (one, other) if name}
    assert listed == DENSITY_KG_PER_M3


def test_codes_of_messages_are_unique_and_the_page_lists_them(pages):
    found = pages.messages()
    assert (DOCS / "findings.md").read_text("utf-8") == pages.findings_page(found), "run python .ci/pages.py"
    for m in (m for own in found.values() for m in own):
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", m.code), m.code


def test_the_page_of_messages_can_be_read_and_refuses_a_code_that_stands_twice(pages):
    from foldsketch.base.findings import Message

    thin = Message("thin", "note", "{count:hole is|holes are} below {least_size}", "drill {count:hole}")
    page = pages.findings_page({"part": [thin], "mesh": []})
    row = "| `thin` | note | *count* holes are below *least size*; drill *count* holes |"
    assert row in page.splitlines() and "## Part files" in page and "## Meshes" not in page
    with pytest.raises(ValueError, match="thin"):
        pages.findings_page({"part": [thin], "mesh": [Message("thin", "error", "another")]})


@pytest.mark.slow
def test_the_lessons_page_is_up_to_date(pages):
    page = (DOCS / "lessons.md").read_text("utf-8")
    assert set(pages.LESSONS) == {p.stem for p in (ROOT / "samples" / "lessons").glob("*.toml")}
    if older_libraries():
        pytest.skip("other nets tie")
    assert page == pages.lessons_page(page), "run python .ci/pages.py"


def test_the_machine_file_of_the_page_is_one():
    from foldsketch.setup.machine_file.read import MACHINE_KEYS, parse_machine
    from foldsketch.setup.machine_file.spindles import SPINDLE_KEYS
    from foldsketch.setup.machine_file.tables import (
        CUT_KEYS,
        CUTTER_KEYS,
        HOLDING_KEYS,
        TIME_KEYS,
        TOOL_LENGTHS,
        WAY_KEYS,
    )

    machine = parse_machine(example("machine-file.md"), "toml", "machine-file.md")
    assert [s.name for s in machine.spindles] == ["main", "sub"]
    assert {d.where for d in machine.defaults} == {"sub spindle"}
    told = {a or b for a, b in re.findall(r"^(\w+) += |^\[+(\w+)", example("machine-file.md"), re.M)}
    keys = {*MACHINE_KEYS, *SPINDLE_KEYS, *TIME_KEYS, *TOOL_LENGTHS, *HOLDING_KEYS, *CUTTER_KEYS, *WAY_KEYS, *CUT_KEYS}
    assert keys | {"accel", "chuck_change"} == told


def test_the_tables_of_usual_figures_are_those_used():
    from foldsketch.part.cutting import CUTTING_DATA
    from foldsketch.setup.formulas.way_cost import WAY_MINUTES

    page = (DOCS / "machine-file.md").read_text("utf-8")
    ways = re.findall(r"^\| `(\w+)` \| ([\d.]+) \| ([\d.]+) \| ([\d.]+) \|", page, re.M)
    assert {name: tuple(map(float, row)) for name, *row in ways} == WAY_MINUTES
    rows = re.findall(r"^\| ([a-z ,]+) \| ((?:[\d., ]+\|){6})$", page, re.M)
    shown = {name: tuple(map(float, re.findall(r"[\d.]+", row))) for names, row in rows for name in names.split(", ")}
    assert shown | {"aluminum": shown["aluminium"]} == CUTTING_DATA


@pytest.mark.slow
def test_the_worked_example_shows_what_is_planned(pages):
    """The table, and every bold figure of the arithmetic, against the command."""
    page = (DOCS / "worked-example.md").read_text("utf-8")
    assert page == pages.worked_example_page(page), "run python .ci/pages.py"
    with tempfile.TemporaryDirectory() as folder:
        machine = "samples/machines/small.toml"
        words = ["setups", "samples/eccentric-shaft.toml", "--machine", machine, "--batch", "10", "--explain"]
        words += ["--out", folder]
        command = [sys.executable, "-m", "foldsketch.cli", *words]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    figures = re.findall(r"\*\*(\d[^*]*)\*\*", page)
    assert len(figures) >= 9
    for figure in figures:
        assert re.search(rf"(?<![\d.]){re.escape(figure)}(?!\w)", done.stdout), figure


def test_names_of_code_in_the_developers_page_are_there():
    """Constants and private functions that it names are in the package or the tests."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    code = "\n".join(p.read_text("utf-8") for folder in ("foldsketch", "tests") for p in (ROOT / folder).rglob("*.py"))
    named = set(re.findall(r"`(?:[\w/.]+: )?([A-Z_]*[A-Z]_[A-Z_]+|_[a-z]\w+)`", text)) - {"RLIMIT_CPU"}
    assert len(named) >= 5
    assert not [n for n in sorted(named) if not re.search(rf"^(?:def |class )?{n}\b", code, re.M)]
