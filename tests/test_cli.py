"""The command line as a user meets it: files, summary, exit codes, one clear line an error."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "samples" / "eccentric-shaft.toml"


def run(*arguments, cwd=None, **environment):
    return subprocess.run(
        [sys.executable, "-m", "foldsketch.cli", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=cwd,
        env={**os.environ, **environment},
        timeout=60,
    )


def test_make_writes_everything_next_to_each_other(tmp_path):
    done = run("make", SAMPLE, "--out", tmp_path)
    assert done.returncode == 0, done.stderr
    names = sorted(p.name for p in tmp_path.iterdir())
    assert names == [
        "eccentric-shaft-1.svg", "eccentric-shaft.net.json", "eccentric-shaft.pdf", "eccentric-shaft.png"
    ]  # fmt: skip
    for say in ("3 pieces on 1 sheet", "scale 1:1", "folds", "glue joints", "cut 1.", "checks", "eccentric"):
        assert say in done.stdout, say


@pytest.mark.slow
def test_repeat_runs_are_identical(tmp_path):
    for name in ("a", "b"):
        assert run("make", SAMPLE, "--out", tmp_path / name, PYTHONHASHSEED=str(len(name) + ord(name))).returncode == 0
    for p in (tmp_path / "a").iterdir():
        assert p.read_bytes() == (tmp_path / "b" / p.name).read_bytes(), p.name


def test_check_writes_nothing(tmp_path):
    done = run("check", SAMPLE, cwd=tmp_path)
    assert done.returncode == 0
    assert "checks: refolded edges meet" in done.stdout
    assert not list(tmp_path.iterdir())


def test_help_shows_an_example():
    done = run("--help")
    assert done.returncode == 0
    assert "foldsketch make samples/bilge-pump-cover.toml --out out" in done.stdout


BAD = [
    (["make", "none.toml"], "does not exist"),
    (["make", "."], "is a folder"),
    (["make", SAMPLE, "--sides", "1000000"], "is not allowed"),
    (["make", SAMPLE, "--sides", "x"], "invalid int"),
    (["make", SAMPLE, "--paper", "A9"], "unknown paper size"),
    (["make", SAMPLE, "--scale", "0"], "is not a scale"),
    (["make", SAMPLE, "--chord-error", "nan"], "is not allowed"),
    (["make", SAMPLE, "--sheets", "0"], "out of range"),
    (["make", SAMPLE, "--scale", "20:1"], "does not fit on a page"),
    (["make", SAMPLE, "--join", "sew"], "invalid choice"),
    (["fold", SAMPLE], "invalid choice"),
    ([], ""),
]


@pytest.mark.parametrize(("arguments", "says"), BAD, ids=[" ".join(map(str, b[0]))[-30:] or "nothing" for b in BAD])
def test_bad_input_is_one_clear_line_and_exit_code_2(arguments, says, tmp_path):
    done = run(*arguments, cwd=tmp_path)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert says in done.stderr
    if says:
        assert len(done.stderr.strip().splitlines()) == 1
        assert done.stderr.startswith("error: ")


def test_findings_name_the_line(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text(SAMPLE.read_text().replace("diameter = 44", "diamter = 44"))
    done = run("check", path)
    assert done.returncode == 2
    assert "bad.toml line" in done.stderr
    assert "did you mean 'diameter'?" in done.stderr


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_folder_that_cannot_be_written(tmp_path):
    tmp_path.chmod(0o500)
    done = run("make", SAMPLE, "--out", tmp_path / "x")
    assert done.returncode == 2
    assert "cannot be written" in done.stderr


def test_out_that_is_a_file(tmp_path):
    (tmp_path / "file").write_text("")
    done = run("make", SAMPLE, "--out", tmp_path / "file")
    assert done.returncode == 2
    assert "cannot be written" in done.stderr


def test_pages_of_an_earlier_longer_run_do_not_stay(tmp_path):
    (tmp_path / "eccentric-shaft-9.svg").write_text("old")
    (tmp_path / "eccentric-shaft-x.svg").write_text("not ours")
    assert run("make", SAMPLE, "--out", tmp_path).returncode == 0
    assert not (tmp_path / "eccentric-shaft-9.svg").exists()
    assert (tmp_path / "eccentric-shaft-x.svg").exists()


def test_no_temporary_file_is_left(tmp_path):
    run("make", SAMPLE, "--out", tmp_path)
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]


def test_choices_reach_the_model(tmp_path):
    run("make", SAMPLE, "--out", tmp_path, "--sides", 8, "--scale", "1:2", "--join", "fuse")
    tree = json.loads((tmp_path / "eccentric-shaft.net.json").read_text())
    assert tree["scale"] == 0.5
    assert len(tree["blocks"]) == 1
    eccentric = [p for piece in tree["pieces"] for p in piece["panels"] if p["feature"] == "eccentric"]
    assert sum(p["kind"] == "side" for p in eccentric) == 8


def test_the_same_verbs_in_a_notebook():
    import foldsketch

    part, _ = foldsketch.read_part(SAMPLE)
    made = foldsketch.model(part)
    assert made.nets.checks.passed()
    assert "Eccentric shaft" in foldsketch.summary(made)


def test_verbs_are_not_hidden_by_modules_of_their_name():
    """A module of the package takes the place of a verb of the same name as soon as anything imports it."""
    import foldsketch
    from foldsketch import _WHERE

    folder = Path(foldsketch.__file__).parent
    for name in _WHERE:
        assert not (folder / f"{name}.py").exists() and not (folder / name).exists()


def test_share_sends_the_model_that_was_chosen(tmp_path):
    hinges = {}
    for walls in ("folded", "rolled"):
        done = run("share", SAMPLE, "--walls", walls, "--card", "160gsm", "--out", tmp_path / walls)
        assert done.returncode == 0, done.stderr
        hinges[walls] = (tmp_path / walls / "eccentric-shaft.html").read_text("utf-8").count('"hinge"')
    assert hinges["rolled"] > 1.5 * hinges["folded"]


def test_the_pace_is_the_users_own(tmp_path):
    slow = run("make", SAMPLE, "--pace", "glue=120", "--out", tmp_path)
    assert "takes about" in slow.stderr
    brisk = run("make", SAMPLE, "--pace", "glue=1 fold=1, cut=0.01", "--out", tmp_path)
    assert brisk.returncode == 0 and "takes about" not in brisk.stderr


@pytest.mark.slow
def test_what_is_said_to_be_quicker_is(tmp_path):
    """A crank of seven blocks: each option that a note names takes the time that it names."""
    crank = SAMPLE.with_name("double-throw-crank.toml")

    def told(*more):
        done = run("make", crank, *more, "--out", tmp_path)
        note = re.search(r"building it takes about (\d+) minutes[^;]*; (.*)", done.stderr)
        return int(note[1]), note[2]

    takes, words = told()
    quickest, last = told("--quick")
    assert "--quick" in words and quickest < 0.26 * takes
    assert last == "a part with less on it is quicker"
    as_large = ("--quick", "--scale", "1:1", "--join", "faces")
    quick, more = told(*as_large)
    named = re.findall(r"(--[^,]*?) (?:takes )?about (\d+)", more)
    assert len(named) >= 2
    assert [told(*as_large, *options.split())[0] for options, _ in named] == [int(t) for _, t in named]
    assert all(int(t) < quick for _, t in named)


def test_a_quick_model_of_ten_minutes_is_told_nothing(tmp_path):
    spigot = SAMPLE.parent / "lessons" / "1-one-offset-spigot.toml"
    assert "takes about" not in run("make", spigot, "--quick", "--out", tmp_path).stderr
    assert "takes about" in run("make", spigot, "--quick", "--pace", "glue=60", "--out", tmp_path).stderr


@pytest.mark.parametrize("pace", ["fold", "fold=quick", "speed=3", "fold=-1", "fold=nan"])
def test_what_is_no_pace_is_refused(pace, tmp_path):
    done = run("make", SAMPLE, "--pace", pace, "--out", tmp_path)
    assert done.returncode == 2
    assert "--pace" in done.stderr and not list(tmp_path.iterdir())


@pytest.mark.parametrize("command", ["make", "check", "share"])
def test_choices_out_of_range_are_told_by_every_command(command):
    done = run(command, SAMPLE, "--least-step", "99")
    assert done.returncode == 2
    assert "--least-step" in done.stderr
