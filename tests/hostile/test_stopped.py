"""Ctrl-C at any moment: one line, exit code 130, nothing half written."""

import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "samples" / "eccentric-shaft.toml"

AT_CALL = """\
import signal, sys
from foldsketch.cli import main
calls, wanted = 0, int(sys.argv[1])
def count(frame, event, arg):
    global calls
    if event == "call":
        calls += 1
        if calls == wanted:
            sys.setprofile(None)
            signal.raise_signal(signal.SIGINT)
sys.setprofile(count)
done = main(sys.argv[2:])
sys.setprofile(None)
print("calls:", calls)
raise SystemExit(done)
"""
"""Runs the command line and presses Ctrl-C at the call of a function of this number; 0: never."""


def heard() -> None:
    """What a shell starts in the background is deaf to Ctrl-C; this hears it wherever the tests run."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def make(call: int, out: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", AT_CALL, str(call), "make", str(SAMPLE), "--out", str(out)]
    return subprocess.run(command, capture_output=True, text=True, cwd=ROOT, preexec_fn=heard, timeout=300)


@pytest.fixture(scope="module")
def calls(tmp_path_factory: pytest.TempPathFactory) -> int:
    """How many functions one run calls, once a first run has compiled the modules."""
    make(0, tmp_path_factory.mktemp("first"))
    done = make(0, tmp_path_factory.mktemp("whole"))
    assert done.returncode == 0, done.stderr
    return int(done.stdout.rpartition("calls:")[2])


@pytest.mark.slow
@pytest.mark.parametrize("share", [0.01, 0.1, 0.3, 0.6, 0.9, 0.99])
def test_one_line_and_130(share: float, calls: int, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = make(round(share * calls), out)
    if share == 0.99 and done.returncode == 0:
        written = [line.removeprefix("wrote ") for line in done.stdout.splitlines() if line.startswith("wrote ")]
        assert sorted(written) == sorted(map(str, out.iterdir())), "during the last import: it ends before that is over"
        return
    assert done.returncode == 130, done.stderr
    *notes, last = done.stderr.strip().splitlines()
    assert last == "stopped; no file was left half written"
    assert not [line for line in notes if not line.startswith("note: ")], "nothing but what the run had to say by then"
    assert not out.exists() or not [p for p in out.iterdir() if p.name.startswith(".")]


def test_the_page_stops_without_a_traceback() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "foldsketch.cli", "serve", "--no-browser", "--port", str(port)]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    run = subprocess.Popen(command, **pipes, text=True, cwd=ROOT, preexec_fn=heard)
    assert "stop with Ctrl-C" in run.stdout.readline()
    urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=60).close()
    run.send_signal(signal.SIGINT)
    told = run.communicate(timeout=60)[1]
    assert told == ""
    assert run.returncode == 0
