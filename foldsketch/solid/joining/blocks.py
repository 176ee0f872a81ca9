"""Join: which features become one paper body, and where two bodies are glued face to face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import manifold3d as m3
import numpy as np

from foldsketch.base.findings import Finding, input_error
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.faceting.prism import Array, Face, Prism
from foldsketch.solid.joining.kernel import closed_skin, to_manifold
from foldsketch.solid.joining.skin import Skin, face_planes, plane_axes, skin_of_prism
from foldsketch.solid.joining.through_bores import bore_through

JoinRule = Literal["faces", "fuse"]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Features fused into one solid that is built as one paper body. features: indices of its material features."""

    id: int
    features: tuple[int, ...]
    skin: Skin


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """A flat contact of two blocks. faces: number of the touching face in each block's skin; outline: (n, 3) mm,
    anticlockwise seen against normal; holes: each (m, 3); normal: (3,) from the first block to the second."""

    blocks: tuple[int, int]
    faces: tuple[int, int]
    outline: Array
    holes: tuple[Array, ...]
    normal: Array


@dataclass(frozen=True, slots=True, eq=False)
class Solids:
    """Blocks and the joints between them, in the model frame."""

    blocks: tuple[Block, ...]
    joints: tuple[Joint, ...]
    findings: tuple[Finding, ...] = ()


def join(faceted: FacetedPart, rule: JoinRule = "faces", tolerance: Tolerance = DEFAULT_TOLERANCE) -> Solids:
    """Blocks and joints of faceted features.

    Features that interpenetrate are one block, those that only touch on a flat face are joined there; rule "fuse"
    makes one block of all that touches. Cuts take from every block that they reach, in file order.
    Raises FoldsketchError when nothing is left of a feature's block.
    """
    prisms = faceted.prisms
    makers = _OperandCache(prisms)
    findings: list[Finding] = []
    blocks: list[Block] = []
    for group in _group_material(makers, rule, tolerance):
        blocks += _build_blocks(makers, group, len(blocks), findings, faceted.datum_direction, tolerance)
    blocks = [Block(i, b.features, b.skin) for i, b in enumerate(blocks)]
    joints = _find_joints(blocks, tolerance)
    findings += _warn_disconnected(blocks, joints, prisms)
    return Solids(tuple(blocks), tuple(joints), tuple(findings))


class _OperandCache:
    """Boolean operands, made when first asked for."""

    def __init__(self, prisms: Sequence[Prism]) -> None:
        self.prisms = prisms
        first = m3.Manifold.reserve_ids(len(prisms))
        self.runs = {first + i: i for i in range(len(prisms))}
        self._first = first
        self._made: dict[int, m3.Manifold] = {}

    def solid(self, i: int) -> m3.Manifold:
        if i not in self._made:
            made = to_manifold(self.prisms[i], self._first + i)
            if made.status() != m3.Error.NoError or made.is_empty():
                raise input_error(
                    f"feature '{self.prisms[i].feature.name}'", "its faces do not close to a solid", "check its sizes"
                )
            self._made[i] = made
        return self._made[i]


def _boxes_meet(a: Prism, b: Prism, slack: float) -> bool:
    return bool((a.low < b.high + slack).all() and (b.low < a.high + slack).all())


def _group_material(makers: _OperandCache, rule: JoinRule, tolerance: Tolerance) -> list[list[int]]:
    """Material features that become one block, each group in file order."""
    prisms = makers.prisms
    material = [p.index for p in prisms if not p.cut]
    parent = {i: i for i in material}

    def root(i: int) -> int:
        while parent[i] != i:
            i = parent[i]
        return i

    slack = tolerance.length if rule == "fuse" else -tolerance.length
    for k, i in enumerate(material):
        for j in material[k + 1 :]:
            if root(i) == root(j) or not _boxes_meet(prisms[i], prisms[j], slack):
                continue
            if rule == "fuse":
                one = makers.solid(i) + makers.solid(j)
                together = len(one.decompose()) == 1
            else:
                together = (makers.solid(i) ^ makers.solid(j)).volume() > tolerance.area
            if together:
                low, high = sorted((root(i), root(j)))
                parent[high] = low
    groups: dict[int, list[int]] = {}
    for i in material:
        groups.setdefault(root(i), []).append(i)
    return list(groups.values())


def _build_blocks(
    makers: _OperandCache,
    group: list[int],
    first_id: int,
    findings: list[Finding],
    direction: Array,
    tolerance: Tolerance,
) -> list[Block]:
    """The block of a group, or several when a cut parts it."""
    prisms = makers.prisms
    reach = [
        c.index
        for c in prisms
        if c.cut and c.index > group[0] and any(g < c.index and _boxes_meet(prisms[g], c, 0.0) for g in group)
    ]
    if len(group) == 1 and not reach:
        return [Block(first_id, (group[0],), skin_of_prism(prisms[group[0]]))]
    if len(group) == 1:
        own = bore_through(prisms[group[0]], [prisms[c] for c in reach], direction, tolerance)
        if own is not None:
            return [Block(first_id, (group[0],), own)]
    names = ", ".join(f"'{prisms[g].feature.name}'" for g in group)
    solid: m3.Manifold | None = None
    for i in sorted(group + reach):
        if solid is None:
            solid = makers.solid(i)
        elif prisms[i].cut:
            solid = solid - makers.solid(i)
        else:
            solid = solid + makers.solid(i)
    if solid is None or solid.is_empty() or solid.volume() < tolerance.area:
        raise input_error(
            f"feature {names}", "the cuts leave nothing of it", "make the cut smaller or take the feature out"
        )
    bodies = [b for b in solid.decompose() if b.volume() > tolerance.area]
    if len(bodies) > 1:
        findings.append(
            Finding("warning", f"feature {names}", f"falls into {len(bodies)} bodies", "each is built by itself")
        )
    blocks: list[Block] = []
    for body in bodies:
        skin = closed_skin(body, prisms, makers.runs, direction, tolerance)
        if skin is None:
            raise input_error(
                f"feature {names}",
                "has faces that coincide but for rounding, so its skin does not close",
                "let the cut run 0.1 mm past the face, or shift one of the features",
            )
        owners = {f.feature for f in skin.faces if not prisms[f.feature].cut}
        blocks.append(Block(first_id + len(blocks), tuple(g for g in group if g in owners) or tuple(group), skin))
    return blocks


def _find_joints(blocks: Sequence[Block], tolerance: Tolerance) -> list[Joint]:
    joints: list[Joint] = []
    bounds = [(b.skin.corners.min(axis=0), b.skin.corners.max(axis=0)) for b in blocks]
    planes = [face_planes(b.skin) for b in blocks]
    for i, one in enumerate(blocks):
        for j in range(i + 1, len(blocks)):
            slack = tolerance.length
            if (bounds[i][0] > bounds[j][1] + slack).any() or (bounds[j][0] > bounds[i][1] + slack).any():
                continue
            opposed = (planes[i][:, :3] @ planes[j][:, :3].T < -1 + 1e-12) & (
                np.abs(planes[i][:, 3][:, None] + planes[j][:, 3][None, :]) < tolerance.length
            )
            for a, b in zip(*np.nonzero(opposed), strict=True):
                joints += _face_contacts(one, blocks[j], int(a), int(b), tolerance)
    return joints


def _face_polygon(corners: Array, face: Face, flat: Array) -> Any:
    from shapely import linearrings, polygons

    outer, *holes = (linearrings(corners[list(loop)] @ flat) for loop in face.loops)
    return polygons(outer, holes=holes or None)


def _face_contacts(one: Block, other: Block, a: int, b: int, tolerance: Tolerance) -> list[Joint]:
    from shapely import get_coordinates
    from shapely.geometry.polygon import orient

    face = one.skin.faces[a]
    x, y = plane_axes(face.normal)
    flat = np.column_stack((x, y))
    height = float(face.normal @ one.skin.corners[face.loops[0][0]])
    shared = _face_polygon(one.skin.corners, face, flat).intersection(
        _face_polygon(other.skin.corners, other.skin.faces[b], flat)
    )
    found = []
    for piece in getattr(shared, "geoms", [shared]):
        if piece.geom_type != "Polygon" or piece.area < 1e-3:
            continue
        piece = orient(piece.simplify(tolerance.length))
        outline, *holes = (
            get_coordinates(ring)[:-1] @ flat.T + height * face.normal for ring in (piece.exterior, *piece.interiors)
        )
        found.append(Joint((one.id, other.id), (a, b), outline, tuple(holes), face.normal))
    return found


def _warn_disconnected(blocks: Sequence[Block], joints: Sequence[Joint], prisms: Sequence[Prism]) -> list[Finding]:
    """A warning when the blocks do not all hang together."""
    parent = list(range(len(blocks)))

    def root(i: int) -> int:
        while parent[i] != i:
            i = parent[i]
        return i

    for joint in joints:
        parent[root(joint.blocks[1])] = root(joint.blocks[0])
    groups: dict[int, list[str]] = {}
    for b in blocks:
        groups.setdefault(root(b.id), []).extend(prisms[f].feature.name for f in b.features)
    if len(groups) < 2:
        return []
    bodies = "; ".join(" + ".join(f"'{n}'" for n in names) for names in groups.values())
    return [
        Finding(
            "warning",
            "part",
            f"{len(groups)} bodies have no flat face in common: {bodies}",
            "a line or a point of contact holds no glue; let them overlap or meet on a face if they belong together",
        )
    ]
