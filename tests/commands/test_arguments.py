"""Findings on standard error: worst first, alike ones as one, a screenful at most."""

import json

import pytest

from foldsketch.base.findings import Message
from foldsketch.cli import main
from foldsketch.commands.arguments import MAX_FINDING_LINES, Progress, print_findings, print_json

NOTE = Message("a-note", "note", "is thin")
WARNING = Message("a-warning", "warning", "is {off} off")
ERROR = Message("an-error", "error", "is wrong", "make it right")


def printed(capsys):
    return capsys.readouterr().err.splitlines()


def test_the_worst_comes_first(capsys):
    print_findings([NOTE.at("rib"), ERROR.at("boss"), WARNING.at("web", off=2)])
    assert printed(capsys) == ["error: boss: is wrong; make it right", "warning: web: is 2 off", "note: rib: is thin"]


def test_the_same_finding_is_printed_once_and_alike_ones_as_one(capsys):
    holes = [NOTE.at(f"feature 'hole {k}'") for k in range(8)]
    print_findings([*holes, *holes])
    (line,) = printed(capsys)
    assert line.startswith("note: 8 features ('hole 0' to '7'): ")
    print_findings([*holes, *holes], every=True)
    assert printed(capsys) == [f"note: feature 'hole {k}': is thin" for k in range(8)]


@pytest.mark.parametrize("count", [1, MAX_FINDING_LINES, MAX_FINDING_LINES + 1, 40])
def test_a_screenful_at_most(capsys, count):
    findings = [Message(f"note-{k}", "note", "is thin").at(f"rib {k}") for k in range(count)]
    findings.append(ERROR.at("boss"))
    print_findings(findings)
    lines = printed(capsys)
    assert len(lines) == min(count + 1, MAX_FINDING_LINES)
    assert lines[0].startswith("error: boss")
    left = count + 1 - (MAX_FINDING_LINES - 1)
    if count + 1 > MAX_FINDING_LINES:
        assert lines[-1] == f"and {left} notes more; add --all-findings to see them"
    print_findings(findings, every=True)
    assert len(printed(capsys)) == count + 1


def test_alike_ones_that_are_left_out_are_counted_one_by_one(capsys):
    errors = [Message(f"e-{k}", "error", "is wrong").at("boss") for k in range(MAX_FINDING_LINES)]
    print_findings([*errors, *(NOTE.at(f"feature 'hole {k}'") for k in range(8))])
    assert printed(capsys)[-1] == "and 1 error, 8 notes more; add --all-findings to see them"


def test_a_name_cannot_move_the_cursor_or_break_the_line(capsys):
    print_findings([NOTE.at("\x1b[2J\nerror: all is lost")])
    (line,) = printed(capsys)
    assert line == r"note: \x1b[2J\nerror: all is lost: is thin"


def test_nothing_is_nothing(capsys):
    print_findings([])
    assert printed(capsys) == []


def test_a_report_is_json_and_nothing_else(capsys):
    print_json({"part": "Pin Ø 6", "setups": [1, 2]})
    out = capsys.readouterr().out
    assert json.loads(out) == {"part": "Pin Ø 6", "setups": [1, 2]} and "Ø" in out and out.endswith("}\n")


class Terminal:
    """Standard error as a terminal."""

    def __init__(self):
        self.text = ""

    def write(self, text):
        self.text += text

    def flush(self):
        pass

    def isatty(self):
        return True


def test_progress_shows_on_a_terminal_and_is_removed(monkeypatch):
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    progress = Progress()
    progress("pack", 0.5)
    assert "pack" in terminal.text and terminal.text.count("█") == 10
    progress.clear()
    assert terminal.text.endswith("\r")
    shown = terminal.text
    progress.clear()
    assert terminal.text == shown


def test_progress_is_silent_in_a_pipe(capsys):
    progress = Progress()
    progress("pack", 0.5)
    progress.clear()
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (["setup", "a.toml"], "did you mean 'setups'?"),
        (["make", "a.toml", "--hold", "tapes"], "did you mean 'tape'?"),
        (["setups", "a.toml", "--batch", "1,000"], "write 1000"),
    ],
)
def test_a_slip_of_the_hand_is_answered_with_what_was_meant(words, meant, capsys):
    with pytest.raises(SystemExit) as why:
        main(words)
    (line,) = printed(capsys)
    assert why.value.code == 2 and f"; {meant}; see foldsketch " in line


def test_a_file_that_does_not_exist_is_answered_with_the_one_beside_it(tmp_path, capsys):
    (tmp_path / "twoecc.toml").write_text("")
    assert main(["check", str(tmp_path / "twoec.toml")]) == 2
    (line,) = printed(capsys)
    assert line.endswith(f"does not exist; did you mean {tmp_path / 'twoecc.toml'}?")
