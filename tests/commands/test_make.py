"""make and check: files, summary, report, and one clear line for wrong input."""

import json
import os
import re
from pathlib import Path

import pytest

SAMPLE = Path(__file__).parents[2] / "samples" / "eccentric-shaft.toml"


def test_make_writes_everything_next_to_each_other(run, tmp_path):
    done = run("make", SAMPLE, "--out", tmp_path)
    assert done.code == 0, done.err
    names = sorted(p.name for p in tmp_path.iterdir())
    assert names == [
        "eccentric-shaft-1.svg", "eccentric-shaft.net.json", "eccentric-shaft.pdf", "eccentric-shaft.png"
    ]  # fmt: skip
    assert all(f"wrote {tmp_path / name}" in done.out for name in names)
    assert "fold-up check: passed" in done.out


@pytest.mark.slow
def test_everything_that_can_be_asked_for(run, tmp_path):
    done = run("make", SAMPLE, "--out", tmp_path, "--booklet", "--dxf", "--pieces", "--backs")
    assert done.code == 0, done.err
    names = {p.name.removeprefix("eccentric-shaft") for p in tmp_path.iterdir()}
    assert {"-booklet.pdf", "-1.dxf", "-net-1.svg", "-net-2.svg", "-net-3.svg", "-1-back.svg"} < names


def test_by_hand_writes_one_page_and_lists_what_it_changes(run, tmp_path):
    done = run("make", SAMPLE.parent / "hex-eccentric.toml", "--by-hand", "--out", tmp_path)
    assert done.code == 0, done.err
    assert {"hex-eccentric-by-hand.pdf", "hex-eccentric-by-hand.svg"} < {p.name for p in tmp_path.iterdir()}
    assert "8 sides by hand, 6 on the part" in done.err


def test_what_cannot_be_made_by_hand_is_refused_by_one_line(run, tmp_path):
    file = tmp_path / "bar.toml"
    file.write_text(
        'name = "bar"\nunits = "mm"\n[[axis]]\nname = "A"\nat = [0, 0]\n[[axis]]\nname = "X"\npoint = [0, 0, 0]\n'
        'direction = [1, 0, 0]\n[[feature]]\nname = "bar"\naxis = "X"\nshape = "cylinder"\ndiameter = 30\n'
        "start = 0\nend = 60\n"
    )
    done = run("make", file, "--by-hand", "--out", tmp_path)
    assert done.code == 2 and done.out == "" and list(tmp_path.iterdir()) == [file]
    assert done.err.count("error:") == 1 and "nothing that can be folded by hand" in done.err


def test_check_writes_nothing(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = run("check", SAMPLE)
    assert done.code == 0 and "fold-up check: passed" in done.out
    assert not list(tmp_path.iterdir())


def test_the_report_is_all_there_is_on_standard_output(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    report = json.loads(run("check", SAMPLE, "--json").out)
    assert (report["format"], report["files"], list(tmp_path.iterdir())) == ("foldsketch-model 1", [], [])
    made = json.loads(run("make", SAMPLE, "--json", "--out", "out").out)
    assert made == {**report, "files": made["files"]}
    assert sorted(made["files"]) == sorted(str(Path("out") / p.name) for p in (tmp_path / "out").iterdir())
    tree = json.loads((tmp_path / "out" / "eccentric-shaft.net.json").read_text())
    assert made["nets"] == len(tree["pieces"]) and made["sheets"] == len(tree["sheets"])
    assert made["checks"] == tree["checks"] and made["scale"] == tree["scale"]


BAD = [
    (["none.toml"], "does not exist"),
    (["."], "is a folder"),
    ([SAMPLE, "--sides", "1000000"], "sides"),
    ([SAMPLE, "--sides", "x"], "invalid int"),
    ([SAMPLE, "--paper", "A9"], "paper"),
    ([SAMPLE, "--scale", "0"], "scale"),
    ([SAMPLE, "--chord-error", "nan"], "chord"),
    ([SAMPLE, "--sheets", "0"], "sheets: 0 is out of range"),
    ([SAMPLE, "--smallest", "nan"], "smallest"),
    ([SAMPLE, "--least-step", "99"], "least_step: 99 mm is out of range"),
    ([SAMPLE, "--card", "plank"], "card"),
    ([SAMPLE, "--scale", "20:1"], "page"),
    ([SAMPLE, "--join", "sew"], "invalid choice"),
    ([SAMPLE, "--hold", "staples"], "invalid choice"),
    ([SAMPLE, "--hold", "tape", "--walls", "rolled"], "held by teeth with glue"),
    ([SAMPLE, "--panels", "20"], "mesh only"),
]


@pytest.mark.parametrize(("words", "says"), BAD, ids=[" ".join(map(str, b[0]))[-30:] for b in BAD])
@pytest.mark.parametrize("command", ["make", "check"])
def test_wrong_input_is_one_clear_line_and_exit_code_2(run, command, words, says, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = run(command, *words)
    assert done.code == 2 and done.out == ""
    assert len(done.err.strip().splitlines()) == 1
    assert done.err.startswith("error: ") and says in done.err
    assert not list(tmp_path.iterdir())


def test_findings_name_the_line(run, tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text(SAMPLE.read_text().replace("diameter = 44", "diamter = 44"))
    done = run("check", path)
    assert done.code == 2
    assert "bad.toml line" in done.err and "did you mean 'diameter'?" in done.err


def test_a_file_with_many_errors_fills_one_screen(run, tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text(SAMPLE.read_text() + "".join(f"\nwrong{k} = {k}" for k in range(40)))
    done = run("check", path)
    assert done.code == 2 and len(done.err.splitlines()) <= 12
    every = run("check", path, "--all-findings")
    assert every.code == 2 and len(every.err.splitlines()) >= 40


def test_dxf_without_its_package_is_refused_before_the_work(run, tmp_path, monkeypatch):
    monkeypatch.setattr("foldsketch.write.dxf.find_spec", lambda name: None)
    done = run("make", SAMPLE, "--dxf", "--out", tmp_path / "out")
    assert done.code == 2 and "ezdxf" in done.err
    assert not (tmp_path / "out").exists()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_folder_that_cannot_be_written(run, tmp_path):
    tmp_path.chmod(0o500)
    assert run("make", SAMPLE, "--out", tmp_path / "x").code == 2


def test_out_that_is_a_file(run, tmp_path):
    (tmp_path / "file").write_text("")
    done = run("make", SAMPLE, "--out", tmp_path / "file")
    assert done.code == 2 and len(done.err.splitlines()) == 1


def test_choices_reach_the_model(run, tmp_path):
    run("make", SAMPLE, "--out", tmp_path, "--sides", 8, "--scale", "1:2", "--join", "fuse")
    tree = json.loads((tmp_path / "eccentric-shaft.net.json").read_text())
    assert tree["scale"] == 0.5
    assert len(tree["blocks"]) == 1
    eccentric = [p for piece in tree["pieces"] for p in piece["panels"] if p["feature"] == "eccentric"]
    assert sum(p["kind"] == "side" for p in eccentric) == 8


def test_the_pace_is_the_users_own(run, tmp_path):
    """Who glues a tab in two seconds gets more in the same minutes; the summary says whose pace it counts with."""
    slow = run("make", SAMPLE, "--pace", "glue=120", "--hold", "glue", "--out", tmp_path)
    assert "over-budget" not in slow.out and "not 15 minutes" in slow.err and "your pace" in slow.out
    brisk = run("make", SAMPLE, "--pace", "glue=1 joint=5", "--out", tmp_path)
    assert "step: everything is built" in brisk.out and "not 15 minutes" not in brisk.err
    ordinary = run("make", SAMPLE, "--out", tmp_path)
    assert "ordinary pace" in ordinary.out and "everything is built" not in ordinary.out
    assert int(re.search(r"about (\d+) minute", ordinary.out)[1]) <= 15


@pytest.mark.parametrize("minutes", ["0", "-3", "nan", "ten", "inf", "", "0.5", "1e9"])
def test_what_is_no_number_of_minutes_gets_one_line(run, minutes, tmp_path):
    done = run("make", SAMPLE, f"--minutes={minutes}", "--out", tmp_path)
    assert done.code == 2 and not list(tmp_path.iterdir())
    assert done.err == f"error: --minutes: '{minutes}' is no number of minutes; use 1 to 10000, or all\n"


def test_a_negative_number_may_stand_apart(run):
    done = run("check", SAMPLE, "--minutes", "-3")
    assert done.code == 2 and "'-3' is no number of minutes" in done.err


def test_quick_names_what_took_its_place(run):
    for command in ("make", "check", "share", "lesson"):
        done = run(command, SAMPLE, "--quick")
        assert (done.code, done.out, done.err) == (2, "", "error: --quick: is no option any more; use --minutes 10\n")


def test_the_report_names_the_steps(run, tmp_path):
    done = run("make", SAMPLE, "--minutes", "15", "--json", "--out", tmp_path)
    steps = json.loads(done.out)["steps"]
    assert steps["taken"]["step"] == "octagons"
    assert (steps["up"]["step"], steps["down"]["step"]) == ("twelve-sides", "taped")
    assert all(isinstance(s["minutes"], int) for s in steps.values())


@pytest.mark.parametrize("pace", ["fold", "fold=quick", "speed=3", "fold=-1", "fold=nan"])
def test_what_is_no_pace_is_refused(run, pace, tmp_path):
    done = run("make", SAMPLE, "--pace", pace, "--out", tmp_path)
    assert done.code == 2
    assert "pace" in done.err and not list(tmp_path.iterdir())


def test_a_spoken_part_is_made_and_names_its_files(run, tmp_path):
    done = run("make", "--say", "pump flange 60 x 8; spigot 24 x 20 at 9", "--out", tmp_path)
    assert done.code == 0 and "Ø60" in done.out and "Ø24" in done.out
    assert (tmp_path / "pump-flange.pdf").exists() and (tmp_path / "pump-flange.net.json").exists()


def test_either_a_file_or_a_spoken_line(run):
    for given in ((), ("shaft.toml", "--say", "flange 60 x 8")):
        done = run("make", *given)
        assert done.code == 2 and "PART" in done.err and "--say" in done.err
