"""Ctrl-C at any moment: one line, exit code 130, nothing half written."""

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "samples" / "eccentric-shaft.toml"

READY = """\
import sys
from foldsketch.cli import main
sys.stderr.write("ready\\n")
sys.stderr.flush()
raise SystemExit(main(sys.argv[1:]))
"""


def heard() -> None:
    """What a shell starts in the background is deaf to Ctrl-C; this hears it wherever the tests run."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.parametrize("share", [0.1, 0.3, 0.6])
def test_one_line_and_130(share: float, tmp_path: Path) -> None:
    out = tmp_path / "out"
    command = [sys.executable, "-c", READY, "make", str(SAMPLE), "--out", str(out)]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    run = subprocess.Popen(command, **pipes, text=True, cwd=ROOT, preexec_fn=heard)
    assert run.stderr.readline() == "ready\n"
    time.sleep(0.03 + random.Random(share).uniform(0, share))
    run.send_signal(signal.SIGINT)
    told = run.communicate(timeout=30)[1]
    assert run.returncode == 130
    assert told.strip().splitlines() == ["stopped; nothing was half written"]
    assert not out.exists() or not [p for p in out.iterdir() if p.name.startswith(".")]


def test_the_page_stops_without_a_traceback(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "foldsketch.cli", "serve", "--no-browser", "--port", "8749"]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    run = subprocess.Popen(command, **pipes, text=True, cwd=ROOT, preexec_fn=heard)
    assert "stop with Ctrl-C" in run.stdout.readline()
    time.sleep(1.0)
    run.send_signal(signal.SIGINT)
    told = run.communicate(timeout=30)[1]
    assert "Traceback" not in told
    assert run.returncode in (0, 130)
