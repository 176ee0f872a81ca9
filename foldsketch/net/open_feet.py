"""Open feet: a block that stands on another one has no end of its own there; the face that it stands on closes it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.geometry.polygon_loops import signed_area
from foldsketch.net.tabs.cut_edges import CutEdge
from foldsketch.net.tabs.reduced_tabs import MIN_FOOT_EDGES
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.solid.faceting.prism import Prism
from foldsketch.solid.joining.blocks import Block, Solids
from foldsketch.solid.joining.joints import Joint
from foldsketch.solid.joining.skin import plane_axes

MIN_FOOT_SIDE_MM = 3.0
"""Narrowest edge of a foot that can have a tab turned in, mm [common practice]."""

SAME_AREA_TOLERANCE = 1e-6
"""Relative difference up to which a joint is all of a face."""


@dataclass(frozen=True, slots=True)
class OpenFoot:
    """An end of a block that is not built.

    joint: its number; receiving: the face that closes the block. Faces are counted over all blocks.
    """

    joint: int
    receiving: int


def find_open_feet(solids: Solids, graph: FaceGraph, prisms: Sequence[Prism]) -> dict[int, OpenFoot]:
    """The ends that need not be built, by their faces; one of a block at most.

    An end without holes, all of it against one face of another block, with walls that are folded and not rolled. Of
    two such ends against each other the second block's is left out.
    """
    first: dict[int, int] = {}
    for block in solids.blocks:
        first[block.id] = sum(len(b.skin.faces) for b in solids.blocks[: len(first)])
    blocks = {b.id: b for b in solids.blocks}
    found: dict[int, OpenFoot] = {}
    opened: set[int] = set()
    for number, joint in enumerate(solids.joints):
        ends = [first[b] + f for b, f in zip(joint.blocks, joint.faces, strict=True)]
        for k in (1, 0):
            block, foot, receiving = blocks[joint.blocks[k]], ends[k], ends[1 - k]
            if block.id in opened or receiving in found or not _stands_whole(graph, joint, foot, block, prisms):
                continue
            found[foot] = OpenFoot(number, receiving)
            opened.add(block.id)
            break
    return found


def _stands_whole(graph: FaceGraph, joint: Joint, foot: int, block: Block, prisms: Sequence[Prism]) -> bool:
    """Whether an end is one loop of walls, and all of it in a joint."""
    if joint.holes or len(graph.loops[foot]) != 1 or graph.faces[foot].kind != "end":
        return False
    if any(prisms[f].rolled for f in block.features):
        return False
    rim = graph.loops[foot][0]
    if any(graph.faces[graph.across(h)].kind != "side" or graph.angle[h] <= 0 for h in rim):
        return False
    if sum(graph.length[h] >= MIN_FOOT_SIDE_MM for h in rim) < MIN_FOOT_EDGES:
        return False
    flat: Array = joint.outline @ plane_axes(joint.normal)
    area = abs(signed_area(flat.tolist()))
    return abs(area - graph.area[foot]) <= SAME_AREA_TOLERANCE * graph.area[foot]


def badly_held_feet(graph: FaceGraph, edges: Sequence[CutEdge], feet: Mapping[int, OpenFoot]) -> set[int]:
    """Feet on which too few tabs fit to hold their block."""
    tabs = dict.fromkeys(feet, 0)
    for e in edges:
        foot = graph.face[e.target]
        if foot in tabs:
            tabs[foot] += e.shape is not None
    return {foot for foot, count in tabs.items() if count < MIN_FOOT_EDGES}


def lengths_around(outline: Array) -> list[float]:
    """Length of every edge of a closed line (n, 3), mm."""
    found: list[float] = np.linalg.norm(np.roll(outline, -1, axis=0) - outline, axis=1).tolist()
    return found
