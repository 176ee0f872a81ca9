"""Kernel process: STEP or IGES on standard input, triangles with their exact faces (GLB) on standard output.

The CAD kernel is C++. A damaged file can crash it, keep it busy for ever or make it take all memory, so it runs in a
process of its own: ``python -m foldsketch.mesh.cad.kernel_process step 60 4000000000`` (format, seconds of processor
time, bytes of memory).
"""

from __future__ import annotations

import os
import sys
import time

CHORD_ERROR_RATIO = 5e-4
"""A side of a triangle is off its edge by no more than this share of the edge's size."""

CHORD_ANGLE_RAD = 0.2
"""Two neighbours on a round are turned by no more than this: 32 sides or more on a full turn."""


NOT_STARTED, NO_MEMORY, UNREADABLE = 3, 4, 5
"""How the process ends without an answer: the kernel could not be loaded, ran out of memory, or refused the file."""


def _bound(seconds: int, memory: int) -> None:
    """Bound the processor time and memory that this process takes from here on, where the system can."""
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        used = time.process_time()
        resource.setrlimit(resource.RLIMIT_CPU, (int(used) + seconds, int(used) + seconds + 1))
        bytes_taken = _address_space()
        resource.setrlimit(resource.RLIMIT_AS, (bytes_taken + memory, bytes_taken + memory))
    except (ImportError, ValueError, OSError):
        pass  # this system cannot; the caller's clock still does


def _address_space() -> int:
    """Bytes of address space that this process has: its libraries and threads, more of them with more processors."""
    try:
        with open("/proc/self/statm", encoding="ascii") as file:
            return int(file.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError):
        return 0


def main() -> None:
    """Read, convert, write. The kernel prints its own messages on standard output: they are thrown away."""
    kind, seconds, memory = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    answer = os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    try:
        import cascadio
    except (ImportError, OSError, MemoryError):
        sys.exit(NOT_STARTED)
    data = sys.stdin.buffer.read()
    _bound(seconds, memory)
    try:
        made = cascadio.load(
            data,
            "iges" if kind == "iges" else "step",
            tol_linear=CHORD_ERROR_RATIO,
            tol_angular=CHORD_ANGLE_RAD,
            tol_relative=True,
            use_parallel=False,
            include_brep=True,
        )
    except MemoryError:
        sys.exit(NO_MEMORY)
    except (ValueError, RuntimeError):
        sys.exit(UNREADABLE)
    if not made:
        sys.exit(UNREADABLE)
    with answer:
        answer.write(made)


if __name__ == "__main__":
    main()
