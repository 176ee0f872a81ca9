"""The same bytes from every writer, whatever the hash seed, time zone, folder, locale and number of threads."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SAMPLES = (
    "eccentric-shaft.toml",
    "cross-drilled-boss.toml",
    "pipe-bracket.stl",
    "bilge-pump-cover-cast.stl",
    "lessons/1-one-offset-spigot.toml",
)
COMMANDS = [
    "make eccentric-shaft.toml --dxf --pieces --backs --booklet --out out",
    "make cross-drilled-boss.toml --minutes 5 --card 0.25mm --dxf --out out",
    "make pipe-bracket.stl --units mm --dxf --out out",
    "setups eccentric-shaft.toml --gauge --out out",
    "setups eccentric-shaft.toml --json",
    "lesson 1-one-offset-spigot.toml --out out",
    "share eccentric-shaft.toml --out out",
    "read bilge-pump-cover-cast.stl --units mm --out out/cover.toml",
    "read bilge-pump-cover-cast.stl --units mm --json",
]
RUN_ALL = "import sys; from foldsketch.cli import main; sys.exit(max(main(line.split()) for line in sys.argv[1:]))"
SUFFIXES = {".pdf", ".svg", ".dxf", ".png", ".json", ".html", ".toml"}

SURROUNDINGS = [
    ("here", {"PYTHONHASHSEED": "0", "TZ": "UTC", "LC_ALL": "C.UTF-8", "OMP_NUM_THREADS": "1"}),
    ("over there", {"PYTHONHASHSEED": "4", "TZ": "Asia/Kathmandu", "LC_ALL": "de_DE.UTF-8", "OMP_NUM_THREADS": "2"}),
    ("ő/deeper", {"PYTHONHASHSEED": "7", "TZ": "America/St_Johns", "LC_ALL": "C", "PYTHONUTF8": "0", "HOME": "/none"}),
]
"""A folder each; seeds under which Python's sets of names have different orders."""


def written(folder, environment):
    """What all commands print as JSON or write, run in a folder of their own; name -> bytes."""
    folder.mkdir(parents=True)
    for name in SAMPLES:
        shutil.copy(ROOT / "samples" / name, folder)
    done = subprocess.run(
        [sys.executable, "-c", RUN_ALL, *COMMANDS],
        capture_output=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
    )
    assert done.returncode == 0, done.stderr.decode()
    files = {p.name: p.read_bytes() for p in (folder / "out").iterdir()}
    return {**files, "printed": done.stdout.decode("utf-8", "replace").encode("ascii", "replace")}


def test_the_seeds_tell_sets_apart():
    """Otherwise the test below could not fail."""
    orders = {
        subprocess.run(
            [sys.executable, "-c", "print(list({'LAYOUT', 'ACDBPLACEHOLDER', 'cut', 'mark', 'valley', 'A', 'B'}))"],
            capture_output=True,
            env={**os.environ, "PYTHONHASHSEED": environment["PYTHONHASHSEED"]},
        ).stdout
        for _, environment in SURROUNDINGS
    }
    assert len(orders) == len(SURROUNDINGS)


@pytest.mark.slow
def test_every_writer_repeats_under_three_seeds(tmp_path):
    first, *others = (written(tmp_path / name, environment) for name, environment in SURROUNDINGS)
    assert {Path(name).suffix for name in first} >= SUFFIXES
    for other in others:
        assert other.keys() == first.keys()
        assert [name for name, data in other.items() if data != first[name]] == []
