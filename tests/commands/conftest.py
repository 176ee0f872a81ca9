"""Runs commands in this process, as main does for a shell."""

import gc
from typing import NamedTuple

import pytest

from foldsketch.cli import main


class Done(NamedTuple):
    code: int
    out: str
    err: str


@pytest.fixture
def run(capsys):
    """Runs one command; its exit code, and what it printed on standard output and standard error."""
    before = gc.isenabled()

    def run(*words):
        capsys.readouterr()
        try:
            code = main([str(w) for w in words])
        except SystemExit as stop:
            code = stop.code
        return Done(code, *capsys.readouterr())

    yield run
    (gc.enable if before else gc.disable)()
