"""Kernel process: STEP or IGES on standard input, triangles with their exact faces (GLB) on standard output.

The CAD kernel is C++. A damaged file can crash it, keep it busy for ever or make it take all memory, so it runs in a
process of its own: ``python -m foldsketch.mesh.cad.kernel_process step 60 4000000000`` (format, seconds of processor
time, bytes of memory).
"""

from __future__ import annotations

import os
import sys

CHORD_ERROR_RATIO = 5e-4
"""A side of a triangle is off its edge by no more than this share of the edge's size."""

CHORD_ANGLE_RAD = 0.2
"""Two neighbours on a round are turned by no more than this: 32 sides or more on a full turn."""


def _bound(seconds: int, memory: int) -> None:
    """Bound processor time and memory of this process, where the system can."""
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    except (ImportError, ValueError, OSError):
        pass  # this system cannot; the caller's clock still does


def main() -> None:
    """Read, convert, write. The kernel prints its own messages on standard output: they are thrown away."""
    kind, seconds, memory = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    answer = os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    _bound(seconds, memory)
    import cascadio

    data = sys.stdin.buffer.read()
    with answer:
        answer.write(
            cascadio.load(
                data,
                "iges" if kind == "iges" else "step",
                tol_linear=CHORD_ERROR_RATIO,
                tol_angular=CHORD_ANGLE_RAD,
                tol_relative=True,
                use_parallel=False,
                include_brep=True,
            )
        )


if __name__ == "__main__":
    main()
