"""Blocks: which features become one paper body, and where blocks are glued face to face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from foldsketch.base.arrays import Array
from foldsketch.base.findings import Finding, quoted
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.geometry.graphs import DisjointSets
from foldsketch.solid import messages
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.faceting.prism import Prism
from foldsketch.solid.joining.joints import Joint, find_joints
from foldsketch.solid.joining.kernel import Operands, closed_skin
from foldsketch.solid.joining.skin import Skin, skin_of_prism
from foldsketch.solid.joining.through_bores import bore_through

JoinRule = Literal["faces", "fuse"]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Features fused into one solid that is built as one paper body. features: indices of its material features."""

    id: int
    features: tuple[int, ...]
    skin: Skin


@dataclass(frozen=True, slots=True, eq=False)
class Solids:
    """Blocks and the joints between them, in the model frame."""

    blocks: tuple[Block, ...]
    joints: tuple[Joint, ...]
    findings: tuple[Finding, ...] = ()

    def __repr__(self) -> str:
        return f"<Solids: {len(self.blocks)} blocks, {len(self.joints)} joints>"


def join(faceted: FacetedPart, rule: JoinRule = "faces", tolerance: Tolerance = DEFAULT_TOLERANCE) -> Solids:
    """Blocks and joints of faceted features.

    Features that overlap are one block; features that only touch on a flat face are joined there or, by the rule
    "fuse", one block too. Cuts take from every block that they reach, in file order. Raises FoldsketchError when
    cuts leave nothing of a block, or its surface does not close.
    """
    prisms = faceted.prisms
    operands = Operands(dict(enumerate(prisms)))
    findings: list[Finding] = []
    built: list[tuple[tuple[int, ...], Skin]] = []
    for group in _group_material(operands, prisms, rule, tolerance):
        skins = _build_skins(operands, group, findings, faceted.datum_direction, tolerance)
        for skin in skins:
            owners = {f.feature for f in skin.faces}
            built.append((tuple(g for g in group if g in owners) or tuple(group), skin))
    blocks = tuple(Block(i, features, skin) for i, (features, skin) in enumerate(built))
    joints = find_joints([b.skin for b in blocks], tolerance)
    findings += _warn_disconnected(blocks, joints, prisms)
    return Solids(blocks, tuple(joints), tuple(findings))


def _boxes_meet(a: Prism, b: Prism, slack: float) -> bool:
    return bool((a.low < b.high + slack).all() and (b.low < a.high + slack).all())


def _group_material(
    operands: Operands, prisms: Sequence[Prism], rule: JoinRule, tolerance: Tolerance
) -> list[list[int]]:
    """Material features that become one block, each group in file order."""
    sets = DisjointSets(p.index for p in prisms if not p.cut)
    slack = tolerance.length if rule == "fuse" else -tolerance.length
    for i, j in combinations([p.index for p in prisms if not p.cut], 2):
        if sets.find(i) == sets.find(j) or not _boxes_meet(prisms[i], prisms[j], slack):
            continue
        if rule == "fuse":
            together = len((operands.solid(i) + operands.solid(j)).decompose()) == 1
        else:
            together = (operands.solid(i) ^ operands.solid(j)).volume() > tolerance.area
        if together:
            sets.unite(i, j)
    return sets.groups()


def _build_skins(
    operands: Operands, group: list[int], findings: list[Finding], direction: Array, tolerance: Tolerance
) -> list[Skin]:
    """The skin of a group of features with the cuts that reach them; several skins if cuts divide it."""
    prisms = operands.prisms
    cuts = [
        i
        for i, c in prisms.items()
        if c.cut and i > group[0] and any(g < i and _boxes_meet(prisms[g], c, 0.0) for g in group)
    ]
    if len(group) == 1:
        only = prisms[group[0]]
        skin = bore_through(only, [prisms[c] for c in cuts], direction, tolerance) if cuts else skin_of_prism(only)
        if skin is not None:
            return [skin]
    where = f"feature{'s' if len(group) > 1 else ''} {quoted(prisms[g].feature.name for g in group)}"
    solid = operands.combine(sorted(group + cuts))
    if solid.is_empty() or solid.volume() < tolerance.area:
        raise messages.CUT_AWAY.error(where)
    # The surface of a cavity comes as a body of its own whose volume is negative.
    parts = solid.decompose()
    bodies = [b for b in parts if b.volume() > tolerance.area]
    cavities = sum(b.volume() < -tolerance.area for b in parts)
    if cavities:
        findings.append(messages.CAVITY_FILLED.at(where, cavities=cavities))
    if len(bodies) > 1:
        findings.append(messages.CUT_APART.at(where, bodies=len(bodies)))
    skins = []
    for body in bodies:
        skin = closed_skin(body, operands, direction, tolerance)
        if skin is None:
            raise messages.SURFACE_NOT_CLOSED.error(where)
        skins.append(skin)
    return skins


def _warn_disconnected(blocks: Sequence[Block], joints: Sequence[Joint], prisms: Sequence[Prism]) -> list[Finding]:
    """A warning when joints do not connect all blocks."""
    sets = DisjointSets(range(len(blocks)))
    for joint in joints:
        sets.unite(*joint.blocks)
    bodies = sets.groups()
    if len(bodies) < 2:
        return []
    names = "; ".join(
        " + ".join(f"'{prisms[f].feature.name}'" for b in body for f in blocks[b].features) for body in bodies
    )
    return [messages.BODIES_APART.at("part", bodies=len(bodies), names=names)]
