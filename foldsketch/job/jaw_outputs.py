"""Jaw drawings of a plan as files: PDF, DXF, and the jaws as a part file that `make` builds."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.findings import Finding
from foldsketch.job.messages import JAWS_WITHOUT_DXF
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate
from foldsketch.setup.formulas.bored_pocket import JAW_ANGLES
from foldsketch.setup.machine import DEFAULT_MACHINE, Machine
from foldsketch.setup.model import SetUpPlan
from foldsketch.setup.plan.jaw_pocket import (
    JAW_DATA_KEYS,
    JawPocket,
    has_bored_jaws,
    jaw_notes,
    jaw_pocket,
)

JAW_BELOW_POCKET_MM = 12.0
"""Of the jaw below its rest face in the part file: the jaw's own height is the maker's, so only a piece is built."""

JAW_BEHIND_POCKET_MM = 15.0
"""Of the jaw behind its pocket in the part file, where the chuck has as much: a piece, for the paper, mm."""


@dataclass(frozen=True, slots=True)
class JawFiles:
    """What is written for the toolroom.

    Attributes
    ----------
    files : dict
        Bytes by the end of their names, such as ``"jaws-3.pdf"``.
    pockets : tuple of JawPocket
        What is drawn.
    findings : tuple of Finding
        Notes.

    Examples
    --------
    >>> JawFiles({}, (), ()).files
    {}
    """

    files: dict[str, bytes]
    pockets: tuple[JawPocket, ...]
    findings: tuple[Finding, ...]


def jaw_drawings(part: Part, planned: SetUpPlan, machine: Machine = DEFAULT_MACHINE) -> JawFiles:
    """A drawing of the bored jaws of every set-up that has them: PDF, DXF, and a part file of the jaws.

    Parameters
    ----------
    part : Part
        The part that was planned.
    planned : SetUpPlan
        From `plan`.
    machine : Machine, optional
        The machine that it was planned for.

    Returns
    -------
    JawFiles
        Files are numbered as the set-ups are; none where no jaws are bored. DXF needs the extra `dxf`.

    Raises
    ------
    FoldsketchError
        When a pocket cannot be bored in these jaws; it says which offset would go.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> machine = foldsketch.read_machine("samples/machines/small.toml")
    >>> made = foldsketch.jaw_drawings(part, foldsketch.plan(part, machine), machine)
    >>> [p.offset for p in made.pockets]
    [0.0, 6.0]
    """
    from foldsketch.part.file.write import part_to_toml
    from foldsketch.sheet.setup_sheets.jaw_drawing import draw_jaw_model, draw_jaw_page
    from foldsketch.write.dxf import dxf, dxf_available
    from foldsketch.write.pdf import pdf

    pockets = tuple(jaw_pocket(part, machine, s) for s in planned.setups if has_bored_jaws(s))
    files: dict[str, bytes] = {}
    findings = list(jaw_notes(machine, planned, pockets))
    for k, p in enumerate(pockets, 1):
        name = f"jaws-{p.setup.number}"
        where = f"{p.spindle.name} spindle"
        lacking = tuple(d.key for d in machine.defaults if d.where == where and d.key in JAW_DATA_KEYS)
        page = draw_jaw_page(p, part.name, lacking, k, len(pockets))
        files[f"{name}.pdf"] = pdf([page], page.title)
        if dxf_available():
            files[f"{name}.dxf"] = dxf(draw_jaw_model(p, part.name))
        files[f"{name}.toml"] = part_to_toml(jaws_part(p, part.name), JAWS_PART_COMMENT).encode()
    if pockets and not dxf_available():
        findings.append(JAWS_WITHOUT_DXF.at("--jaws"))
    return JawFiles(files, pockets, tuple(findings))


JAWS_PART_COMMENT = """The bored jaws of one set-up, to build of paper: foldsketch make reads this file.
Only a piece of each jaw is here: its height and its far end are the maker's. Not for boring: use the drawing."""


def jaws_part(p: JawPocket, name: str) -> Part:
    """The three jaws as a part: plates with the pocket cut in. The spindle axis is the datum, jaw 1 points along +x."""
    from math import cos, sin

    from foldsketch.sheet.setup_sheets.jaw_outlines import jaw_face

    c = p.setup.clamping
    top = JAW_BELOW_POCKET_MM + p.depth
    far = min(p.chuck_radius, p.offset + p.bore / 2 + JAW_BEHIND_POCKET_MM)
    outline = [(min(x, far), y) for x, y in jaw_face(p.width, far).exterior.coords[:-1]]
    features = []
    for k, t in enumerate(JAW_ANGLES, 1):
        turned = tuple((round(x * cos(t) - y * sin(t), 6), round(x * sin(t) + y * cos(t), 6)) for x, y in outline)
        features.append(Feature(f"jaw {k}", c.on_centreline, Plate(outline=turned), 0.0, top))
    axes = [Axis(c.on_centreline)]
    if p.offset:
        axes.append(Axis(c.held_axis, (p.offset, 0.0, 0.0)))
    on = c.held_axis if p.offset else c.on_centreline
    features.append(Feature("pocket", on, Cylinder(p.bore), JAW_BELOW_POCKET_MM, top + 1.0, cut=True))
    if p.through:
        features.append(Feature("hole", c.on_centreline, Cylinder(p.through), -1.0, top + 1.0, cut=True))
    return Part(f"{name}, jaws of set-up {p.setup.number}", tuple(axes), tuple(features))
