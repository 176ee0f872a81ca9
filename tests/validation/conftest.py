"""The exact kernel in the gmsh wheel, for the modules that check against it."""

from collections.abc import Iterator

import pytest

from cad_files import benchmark


@pytest.fixture(scope="module")
def kernel() -> Iterator[object]:
    """Its model, empty."""
    gmsh = pytest.importorskip("gmsh")
    with benchmark("reading_parts").kernel():
        gmsh.clear()
        yield gmsh.model
