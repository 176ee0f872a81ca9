"""What the disk refuses and what is killed while it writes: every file is the old one or the new one, whole."""

import resource
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SAMPLE = str(ROOT / "samples" / "eccentric-shaft.toml")
MESH = str(ROOT / "samples" / "bilge-pump-cover-cast.stl")
LESSON = str(ROOT / "samples" / "lessons" / "1-one-offset-spigot.toml")

COMMANDS = {
    "make": ["make", SAMPLE, "--booklet", "--by-hand", "--dxf", "--out"],
    "setups": ["setups", SAMPLE, "--gauge", "--out"],
    "lesson": ["lesson", LESSON, "--out"],
    "share": ["share", SAMPLE, "--out"],
}
SMALL_FILE_BYTES = 300


def only_small_files() -> None:
    """The system refuses the rest of any larger file, as a full disk does."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (SMALL_FILE_BYTES, SMALL_FILE_BYTES))


def refused(arguments: list[str], folder: Path) -> str:
    command = [sys.executable, "-B", "-m", "foldsketch.cli", *arguments]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    done = subprocess.run(command, **pipes, text=True, cwd=folder, preexec_fn=only_small_files, timeout=300)
    errors = [line for line in done.stderr.splitlines() if not line.startswith(("note: ", "warning: "))]
    assert done.returncode == 2, done.stderr
    assert len(errors) == 1, done.stderr
    return errors[0]


@pytest.mark.slow
@pytest.mark.parametrize("name", COMMANDS)
def test_a_full_disk_is_one_line_and_leaves_the_older_set(name: str, tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "mine.txt").write_text("mine")
    assert str(out) in refused([*COMMANDS[name], str(out)], tmp_path)
    assert [p.name for p in out.iterdir()] == ["mine.txt"]


@pytest.mark.slow
def test_a_part_file_that_does_not_fit(tmp_path: Path) -> None:
    assert "part.toml" in refused(["read", MESH, "--units", "mm", "--out", "part.toml"], tmp_path)
    assert list(tmp_path.iterdir()) == []


CALLS = ("fsync", "replace", "chmod", "close")

KILLED_AT = """\
import os, sys
from pathlib import Path
from foldsketch.base.files import write_all_atomically
wanted, done = int(sys.argv[1]), 0
def killing(call):
    def at(*arguments):
        global done
        done += 1
        if done == wanted:
            os._exit(9)
        return call(*arguments)
    return at
for name in sys.argv[2].split(","):
    setattr(os, name, killing(getattr(os, name)))
write_all_atomically({Path(name): b"new" * 100_000 for name in "abc"})
print(done)
"""
"""Writes three files and is killed at a call of the system of this number; 0: never."""


def killed_at(call: int, folder: Path) -> subprocess.CompletedProcess[str]:
    for name in "abc":
        (folder / name).write_bytes(b"old")
    command = [sys.executable, "-c", KILLED_AT, str(call), ",".join(CALLS)]
    return subprocess.run(command, capture_output=True, text=True, cwd=folder, timeout=60, check=False)


def test_killed_at_every_point_of_a_write_each_file_is_old_or_new(tmp_path: Path) -> None:
    whole = killed_at(0, tmp_path)
    assert whole.returncode == 0, whole.stderr
    points = int(whole.stdout)
    assert points >= 3 * len(CALLS)
    new_ones = []
    for call in range(1, points + 1):
        assert killed_at(call, tmp_path).returncode == 9
        contents = [(tmp_path / name).read_bytes() for name in "abc"]
        assert set(contents) <= {b"old", b"new" * 100_000}
        new_ones.append(sum(c != b"old" for c in contents))
    assert new_ones == sorted(new_ones)
    assert set(new_ones) == {0, 1, 2}
    assert new_ones.count(0) == points - 2, "none is replaced before all are complete on the disk"
