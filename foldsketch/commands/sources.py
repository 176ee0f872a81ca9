"""What a command works on: the part, the reading or the paper model of the file that it names, and the machine."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding, refuse
from foldsketch.commands.arguments import Progress
from foldsketch.mesh import ENDINGS

if TYPE_CHECKING:
    from foldsketch.job.pipeline import Choices, Model
    from foldsketch.mesh.features.result import Reading
    from foldsketch.mesh.simplify import Simplified
    from foldsketch.part.model import Part
    from foldsketch.setup.machine import Machine

MOST_PANELS = 2000
"""More would be work for a winter."""


def machine_of(options: argparse.Namespace) -> Machine:
    """The machine of the file that was named, or the invented one that stands in."""
    from foldsketch.setup.machine import INVENTED, read_machine

    return read_machine(Path(options.machine)) if options.machine else INVENTED


def is_mesh(path: Path) -> bool:
    """Whether a file is a mesh by its ending."""
    return path.suffix.lower() in ENDINGS


def part_of(options: argparse.Namespace, progress: Progress) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file, or the part found on a mesh."""
    path = Path(options.part)
    if not is_mesh(path):
        from foldsketch.part.file.read import read_part

        return read_part(path)
    from foldsketch.mesh.rebuild.rebuild import rebuild

    reading, findings = reading_of(options, progress)
    part, told = rebuild(reading, options.keep)
    return part, (*findings, *told, *_held(reading, part))


def reading_of(options: argparse.Namespace, progress: Progress) -> tuple[Reading, tuple[Finding, ...]]:
    """The reading of a mesh's largest body, or of the one that was named, and the findings about it."""
    from foldsketch.mesh.features.recognise import read_mesh

    path = Path(options.part)
    readings = read_mesh(path, options.units, options.keep, options.body, progress)
    progress.clear()
    findings = readings[0].findings
    if len(readings) > 1:
        names = ", ".join(f"'{r.name}'" for r in readings[1:])
        left = Finding("warning", str(path.name), f"holds more bodies: {names}", "name one with --body")
        findings = (*findings, left)
    return readings[0], findings


def model_of(options: argparse.Namespace, choices: Choices, progress: Progress) -> tuple[Model, tuple[Finding, ...]]:
    """The paper model of a part file or a mesh: by its features, or the general way where it has no round ones or
    --panels asks for it."""
    from foldsketch.job import quick_model

    panels: int | None = options.panels
    if panels is not None and not is_mesh(Path(options.part)):
        raise refuse("--panels", "goes with a mesh, and this is a part file", "leave it out")
    if panels is not None and not 4 <= panels <= MOST_PANELS:
        raise refuse("--panels", f"{panels} is out of range", f"give 4 to {MOST_PANELS}")
    if not is_mesh(Path(options.part)):
        part, findings = part_of(options, progress)
        return quick_model.model(part, choices, progress), findings
    from foldsketch.job import mesh_pipeline
    from foldsketch.mesh.rebuild.rebuild import rebuild
    from foldsketch.mesh.simplify import simplify
    from foldsketch.part.model import Part

    reading, findings = reading_of(options, progress)
    described: Simplified | Part
    if panels is not None:
        described = simplify(reading, panels)
    elif reading.turned:
        described, told = rebuild(reading, options.keep)
        findings = (*findings, *told, *_held(reading, described))
    else:
        described, told = mesh_pipeline.plates_or_panels(reading)
        findings = (*findings, *told)
    if isinstance(described, Part):
        return quick_model.model(described, choices, progress), findings
    return mesh_pipeline.general_model(described, reading.name, choices, progress), findings


def _held(reading: Reading, part: Part) -> tuple[Finding, ...]:
    """The rebuilt part held against its mesh, as a finding."""
    from foldsketch.job.mesh_pipeline import held_against

    return (held_against(reading, part).finding(reading.name),)
