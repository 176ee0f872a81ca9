import importlib.util
import signal
import subprocess

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.cad import run_kernel as room
from foldsketch.mesh.cad.run_kernel import run_kernel

needs_limits = pytest.mark.skipif(not hasattr(signal, "SIGXCPU"), reason="this system does not bound processes")


def refusal(data):
    with pytest.raises(FoldsketchError) as raised:
        run_kernel("a.step", "step", data)
    (finding,) = raised.value.findings
    assert finding.where == "a.step"
    return finding.code


@pytest.mark.slow
def test_a_whole_file_gives_a_glb(sleeve):
    assert run_kernel("a.step", "step", sleeve.read_bytes())[:4] == b"glTF"


def test_without_the_package_one_line_says_what_to_install(monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(FoldsketchError) as raised:
        run_kernel("a.step", "step", b"")
    assert "pip install -e '.[cad]'" in str(raised.value) and len(str(raised.value).splitlines()) == 1


def test_what_the_kernel_cannot_read():
    assert refusal(b"nothing of the kind") == "cad-unreadable"


@needs_limits
def test_processor_time_is_bounded(monkeypatch, tmp_path):
    """The process is given a file that never ends, in the place of one that keeps the kernel busy for ever."""
    monkeypatch.setattr(room, "MIN_KERNEL_SECONDS", 1)
    monkeypatch.setattr(room, "WAITING_FACTOR", 60)
    (tmp_path / "cascadio.py").write_text("def load(*a, **k):\n    while True:\n        pass\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path), prepend=":")
    assert refusal(b"") == "cad-too-slow"


@pytest.mark.parametrize(
    ("dies", "code"),
    [
        ("import os; os.kill(os.getpid(), 11)", "cad-unreadable"),
        ("raise RuntimeError", "cad-unreadable"),
        ("return b''", "cad-unreadable"),
        ("x = bytearray(10**11)", "cad-out-of-memory"),
        ("import os; os.kill(os.getpid(), 9)", "cad-out-of-memory"),
    ],
)
def test_a_crash_is_one_line(dies, code, monkeypatch, tmp_path):
    (tmp_path / "cascadio.py").write_text(f"def load(*a, **k):\n    {dies}\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path), prepend=":")
    assert refusal(b"") == code


@pytest.mark.parametrize("why", ["ImportError", "MemoryError", "OSError"])
def test_a_kernel_that_does_not_start_says_nothing_about_the_file(why, monkeypatch, tmp_path):
    (tmp_path / "cascadio.py").write_text(f"raise {why}\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path), prepend=":")
    assert refusal(b"") == "cad-kernel-not-started"


def test_a_kernel_that_dies_once_is_started_again(monkeypatch, tmp_path):
    """As one does whose machine was out of memory for a moment: it says nothing about the file."""
    seen = tmp_path / "seen"
    (tmp_path / "cascadio.py").write_text(
        "import os, pathlib\n"
        "def load(*a, **k):\n"
        f"    seen = pathlib.Path({str(seen)!r})\n"
        "    if seen.exists(): return b'glTF'\n"
        "    seen.touch(); os.kill(os.getpid(), 11)\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path), prepend=":")
    assert run_kernel("a.step", "step", b"") == b"glTF"


@needs_limits
def test_memory_is_bounded(monkeypatch, sleeve):
    """What the libraries take before the file is looked at does not count."""
    monkeypatch.setattr(room, "MEMORY_PER_BYTE", 0)
    monkeypatch.setattr(room, "MIN_KERNEL_MEMORY_BYTES", 4 * 1024**2)
    assert refusal(sleeve.read_bytes()) in ("cad-out-of-memory", "cad-unreadable")


def test_time_on_the_clock_is_bounded_where_the_system_bounds_nothing(monkeypatch):
    def slow(*words, **how):
        raise subprocess.TimeoutExpired(words, how["timeout"])

    monkeypatch.setattr(subprocess, "run", slow)
    assert refusal(b"") == "cad-too-slow"
