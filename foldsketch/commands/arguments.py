"""How commands speak: the parser's manners, arguments that several take, progress and findings on standard error."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from typing import Protocol

from foldsketch.base.findings import Finding


class CommandParser(argparse.ArgumentParser):
    """Options at fault are findings like any other: one line, exit code 2."""

    def error(self, message: str) -> None:  # type: ignore[override]
        """Say what is wrong in one line and stop with exit code 2."""
        sys.stderr.write(f"error: {message}; see {self.prog} --help\n")
        raise SystemExit(2)


class Subparsers(Protocol):
    """Where a command adds its parser."""

    def add_parser(self, name: str, **kwargs: object) -> CommandParser:
        """A new command's parser."""


def add_command(commands: Subparsers, name: str, help: str, description: str, example: str) -> CommandParser:
    """A command's parser, with an example below its options."""
    return commands.add_parser(
        name,
        help=help,
        description=description,
        epilog=example,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def add_part_argument(command: argparse.ArgumentParser) -> None:
    """The argument PART, a part file or a mesh, and the options of meshes."""
    command.add_argument("part", metavar="PART", help="part file (TOML or JSON) or mesh (STL, PLY, OBJ, OFF, 3MF, GLB)")
    add_mesh_options(command)


def add_mesh_options(command: argparse.ArgumentParser) -> None:
    """How a mesh is to be read."""
    command.add_argument("--units", metavar="UNIT", help="unit of a mesh's numbers: mm, cm, m, in, ft, um")
    command.add_argument("--body", metavar="NAME", help="the one body of a mesh to take, by name or number")
    command.add_argument("--keep", action="store_true", help="keep fillets, chamfers and draft of a mesh")


def add_machine_option(command: argparse.ArgumentParser) -> None:
    """The option that names a machine file."""
    command.add_argument("--machine", metavar="FILE", help="machine file (default: an invented twin-spindle lathe)")


def print_findings(findings: Iterable[Finding], units: str = "mm") -> None:
    """Every finding once, a line each, on standard error; lengths in "mm" or "in"."""
    for f in dict.fromkeys(findings):
        # A file may be named so that it moves the cursor or breaks the line: such signs are shown, not done.
        line = f"{f.level}: {f.text_in(units)}"
        shown = "".join(c if c.isprintable() else c.encode("unicode_escape", "replace").decode() for c in line)
        sys.stderr.write(f"{shown}\n")


class Progress:
    """A line on standard error while it is a terminal: the stage and how far it is."""

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
        """Take the line away."""
        if self.shown:
            sys.stderr.write("\r" + " " * 34 + "\r")
            self.shown = False
