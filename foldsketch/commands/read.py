"""read: a mesh, STEP or IGES file to a part file, or to the reading report."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.commands.arguments import (
    Progress,
    Subparsers,
    add_command,
    add_mesh_options,
    print_findings,
    print_json,
)
from foldsketch.commands.messages import FILE_IS_YOURS

if TYPE_CHECKING:
    from foldsketch.part.model import Part

FIRST_WORDS = "Read from "
"""How the comment begins on top of a part file that read wrote: only such a file is overwritten unasked."""


def add_parser(commands: Subparsers) -> None:
    """The command read."""
    read = add_command(
        commands,
        "read",
        "mesh, STEP or IGES to part file",
        "Find the features, axes and offsets of a mesh, STEP or IGES file and write them as a part file.",
        "example:\n  foldsketch read cover.stl --units mm\n      prints what was found and writes cover.toml\n",
    )
    read.add_argument("part", metavar="FILE", help="STL, PLY, OBJ, OFF, 3MF, GLB, STEP or IGES")
    add_mesh_options(read)
    read.add_argument("--out", metavar="FILE", help="part file to write (default: the file's name with .toml)")
    read.add_argument("--json", action="store_true", help="print the reading report instead, and write nothing")
    read.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Read the file, print what was found, write the part file."""
    from foldsketch.base.files import write_all_atomically
    from foldsketch.job.bodies import part_of_bodies, read_body
    from foldsketch.mesh.features.recognise import recognise_mesh
    from foldsketch.mesh.report import reading_dict, reading_table

    path = Path(options.part)
    progress = Progress()
    try:
        readings = recognise_mesh(path, options.units, options.keep, options.body, progress)
    finally:
        progress.clear()
    if not options.json and options.body is not None and len(readings) > 1:
        part, more = part_of_bodies(readings, options.anyway)
        parts, findings = [part], [*more, *(f for reading in readings for f in reading.findings)]
    else:
        bodies = [read_body(reading, options.anyway) for reading in readings]
        parts = [body.part for body in bodies if body.part]
        findings = [f for body in bodies for f in body.findings]
    if options.json:
        print_json(reading_dict([(replace(body.reading, findings=body.findings), body.compared) for body in bodies]))
    else:
        print(reading_table([replace(reading, findings=()) for reading in readings]).rstrip())
        files = _part_files(path, options.out, parts)
        write_all_atomically(files)
        for out in files:
            print(f"wrote {out}")
    print_findings(findings, options.all_findings)
    return 0


def _part_files(source: Path, out: str | None, parts: Sequence[Part]) -> dict[Path, bytes]:
    """The part files to write, path to bytes. Raises FoldsketchError for a file that the user made."""
    from foldsketch.mesh import CAD_FILE_SUFFIXES
    from foldsketch.part.file.write import part_to_toml

    is_cad = source.suffix.lower() in CAD_FILE_SUFFIXES
    first = Path(out) if out else source.with_suffix(".toml")
    lengths = "in mm" if is_cad else "its own numbers times the factor asked for"
    comment = f"{FIRST_WORDS}{source.name}; lengths are {lengths}. Edit freely."
    files = {}
    for k, part in enumerate(parts, 1):
        path = first if k == 1 else first.with_name(f"{first.stem}-{k}{first.suffix}")
        if not out and path.exists() and not path.read_bytes().startswith(f"# {FIRST_WORDS}".encode()):
            raise FILE_IS_YOURS.error(str(path))
        files[path] = part_to_toml(part, comment).encode("utf-8", "replace")
    return files
