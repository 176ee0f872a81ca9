"""The package as a notebook sees it: light to import, one list of names, short reprs."""

import importlib.metadata
import subprocess
import sys
from pathlib import Path

import pytest

import foldsketch

SAMPLES = Path(__file__).parents[1] / "samples"


def test_every_name_is_there_and_listed():
    assert len(set(foldsketch.__all__)) == len(foldsketch.__all__)
    assert set(foldsketch.__all__) <= set(dir(foldsketch))
    for name in foldsketch.__all__:
        assert getattr(foldsketch, name) is not None
    everything = {}
    exec("from foldsketch import *", everything)
    assert set(foldsketch.__all__) <= everything.keys()


def test_the_version_is_that_of_the_installed_package():
    assert foldsketch.__version__ == importlib.metadata.version("foldsketch")


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'fold_for_me'"):
        foldsketch.fold_for_me  # noqa: B018


def test_names_are_not_hidden_by_modules_of_their_name():
    """A module of the package would take the place of a function of its name as soon as anything imports it."""
    folder = Path(foldsketch.__file__).parent
    for name in foldsketch.__all__:
        assert not (folder / f"{name}.py").exists() and not (folder / name).exists()


@pytest.mark.parametrize("name", ["Part", "Choices", "read_part", "read_mesh", "plan", "FoldsketchError"])
def test_a_name_brings_only_what_it_needs(name):
    """Reading a part file or planning needs no PDF, no mesh reader and no server."""
    unneeded = {"reportlab", "trimesh", "starlette", "uvicorn", "scipy", "ezdxf"}
    code = f"import sys, foldsketch; foldsketch.{name}; print(sorted(m for m in {unneeded!r} if m in sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.fixture(scope="module")
def cover():
    part, _ = foldsketch.read_part(SAMPLES / "bilge-pump-cover.toml")
    return part, foldsketch.model(part), foldsketch.plan(part)


def test_reprs_take_a_line_or_two(cover):
    part, made, planned = cover
    shown = [*cover, part.axes[0], part.features[0], made.nets, made.nets.pieces, made.solids, made.faceted]
    shown += [*planned.setups, planned.setups, foldsketch.DEFAULT_MACHINE, made.findings[:1]]
    for value in shown:
        assert len(repr(value)) < 700 and "\n" not in repr(value), type(value)
    for value in cover:
        assert len(repr(value)) < 120


def test_the_default_machine_is_that_of_the_command_line(cover, capsys):
    import json

    from foldsketch.cli import main

    planned = cover[2]
    assert main(["setups", str(SAMPLES / "bilge-pump-cover.toml"), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    report = foldsketch.plan_report(planned)
    assert printed["machine"] == report["machine"] == foldsketch.DEFAULT_MACHINE.name
    assert printed["setups"] == json.loads(json.dumps(report["setups"]))
