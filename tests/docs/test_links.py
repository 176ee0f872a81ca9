"""The pages as a reader uses them: every link leads somewhere, every command is one, every file named is there."""

import re
import shlex
import subprocess
from pathlib import Path

import pytest

from foldsketch.cli import build_parser

ROOT = Path(__file__).parents[2]
TOP = [ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "benchmarks" / "README.md"]
PAGES = [*TOP, *sorted((ROOT / "docs").rglob("*.md"))]

LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.M | re.S)
SPAN = re.compile(r"(?<!`)`([^`\n]+)`(?!`)")
NAMED = re.compile(r"(?<![\w/.-])((?:benchmarks|tests|samples|docs|foldsketch|\.ci)/[\w/.-]*\w)")
MODULE = re.compile(r"[\w/]+\.py")
FLOOR = re.compile(r"(?:base|geometry|part|mesh|solid|net|assembly|setup|sheet|write|job|web|commands)/[\w/.-]*\w")
MADE_BY = "foldsketch-"  # format names, not files


def name_of(page):
    return str(page.relative_to(ROOT))


def prose(text):
    return FENCE.sub("", text)


def anchors(page):
    """The names of a page's headings, as code hosts form them: lower case, spaces to hyphens, signs away."""
    text = prose(page.read_text("utf-8"))
    heads = [re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", h) for h in re.findall(r"^#+ (.+)$", text, re.M)]
    return {re.sub(r"[^\w\- ]", "", h.strip().lower()).replace(" ", "-") for h in heads}


def commands(page):
    """Every foldsketch command of the page's blocks, in words: a line may hold several, and end in a remark."""
    for _, block in FENCE.findall(page.read_text("utf-8")):
        for line in block.splitlines():
            for part in re.split(r"&&|;(?=\s*foldsketch)", line):
                found = re.match(r"\s*(?:\S*/)?foldsketch\s+(.*)", part)
                if found:
                    yield shlex.split(found[1].split(" > ")[0], comments=True)


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_links_lead_somewhere(page):
    for target in LINK.findall(prose(page.read_text("utf-8"))):
        path, _, anchor = target.partition("#")
        assert "://" not in path, f"{target}: the guide needs nothing from outside"
        there = (page.parent / path).resolve() if path else page
        assert there.exists(), target
        assert there.is_relative_to(ROOT), target
        if anchor:
            assert anchor in anchors(there), target


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_commands_in_blocks_parse(page):
    """With the program's own parser. A page that shows none passes; test_the_check_can_fail says that it can."""
    for words in commands(page):
        if words and words[-1] == "[options]":
            words = words[:-1]
        parses(words)


def parses(words):
    code = 0
    try:
        build_parser().parse_args(words)
    except SystemExit as why:
        code = why.code  # --help stops too, with 0
    assert code == 0, f"foldsketch {' '.join(words)}"


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_options_in_the_text_exist(page):
    known = options()
    every = set().union(*known.values())
    for span in SPAN.findall(prose(page.read_text("utf-8"))):
        words = span.split()
        if words[:1] == ["foldsketch"] and len(words) > 1 and not words[1].startswith("-"):
            assert words[1] in known or words[1] == "COMMAND", span
            allowed = known.get(words[1], every)
        elif words[0].startswith("--"):
            allowed = every | {"--check"}  # of .ci/pages.py
        else:
            continue
        assert {w.split("=")[0] for w in words if w.startswith("--")} <= allowed, span


def options():
    """For every command the options that it takes."""
    top = build_parser()
    sub = next(a.choices for a in top._actions if a.dest == "command")
    return {name: {o for a in c._actions for o in a.option_strings} | {"--version"} for name, c in sub.items()}


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_files_that_are_named_are_there(page):
    for path in NAMED.findall(page.read_text("utf-8")):
        if "NAME" in path or path.startswith(MADE_BY):
            continue
        assert (ROOT / path).exists(), path
    for span in SPAN.findall(page.read_text("utf-8")):
        found = FLOOR.match(span)
        if found:
            assert (ROOT / "foldsketch" / found[0]).exists(), span


def test_modules_on_the_way_of_the_data_are_there():
    """By their path in the package, or by their name alone in the folder of the module named before."""
    folder = ROOT / "foldsketch"
    spans = SPAN.findall((ROOT / "docs" / "how-it-works.md").read_text("utf-8"))
    names = [s for s in spans if MODULE.fullmatch(s)]
    assert len(names) > 20
    for name in names:
        found = [p for p in (folder / name, ROOT / "foldsketch" / name) if p.exists()]
        assert found, name
        folder = found[0].parent


def test_the_table_of_floors_has_every_folder_of_the_package():
    rows = re.findall(r"^\| `(\w+)/`.*? \| ([^|]*) \|", TOP[1].read_text("utf-8"), re.M)
    listed = {floor: set(re.findall(r"`(\w+)/`", rooms)) for floor, rooms in rows}
    floors = [p for p in (ROOT / "foldsketch").iterdir() if p.is_dir() and any(p.glob("*.py"))]
    rooms = {p.name: {r.name for r in p.iterdir() if r.is_dir() and r.name != "__pycache__"} for p in floors}
    assert listed == rooms


def test_every_page_is_in_the_index():
    index = (ROOT / "docs" / "README.md").read_text("utf-8")
    linked = {t.partition("#")[0] for t in LINK.findall(index)}
    for page in (ROOT / "docs").glob("*.md"):
        assert page.name == "README.md" or page.name in linked, f"docs/README.md does not lead to {page.name}"


def test_examples_from_the_history_are_in_it():
    """The commits that DEVELOPERS.md names; skipped where the history is not at hand, as in an sdist."""
    named = set(re.findall(r"\b(?=\w*\d)[0-9a-f]{7}\b", (ROOT / "DEVELOPERS.md").read_text("utf-8")))
    assert named

    def git(*words):
        try:
            return subprocess.run(["git", "-C", str(ROOT), *words], capture_output=True, text=True)
        except FileNotFoundError:
            pytest.skip("there is no git here")

    here = git("rev-parse", "--show-toplevel", "--is-shallow-repository")
    if here.returncode or here.stdout.split("\n")[1] == "true" or Path(here.stdout.split("\n")[0]) != ROOT:
        pytest.skip("the history is not at hand")
    assert not [c for c in sorted(named) if git("merge-base", "--is-ancestor", c, "HEAD").returncode]


def test_the_check_can_fail(tmp_path):
    page = tmp_path / "page.md"
    page.write_text("# One two\n```sh\ncd x && .venv/bin/foldsketch make PART --nonsense 3  # remark\n```\n")
    assert list(commands(page)) == [["make", "PART", "--nonsense", "3"]]
    with pytest.raises(AssertionError):
        parses(["make", "PART", "--nonsense", "3"])
    assert anchors(page) == {"one-two"}
