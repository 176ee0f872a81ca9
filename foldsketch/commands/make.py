"""make and check: a part file or mesh to sheets, net file and picture; or the checks alone."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.commands.arguments import (
    Progress,
    Subparsers,
    add_command,
    add_part_argument,
    print_findings,
    print_json,
)
from foldsketch.commands.choices import add_model_options, choices_from_options
from foldsketch.commands.inputs import file_stem, model_from_options

if TYPE_CHECKING:
    from foldsketch.assembly.work_time import Pace
    from foldsketch.base.findings import Finding
    from foldsketch.job.model import Model

EXAMPLE = """\
example:
  foldsketch make samples/bilge-pump-cover.toml --out out
      reads the part file and writes out/bilge-pump-cover.pdf (the sheets to print at 100 %),
      one SVG a page, the net file and a picture of the folded model
"""


def add_parser(commands: Subparsers) -> None:
    """The commands make and check."""
    make = add_command(
        commands, "make", "part file or mesh to sheets, net file and picture", "Make a paper model.", EXAMPLE
    )
    check = add_command(
        commands,
        "check",
        "the checks alone",
        "Check a part and the nets of its model; nothing is written.",
        "example:\n  foldsketch check samples/eccentric-shaft.toml\n",
    )
    for command, write in ((make, True), (check, False)):
        add_part_argument(command)
        add_model_options(command)
        command.add_argument(
            "--panels",
            type=int,
            metavar="N",
            help="mesh only: ignore round features and use at most N flat panels (default 120 if there are none)",
        )
        command.add_argument("--json", action="store_true", help="print the model report instead of the summary")
        command.set_defaults(run=run, write=write)
    make.add_argument("--out", default=".", metavar="DIR", help="folder for the files (default: here)")
    make.add_argument("--dxf", action="store_true", help="also write each sheet as DXF (needs the package ezdxf)")
    make.add_argument("--pieces", action="store_true", help="also write each net alone as SVG")
    make.add_argument("--backs", action="store_true", help="print both sides: the back shows where tabs are glued")
    make.add_argument(
        "--pace", default="", metavar="WORDS", help='your working speed in seconds, such as "fold=4 glue=12 cut=0.1"'
    )
    make.add_argument("--booklet", action="store_true", help="also write how to build the model, step by step")
    make.add_argument(
        "--by-hand", action="store_true", help="also write how to build it from blank paper with ruler and scissors"
    )


def run(options: argparse.Namespace) -> int:
    """Make the model, write it when asked, print the summary or the report."""
    from foldsketch.job import outputs
    from foldsketch.job.messages import DRAWN
    from foldsketch.job.summary import summary

    if options.write and options.dxf:
        outputs.require_dxf()  # before the work, not after it
    progress = Progress()
    choices = choices_from_options(options)
    try:
        made, findings = model_from_options(options, choices, progress)
        written: list[Path] = []
        stem = file_stem(options, made.part)
        by_hand: tuple[Finding, ...] = ()
        if options.write:
            more = _optional_files(options, made, stem, choices.pace)
            if options.by_hand:
                page, by_hand = outputs.by_hand_page(made, choices.scale, choices.pace)
                more |= {f"{stem}-{name}": data for name, data in outputs.by_hand_files(page).items()}
            written = outputs.write_model(made, options.out, stem, progress, options.backs, more)
    finally:
        progress.clear()
    own = (*findings, *made.findings, *by_hand)
    if options.json:
        from foldsketch.job.report import model_report

        print_json({**model_report(made, choices.pace, own), "files": [str(file) for file in written]})
    else:
        print(summary(made, choices.pace))
        for file in written:
            print(f"wrote {file}")
    shown = own if options.json else [f for f in own if f.code != DRAWN.code]
    print_findings(shown, options.all_findings, made.part.units)
    return 0


def _optional_files(options: argparse.Namespace, made: Model, stem: str, pace: Pace) -> dict[str, bytes]:
    """The files that are written only when asked for."""
    from foldsketch.job import outputs

    more: dict[str, bytes] = {}
    if options.booklet:
        more[f"{stem}-booklet.pdf"] = outputs.booklet(made, pace)
    if options.dxf:
        more |= {f"{stem}-{k}.dxf": data for k, data in enumerate(outputs.dxf_pages(made), 1)}
    if options.pieces:
        more |= {f"{stem}-net-{number}.svg": data for number, data in outputs.piece_svgs(made).items()}
    return more
