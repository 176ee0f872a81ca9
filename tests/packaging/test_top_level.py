"""What lies at the top of the repository: nothing that a command wrote in passing."""

import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
KEPT = {"README.md", "DEVELOPERS.md", "pyproject.toml", "foldsketch", "tests", "samples", "docs", "benchmarks"}


@pytest.mark.skipif(not (ROOT / ".git").exists(), reason="an unpacked source archive has no list of its files")
def test_nothing_but_the_house_lies_at_the_top():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, check=True, capture_output=True, text=True).stdout
    found = {name.split("/")[0] for name in listed.splitlines()}
    assert {name for name in found if not name.startswith(".")} == KEPT
