"""What a command works on: the part, the reading or the paper model of the file that it names, and the machine."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding, input_error
from foldsketch.commands.arguments import Progress
from foldsketch.mesh import ENDINGS

if TYPE_CHECKING:
    from foldsketch.job.pipeline import Choices, Model
    from foldsketch.mesh.features.result import MeshReading
    from foldsketch.mesh.simplify import SimplifiedMesh
    from foldsketch.part.model import Part
    from foldsketch.setup.machine import Machine

MAX_MESH_PANELS = 2000
"""More would be work for a winter."""


def machine_from_options(options: argparse.Namespace) -> Machine:
    """The machine of the file that was named, or the invented one that stands in."""
    from foldsketch.setup.machine import DEFAULT_MACHINE
    from foldsketch.setup.machine_file.read import read_machine

    return read_machine(Path(options.machine)) if options.machine else DEFAULT_MACHINE


def is_mesh(path: Path) -> bool:
    """Whether a file is a mesh by its ending."""
    return path.suffix.lower() in ENDINGS


def part_from_options(options: argparse.Namespace, progress: Progress) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file, or the part found on a mesh."""
    path = Path(options.part)
    if not is_mesh(path):
        from foldsketch.part.file.read import read_part

        return read_part(path)
    from foldsketch.mesh.rebuild.rebuild import rebuild

    reading, findings = reading_from_options(options, progress)
    part, told = rebuild(reading, options.keep)
    return part, (*findings, *told, *_comparison_findings(reading, part))


def reading_from_options(options: argparse.Namespace, progress: Progress) -> tuple[MeshReading, tuple[Finding, ...]]:
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


def model_from_options(
    options: argparse.Namespace, choices: Choices, progress: Progress
) -> tuple[Model, tuple[Finding, ...]]:
    """The paper model of a part file or a mesh: by its features, or the general way where it has no round ones or
    --panels asks for it."""
    from foldsketch.job import quick_model

    panels: int | None = options.panels
    if panels is not None and not is_mesh(Path(options.part)):
        raise input_error("--panels", "goes with a mesh, and this is a part file", "leave it out")
    if panels is not None and not 4 <= panels <= MAX_MESH_PANELS:
        raise input_error("--panels", f"{panels} is out of range", f"give 4 to {MAX_MESH_PANELS}")
    if not is_mesh(Path(options.part)):
        part, findings = part_from_options(options, progress)
        return quick_model.model(part, choices, progress), findings
    from foldsketch.job import mesh_pipeline
    from foldsketch.mesh.rebuild.rebuild import rebuild
    from foldsketch.mesh.simplify import simplify
    from foldsketch.part.model import Part

    reading, findings = reading_from_options(options, progress)
    described: SimplifiedMesh | Part
    if panels is not None:
        described = simplify(reading, panels)
    elif reading.turned:
        described, told = rebuild(reading, options.keep)
        findings = (*findings, *told, *_comparison_findings(reading, described))
    else:
        described, told = mesh_pipeline.choose_plates_or_panels(reading)
        findings = (*findings, *told)
    if isinstance(described, Part):
        return quick_model.model(described, choices, progress), findings
    return mesh_pipeline.model_from_panels(described, reading.name, choices, progress), findings


def _comparison_findings(reading: MeshReading, part: Part) -> tuple[Finding, ...]:
    """The rebuilt part held against its mesh, as a finding."""
    from foldsketch.job.mesh_pipeline import compare_rebuilt_part

    return (compare_rebuilt_part(reading, part).finding(reading.name),)
