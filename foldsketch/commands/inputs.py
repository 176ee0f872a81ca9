"""What a command works on: the part or the paper model of the file that it names, and the machine."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding
from foldsketch.commands.arguments import Progress
from foldsketch.commands.messages import PANELS_NEED_MESH
from foldsketch.mesh import READ_FILE_SUFFIXES

if TYPE_CHECKING:
    from foldsketch.job.choices import Choices
    from foldsketch.job.model import Model
    from foldsketch.part.model import Part
    from foldsketch.setup.machine import Machine


def machine_from_options(options: argparse.Namespace) -> Machine:
    """The machine of the named file, or the default one."""
    from foldsketch.setup.machine import DEFAULT_MACHINE
    from foldsketch.setup.machine_file.read import read_machine

    return read_machine(Path(options.machine)) if options.machine is not None else DEFAULT_MACHINE


def is_mesh(path: Path) -> bool:
    """Whether a file is a mesh, STEP or IGES by its ending."""
    return path.suffix.lower() in READ_FILE_SUFFIXES


def part_from_options(options: argparse.Namespace, progress: Progress) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file, or the part found on a mesh. Raises FoldsketchError."""
    from foldsketch.job.inputs import read_mesh
    from foldsketch.part.file.read import read_part

    if options.part is None:
        from foldsketch.part.spoken.read import read_spoken

        return read_spoken(options.say, options.units or "mm")
    path = Path(options.part)
    if is_mesh(path):
        return read_mesh(path, options.units, options.body, options.keep, progress, options.anyway)
    return read_part(path)


def file_stem(options: argparse.Namespace, part: Part) -> str:
    """How the files of a part are named: as its own file is, or after the part where it was spoken."""
    return Path(options.part).stem if options.part else "-".join(re.findall(r"\w+", part.name.lower())) or "part"


def model_from_options(
    options: argparse.Namespace, choices: Choices, progress: Progress
) -> tuple[Model, tuple[Finding, ...]]:
    """The paper model of a part file or a mesh, and the findings about the file. Raises FoldsketchError."""
    from foldsketch.job.budget import model
    from foldsketch.job.inputs import model_from_mesh

    path = Path(options.part or "")
    if is_mesh(path):
        how = (options.units, options.body, options.keep, options.panels)
        return model_from_mesh(path, choices, *how, progress, options.anyway), ()
    if options.panels is not None:
        raise PANELS_NEED_MESH.error("--panels")
    part, findings = part_from_options(options, progress)
    return model(part, choices, progress), findings
