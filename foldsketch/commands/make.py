"""make and check: a part file or mesh to sheets, net file and picture; or the checks alone."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding, refuse
from foldsketch.commands.common import Commands, Progress, add_command, add_part, model_of, report

if TYPE_CHECKING:
    from foldsketch.job import Model
    from foldsketch.solid.sides import FacetChoice

EXAMPLE = """\
example:
  foldsketch make samples/bilge-pump-cover.toml --out out
      reads the part file and writes out/bilge-pump-cover.pdf (the sheets to print at 100 %),
      one SVG a page, the net file and a picture of the folded model
"""


def add(commands: Commands) -> None:
    """The commands make and check."""
    make = add_command(
        commands, "make", "part file to sheets, net file and picture", "Make the sheets of a paper model.", EXAMPLE
    )
    check = add_command(
        commands,
        "check",
        "the checks alone",
        "Check a part and the nets of its model; nothing is written.",
        "example:\n  foldsketch check samples/eccentric-shaft.toml\n",
    )
    for command, write in ((make, True), (check, False)):
        add_part(command)
        _paper_options(command)
        command.set_defaults(run=run, write=write)
    make.add_argument("--out", default=".", metavar="DIR", help="folder for the files (default: here)")
    make.add_argument("--dxf", action="store_true", help="write each sheet as DXF as well (needs the extra dxf)")
    make.add_argument("--pieces", action="store_true", help="write each net alone as SVG as well")
    make.add_argument("--backs", action="store_true", help="sheets for both sides of the paper: where tabs are glued")
    make.add_argument("--booklet", action="store_true", help="write how the model is built, step by step, as well")


def _paper_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--paper", default="A4", metavar="SIZE", help="A4, A3, Letter, Tabloid, 210x297 (mm) or 8x10in"
    )
    command.add_argument("--scale", default="auto", metavar="N:M", help="1:1, 1:2, 2:1 … or auto (default)")
    command.add_argument("--sheets", type=int, default=6, metavar="N", help="sheets that auto may use (default 6)")
    command.add_argument("--sides", type=int, metavar="N", help="sides of every round feature")
    command.add_argument(
        "--chord-error", type=float, default=0.5, metavar="MM", help="how far a side may stray on paper (0.5)"
    )
    command.add_argument("--smallest", type=float, default=5.0, metavar="MM", help="narrowest side panel on paper (5)")
    command.add_argument(
        "--quick",
        action="store_true",
        help="a quick model: fewer sides, no small bores, chamfers, grooves",
    )
    command.add_argument(
        "--radius",
        choices=("inside", "equal-area", "outside"),
        default="equal-area",
        help="corners on the round, the same area (default), or flats on the round",
    )
    command.add_argument(
        "--least-step",
        type=float,
        default=0.0,
        metavar="MM",
        help="merge steps and leave out grooves smaller than this on paper (default: none)",
    )
    command.add_argument(
        "--card", metavar="CARD", default="0mm", help="allow for its thickness: 160gsm or 0.25mm (default: none)"
    )
    command.add_argument(
        "--walls",
        choices=("folded", "rolled"),
        default="folded",
        help="rounds as prisms (default), or as strips as long as the round, with teeth on their rims",
    )
    command.add_argument(
        "--join",
        choices=("faces", "fuse"),
        default="faces",
        help="features that touch: glued face to face (default), or fused into one body",
    )
    command.add_argument(
        "--panels",
        type=int,
        metavar="N",
        help="build a mesh of at most so many flat panels instead of features (default without round features: 120)",
    )


def run(options: argparse.Namespace) -> int:
    """Make the model, write it when asked, print the summary."""
    from foldsketch import job
    from foldsketch.account import summary
    from foldsketch.base.card import parse_card
    from foldsketch.base.files import write_whole
    from foldsketch.sheet.paper import parse_scale

    if not 0 <= options.least_step <= 20:
        raise refuse("--least-step", f"{options.least_step:g} mm is out of range", "give 0 to 20 mm")
    if not 1 <= options.sheets <= 200:
        raise refuse("--sheets", f"{options.sheets} is out of range", "give 1 to 200")
    if options.write and options.dxf and find_spec("ezdxf") is None:
        raise refuse("--dxf", "needs the dxf extra", "pip install 'foldsketch[dxf]'")
    path = Path(options.part)
    progress = Progress()
    choices = job.Choices(
        paper=options.paper,
        scale=parse_scale(options.scale),
        sheets=options.sheets,
        facets=_facets(options),
        join=options.join,
        quick=options.quick,
        card=parse_card(options.card),
        least_step=options.least_step,
    )
    try:
        made, findings = model_of(options, choices, progress)
        written: list[Path] = []
        if options.write:
            written = job.write_model(made, Path(options.out), path.stem, progress, options.backs)
            for name, data in _more(options, made, path.stem):
                written.append(Path(options.out) / name)
                write_whole(written[-1], data)
    finally:
        progress.clear()
    print(summary(made))
    for file in written:
        print(f"wrote {file}")
    report((*findings, *made.findings, *_long(job.build_minutes(made), options.quick)))
    return 0


LONG = 30.0
"""Minutes of work above which the user is told."""


def _long(minutes: float, quick: bool) -> tuple[Finding, ...]:
    """A note for a model that takes long to build."""
    if minutes <= LONG:
        return ()
    cure = "fewer --sides, or a part with less on it" if quick else "--quick gives a quicker one"
    return (Finding("note", "work", f"building it takes about {minutes:.0f} minutes at an ordinary pace", cure),)


def _facets(options: argparse.Namespace) -> FacetChoice:
    """How rounds are faceted: coarser for the quick model, unless the user said otherwise."""
    from foldsketch.solid.sides import FacetChoice

    error, smallest = options.chord_error, options.smallest
    if options.quick:
        error, smallest = max(error, QUICK[0]), max(smallest, QUICK[1])
    return FacetChoice(error, smallest, options.sides, options.radius, options.walls)


QUICK = (1.5, 9.0)
"""Chord error and narrowest side panel of the quick model, mm on paper."""


def _more(options: argparse.Namespace, made: Model, stem: str) -> Iterator[tuple[str, bytes]]:
    """The files that are written only when asked for."""
    from foldsketch import job

    if options.booklet:
        yield f"{stem}-booklet.pdf", job.booklet(made)
    if options.dxf:
        for k, data in enumerate(job.dxf_pages(made), 1):
            yield f"{stem}-{k}.dxf", data
    if options.pieces:
        for number, data in job.piece_drawings(made).items():
            yield f"{stem}-net-{number}.svg", data
