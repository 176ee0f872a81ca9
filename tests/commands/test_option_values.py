"""Every option that takes a value refuses one that cannot be meant: one clear line, exit code 2, and no file."""

import argparse
from pathlib import Path

import pytest

from examples import few
from foldsketch.cli import build_parser

SAMPLES = Path(__file__).parents[2] / "samples"
PART, MESH = SAMPLES / "eccentric-shaft.toml", SAMPLES / "pipe-bracket.stl"

ANY_NAME = {"--out", "--samples"}
"""Options whose value is the name of a folder or file, which may be anything."""

FOR_A_MESH = {"--units", "--body", "--panels"}

ABSURD = [
    "nan",
    "inf",
    "-inf",
    "-1",
    "-1e9",
    "1e9",
    "1000000000",
    "1e400",
    "1e-300",
    "",
    " ",
    "x",
    "1,5,",
    "0x10",
    "١e9",
]
"""No option takes any of these. 1e-300 is not among them for options where 0 is allowed."""

ZERO_REFUSED = {
    "--batch",
    "--scale",
    "--sheets",
    "--sides",
    "--chord-error",
    "--minutes",
    "--smallest",
    "--panels",
    "--paper",
    "--port",
    "--plan",
}
ZERO_ALLOWED = {"--least-step", "--card", "--location", "--cast-size", "--pace"}


def options():
    """Every command with every option of it that takes a value."""
    commands = next(a for a in build_parser()._actions if isinstance(a, argparse._SubParsersAction)).choices
    return [
        (command, action.option_strings[0])
        for command, parser in commands.items()
        for action in parser._actions
        if action.option_strings and action.nargs != 0 and action.option_strings[0] not in ANY_NAME
    ]


def refused(run, command, option, value, folder):
    """Run a command with an absurd value and say what is wrong with how it is refused, or nothing."""
    file = MESH if option in FOR_A_MESH or command == "read" else PART
    named = [] if command == "serve" or option == "--say" else [file]
    units = ["--units", "mm"] if file is MESH and option != "--units" else []
    done = run(command, *named, *units, f"{option}={value}")
    wrong = []
    if done.code != 2:
        wrong.append(f"exit code {done.code}")
    if len(done.err.strip().splitlines()) != 1 or not done.err.startswith("error: ") or done.out:
        wrong.append(f"printed {done.out[-200:]!r} and {done.err[-200:]!r}")
    if list(folder.iterdir()):
        wrong.append("wrote files")
    return f"{command} {option}={value}: {', '.join(wrong)}" if wrong else ""


@pytest.mark.parametrize("which", few(options(), 1), ids=" ".join)
def test_an_absurd_value_is_refused(run, which, tmp_path, monkeypatch):
    command, option = which
    monkeypatch.chdir(tmp_path)
    values = [v for v in ABSURD if not (v == "1e-300" and option in ZERO_ALLOWED)]
    values = [v for v in values if not (v.strip() == "" and option in ("--pace", "--body"))]  # as if it were not given
    assert [w for v in values if (w := refused(run, command, option, v, tmp_path))] == []
    if option in ZERO_REFUSED:
        assert refused(run, command, option, "0", tmp_path) == ""


def test_every_option_is_known_here():
    """A new option with a value has to be tried with 0 as well, or be named here as one that takes a word."""
    words = {"--units", "--body", "--radius", "--walls", "--join", "--machine", "--hold", "--feet", "--say"}
    assert {option for _, option in options()} == ZERO_REFUSED | ZERO_ALLOWED | words
