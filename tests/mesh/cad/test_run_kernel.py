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


@pytest.mark.parametrize("dies", ["import os; os.kill(os.getpid(), 11)", "raise RuntimeError", "x = bytearray(10**11)"])
def test_a_crash_is_one_line(dies, monkeypatch, tmp_path):
    (tmp_path / "cascadio.py").write_text(f"def load(*a, **k):\n    {dies}\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path), prepend=":")
    assert refusal(b"") == "cad-unreadable"


@needs_limits
def test_memory_is_bounded(monkeypatch, sleeve):
    monkeypatch.setattr(room, "MIN_KERNEL_MEMORY_BYTES", 100 * 1024**2)
    monkeypatch.setattr(room, "MEMORY_PER_BYTE", 0)
    assert refusal(sleeve.read_bytes()) == "cad-unreadable"


def test_time_on_the_clock_is_bounded_where_the_system_bounds_nothing(monkeypatch):
    def slow(*words, **how):
        raise subprocess.TimeoutExpired(words, how["timeout"])

    monkeypatch.setattr(subprocess, "run", slow)
    assert refusal(b"") == "cad-too-slow"
