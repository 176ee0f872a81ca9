"""The command line: words in, results out."""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Sequence
from pathlib import Path

from foldsketch.base.findings import Finding, FoldsketchError, refuse

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
        command.add_argument("part", metavar="PART", help="part file (TOML or JSON)")
        command.add_argument("--paper", default="A4", metavar="SIZE", help="A4, A3, Letter, Tabloid or 210x297 (mm)")
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
    return top


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
    return _make(options, write=options.command == "make")


def _make(options: argparse.Namespace, write: bool) -> int:
    from foldsketch import job
    from foldsketch.part.read import read_part
    from foldsketch.sheet.paper import parse_scale
    from foldsketch.solid.facet import FacetChoice
    from foldsketch.summary import summary

    if not 1 <= options.sheets <= 200:
        raise refuse("--sheets", f"{options.sheets} is out of range", "give 1 to 200")
    path = Path(options.part)
    part, findings = read_part(path)
    choices = job.Choices(
        paper=options.paper,
        scale=parse_scale(options.scale),
        sheets=options.sheets,
        facets=FacetChoice(options.chord_error, options.smallest, options.sides, options.radius),
        join=options.join,
    )
    progress = _Progress()
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
