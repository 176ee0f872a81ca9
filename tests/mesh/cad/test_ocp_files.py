"""STEP and IGES written by the kernel in an OCP wheel, a release of its own: its drawing has the truth."""

from pathlib import Path

import pytest

from cad_files import benchmark

pytest.importorskip("OCP", reason="no OCP wheel: pip install -e '.[ocp]'")
pytest.importorskip("cascadio")

KINDS = benchmark("ocp_parts").KINDS
PLACED_MM = 3e-5
"""The kernel hands over the place of a body with 24 bits: 0.3 m to 1.5e-8 m."""


@pytest.mark.slow
@pytest.mark.parametrize("seed", [3, 4])
@pytest.mark.parametrize("kind", KINDS)
def test_random_parts_are_read_as_they_were_drawn(kind: str, seed: int, tmp_path: Path) -> None:
    """One to eight diameters in a random pose, some in two halves; the assembly has each twice."""
    score = benchmark("ocp_parts").read_random(seed, kind, tmp_path)
    assert score.drawn >= 1
    assert (score.missed, score.invented) == (0, 0)
    assert score.diameter < 1e-6
    assert score.position < (PLACED_MM if kind.endswith("assembly") else 1e-6)
    assert score.direction < 1e-5  # degrees
