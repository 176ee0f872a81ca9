"""lesson: a worksheet for apprentices and its answers, for each part."""

from __future__ import annotations

import argparse
from pathlib import Path

from foldsketch.base.findings import Finding, input_error
from foldsketch.commands.arguments import Progress, Subparsers, add_command, add_machine_option, print_findings
from foldsketch.commands.sources import machine_from_options

EXAMPLE = """\
example:
  foldsketch lesson samples/lessons/*.toml --out out
      writes a worksheet and an answer sheet for each; print the models with foldsketch make
"""


def add_parser(commands: Subparsers) -> None:
    """The command lesson."""
    lesson = add_command(commands, "lesson", "worksheets and answers", "Write lessons for apprentices.", EXAMPLE)
    lesson.add_argument("parts", nargs="+", metavar="PART", help="part files (TOML or JSON)")
    add_machine_option(lesson)
    lesson.add_argument("--scale", default="auto", metavar="N:M", help="scale of the paper model (default: as make)")
    lesson.add_argument("--out", default=".", metavar="DIR", help="folder for the files (default: here)")
    lesson.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan each part and write its two sheets."""
    from foldsketch.base.files import write_all_atomically
    from foldsketch.job import pipeline
    from foldsketch.part.file.read import read_part
    from foldsketch.setup.plan.plan import plan
    from foldsketch.sheet.layout.paper import parse_scale
    from foldsketch.sheet.lessons.lesson import lesson
    from foldsketch.write.pdf import pdf

    names = [Path(p).stem for p in options.parts]
    for name in dict.fromkeys(names):
        if names.count(name) > 1:
            raise input_error(name, "is the name of two part files: one lesson would overwrite the other", "rename one")
    machine = machine_from_options(options)
    progress = Progress()
    parts = [(Path(p), *read_part(Path(p))) for p in options.parts]
    files: dict[Path, bytes] = {}
    told: list[Finding] = []
    for k, (path, part, findings) in enumerate(parts):
        progress("lessons", k / len(parts))
        made = plan(part, machine)
        nets = pipeline.make_model(part, pipeline.Choices(scale=parse_scale(options.scale))).nets
        sheets = lesson(part, machine, made, nets.scale, nets)
        for what, pages in (("worksheet", sheets.worksheet), ("answers", sheets.answers)):
            out = Path(options.out) / f"{path.stem}-{what}.pdf"
            files[out] = pdf(pages, f"{part.name}, {what}")
        told += (*findings, *made.findings)
    progress.clear()
    write_all_atomically(files)
    for out in files:
        print(f"wrote {out}")
    print_findings(told)
    return 0
