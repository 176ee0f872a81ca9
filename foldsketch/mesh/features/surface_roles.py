"""Roles: what a surface is on the part — a feature, a fillet, a rounding, a chamfer, or draft."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.merge_rounds import Piece, same_line
from foldsketch.mesh.features.result import Role
from foldsketch.mesh.geometry.surface_fit import Shape
from foldsketch.mesh.segmentation.segment import Surfaces

TANGENT = np.radians(2.5)
STEEPEST_DRAFT = np.radians(3.6)
"""Half angle up to which a taper counts as draft: foundry practice is 0.5 to 3 degrees [C]."""


@dataclass(frozen=True, slots=True)
class Contact:
    """Two pieces that share a border: its length, mm, and the angle between them there, radians (0 is tangent)."""

    other: int
    length: float
    angle: float


def contacts(surfaces: Surfaces, pieces: list[Piece]) -> list[list[Contact]]:
    """For every piece, the pieces that it borders on."""
    body = surfaces.body
    owner = np.full(len(body.triangles), -1, dtype=np.int64)
    for k, piece in enumerate(pieces):
        owner[piece.found.triangles] = k
    one, other = owner[body.pairs[:, 0]], owner[body.pairs[:, 1]]
    rows = np.flatnonzero((one != other) & (one >= 0) & (other >= 0))
    low, high = np.minimum(one[rows], other[rows]), np.maximum(one[rows], other[rows])
    key = low * len(pieces) + high
    order = np.argsort(key, kind="stable")
    rows, key = rows[order], key[order]
    starts = np.flatnonzero(np.r_[True, key[1:] != key[:-1]]) if len(key) else np.empty(0, dtype=np.int64)
    out: list[list[Contact]] = [[] for _ in pieces]
    for a, b in zip(starts.tolist(), [*starts[1:].tolist(), len(key)] if len(starts) else [], strict=True):
        i, j = divmod(int(key[a]), len(pieces))
        ends = body.corners[body.edges[rows[a:b]]]
        length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
        at = ends[:, 0]
        cosine = np.einsum("ij,ij->i", _outward(pieces[i], at), _outward(pieces[j], at))
        angle = float(np.average(np.arccos(np.clip(cosine, -1, 1)), weights=np.maximum(length, 1e-12)))
        out[i].append(Contact(j, float(length.sum()), angle))
        out[j].append(Contact(i, float(length.sum()), angle))
    return out


def _outward(piece: Piece, points: Array) -> Array:
    normal = piece.found.shape.normal(points)
    return -normal if piece.found.inner else normal


def roles_of(surfaces: Surfaces, pieces: list[Piece], near: list[list[Contact]]) -> list[Role]:
    """The role of every piece."""
    size = surfaces.body.size
    roles: list[Role] = [_first_role(k, pieces, near, size, surfaces.reach) for k in range(len(pieces))]
    soft = {k for k, r in enumerate(roles) if r in ("fillet", "rounding")}
    for k, piece in enumerate(pieces):
        f = piece.found
        if f.shape.kind == "sphere" and roles[k] == "feature":
            like = [c for c in near[k] if c.other in soft and c.angle < 4 * TANGENT]
            if like and any(abs(_bow(pieces[c.other]) - f.shape.radius) < 0.02 * f.shape.radius for c in like):
                roles[k] = "fillet" if f.inner else "rounding"
    return roles


def _bow(piece: Piece) -> float:
    """The small radius of a fillet."""
    return piece.found.shape.tube if piece.found.shape.kind == "torus" else piece.found.shape.radius


def _first_role(k: int, pieces: list[Piece], near: list[list[Contact]], size: float, reach: float) -> Role:
    f = pieces[k].found
    kind = f.shape.kind
    tangent = [c for c in near[k] if c.angle < TANGENT]
    if kind == "plane":
        return "face"
    if kind == "torus":
        small = f.shape.tube < 0.6 * f.shape.radius and f.shape.tube < 0.15 * size
        return ("fillet" if f.inner else "rounding") if tangent and small else "feature"
    if kind == "cylinder":
        sides = [c for c in tangent if c.length > 0.4 * (f.high - f.low)]
        if f.wrap <= 100 and len(sides) >= 1 and len(tangent) >= 2 and f.shape.radius < 0.2 * size:
            return "fillet" if f.inner else "rounding"
        return "feature"
    if kind == "cone":
        return _cone_role(k, pieces, near, reach)
    return "feature"


def _cone_role(k: int, pieces: list[Piece], near: list[list[Contact]], reach: float) -> Role:
    f = pieces[k].found
    half = abs(np.arctan(f.shape.slope))
    length = f.high - f.low
    r_low, r_high = (f.shape.radius + f.shape.slope * z for z in (f.low, f.high))
    wide = abs(r_high - r_low)
    if half <= STEEPEST_DRAFT:
        return "draft"
    if np.radians(12) < half < np.radians(78) and wide <= 0.25 * min(max(r_low, 0), max(r_high, 0)):
        square = coaxial = False
        for c in near[k]:
            other = pieces[c.other].found
            if other.shape.kind == "plane":
                square |= abs(float(other.shape.direction @ f.shape.direction)) > 0.9999
            elif other.shape.kind in ("cylinder", "cone"):
                coaxial |= _coaxial(f.shape, other.shape, reach)
            if other.shape.kind == "cone" and abs(abs(float(np.arctan(other.shape.slope))) - half) > 0.02:
                coaxial |= _coaxial(f.shape, other.shape, reach)
        if square and coaxial and length < 0.5 * min(r_low, r_high) + wide:
            return "chamfer"
    return "feature"


def _coaxial(a: Shape, b: Shape, reach: float) -> bool:
    return same_line(a, b, max(40 * reach, 1e-3 * a.radius), 1e-3, 0.0)
