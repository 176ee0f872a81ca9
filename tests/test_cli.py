"""The command line as a shell meets it: help, version, exit codes, streams, the same files every time."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from foldsketch import cli

SAMPLE = Path(__file__).parents[1] / "samples" / "eccentric-shaft.toml"


def run(*arguments, **environment):
    return subprocess.run(
        [sys.executable, "-m", "foldsketch", *map(str, arguments)],
        capture_output=True,
        text=True,
        env={**os.environ, **environment},
        timeout=60,
    )


def test_help_shows_an_example(capsys):
    with pytest.raises(SystemExit) as stop:
        cli.main(["--help"])
    assert stop.value.code == 0
    assert "foldsketch make samples/bilge-pump-cover.toml --out out" in capsys.readouterr().out


def test_every_command_has_help_with_an_example(capsys):
    for name in cli.COMMAND_MODULES:
        with pytest.raises(SystemExit) as stop:
            cli.main([name, "--help"])
        out = capsys.readouterr().out
        assert stop.value.code == 0 and f"foldsketch {name} " in out.replace("\n", " ") + " "


def test_version(capsys):
    from importlib.metadata import version

    assert cli.main(["--version"]) == 0
    assert capsys.readouterr().out.strip() == version("foldsketch")


def test_no_command_prints_the_help_and_fails(capsys):
    assert cli.main([]) == 2
    assert "foldsketch make" in capsys.readouterr().out


def test_an_unknown_command_is_one_line(capsys):
    with pytest.raises(SystemExit) as stop:
        cli.main(["fold", str(SAMPLE)])
    err = capsys.readouterr().err
    assert stop.value.code == 2 and len(err.splitlines()) == 1 and "invalid choice" in err


@pytest.mark.parametrize(("raised", "code"), [(KeyboardInterrupt, 130), (BrokenPipeError, 0)])
def test_ctrl_c_and_a_closed_pipe_end_quietly(raised, code, monkeypatch, capsys):
    def stop():
        raise raised

    monkeypatch.setattr(cli, "build_parser", stop)
    assert cli.main(["check", str(SAMPLE)]) == code
    assert "Traceback" not in capsys.readouterr().err


def test_a_bug_is_not_hidden(monkeypatch):
    monkeypatch.setattr(cli, "build_parser", lambda: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        cli.main(["check", str(SAMPLE)])


@pytest.mark.slow
def test_wrong_input_is_exit_code_2_of_the_process(tmp_path):
    done = run("check", tmp_path / "none.toml")
    assert (done.returncode, done.stdout) == (2, "") and done.stderr.startswith("error: ")
