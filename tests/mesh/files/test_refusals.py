"""Files that are no sound mesh, on the command line: one line on standard error, exit code 2, nothing written, soon."""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from bad_meshes import BAD, EMPTY_INSIDE, bad_file
from foldsketch.cli import main


@pytest.mark.parametrize("name", [*BAD, *EMPTY_INSIDE])
def test_one_line_exit_2_within_two_seconds(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, data, _ = bad_file(name)
    path = tmp_path / file
    path.write_bytes(data)
    for command in (["read", "--json"], ["make", "--out", str(tmp_path / "out")]):
        if path.suffix == ".step" and command[0] == "make":
            continue  # by its suffix no mesh, so it is read as a part file
        started = time.process_time()
        assert main([command[0], str(path), "--units", "mm", *command[1:]]) == 2
        assert time.process_time() - started < 2.0
        shown = capsys.readouterr()
        assert shown.out == ""
        assert len(shown.err.strip().splitlines()) == 1, shown.err
        assert file in shown.err
        assert str(tmp_path) not in shown.err
    assert not (tmp_path / "out").exists()


def test_a_folder_and_what_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "folder.stl").mkdir()
    for name in ("folder.stl", "missing.stl"):
        assert main(["read", str(tmp_path / name)]) == 2
        assert len(capsys.readouterr().err.strip().splitlines()) == 1


@pytest.mark.slow
def test_from_a_cold_start_soon_and_in_little_memory(tmp_path: Path) -> None:
    """A count of all bits, in a process that may not take more than 1 GB."""
    path = tmp_path / "a.stl"
    path.write_bytes(bad_file("declares all bits")[1] + np.random.default_rng(1).bytes(5000))
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30)); "
        "from foldsketch.cli import main; sys.exit(main(['read', sys.argv[1]]))"
    )
    started = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime  # a busy machine is no reason to fail
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - started < 4.0
