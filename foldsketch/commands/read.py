"""read: a mesh to a part file, or to the reading report."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from foldsketch.base.findings import Finding, input_error
from foldsketch.commands.arguments import Progress, Subparsers, add_command, add_mesh_options, print_findings


def add_parser(commands: Subparsers) -> None:
    """The command read."""
    read = add_command(
        commands,
        "read",
        "mesh to part file",
        "Find the features, axes and offsets of a mesh and write them as a part file.",
        "example:\n  foldsketch read cover.stl --units mm\n      prints what was found and writes cover.toml\n",
    )
    read.add_argument("part", metavar="MESH", help="STL, PLY, OBJ, OFF, 3MF or GLB")
    add_mesh_options(read)
    read.add_argument("--out", metavar="FILE", help="part file to write (default: the mesh's name with .toml)")
    read.add_argument("--json", action="store_true", help="print the reading report instead, and write nothing")
    read.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Read the mesh, print what was found, write the part file."""
    from foldsketch.base.files import write_all_atomically
    from foldsketch.job.mesh_pipeline import compare_rebuilt_part
    from foldsketch.mesh.features.recognise import read_mesh
    from foldsketch.mesh.rebuild.rebuild import rebuild
    from foldsketch.mesh.report import reading_json, reading_table
    from foldsketch.part.file.write import part_to_toml

    path = Path(options.part)
    progress = Progress()
    try:
        readings = read_mesh(path, options.units, options.keep, options.body, progress)
    finally:
        progress.clear()
    if options.json:
        reading = readings[0]
        held = None
        if reading.has_round_features:
            part, told = rebuild(reading, options.keep)
            held = compare_rebuilt_part(reading, part)
            reading = replace(reading, findings=(*reading.findings, *told, held.finding(reading.name)))
        sys.stdout.write(reading_json(reading, held).decode())
        print_findings(reading.findings)
        return 0
    findings: list[Finding] = []  # those of the readings stand in the table
    shown, turned = [], []
    for reading in readings:
        if reading.has_round_features:
            part, told = rebuild(reading, options.keep)
            findings += told
            turned.append(part)
            note = compare_rebuilt_part(reading, part).finding(reading.name)
            reading = replace(reading, findings=(*reading.findings, note))
        shown.append(reading)
    print(reading_table(shown))
    files: dict[Path, bytes] = {}
    for k, part in enumerate(turned):
        out = Path(options.out) if options.out else path.with_suffix(".toml")
        if k:
            out = out.with_name(f"{out.stem}-{k + 1}{out.suffix}")
        if not options.out and out.exists() and not out.read_bytes().startswith(b"# Read from "):
            raise input_error(str(out), "is there already and was not written by read", "name another file with --out")
        comment = f"Read from {path.name}; lengths are its own numbers times the factor asked for. Edit freely."
        files[out] = part_to_toml(part, comment).encode("utf-8", "replace")
    write_all_atomically(files)
    for out in files:
        print(f"wrote {out}")
    print_findings(findings)
    return 0
