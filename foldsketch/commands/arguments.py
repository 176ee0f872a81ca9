"""What the commands share: their parser, arguments that several take, progress and findings on standard error."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Iterable
from typing import Any, Protocol

from foldsketch.base.findings import LEVELS, Finding, worst_first
from foldsketch.base.units import format_count

MAX_FINDING_LINES = 12
"""Lines of findings that fit on a screen below the summary."""


class CommandParser(argparse.ArgumentParser):
    """Reports a wrong option in one line, with exit code 2."""

    def error(self, message: str) -> None:  # type: ignore[override]
        """Say what is wrong in one line and stop with exit code 2."""
        sys.stderr.write(f"error: {_with_cure(message)}; see {self.prog} --help\n")
        raise SystemExit(2)


def _with_cure(message: str) -> str:
    """A message of argparse with what was meant: the closest of the words it may be, or a number without commas."""
    from foldsketch.part.file.wording import closest_word

    if found := re.search(r"invalid choice: '(.*)' \(choose from (.*)\)", message):
        close = closest_word(found[1], re.findall(r"'?([\w-]+)'?", found[2]))
        return f"{message}; did you mean '{close}'?" if close else message
    if found := re.search(r"invalid (?:int|float) value: '(\d{1,3}(?:,\d{3})+)'", message):
        return f"{message}; write {found[1].replace(',', '')}"
    return message


class Subparsers(Protocol):
    """Where a command adds its parser."""

    def add_parser(self, name: str, **kwargs: object) -> CommandParser:
        """A new command's parser."""


def add_command(
    commands: Subparsers, name: str, help: str, description: str, example: str, findings: bool = True
) -> CommandParser:
    """A command's parser, with an example below its options. findings: it prints some, and has --all-findings."""
    command = commands.add_parser(
        name,
        help=help,
        description=description,
        epilog=example,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    if findings:
        command.add_argument(
            "--all-findings",
            action="store_true",
            help=f"print every finding (default: the {MAX_FINDING_LINES} worst, alike ones as one)",
        )
    return command


def add_part_argument(command: argparse.ArgumentParser) -> None:
    """The argument PART, a part file, mesh, STEP or IGES file, and the options of those that are not part files."""
    which = command.add_mutually_exclusive_group(required=True)
    which.add_argument(
        "part",
        nargs="?",
        metavar="PART",
        help="part file (TOML or JSON), mesh (STL, PLY, OBJ, OFF, 3MF, GLB), STEP or IGES",
    )
    which.add_argument(
        "--say", metavar="LINE", help="the part as it is spoken: 'flange 110 x 14; inlet 42 x 35 at 24, bore 28'"
    )
    add_mesh_options(command)


def add_mesh_options(command: argparse.ArgumentParser) -> None:
    """The options that say how a mesh, STEP or IGES file is read."""
    command.add_argument(
        "--units",
        metavar="UNIT",
        help="unit of a mesh: mm, cm, m, in, ft or um (default: mm, with a warning); STEP and IGES have their own; of "
        "a spoken part: mm (default) or in",
    )
    command.add_argument(
        "--body",
        metavar="WHICH",
        help="of a file with several bodies: a name or number (1 is the largest), several as 1,3, or all, each in its "
        "place",
    )
    command.add_argument("--keep", action="store_true", help="keep fillets, chamfers and draft")
    command.add_argument(
        "--anyway", action="store_true", help="go on with a model that is far off the mesh, STEP or IGES"
    )


def add_machine_option(command: argparse.ArgumentParser) -> None:
    """The option that names a machine file."""
    command.add_argument(
        "--machine", metavar="FILE", help="machine file (default: an invented twin-spindle lathe; use your own)"
    )


def print_findings(findings: Iterable[Finding], every: bool = False, units: str = "mm") -> None:
    """Print findings on standard error, a line each, worst first.

    every: print each one; otherwise alike ones as one, and a screenful at most. units: of lengths, "mm" or "in".
    """
    found = tuple(dict.fromkeys(findings))
    shown = sorted(found, key=lambda f: LEVELS.index(f.level)) if every else worst_first(found)
    if not every and len(shown) > MAX_FINDING_LINES:
        shown, left = shown[: MAX_FINDING_LINES - 1], shown[MAX_FINDING_LINES - 1 :]
        counts = {level: sum(f.count for f in left if f.level == level) for level in LEVELS}
        rest = ", ".join(format_count(n, level) for level, n in counts.items() if n)
    else:
        rest = ""
    for f in shown:
        # A file may be named so that it moves the cursor or breaks the line: such signs are shown, not done.
        line = f"{f.level}: {f.text_in(units)}"
        shown_line = "".join(c if c.isprintable() else c.encode("unicode_escape", "replace").decode() for c in line)
        sys.stderr.write(f"{shown_line}\n")
    if rest:
        sys.stderr.write(f"and {rest} more; add --all-findings to see them\n")


def print_json(values: dict[str, Any]) -> None:
    """A report on standard output."""
    sys.stdout.write(json.dumps(values, ensure_ascii=False, indent=1, allow_nan=False) + "\n")


class Progress:
    """Shows the stage of a run on one line of standard error, where that is a terminal."""

    def __init__(self) -> None:
        self.shown = False

    def __call__(self, stage: str, done: float) -> None:
        """Show the line; done runs from 0 to 1."""
        if sys.stderr.isatty():
            bar = "█" * round(20 * done)
            sys.stderr.write(f"\r{stage:<10} {bar:<20}")
            sys.stderr.flush()
            self.shown = True

    def clear(self) -> None:
        """Remove the line."""
        if self.shown:
            sys.stderr.write("\r" + " " * 34 + "\r")
            self.shown = False
