"""The kernel in the gmsh wheel, which draws and writes; and one file of it that many tests read."""

from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from cad_files import benchmark

pytest.importorskip("gmsh")
pytest.importorskip("cascadio")


@pytest.fixture(scope="session")
def cad() -> Iterator[ModuleType]:
    """The module that writes parts, with its kernel running."""
    with benchmark("reading_parts").kernel():
        yield benchmark("cad_parts")


@pytest.fixture(scope="session")
def sleeve(cad: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sleeve of 60 and 40 mm diameter, 50 mm long, as STEP in mm."""
    path = tmp_path_factory.mktemp("cad") / "sleeve.step"
    cad.write_cad("sleeve", path)
    return path
