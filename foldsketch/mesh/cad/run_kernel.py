"""Run kernel: a STEP or IGES file becomes triangles with exact faces (GLB), in a process with bounds."""

from __future__ import annotations

import importlib.util
import subprocess
import sys

from foldsketch.base.findings import Quantity
from foldsketch.mesh.cad import messages

MIN_KERNEL_SECONDS, SECONDS_PER_MEGABYTE, MAX_KERNEL_SECONDS = 10, 10, 300
"""Processor time that the kernel may take: a part of 1 MB takes well under a second."""

WAITING_FACTOR = 10
"""Time on the clock over processor time after which the process is stopped: the machine may be busy."""

MIN_KERNEL_MEMORY_BYTES, MEMORY_PER_BYTE = 2 * 1024**3, 60
"""Address space that the kernel may take, and more for every byte of the file."""


def run_kernel(where: str, kind: str, data: bytes) -> bytes:
    """GLB of the bytes of a file of a kind ("step" or "iges").

    where: name of the file. Raises FoldsketchError when the kernel is not installed, cannot read the file, or takes too
    long or too much memory.
    """
    if importlib.util.find_spec("cascadio") is None:
        raise messages.NOT_INSTALLED.error(where, format=kind.upper())
    seconds = min(MIN_KERNEL_SECONDS + SECONDS_PER_MEGABYTE * len(data) // 10**6, MAX_KERNEL_SECONDS)
    memory = MIN_KERNEL_MEMORY_BYTES + MEMORY_PER_BYTE * len(data)
    command = [sys.executable, "-m", "foldsketch.mesh.cad.kernel_process", kind, str(seconds), str(memory)]
    too_slow = messages.TOO_SLOW.error(where, seconds=Quantity(seconds, "s"))
    try:
        done = subprocess.run(command, input=data, capture_output=True, timeout=WAITING_FACTOR * seconds, check=False)
    except subprocess.TimeoutExpired:
        raise too_slow from None
    if done.returncode in _out_of_time():
        raise too_slow
    if done.returncode != 0 or not done.stdout:
        raise messages.KERNEL_FAILED.error(where)
    return done.stdout


def _out_of_time() -> tuple[int, ...]:
    """How a process ends that has used up its processor time."""
    import signal

    return (-int(signal.SIGXCPU), -int(signal.SIGKILL)) if hasattr(signal, "SIGXCPU") else ()
