"""Drawings of bored jaws and fixture plates as files: PDF, DXF, and a part file that `make` builds."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.findings import Finding
from foldsketch.job.messages import JAWS_WITHOUT_DXF
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate
from foldsketch.setup.formulas.bored_pocket import JAW_ANGLES
from foldsketch.setup.machine import DEFAULT_MACHINE, Machine
from foldsketch.setup.model import SetUpPlan
from foldsketch.setup.plan.fixture_plate import (
    FixturePlate,
    fixture_notes,
    fixture_plate,
    has_fixture_plate,
    plate_fault,
)
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
        Bored jaws that are drawn.
    plates : tuple of FixturePlate
        Fixture plates that are drawn.
    findings : tuple of Finding
        Notes.

    Examples
    --------
    >>> JawFiles({}, (), (), ()).files
    {}
    """

    files: dict[str, bytes]
    pockets: tuple[JawPocket, ...]
    plates: tuple[FixturePlate, ...]
    findings: tuple[Finding, ...]


def jaw_drawings(part: Part, planned: SetUpPlan, machine: Machine = DEFAULT_MACHINE) -> JawFiles:
    """A drawing of the bored jaws or the fixture plate of every set-up that has them: PDF, DXF, and a part file.

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
        Files are numbered as the set-ups are; none where no jaws are bored and no fixture locates a round. DXF needs
        the extra `dxf`.

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
    from foldsketch.sheet.setup_sheets.fixture_drawing import draw_fixture_model, draw_fixture_page
    from foldsketch.sheet.setup_sheets.jaw_drawing import draw_jaw_model, draw_jaw_page
    from foldsketch.write.dxf import dxf, dxf_available
    from foldsketch.write.pdf import pdf

    pockets = tuple(jaw_pocket(part, machine, s) for s in planned.setups if has_bored_jaws(s))
    laid_out = [fixture_plate(part, machine, s) for s in planned.setups if has_fixture_plate(s)]
    plates = tuple(p for p in laid_out if plate_fault(p) is None)
    files: dict[str, bytes] = {}
    faults = [fault for p in laid_out if (fault := plate_fault(p)) is not None]
    findings = [*faults, *jaw_notes(machine, planned, pockets, len(plates)), *fixture_notes(planned, plates)]
    count = len(pockets) + len(plates)
    for k, p in enumerate(pockets, 1):
        name = f"jaws-{p.setup.number}"
        where = f"{p.spindle.name} spindle"
        lacking = tuple(d.key for d in machine.defaults if d.where == where and d.key in JAW_DATA_KEYS)
        page = draw_jaw_page(p, part.name, lacking, k, count)
        files[f"{name}.pdf"] = pdf([page], page.title)
        if dxf_available():
            files[f"{name}.dxf"] = dxf(draw_jaw_model(p, part.name))
        files[f"{name}.toml"] = part_to_toml(jaws_part(p, part.name), JAWS_PART_COMMENT).encode()
    for k, plate in enumerate(plates, len(pockets) + 1):
        name = f"fixture-{plate.setup.number}"
        page = draw_fixture_page(plate, part.name, k, count)
        files[f"{name}.pdf"] = pdf([page], page.title)
        if dxf_available():
            files[f"{name}.dxf"] = dxf(draw_fixture_model(plate, part.name))
        files[f"{name}.toml"] = part_to_toml(fixture_part(plate, part.name), FIXTURE_PART_COMMENT).encode()
    if count and not dxf_available():
        findings.append(JAWS_WITHOUT_DXF.at("--jaws"))
    return JawFiles(files, pockets, plates, tuple(findings))


FIXTURE_PART_COMMENT = """The fixture plate of one set-up, to build of paper: foldsketch make reads this file.
Its seat on the spindle and its clamps are the maker's and the toolroom's. Not for boring: use the drawing."""


def fixture_part(p: FixturePlate, name: str) -> Part:
    """The plate as a part: the spindle axis is the datum, what is held lies along +x."""
    c = p.setup.clamping
    top = p.thickness
    axes = [Axis(c.on_centreline), Axis(c.held_axis, (p.offset, 0.0, 0.0))]
    features = [Feature("plate", c.on_centreline, Cylinder(2 * p.radius), 0.0, top)]
    if p.locator == "bore":
        features.append(Feature("bore", c.held_axis, Cylinder(p.size), top - p.depth, top + 1.0, cut=True))
    else:
        features.append(Feature("spigot", c.held_axis, Cylinder(p.size), top, top + p.depth))
    if p.relief:
        low = top - p.depth - p.behind - 1.0
        features.append(Feature("relief", c.held_axis, Cylinder(p.relief), low, top + 1.0, cut=True))
    if p.through:
        features.append(Feature("hole", c.on_centreline, Cylinder(p.through), -1.0, top + p.depth + 1.0, cut=True))
    for k, b in enumerate(p.pockets, 1):
        axes.append(Axis(f"P{k}", (round(b.at[0], 6), round(b.at[1], 6), 0.0)))
        pocket = Cylinder(b.diameter)
        features.append(Feature(f"balance pocket {k}", f"P{k}", pocket, top - b.depth, top + 1.0, cut=True))
    return Part(f"{name}, fixture of set-up {p.setup.number}", tuple(axes), tuple(features))


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
