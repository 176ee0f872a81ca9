"""What a run works on: the part or the paper model of a mesh file, and what was found on it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.job.bodies import chosen_readings, part_of_bodies, read_body, rebuild_and_compare
from foldsketch.job.messages import PANELS_ONE_BODY

if TYPE_CHECKING:
    from foldsketch.job.choices import Choices
    from foldsketch.job.model import Model
    from foldsketch.mesh.panels.simplify import SimplifiedMesh
    from foldsketch.part.model import Part

MIN_MESH_PANELS, MAX_MESH_PANELS = 4, 2000
"""Flat panels that a mesh may be built of: no solid has fewer, and no one folds more."""


def read_mesh(
    path: Path | str,
    units: str | None = None,
    body: str | None = None,
    keep: bool = False,
    listener: Listener = ignore_progress,
    anyway: bool = False,
) -> tuple[Part, tuple[Finding, ...]]:
    """Find axes, diameters, lengths and offsets on a mesh and make a part of them.

    Parameters
    ----------
    path : str or Path
        STL, PLY, OBJ, OFF, 3MF, GLB, STEP or IGES.
    units : {"mm", "cm", "m", "in", "ft", "um"}, optional
        Unit of a mesh's numbers. Without it, mm is assumed and a finding says so. STEP and IGES have their own.
    body : str, optional
        Of a file with several: name or number of the body to take (1 is the largest), several as "1,3", or "all".
        Several become one part, each in its place. The largest is taken by default.
    keep : bool, optional
        Keep fillets, chamfers and draft.
    listener : callable, optional
        Called with the name of a stage and a share from 0 to 1.
    anyway : bool, optional
        Go on with a part that is far off the file, with a warning in place of the error.

    Returns
    -------
    part : Part
        Lengths in mm. It has no density: ``dataclasses.replace(part, density=7850)`` (kg/m3) lets `plan` give balance.
    findings : tuple of Finding
        What was repaired and left out, and how the part compares with the mesh.

    Raises
    ------
    FoldsketchError
        When the file cannot be read, no solid can be made of it, or that solid is far off the file.

    Examples
    --------
    >>> import foldsketch
    >>> part, findings = foldsketch.read_mesh("samples/bilge-pump-cover-cast.stl", units="mm")
    >>> [axis.name for axis in part.axes[:3]]
    ['A', 'B', 'C']
    """
    readings, findings = chosen_readings(path, units, body, keep, listener)
    part, more = part_of_bodies(readings, anyway)
    return part, (*more, *findings)


def model_from_mesh(
    path: Path | str,
    choices: Choices | None = None,
    units: str | None = None,
    body: str | None = None,
    keep: bool = False,
    panels: int | None = None,
    listener: Listener = ignore_progress,
    anyway: bool = False,
) -> Model:
    """Make the checked paper model of a mesh, with or without round features.

    Parameters
    ----------
    path, units, body, keep, listener, anyway
        As for `read_mesh`.
    choices : Choices, optional
        As for `model`.
    panels : int, optional
        Ignore round features and build at most so many flat panels, 4 to 2000. A mesh without round features gets
        plates or 120 panels by default.

    Returns
    -------
    Model
        Its findings begin with those about the mesh.

    Raises
    ------
    FoldsketchError
        When the file cannot be read, the model cannot be built, or it is far off the file.

    Examples
    --------
    >>> import foldsketch
    >>> made = foldsketch.model_from_mesh("samples/pipe-bracket.stl", units="mm", panels=60)
    >>> sum(len(net.panels) for net in made.nets.pieces) <= 60
    True
    """
    from foldsketch.job import budget, mesh_pipeline
    from foldsketch.job.choices import out_of_range
    from foldsketch.mesh.panels.simplify import simplify
    from foldsketch.part.model import Part

    if panels is not None and (wrong := out_of_range("panels", panels, MIN_MESH_PANELS, MAX_MESH_PANELS, whole=True)):
        raise FoldsketchError(wrong)
    readings, findings = chosen_readings(path, units, body, keep, listener)
    reading, *others = readings
    described: SimplifiedMesh | Part
    more: tuple[Finding, ...] = ()
    if others and panels is not None:
        raise PANELS_ONE_BODY.error("--panels")
    if others:
        described, more = part_of_bodies(readings, anyway)
    elif panels is not None:
        described = simplify(reading, panels)
        more = mesh_pipeline.require_likeness_of_panels(reading, described, anyway)
    elif reading.has_round_features:
        described, more = rebuild_and_compare(reading, anyway)[:2]
    else:
        described, more = mesh_pipeline.choose_plates_or_panels(reading, anyway=anyway)
    if isinstance(described, Part):
        made = budget.model(described, choices, listener)
    else:
        made = mesh_pipeline.model_from_panels(described, reading.name, choices, listener)
    return replace(made, findings=(*more, *findings, *made.findings))


def reading_report(
    path: Path | str,
    units: str | None = None,
    body: str | None = None,
    keep: bool = False,
    listener: Listener = ignore_progress,
    anyway: bool = False,
) -> dict[str, Any]:
    """What is found on a mesh, as plain values: what ``foldsketch read --json`` prints.

    Parameters
    ----------
    path, units, body, keep, listener, anyway
        As for `read_mesh`, but all bodies are reported by default.

    Returns
    -------
    dict
        Lengths mm, angles degrees; keys as in the reading report.

    Raises
    ------
    FoldsketchError
        When the file cannot be read, or the part rebuilt from it is far off it.

    Examples
    --------
    >>> import foldsketch
    >>> report = foldsketch.reading_report("samples/bilge-pump-cover-cast.stl", units="mm")
    >>> body = report["bodies"][0]
    >>> body["watertight"], [round(axis["offset"]) for axis in body["axes"][:3]]
    (True, [0, 8, 22])
    """
    from foldsketch.mesh.features.recognise import recognise_mesh
    from foldsketch.mesh.report import reading_dict

    bodies = [read_body(reading, anyway) for reading in recognise_mesh(Path(path), units, keep, body, listener)]
    return reading_dict([(replace(b.reading, findings=b.findings), b.compared) for b in bodies])
