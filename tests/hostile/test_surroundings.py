"""The same files come out wherever it runs: no home, no temporary folder, other locales, no fonts, odd streams."""

import locale
import os
import subprocess
import sys
from pathlib import Path

import pytest

from foldsketch.base import lettering
from foldsketch.cli import main

ROOT = Path(__file__).parents[2]
PART = """\
name = "{}"
units = "mm"
[[axis]]
name = "A"
at = [0, 0]
[[feature]]
name = "head"
axis = "A"
shape = "prism"
sides = 4
across_flats = 20.5
start = 0
end = 10.25
"""
COMMAND = [sys.executable, "-m", "foldsketch.cli"]


@pytest.fixture
def part(tmp_path):
    path = tmp_path / "peg.toml"
    path.write_text(PART.format("Peg Ø 20,5"), "utf-8")
    return path


def written(folder):
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir())}


@pytest.mark.parametrize(
    "less",
    [
        {"HOME": "/none/such", "TMPDIR": "/none/such", "XDG_CACHE_HOME": "/none/such"},
        {"LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8", "LC_NUMERIC": "de_DE.UTF-8", "TZ": "Asia/Kathmandu"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii", "PYTHONHASHSEED": "7", "HOME": None},
        {"PYTHONIOENCODING": "utf-16", "TERM": None, "COLUMNS": "3", "PATH": None, "USER": None},
    ],
    ids=["no home", "decimal commas", "plain ASCII", "nothing else"],
)
def test_the_same_files_whatever_the_surroundings(less, part, tmp_path):
    assert main(["make", str(part), "--out", str(tmp_path / "here")]) == 0
    environment = {k: v for k, v in {**os.environ, **less}.items() if v is not None}
    command = [*COMMAND, "make", str(part), "--out", str(tmp_path / "there")]
    done = subprocess.run(command, capture_output=True, cwd=ROOT, env=environment)
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    assert written(tmp_path / "there") == written(tmp_path / "here")


def test_within_a_program_that_set_a_locale_with_commas(part, tmp_path, monkeypatch):
    """Without such a locale on the machine, one that says so: numbers must not be asked of it."""
    assert main(["make", str(part), "--out", str(tmp_path / "here")]) == 0
    before = locale.setlocale(locale.LC_ALL)
    try:
        for name in ("de_DE.UTF-8", "fr_FR.UTF-8", "C.UTF-8"):
            try:
                locale.setlocale(locale.LC_ALL, name)
                break
            except locale.Error:
                continue
        commas = {**locale.localeconv(), "decimal_point": ",", "thousands_sep": "."}
        monkeypatch.setattr(locale, "localeconv", lambda: commas)
        assert main(["make", str(part), "--out", str(tmp_path / "there")]) == 0
    finally:
        locale.setlocale(locale.LC_ALL, before)
    assert written(tmp_path / "there") == written(tmp_path / "here")


def test_no_other_font_on_the_machine(tmp_path, monkeypatch, capsys):
    path = tmp_path / "peg.toml"
    path.write_text(PART.format("轴 peg ⚙"), "utf-8")
    for kept in (lettering.find_fallback_font, lettering.font_runs):
        kept.cache_clear()
    monkeypatch.setattr(lettering, "FONT_FOLDERS", ("/none/such",))
    try:
        assert main(["make", str(path), "--out", str(tmp_path / "out")]) == 0
    finally:
        for kept in (lettering.find_fallback_font, lettering.font_runs):
            kept.cache_clear()
    told = capsys.readouterr().err
    assert "no font on this computer has 轴 ⚙" in told


def test_a_font_of_the_machine_that_is_no_font(tmp_path, monkeypatch):
    (tmp_path / "fonts").mkdir()
    (tmp_path / "fonts" / lettering.FALLBACK_FONT_FILES[0]).write_bytes(b"\0\1\0\0 no font at all")
    monkeypatch.setattr(lettering, "FONT_FOLDERS", (str(tmp_path / "fonts"),))
    lettering.find_fallback_font.cache_clear()
    try:
        assert lettering.unprintable_characters(["轴"]) == ("轴",)
    finally:
        lettering.find_fallback_font.cache_clear()
        lettering.font_runs.cache_clear()


@pytest.mark.parametrize("name", [r"C:\parts\peg.toml", r"\\server\parts\peg.stl", "peg.toml\r", "", "a\0b", "/", "."])
def test_paths_from_elsewhere(name, capsys):
    assert main(["make", name]) == 2
    assert len(capsys.readouterr().err.strip().splitlines()) == 1


def test_nobody_listens(part):
    """Standard output closed by whoever read it, and no standard streams at all."""
    done = subprocess.run(
        f"{' '.join(COMMAND)} check {part} | true; {' '.join(COMMAND)} check {part} >&- 2>&-",
        shell=True,
        capture_output=True,
        text=True,
        cwd=ROOT,
    )
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr
