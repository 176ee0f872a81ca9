"""The same everywhere: nox -f .ci/noxfile.py -s tests oldest bare. uv or pyenv brings the Pythons."""

from pathlib import Path

import nox

ROOT = Path(__file__).resolve().parents[1]

nox.options.default_venv_backend = "uv|virtualenv"


@nox.session(python=["3.11", "3.12", "3.13"])
def tests(session: nox.Session) -> None:
    """The whole suite with the newest allowed dependencies."""
    session.chdir(ROOT)
    session.install(".[test]")
    session.run("python", "-m", "pytest", "-m", "", "-n", "2", *session.posargs)


@nox.session(python="3.11", venv_backend="uv")
def oldest(session: nox.Session) -> None:
    """The whole suite with the oldest allowed ones."""
    session.chdir(ROOT)
    session.install("--resolution", "lowest-direct", ".[test]")
    session.run("python", "-m", "pytest", "-m", "", "-n", "2", *session.posargs)


@nox.session(python="3.11")
def bare(session: nox.Session) -> None:
    """Without extras: sheets come out, and what needs an extra says so in one line with exit code 2."""
    session.chdir(ROOT)
    session.install(".")
    sample = "samples/eccentric-shaft.toml"
    session.run("foldsketch", "make", sample, "--out", session.create_tmp())
    session.run("foldsketch", "make", sample, "--dxf", success_codes=[2])
    session.run("foldsketch", "serve", "--no-browser", success_codes=[2])
    mesh = "samples/pipe-bracket.stl"
    session.run("foldsketch", "make", mesh, "--units", "mm", "--out", session.create_tmp(), success_codes=[2])
