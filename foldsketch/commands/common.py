"""What the commands share: the parser's manners, the part of a file, progress and findings on standard error."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from foldsketch.base.findings import Finding

if TYPE_CHECKING:
    from foldsketch.part.model import Part

MESHES = {".stl", ".ply", ".obj", ".off", ".3mf", ".glb"}
"""Endings of mesh files."""


class Parser(argparse.ArgumentParser):
    """Options at fault are findings like any other: one line, exit code 2."""

    def error(self, message: str) -> None:  # type: ignore[override]
        sys.stderr.write(f"error: {message}; see {self.prog} --help\n")
        raise SystemExit(2)


class Commands(Protocol):
    """Where a command adds its parser."""

    def add_parser(self, name: str, **kwargs: object) -> Parser:
        """A new command's parser."""


def add_command(commands: Commands, name: str, help: str, description: str, example: str) -> Parser:
    """A command's parser, with an example below its options."""
    return commands.add_parser(
        name,
        help=help,
        description=description,
        epilog=example,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def add_part(command: argparse.ArgumentParser) -> None:
    """The argument PART, a part file or a mesh, and the options of meshes."""
    command.add_argument("part", metavar="PART", help="part file (TOML or JSON) or mesh (STL, PLY, OBJ, OFF, 3MF, GLB)")
    add_mesh_options(command)


def add_mesh_options(command: argparse.ArgumentParser) -> None:
    """How a mesh is to be read."""
    command.add_argument("--units", metavar="UNIT", help="unit of a mesh's numbers: mm, cm, m, in, ft, um")
    command.add_argument("--body", metavar="NAME", help="the one body of a mesh to take, by name or number")
    command.add_argument("--keep", action="store_true", help="keep fillets, chamfers and draft of a mesh")


def is_mesh(path: Path) -> bool:
    """Whether a file is a mesh by its ending."""
    return path.suffix.lower() in MESHES


def part_of(options: argparse.Namespace, progress: Progress) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file, or the part found on a mesh."""
    path = Path(options.part)
    if not is_mesh(path):
        from foldsketch.part.read import read_part

        return read_part(path)
    from foldsketch.mesh.rebuild import rebuild
    from foldsketch.mesh.recognise import read_mesh

    readings = read_mesh(path, options.units, options.keep, options.body, progress)
    progress.clear()
    part, told = rebuild(readings[0], options.keep)
    findings = (*readings[0].findings, *told)
    if len(readings) > 1:
        names = ", ".join(f"'{r.name}'" for r in readings[1:])
        left = Finding("warning", str(path.name), f"holds more bodies: {names}", "name one with --body")
        findings = (*findings, left)
    return part, findings


def report(findings: Iterable[Finding]) -> None:
    """Every finding once, a line each, on standard error."""
    for f in dict.fromkeys(findings):
        sys.stderr.write(f"{f}\n")


class Progress:
    """A line on standard error while it is a terminal: the stage and how far it is."""

    def __init__(self) -> None:
        self.shown = False

    def __call__(self, stage: str, done: float) -> None:
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
