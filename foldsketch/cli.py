"""The command line: words in, results out."""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding, FoldsketchError, refuse

if TYPE_CHECKING:
    from foldsketch.part.model import Part

EXAMPLE = """\
example:
  foldsketch make samples/bilge-pump-cover.toml --out out
      reads the part file and writes out/bilge-pump-cover.pdf (the sheets to print at 100 %),
      one SVG a page, the net file and a picture of the folded model
"""


class _Parser(argparse.ArgumentParser):
    """Options at fault are findings like any other: one line, exit code 2."""

    def error(self, message: str) -> None:  # type: ignore[override]
        sys.stderr.write(f"error: {message}; see {self.prog} --help\n")
        raise SystemExit(2)


def parser() -> argparse.ArgumentParser:
    """All commands and their options."""
    top = _Parser(
        prog="foldsketch",
        description="Paper models for turned parts whose round features do not share one axis.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="store_true", help="print the version and stop")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)
    make = commands.add_parser(
        "make",
        help="part file to sheets, net file and picture",
        description="Make the sheets of a paper model.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    check = commands.add_parser(
        "check",
        help="the checks alone",
        description="Check a part and the nets of its model; nothing is written.",
        epilog="example:\n  foldsketch check samples/eccentric-shaft.toml\n",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    for command in (make, check):
        command.add_argument(
            "part", metavar="PART", help="part file (TOML or JSON) or mesh (STL, PLY, OBJ, OFF, 3MF, GLB)"
        )
        _mesh_options(command)
        command.add_argument(
            "--paper", default="A4", metavar="SIZE", help="A4, A3, Letter, Tabloid, 210x297 (mm) or 8x10in"
        )
        command.add_argument("--scale", default="auto", metavar="N:M", help="1:1, 1:2, 2:1 … or auto (default)")
        command.add_argument("--sheets", type=int, default=6, metavar="N", help="sheets that auto may use (default 6)")
        command.add_argument("--sides", type=int, metavar="N", help="sides of every round feature")
        command.add_argument(
            "--chord-error", type=float, default=0.5, metavar="MM", help="how far a side may stray on paper (0.5)"
        )
        command.add_argument(
            "--smallest", type=float, default=5.0, metavar="MM", help="narrowest side panel on paper (5)"
        )
        command.add_argument(
            "--radius",
            choices=("inside", "equal-area", "outside"),
            default="equal-area",
            help="corners on the round, the same area (default), or flats on the round",
        )
        command.add_argument(
            "--join",
            choices=("faces", "fuse"),
            default="faces",
            help="features that touch: glued face to face (default), or fused into one body",
        )
    make.add_argument("--out", default=".", metavar="DIR", help="folder for the files (default: here)")
    read = commands.add_parser(
        "read",
        help="mesh to part file",
        description="Find the features, axes and offsets of a mesh and write them as a part file.",
        epilog="example:\n  foldsketch read cover.stl --units mm\n      prints what was found and writes cover.toml\n",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    read.add_argument("part", metavar="MESH", help="STL, PLY, OBJ, OFF, 3MF or GLB")
    _mesh_options(read)
    read.add_argument("--out", metavar="FILE", help="part file to write (default: the mesh's name with .toml)")
    read.add_argument("--json", action="store_true", help="print the reading report instead, and write nothing")
    return top


def _mesh_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--units", metavar="UNIT", help="unit of a mesh's numbers: mm, cm, m, in, ft, um")
    command.add_argument("--body", metavar="NAME", help="the one body of a mesh to take, by name or number")
    command.add_argument("--keep", action="store_true", help="keep fillets, chamfers and draft of a mesh")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Returns 0: done, 2: the input or the options are at fault, 1: our fault."""
    # One short run: what the collector would find is not worth looking for.
    gc.disable()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        return _run(parser().parse_args(arguments))
    except FoldsketchError as why:
        _report(why.findings)
        return 2
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        sys.stderr.write("\nstopped; nothing was half written\n")
        return 130


def _run(options: argparse.Namespace) -> int:
    if options.version:
        from importlib.metadata import version

        print(version("foldsketch"))
        return 0
    if options.command is None:
        parser().print_help()
        return 2
    if options.command == "read":
        return _read(options)
    return _make(options, write=options.command == "make")


MESHES = {".stl", ".ply", ".obj", ".off", ".3mf", ".glb"}
"""Endings of mesh files."""


def _part_of(options: argparse.Namespace, progress: _Progress) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file, or the part found on a mesh."""
    path = Path(options.part)
    if path.suffix.lower() not in MESHES:
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


def _read(options: argparse.Namespace) -> int:
    from foldsketch.base.files import write_whole
    from foldsketch.mesh.rebuild import rebuild
    from foldsketch.mesh.recognise import read_mesh
    from foldsketch.mesh.report import reading_json, reading_table
    from foldsketch.part.write import part_to_toml

    path = Path(options.part)
    progress = _Progress()
    try:
        readings = read_mesh(path, options.units, options.keep, options.body, progress)
    finally:
        progress.clear()
    if options.json:
        sys.stdout.write(reading_json(readings[0]).decode())
        _report(readings[0].findings)
        return 0
    print(reading_table(readings))
    findings: list[Finding] = []  # those of the readings stand in the table
    turned = [r for r in readings if r.turned]
    for k, reading in enumerate(turned):
        part, told = rebuild(reading, options.keep)
        findings += told
        out = Path(options.out) if options.out else path.with_suffix(".toml")
        if k:
            out = out.with_name(f"{out.stem}-{k + 1}{out.suffix}")
        if not options.out and out.exists() and not out.read_bytes().startswith(b"# Read from "):
            raise refuse(str(out), "is there already and was not written by read", "name another file with --out")
        comment = f"Read from {path.name}; lengths are its own numbers times the factor asked for. Edit freely."
        write_whole(out, part_to_toml(part, comment).encode())
        print(f"wrote {out}")
    _report(findings)
    return 0


def _make(options: argparse.Namespace, write: bool) -> int:
    from foldsketch import job
    from foldsketch.sheet.paper import parse_scale
    from foldsketch.solid.facet import FacetChoice
    from foldsketch.summary import summary

    if not 1 <= options.sheets <= 200:
        raise refuse("--sheets", f"{options.sheets} is out of range", "give 1 to 200")
    path = Path(options.part)
    progress = _Progress()
    part, findings = _part_of(options, progress)
    choices = job.Choices(
        paper=options.paper,
        scale=parse_scale(options.scale),
        sheets=options.sheets,
        facets=FacetChoice(options.chord_error, options.smallest, options.sides, options.radius),
        join=options.join,
    )
    try:
        made = job.model(part, choices, progress)
        written = job.write_model(made, Path(options.out), path.stem, progress) if write else []
    finally:
        progress.clear()
    print(summary(made))
    for file in written:
        print(f"wrote {file}")
    _report((*findings, *made.findings))
    return 0


def _report(findings: Sequence[Finding]) -> None:
    for f in dict.fromkeys(findings):
        sys.stderr.write(f"{f}\n")


class _Progress:
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
        if self.shown:
            sys.stderr.write("\r" + " " * 34 + "\r")
            self.shown = False


if __name__ == "__main__":
    raise SystemExit(main())
