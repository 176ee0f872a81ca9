"""The bodies of a mesh, STEP or IGES file: which are taken, the part of each, and one part of several."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding, FoldsketchError, percent
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.job.messages import BODIES_CUT_EACH_OTHER, MORE_BODIES

if TYPE_CHECKING:
    from foldsketch.mesh.comparison.compare import Comparison
    from foldsketch.mesh.features.mesh_reading import MeshReading
    from foldsketch.part.model import Part

MAX_VOLUME_LOST = 0.01
"""Share of the bodies' volumes by which their one part may be less."""


@dataclass(frozen=True, slots=True, eq=False)
class ReadBody:
    """One body with the part made of it and its comparison, where it has a round feature, and what was found."""

    reading: MeshReading
    findings: tuple[Finding, ...]
    part: Part | None = None
    compared: Comparison | None = None


def chosen_readings(
    path: Path | str, units: str | None, body: str | None, keep: bool, listener: Listener = ignore_progress
) -> tuple[tuple[MeshReading, ...], tuple[Finding, ...]]:
    """Readings of a file's largest body, or of those that are named, and the findings about them.

    body: names or numbers, as "2", "1,3" or "all". Raises FoldsketchError.
    """
    from foldsketch.mesh.features.recognise import recognise_mesh

    readings = recognise_mesh(Path(path), units, keep, body, listener)
    if body is not None or len(readings) == 1:
        return readings, tuple(dict.fromkeys(f for r in readings for f in r.findings))
    first, *others = readings
    return (first,), (*first.findings, MORE_BODIES.at(Path(path).name, names=tuple(r.name for r in others)))


def read_body(reading: MeshReading, anyway: bool = False) -> ReadBody:
    """A body with its part. Raises FoldsketchError for a part that is far off the mesh, unless anyway."""
    if not reading.has_round_features:
        return ReadBody(reading, reading.findings)
    part, more, compared = rebuild_and_compare(reading, anyway)
    return ReadBody(reading, (*more, *reading.findings), part, compared)


def rebuild_and_compare(reading: MeshReading, anyway: bool = False) -> tuple[Part, tuple[Finding, ...], Comparison]:
    """The part of a reading, the findings about it, and how it compares with the mesh.

    Raises FoldsketchError when there is none, or when it is far off the mesh, unless anyway.
    """
    from foldsketch.job.mesh_pipeline import compare_rebuilt_part
    from foldsketch.mesh.comparison.verdict import require_likeness
    from foldsketch.mesh.rebuild.rebuild import rebuild

    try:
        part, findings = rebuild(reading)
        compared = compare_rebuilt_part(reading, part)
        off = require_likeness(reading.name, compared, anyway)
    except FoldsketchError:
        rounds = None if anyway else _rounds_that_fit(reading)
        if rounds is None:
            raise
        part, findings, compared = rounds
        off = ()
    return part, (*off, *findings, compared.finding(reading.name)), compared


def _rounds_that_fit(reading: MeshReading) -> tuple[Part, tuple[Finding, ...], Comparison] | None:
    """The part of the rounds alone, where all that the mesh has lies on it; else None."""
    from foldsketch.job.mesh_pipeline import compare_rebuilt_part
    from foldsketch.mesh.comparison.verdict import mesh_lies_on_part
    from foldsketch.mesh.rebuild.rounds_alone import rebuild_of_rounds

    with suppress(FoldsketchError):
        part, findings = rebuild_of_rounds(reading)
        compared = compare_rebuilt_part(reading, part)
        if mesh_lies_on_part(reading, compared):
            return part, findings, compared
    return None


def part_of_bodies(readings: Sequence[MeshReading], anyway: bool = False) -> tuple[Part, tuple[Finding, ...]]:
    """The part of one reading, or one part of several bodies in the frame of the first; and the findings about it.

    Raises FoldsketchError when a body cannot be made, or when what one cuts would take from another, unless anyway.
    """
    from foldsketch.mesh.features.part_frame import find_part_frame
    from foldsketch.mesh.rebuild.assemble import join_parts, move_to_frame

    made = [rebuild_and_compare(reading, anyway)[:2] for reading in readings]
    findings = tuple(f for _, more in made for f in more)
    if len(made) == 1:
        return made[0][0], findings
    frames = [find_part_frame(reading) for reading in readings]
    parts = [move_to_frame(part, own, frames[0]) for (part, _), own in zip(made, frames, strict=True)]
    name = Path(readings[0].source).stem
    part = join_parts(name, parts)
    share = _volume(part) / sum(map(_volume, parts))
    if share >= 1 - MAX_VOLUME_LOST:
        return part, findings
    cut = BODIES_CUT_EACH_OTHER.at(name, share=percent(share, 1))
    if not anyway:
        raise FoldsketchError(cut)
    return part, (replace(cut, level="warning"), *findings)


def _volume(part: Part) -> float:
    """mm3, of many-sided prisms."""
    from foldsketch.mesh.geometry.measure import signed_volume
    from foldsketch.solid.joining.reference_mesh import tessellate_part

    return signed_volume(*tessellate_part(part))
