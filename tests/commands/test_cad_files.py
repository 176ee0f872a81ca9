"""STEP files on the command line: wherever a mesh can be named, they can."""

import importlib.util
import json
from pathlib import Path

import pytest

from foldsketch.part.file.read import read_part

COVER = Path(__file__).parents[2] / "samples" / "bilge-pump-cover-cast.step"


@pytest.fixture
def step():
    pytest.importorskip("cascadio")
    return COVER


@pytest.mark.slow
def test_read_writes_the_files_own_figures(run, step, tmp_path):
    done = run("read", step, "--out", tmp_path / "cover.toml")
    assert done.code == 0, done.err
    assert "exact" in done.out and "unit" not in done.err
    part, _ = read_part(tmp_path / "cover.toml")
    assert part.name == "Bilge pump cover, cast"
    assert sorted({f.shape.diameter for f in part.features}) == [6.6, 14, 24, 26, 40, 90]
    assert sorted({round(abs(a.point[0]) + abs(a.point[1]), 6) for a in part.axes}) == [0, 8, 22, 36, 50.911688]


@pytest.mark.slow
def test_the_report_says_what_kind_of_file_it_was(run, step):
    report = json.loads(run("read", step, "--json").out)
    (body,) = report["bodies"]
    assert (report["kind"], report["units"], body["size"]) == ("step", "mm", [90, 90, 40])
    assert all(m["exact"] for m in body["features"])


@pytest.mark.slow
def test_setups_and_share(run, step, tmp_path):
    done = run("setups", step, "--out", tmp_path)
    assert done.code == 0, done.err
    assert "8 mm" in done.out and "22 mm" in done.out
    assert run("share", step, "--out", tmp_path).code == 0
    assert (tmp_path / "bilge-pump-cover-cast.html").is_file()


@pytest.mark.slow
def test_make(run, step, tmp_path):
    done = run("make", step, "--out", tmp_path)
    assert done.code == 0, done.err
    assert (tmp_path / "bilge-pump-cover-cast.pdf").read_bytes().startswith(b"%PDF")


def test_another_unit_than_the_files_is_an_error(run, step, tmp_path):
    done = run("read", step, "--units", "in", "--out", tmp_path / "a.toml")
    assert done.code == 2 and len(done.err.splitlines()) == 1 and "mm" in done.err
    assert not (tmp_path / "a.toml").exists()


def test_without_the_package_one_line_says_what_to_install(run, monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    done = run("read", COVER)
    assert (done.code, done.out) == (2, "")
    assert len(done.err.splitlines()) == 1 and "pip install -e '.[cad]'" in done.err


def test_a_part_file_is_wanted(run):
    done = run("lesson", COVER)
    assert done.code == 2 and "foldsketch read bilge-pump-cover-cast.step" in done.err
