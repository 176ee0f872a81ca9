"""Run kernel: a STEP or IGES file becomes triangles with exact faces (GLB), in a process with bounds."""

from __future__ import annotations

import importlib.util
import os
import signal
import subprocess
import sys

from foldsketch.base.findings import Quantity
from foldsketch.mesh.cad import messages
from foldsketch.mesh.cad.kernel_process import NO_MEMORY, NOT_STARTED, UNREADABLE

MIN_KERNEL_SECONDS, SECONDS_PER_MEGABYTE, MAX_KERNEL_SECONDS = 10, 10, 300
"""Processor time that the kernel may take: a part of 1 MB takes well under a second."""

WAITING_FACTOR = 10
"""Time on the clock over processor time after which the process is stopped: the machine may be busy."""

MIN_KERNEL_MEMORY_BYTES, MEMORY_PER_BYTE = 2 * 1024**3, 60
"""Address space that the kernel may take, and more for every byte of the file."""

ATTEMPTS = 2
"""Starts of a kernel that dies without a word: a damaged file kills it each time, a busy machine does not."""

THREAD_COUNTS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""Settings of the libraries that the kernel's package loads and does not use: each thread takes address space."""


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
    one_thread = {**os.environ, **dict.fromkeys(THREAD_COUNTS, "1")}
    too_slow = messages.TOO_SLOW.error(where, seconds=Quantity(seconds, "s"))
    for _ in range(ATTEMPTS):
        try:
            done = subprocess.run(
                command, input=data, capture_output=True, timeout=WAITING_FACTOR * seconds, check=False, env=one_thread
            )
        except subprocess.TimeoutExpired:
            raise too_slow from None
        if done.returncode == -getattr(signal, "SIGXCPU", 0):
            raise too_slow
        if done.returncode == 0 and done.stdout:
            return done.stdout
        if done.returncode == UNREADABLE:
            break
    if done.returncode == NOT_STARTED:
        raise messages.KERNEL_NOT_STARTED.error(where)
    if done.returncode in (NO_MEMORY, -getattr(signal, "SIGKILL", 0)):  # the system kills what takes too much
        raise messages.KERNEL_NO_MEMORY.error(where, memory=Quantity(memory / 1e9, "GB", 1))
    raise messages.KERNEL_FAILED.error(where)
