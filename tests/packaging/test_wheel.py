"""Built and installed as a user gets it: sdist, the wheel from that sdist, the wheel in an empty environment."""

import os
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import venv
import zipfile
from email import message_from_string
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "samples" / "eccentric-shaft.toml"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]

FILES = ("README.md", "DEVELOPERS.md", "pyproject.toml")
FOLDERS = (".ci", "benchmarks", "docs", "foldsketch", "samples", "tests")

BUILD = "import sys; import hatchling.build as b; print(getattr(b, sys.argv[1])(sys.argv[2]))"


def build(what, tree, out):
    """Call the build backend of pyproject.toml as an installer does, without fetching anything."""
    done = subprocess.run([sys.executable, "-c", BUILD, what, str(out)], cwd=tree, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return out / done.stdout.splitlines()[-1]


@pytest.fixture(scope="module")
def sdist(tmp_path_factory):
    tree = tmp_path_factory.mktemp("tree") / "checkout"
    tree.mkdir()
    for name in (*FILES, *FOLDERS):
        if (ROOT / name).is_file():
            shutil.copy(ROOT / name, tree)
        else:
            shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__", ".*_cache"))
    return build("build_sdist", tree, tmp_path_factory.mktemp("sdist"))


@pytest.fixture(scope="module")
def unpacked(sdist, tmp_path_factory):
    folder = tmp_path_factory.mktemp("unpacked")
    with tarfile.open(sdist) as packed:
        packed.extractall(folder, filter="data")
    (tree,) = folder.iterdir()
    return tree


@pytest.fixture(scope="module")
def wheel(unpacked, tmp_path_factory):
    """Built from the unpacked sdist alone: what is missing there is missing here."""
    return build("build_wheel", unpacked, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """An empty environment with the wheel in it; what it depends on is lent by the environment of the tests."""
    folder = tmp_path_factory.mktemp("fresh") / "venv"
    venv.create(folder, with_pip=False, symlinks=os.name != "nt")
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    python = scripts / "python"
    pip = [sys.executable, "-m", "pip", "--python", str(python)]
    words = ["install", "--no-deps", "--no-index", "--disable-pip-version-check", str(wheel)]
    done = subprocess.run([*pip, *words], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    asked = [str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"]
    own = Path(subprocess.run(asked, capture_output=True, text=True, check=True).stdout.strip())
    lent = dict.fromkeys((sysconfig.get_path("purelib"), sysconfig.get_path("platlib")))
    (own / "lent.pth").write_text("\n".join(lent) + "\n", "utf-8")
    return scripts


def run(installed, *words, cwd):
    """The installed command, away from the checkout and from its own environment's variables."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "VIRTUAL_ENV"))}
    command = [str(installed / words[0]), *map(str, words[1:])]
    return subprocess.run(command, cwd=cwd, env=kept, capture_output=True, text=True, timeout=120)


def test_the_wheel_has_every_file_of_the_package(wheel):
    ours = {
        str(p.relative_to(ROOT).as_posix())
        for p in (ROOT / "foldsketch").rglob("*")
        if p.is_file() and "__pycache__" not in p.parts
    }
    with zipfile.ZipFile(wheel) as packed:
        theirs = {n for n in packed.namelist() if ".dist-info/" not in n}
    assert theirs == ours
    assert {"foldsketch/py.typed", "foldsketch/web/files/page.js"} <= theirs


def test_what_the_wheel_says_of_itself(wheel):
    with zipfile.ZipFile(wheel) as packed:
        name = next(n for n in packed.namelist() if n.endswith(".dist-info/METADATA"))
        told = message_from_string(packed.read(name).decode("utf-8"))
    assert told["Name"] == "foldsketch"
    assert told["Version"] == PROJECT["version"]
    assert told["License-Expression"] == PROJECT["license"] == "MIT"
    assert told["Requires-Python"] == PROJECT["requires-python"]
    assert "paper model" in told.get_payload()
    plain = {r for r in told.get_all("Requires-Dist") if "extra ==" not in r}
    assert plain == set(PROJECT["dependencies"])


def test_the_sdist_is_no_rubbish_heap(sdist):
    with tarfile.open(sdist) as packed:
        names = ["/".join(n.split("/")[1:]) for n in packed.getnames()]
    assert {"README.md", "pyproject.toml", "PKG-INFO"} <= set(names)
    assert not [n for n in names if "__pycache__" in n or n.endswith((".pyc", ".log"))]


@pytest.mark.slow
def test_the_sdist_has_all_that_the_tests_need(unpacked):
    ours = {
        p.relative_to(ROOT)
        for name in FOLDERS
        for p in (ROOT / name).rglob("*")
        if p.is_file() and not any(part == "__pycache__" or part.endswith("_cache") for part in p.parts)
    }
    assert not {p for p in (*ours, *map(Path, FILES)) if not (unpacked / p).is_file()}
    # Every test module can be imported there, and the links between its pages lead somewhere.
    kept = {k: v for k, v in os.environ.items() if not k.startswith("PYTEST")}
    own = {**kept, "PYTHONPATH": str(unpacked)}
    pytest_ = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider"]
    for words in (["--collect-only", "tests"], ["tests/docs/test_links.py"]):
        done = subprocess.run([*pytest_, *words], cwd=unpacked, env=own, capture_output=True, text=True, timeout=300)
        assert done.returncode == 0, done.stdout + done.stderr


def test_the_licence_goes_along(wheel):
    with zipfile.ZipFile(wheel) as packed:
        (name,) = (n for n in packed.namelist() if n.endswith(".dist-info/licenses/docs/licence.md"))
        assert packed.read(name) == (ROOT / "docs" / "licence.md").read_bytes()


@pytest.mark.slow
def test_it_is_the_wheel_that_runs(installed, tmp_path):
    done = run(installed, "python", "-c", "import foldsketch; print(foldsketch.__file__)", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert Path(done.stdout.strip()).is_relative_to(installed.parent)


@pytest.mark.slow
def test_help_and_version(installed, tmp_path):
    done = run(installed, "foldsketch", "--help", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "foldsketch make" in done.stdout
    assert run(installed, "foldsketch", "--version", cwd=tmp_path).stdout.strip() == PROJECT["version"]


@pytest.mark.slow
def test_a_sample_is_made_outside_the_checkout(installed, tmp_path):
    shutil.copy(SAMPLE, tmp_path)
    done = run(installed, "foldsketch", "make", SAMPLE.name, "--booklet", "--out", "out", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    made = {p.name for p in (tmp_path / "out").iterdir()}
    assert {"eccentric-shaft.pdf", "eccentric-shaft-booklet.pdf", "eccentric-shaft.net.json"} <= made
    assert (tmp_path / "out" / "eccentric-shaft.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.slow
def test_the_page_to_send_finds_its_files(installed, tmp_path):
    """Script and style are files of the package, not modules; an installation that lost them would fail here."""
    shutil.copy(SAMPLE, tmp_path)
    done = run(installed, "foldsketch", "share", SAMPLE.name, "--out", "out", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert b"<script" in (tmp_path / "out" / "eccentric-shaft.html").read_bytes()
