"""The API page and the notebook: complete, up to date, and every example runs."""

import csv
import inspect
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

import foldsketch

ROOT = Path(__file__).parents[2]
PAGE, NOTEBOOK = ROOT / "docs" / "api.md", ROOT / "docs" / "notebook.ipynb"
sys.path.insert(0, str(ROOT / ".ci"))
import api_page  # noqa: E402


def test_the_page_is_up_to_date():
    assert PAGE.read_text("utf-8") == api_page.api_page(), "run python .ci/pages.py"


def test_every_public_name_is_on_it():
    listed = [name for names in api_page.GROUPS.values() for name in names]
    assert sorted([*listed, "__version__"]) == sorted(foldsketch.__all__)


BLOCKS = re.findall(r"```python\n(.*?)```", PAGE.read_text("utf-8"), re.S)


@pytest.mark.slow
@pytest.mark.parametrize("block", BLOCKS, ids=range(len(BLOCKS)))
def test_its_examples_run(block, tmp_path, monkeypatch, capsys):
    """From the folder with the samples; what they write goes to a folder out."""
    (tmp_path / "samples").symlink_to(ROOT / "samples")
    monkeypatch.chdir(tmp_path)
    exec(compile(block, "api.md", "exec"), {})
    assert capsys.readouterr().out


@pytest.mark.slow
def test_the_notebook_runs_in_a_plain_process(tmp_path):
    """All code cells one after another, without a notebook; it ends with the table of fifty parts on disk."""
    cells = json.loads(NOTEBOOK.read_text("utf-8"))["cells"]
    code = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")
    code += '\nprint("WRITTEN", out)'
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], cwd=NOTEBOOK.parent, capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr
    out = Path(re.search(r"^WRITTEN (.*)$", done.stdout, re.M)[1])
    with open(out / "eccentrics.csv", newline="", encoding="utf-8") as file:
        head, *rows = csv.reader(file)
    assert len(rows) == 50 and all(len(row) == len(head) for row in rows)
    # The indicator shows twice the offset, whatever the workholding.
    offsets = [float(row[head.index("offset")]) for row in rows]
    assert offsets == [k / 2 for k in range(1, 51)]
    assert [float(row[head.index("indicator")]) for row in rows] == [2 * e for e in offsets]
    names = {p.name for p in out.iterdir()}
    assert {"eccentric-shaft.pdf", "set-ups.pdf", "booklet.pdf", "model.html", "lesson-answers.pdf"} <= names


def test_the_table_of_fifty_parts_takes_ten_lines():
    sources = ["".join(cell["source"]) for cell in json.loads(NOTEBOOK.read_text("utf-8"))["cells"]]
    (table,) = (s for s in sources if s.startswith("rows = []"))
    assert len(table.splitlines()) <= 10


@pytest.mark.parametrize("name", sorted(set(foldsketch.__all__) - {"__version__", "DEFAULT_MACHINE"}))
def test_docstrings_have_their_sections(name):
    """NumPy style: what goes in with type and unit, what comes out, one example that test_examples runs."""
    what = getattr(foldsketch, name)
    found = set(re.findall(r"^(\w+)\n-+$", inspect.getdoc(what), re.M))
    assert "Examples" in found
    if inspect.isclass(what):
        assert found & {"Attributes", "Parameters"}
    else:
        assert {"Parameters", "Returns"} <= found
        listed = re.search(r"^Parameters\n-+\n(.*?)(?=^\w+\n-+$|\Z)", inspect.getdoc(what), re.M | re.S)[1]
        named = {n for row in re.findall(r"^(\w[^:\n]*?)(?: :.*)?$", listed, re.M) for n in row.split(", ")}
        assert set(inspect.signature(what).parameters) <= named
