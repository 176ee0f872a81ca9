"""Every example in a docstring gives what it says."""

import doctest
from importlib import import_module
from pathlib import Path

import pytest

import foldsketch

HOUSE = Path(foldsketch.__file__).parent
MODULES = [p for p in sorted(HOUSE.rglob("*.py")) if ">>> " in p.read_text("utf-8")]
MODULES = [pytest.param(p, marks=pytest.mark.slow) if p.name == "inputs.py" else p for p in MODULES]  # reads meshes


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(HOUSE)))
def test_examples_hold(path, monkeypatch):
    monkeypatch.chdir(HOUSE.parent)  # some read a sample
    name = ".".join(("foldsketch", *path.relative_to(HOUSE).with_suffix("").parts)).removesuffix(".__init__")
    done = doctest.testmod(import_module(name))
    assert done.attempted > 0
    assert done.failed == 0
