"""The command setups, as its users and their scripts meet it."""

import json
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
COVER = ROOT / "samples" / "bilge-pump-cover.toml"


def test_table_and_set_up_sheets(run, tmp_path):
    done = run("setups", COVER, "--out", tmp_path)
    assert done.code == 0, done.err
    assert "first estimates" in done.out.lower()
    assert (tmp_path / "bilge-pump-cover-setups.pdf").read_bytes().startswith(b"%PDF")


def test_json_is_all_there_is_on_standard_output(run, tmp_path):
    done = run("setups", COVER, "--json", "--out", tmp_path)
    assert done.code == 0
    made = json.loads(done.out)
    assert made["format"] == "foldsketch-setups 2"
    assert made["cautions"]
    assert not list(tmp_path.iterdir())


def test_explain(run, tmp_path):
    done = run(
        "setups", COVER, "--explain", "--out", tmp_path, "--machine", ROOT / "samples/machines/single-spindle.toml"
    )
    assert done.code == 0
    assert "1.5 e + (sqrt(D^2 - 3 e^2) - D)/2" in done.out
    assert "speed by balance" in done.out


def test_a_part_that_makes_no_sense_is_not_planned(run, tmp_path):
    """A bore of 40 through a spigot of 30 leaves nothing of it."""
    part = tmp_path / "p.toml"
    rows = [("flange", 90, 0, 12, ""), ("spigot", 30, 12, 40, ""), ("bore", 40, 12, 40, "cut = true\n")]
    part.write_text(
        'name = "p"\nunits = "mm"\n[[axis]]\nname = "A"\nat = [0, 0]\n'
        + "".join(
            f'[[feature]]\nname = "{n}"\naxis = "A"\nshape = "cylinder"\ndiameter = {d}\nstart = {a}\nend = {b}\n{cut}'
            for n, d, a, b, cut in rows
        )
    )
    done = run("setups", part, "--out", tmp_path)
    assert done.code == 2 and "cuts away all of 'spigot'" in done.err
    assert not list(tmp_path.glob("*.pdf"))


def test_faults_are_one_clear_line(run, tmp_path):
    bad = tmp_path / "m.toml"
    bad.write_text('name = "m"\n')
    for arguments in ((COVER, "--machine", bad), (COVER, "--machine", tmp_path / "none.toml"), (tmp_path / "no.toml",)):
        done = run("setups", *arguments)
        assert done.code == 2
        assert done.err.startswith("error: ")


def test_gauge(run, tmp_path):
    done = run("setups", COVER, "--gauge", "--scale", "1:2", "--out", tmp_path)
    assert done.code == 0, done.err
    assert (tmp_path / "bilge-pump-cover-gauge.pdf").read_bytes().startswith(b"%PDF")
    bad = run("setups", COVER, "--gauge", "--scale", "1:0", "--out", tmp_path / "none")
    assert bad.code == 2
    assert not (tmp_path / "none").exists()


def test_castings_and_time(run, tmp_path):
    done = run("setups", COVER, "--location", "1", "--cast-size", "0.5", "--out", tmp_path)
    assert done.code == 0, done.err
    report = json.loads(run("setups", COVER, "--location", "1", "--cast-size", "0.5", "--json").out)
    assert all(f"'{c['feature']}'" in done.out for c in report["castings"]) and report["time"]


@pytest.mark.parametrize(
    "words", [("--location", "-1"), ("--location", "nan"), ("--cast-size", "1001"), ("--cast-size", "-0.1")]
)
def test_a_casting_tolerance_that_cannot_be_meant(run, words, tmp_path):
    done = run("setups", COVER, *words, "--out", tmp_path / "out")
    assert done.code == 2 and words[0] in done.err and "out of range" in done.err
    assert not (tmp_path / "out").exists()


def test_a_mesh_is_planned_too(run, tmp_path):
    done = run("setups", COVER.with_name("ballast-pump-crank.stl"), "--units", "mm", "--json")
    assert done.code == 0, done.err
    assert len(json.loads(done.out)["setups"]) > 1


@pytest.mark.slow
def test_jaws_of_a_dearer_plan(run, tmp_path):
    """The cheapest plan of the cover says which plan has bored jaws; that one is drawn."""
    machine = ("--machine", ROOT / "samples/machines/twin.toml", "--out", tmp_path)
    done = run("setups", COVER, *machine, "--jaws")
    assert done.code == 0 and "plan 3 does" in done.err
    done = run("setups", COVER, *machine, "--jaws", "--plan", "3")
    assert done.code == 0, done.err
    names = {p.name for p in tmp_path.iterdir()}
    assert {f"bilge-pump-cover-jaws-4.{kind}" for kind in ("pdf", "dxf", "toml")} <= names


@pytest.mark.slow
def test_the_set_up_in_the_hand(run, tmp_path):
    """Chucks, stands and steps of the shaft, with the minutes on screen."""
    shaft = COVER.with_name("eccentric-shaft.toml")
    done = run("setups", shaft, "--machine", ROOT / "samples/machines/small.toml", "--in-hand", "--out", tmp_path)
    assert done.code == 0, done.err
    assert "in the hand takes about" in done.out
    names = {p.name for p in tmp_path.iterdir()}
    assert {"eccentric-shaft-chuck-3.pdf", "eccentric-shaft-stands.pdf", "eccentric-shaft-in-hand.pdf"} <= names


def test_a_plan_that_is_not_printed(run, tmp_path):
    done = run("setups", COVER.with_name("eccentric-shaft.toml"), "--plan", "40", "--out", tmp_path / "none")
    assert done.code == 2 and done.err.startswith("error: --plan: there is no plan 40")
    assert not (tmp_path / "none").exists()
