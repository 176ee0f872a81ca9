"""What the fuzzer found, each file kept: it ends in findings now (benchmarks/fuzz.py finds more)."""

from pathlib import Path

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.part.file.read import read_part

FOUND = sorted((Path(__file__).parent / "found").iterdir())


def read(path: Path) -> object:
    if path.suffix in (".toml", ".json"):
        return read_part(path)
    return recognise_mesh(path, "mm", False, None, lambda stage, done: None)


@pytest.mark.parametrize("path", FOUND, ids=lambda p: p.name)
def test_ends_in_findings(path: Path) -> None:
    with pytest.raises(FoldsketchError) as caught:
        read(path)
    assert all(len(str(f).splitlines()) == 1 for f in caught.value.findings)
