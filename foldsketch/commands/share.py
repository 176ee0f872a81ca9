"""share: one HTML file to send, which folds and spins the model without a server."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from foldsketch.commands.arguments import (
    Progress,
    Subparsers,
    add_command,
    add_machine_option,
    add_part_argument,
    print_findings,
)
from foldsketch.commands.choices import add_model_options, choices_from_options
from foldsketch.commands.inputs import file_stem, machine_from_options, part_from_options

EXAMPLE = """\
example:
  foldsketch share samples/bilge-pump-cover.toml --out out
      writes out/bilge-pump-cover.html, which opens in any browser, from a mail attachment, with the network off
"""


def add_parser(commands: Subparsers) -> None:
    """The command share."""
    share = add_command(
        commands, "share", "one HTML file to send", "Write a page that shows the model folding and turning.", EXAMPLE
    )
    add_part_argument(share)
    add_model_options(share)
    add_machine_option(share)
    share.add_argument("--out", default=".", metavar="DIR", help="folder for the file (default: here)")
    share.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Make the model and its set-ups, write the page."""
    from foldsketch.base.files import write_atomically
    from foldsketch.base.findings import FoldsketchError
    from foldsketch.job.budget import model
    from foldsketch.setup.plan.plan import plan
    from foldsketch.web.share import share

    progress = Progress()
    part, findings = part_from_options(options, progress)
    machine = machine_from_options(options)
    choices = choices_from_options(options)
    try:
        made = model(part, choices, progress)
        try:
            planned = plan(part, machine, listener=progress)
        except FoldsketchError as why:
            planned = None
            findings = (*findings, *(replace(f, level="note") for f in why.findings))
    finally:
        progress.clear()
    out = Path(options.out) / f"{file_stem(options, part)}.html"
    page = share(made, planned, machine)
    write_atomically(out, page)
    print(f"wrote {out} ({len(page) / 1000:.0f} KB)")
    print_findings((*findings, *made.findings), options.all_findings, part.units)
    return 0
