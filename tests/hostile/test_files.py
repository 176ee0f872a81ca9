"""Folders, names and disks that are against us: never a half file, never a lost one, one clear line, exit code 2."""

import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy
import pytest

from foldsketch.base.files import write_all_atomically, write_atomically
from foldsketch.base.findings import FoldsketchError
from foldsketch.cli import main

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "samples"
SMALL = """\
name = "peg"
units = "mm"
[[axis]]
name = "A"
at = [0, 0]
[[feature]]
name = "head"
axis = "A"
shape = "prism"
sides = 4
across_flats = 20
start = 0
end = 10
"""


@pytest.fixture
def part(tmp_path):
    path = tmp_path / "peg.toml"
    path.write_text(SMALL)
    return path


def told(capsys):
    lines = capsys.readouterr().err.strip().splitlines()
    return [line for line in lines if line.startswith("error")]


def names(folder):
    return sorted(p.name for p in folder.iterdir())


NEW = ["peg-1.svg", "peg.net.json", "peg.pdf", "peg.png"]


@pytest.mark.parametrize("out", ["file", "file/below", "/dev/null", "/dev/full", "/proc/none"])
def test_an_output_folder_that_is_none(out, part, tmp_path, capsys):
    (tmp_path / "file").write_text("mine")
    assert main(["make", str(part), "--out", str(tmp_path / out)]) == 2
    (line,) = told(capsys)
    assert "cannot be written" in line
    assert (tmp_path / "file").read_text() == "mine"


def test_a_folder_where_a_file_should_go(part, tmp_path, capsys):
    out = tmp_path / "out"
    (out / "peg.png").mkdir(parents=True)
    (out / "peg.pdf").write_text("older")
    assert main(["make", str(part), "--out", str(out)]) == 2
    assert "there is a folder of that name" in told(capsys)[0]
    assert names(out) == ["peg.pdf", "peg.png"]
    assert (out / "peg.pdf").read_text() == "older"


def test_a_name_that_is_too_long_once_it_is_an_output_name(tmp_path, capsys):
    path = tmp_path / ("n" * 249 + ".toml")
    path.write_text(SMALL)
    assert main(["make", str(path), "--out", str(tmp_path / "out")]) == 2
    assert "file name too long" in told(capsys)[0]
    assert names(tmp_path / "out") == []


def test_a_link_is_replaced_and_not_followed(part, tmp_path):
    (tmp_path / "precious").write_text("mine")
    out = tmp_path / "out"
    out.mkdir()
    for name in NEW:
        (out / name).symlink_to(tmp_path / "precious")
    assert main(["make", str(part), "--out", str(out)]) == 0
    assert (tmp_path / "precious").read_text() == "mine"
    assert not any((out / n).is_symlink() for n in NEW)


def test_a_link_in_a_circle_as_part_and_as_folder(part, tmp_path, capsys):
    (tmp_path / "loop.toml").symlink_to(tmp_path / "loop.toml")
    (tmp_path / "round").symlink_to(tmp_path / "round")
    assert main(["make", str(tmp_path / "loop.toml")]) == 2
    assert main(["make", str(part), "--out", str(tmp_path / "round")]) == 2
    assert len(told(capsys)) == 2


@pytest.mark.parametrize("after", [0, 1, 3])
def test_a_full_disk_leaves_the_older_set_whole(after, part, tmp_path, capsys, monkeypatch):
    out = tmp_path / "out"
    assert main(["make", str(part), "--out", str(out)]) == 0
    before = {n: (out / n).read_bytes() for n in names(out)}
    part.write_text(SMALL.replace("20", "30"))
    count = 0

    def full(handle):
        nonlocal count
        count += 1
        if count > after:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert main(["make", str(part), "--out", str(out)]) == 2
    assert "no space left on device" in told(capsys)[0]
    assert {n: (out / n).read_bytes() for n in names(out)} == before


def test_a_file_may_grow_no_further(part, tmp_path):
    """A real bound of the system, met in the middle of a file."""
    out = tmp_path / "out"
    out.mkdir()
    (out / "peg.pdf").write_text("older")

    def small():
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    command = [sys.executable, "-m", "foldsketch.cli", "make", str(part), "--out", str(out)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, preexec_fn=small)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert "cannot be written" in done.stderr
    assert names(out) == ["peg.pdf"]
    assert (out / "peg.pdf").read_text() == "older"


def test_a_disk_that_is_full_indeed(part, tmp_path):
    """A file system of 64 kB, where one can be mounted."""
    out = tmp_path / "out"
    out.mkdir()
    mount = shutil.which("mount")
    if (
        not mount
        or subprocess.run([mount, "-t", "tmpfs", "-o", "size=64k", "none", str(out)], capture_output=True).returncode
    ):
        pytest.skip("no small file system can be mounted here")
    try:
        (out / "filler").write_bytes(b"x" * 60_000)
        command = [sys.executable, "-m", "foldsketch.cli", "make", str(part), "--out", str(out)]
        done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
        assert done.returncode == 2
        assert "no space left" in done.stderr
        assert "Traceback" not in done.stderr
        assert names(out) == ["filler"]
    finally:
        subprocess.run(["umount", str(out)], check=True)


def open_to_all(path):
    """Whether somebody who is nobody may read a file and walk to it."""
    walk = all(folder.stat().st_mode & 0o001 for folder in path.parents)
    return walk and bool(path.stat().st_mode & 0o004)


@pytest.fixture
def open_folder():
    """A folder that nobody may enter; pytest's own are closed again whenever another pytest starts."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder)


@pytest.mark.skipif(os.geteuid() != 0, reason="to become nobody one must be root")
@pytest.mark.skipif(not open_to_all(Path(numpy.__file__)), reason="nobody may look into this environment")
def test_a_folder_without_permission_and_a_home_that_is_read_only(open_folder):
    part, tmp_path = open_folder / "peg.toml", open_folder
    part.write_text(SMALL)
    out = tmp_path / "out"
    out.mkdir(mode=0o555)
    allowed = tmp_path / "allowed"
    allowed.mkdir()
    os.chown(allowed, 65534, 65534)
    environment = {**os.environ, "HOME": str(out), "XDG_CACHE_HOME": str(out), "PYTHONDONTWRITEBYTECODE": "1"}

    def run(folder):
        # The libraries may lie where nobody may look, so they are loaded before the rights are given up.
        code = (
            "import os, sys\n"
            "from foldsketch.cli import main\n"
            "main([*sys.argv[1:4], os.path.join(os.path.dirname(sys.argv[2]), 'warm')])\n"
            "os.setgid(65534); os.setuid(65534)\n"
            "sys.exit(main(sys.argv[1:]))"
        )
        command = [sys.executable, "-c", code, "make", str(part), "--out", str(folder)]
        return subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=environment)

    done = run(out)
    assert done.returncode == 2, done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert "permission denied" in done.stderr
    assert names(out) == []
    done = run(allowed)
    assert done.returncode == 0, done.stderr
    assert names(allowed) == NEW


def test_a_mended_set_is_all_or_nothing(tmp_path):
    (tmp_path / "a").write_text("old")
    (tmp_path / "b").mkdir()
    with pytest.raises(FoldsketchError):
        write_all_atomically({tmp_path / "a": b"new", tmp_path / "b": b"new"})
    assert (tmp_path / "a").read_text() == "old"
    assert names(tmp_path) == ["a", "b"]
    os.umask(before := os.umask(0o027))
    os.umask(before)
    write_atomically(tmp_path / "c", b"x")
    assert (tmp_path / "c").stat().st_mode & 0o777 == 0o666 & ~before


def test_only_pages_of_earlier_runs_go(part, tmp_path):
    out = tmp_path / "out"
    (out / "peg-9.svg").mkdir(parents=True)
    kept = ["peg-².svg", "peg-٣.svg", "peg-2024.svg", "peg-0.svg", "peg-1-2.svg", "peg--1.svg", "pegs-7.svg"]
    for name in [*kept, "peg-8.svg", "peg-8-back.svg"]:
        (out / name).write_text("someone's")
    assert main(["make", str(part), "--out", str(out)]) == 0
    assert set(names(out)) == {*kept, *NEW, "peg-9.svg"}


@pytest.mark.parametrize("stem", ["[a]", "*", "-", "a b", "пег", "轴", "$(x)", "%s", "a\\b", "CON", "a\nb", "\u202eb"])
def test_odd_names(stem, tmp_path):
    path = tmp_path / f"{stem}.toml"
    path.write_text(SMALL)
    out = tmp_path / "out"
    out.mkdir()
    (out / f"{stem}-3.svg").write_text("a page of a longer run")
    assert main(["make", str(path), "--out", str(out)]) == 0
    assert names(out) == sorted(n.replace("peg", stem) for n in NEW)


def test_a_name_that_is_no_text(tmp_path, capsys):
    mesh = Path(os.fsdecode(os.fsencode(tmp_path) + b"/bad\xff.stl"))
    shutil.copy(SAMPLES / "pipe-bracket.stl", mesh)
    assert main(["read", str(mesh), "--units", "mm", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["source"] == "bad?.stl"
    part = Path(os.fsdecode(os.fsencode(tmp_path) + b"/bad\xff.toml"))
    part.write_text(SMALL)
    assert main(["make", str(part), "--out", str(tmp_path / "out")]) == 0
    assert main(["setups", str(part), "--json"]) in (0, 2)


def test_two_lessons_of_one_name(tmp_path, capsys):
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        shutil.copy(SAMPLES / "eccentric-shaft.toml", tmp_path / folder)
    parts = [str(tmp_path / f / "eccentric-shaft.toml") for f in ("a", "b")]
    assert main(["lesson", *parts, "--out", str(tmp_path / "out")]) == 2
    assert "two part files" in told(capsys)[0]
    assert not (tmp_path / "out").exists()


def test_what_is_asked_for_beside_the_sheets_is_part_of_the_set(part, tmp_path, capsys):
    """A booklet, a DXF page and a single net whose names are taken by folders: the older sheets stay."""
    for taken in ("peg-booklet.pdf", "peg-1.dxf", "peg-net-1.svg"):
        out = tmp_path / taken
        assert main(["make", str(part), "--out", str(out)]) == 0
        older = {n: (out / n).read_bytes() for n in NEW}
        (out / taken).mkdir()
        wider = tmp_path / "wider" / "peg.toml"
        wider.parent.mkdir(exist_ok=True)
        wider.write_text(SMALL.replace("20", "30"))
        assert main(["make", str(wider), "--booklet", "--dxf", "--pieces", "--out", str(out)]) == 2
        assert "there is a folder of that name" in told(capsys)[0]
        assert {n: (out / n).read_bytes() for n in NEW} == older
        assert names(out) == sorted([*NEW, taken])


def test_numbered_files_of_a_longer_run_go_where_this_run_writes_such(part, tmp_path):
    out = tmp_path / "out"
    out.mkdir()
    for name in ("peg-7.dxf", "peg-net-7.svg", "peg-x.dxf"):
        (out / name).write_text("older")
    assert main(["make", str(part), "--out", str(out)]) == 0
    assert names(out) == sorted([*NEW, "peg-7.dxf", "peg-net-7.svg", "peg-x.dxf"])
    assert main(["make", str(part), "--dxf", "--pieces", "--out", str(out)]) == 0
    assert names(out) == sorted([*NEW, "peg-1.dxf", "peg-net-1.svg", "peg-x.dxf"])


def test_talk_sheets_and_gauge_are_one_set(tmp_path, capsys):
    (tmp_path / "eccentric-shaft-gauge.pdf").mkdir()
    (tmp_path / "eccentric-shaft-setups.pdf").write_text("older")
    assert main(["setups", str(SAMPLES / "eccentric-shaft.toml"), "--gauge", "--out", str(tmp_path)]) == 2
    assert "there is a folder of that name" in told(capsys)[0]
    assert (tmp_path / "eccentric-shaft-setups.pdf").read_text() == "older"


def test_lessons_are_one_set(tmp_path, capsys):
    lessons = sorted((SAMPLES / "lessons").glob("*.toml"))[:2]
    (tmp_path / f"{lessons[1].stem}-answers.pdf").mkdir()
    assert main(["lesson", *map(str, lessons), "--out", str(tmp_path)]) == 2
    assert "there is a folder of that name" in told(capsys)[0]
    assert names(tmp_path) == [f"{lessons[1].stem}-answers.pdf"]


def test_two_runs_into_one_folder(part, tmp_path):
    """Whoever is last wins each name, and every file is whole."""
    out = tmp_path / "out"
    other = tmp_path / "other" / "peg.toml"
    other.parent.mkdir()
    other.write_text(SMALL.replace("20", "30"))
    runs = [
        subprocess.Popen(
            [sys.executable, "-m", "foldsketch.cli", "make", str(p), "--out", str(out)],
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )
        for p in (part, other)
    ]
    for run in runs:
        assert run.wait(60) == 0
        assert b"Traceback" not in run.stderr.read()
        run.stderr.close()
    assert names(out) == NEW
    json.loads((out / "peg.net.json").read_bytes())
    assert (out / "peg.pdf").read_bytes().rstrip().endswith(b"%%EOF")
    assert (out / "peg-1.svg").read_bytes().rstrip().endswith(b"</svg>")
    assert (out / "peg.png").read_bytes().endswith(b"IEND\xaeB`\x82")
