"""What bounds a tab before it is tried: the free paper beside its root, and the depth behind its target."""

from __future__ import annotations

from math import pi

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.net.tabs.cut_edges import UnfoldedLayout
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import ComplexPoints

FreeAngles = dict[tuple[int, bool], tuple[float, int]]
"""At the tail (False) or head (True) of a cut half-edge: the angle of free paper beside it, radians, and the cut
half-edge on the far side of that paper."""

TARGET_DEPTH_SHARE, SHARED_DEPTH_SHARE = 0.9, 0.47
"""Share of the depth behind a target that a tab may take; and where a tab comes from the opposite edge too."""

CORNER_GAP_RAD, SHARED_CORNER_GAP_RAD = 0.1, 0.03
"""Angle left free at a corner behind a target, radians; and by each of two tabs that share it."""

PAPER_GAP_RAD, SHARED_PAPER_GAP_RAD = 0.03, 0.01
"""Angle left free beside a root on paper, radians; and by each of two tabs that share it."""


def corner_angles(layout: UnfoldedLayout) -> tuple[list[float], FreeAngles]:
    """The interior angle of its face at every half-edge's tail, and the free paper at both ends of every cut edge."""
    graph = layout.graph
    flat = np.array(graph.flat)
    turn = np.angle((flat[graph.before] - flat) / (flat[graph.after] - flat))
    inner: list[float] = np.where(turn > 0, turn, turn + 2 * pi).tolist()
    free: FreeAngles = {}
    for h in range(len(graph.face)):
        if h in layout.folded:
            continue
        total, g = inner[h], h
        while True:
            g = graph.before[g]
            if g not in layout.folded:
                break
            g = graph.twin[g]
            total += inner[g]
        free[h, False] = (2 * pi - total, g)
        free[g, True] = (2 * pi - total, h)
    return inner, free


def depths_behind_edges(graph: FaceGraph, targets: set[int], deepest: float) -> list[float]:
    """Depth in mm behind every half-edge that a tab may take, deepest at most.

    A share of the distance to the next edge of the face, straight in from three points; a smaller one where a tab is
    likely to come from that edge too. targets: half-edges that tabs are meant for.
    """
    depth = np.full(len(graph.face), deepest)
    flat = np.array(graph.flat)
    after = np.array(graph.after)
    aimed = np.zeros(len(depth), dtype=bool)
    aimed[list(targets)] = True
    shares = np.array([0.25, 0.5, 0.75])[:, None]
    faces_by_size: dict[int, list[list[int]]] = {}
    for loops in graph.loops:
        ids = [h for loop in loops for h in loop]
        if any(aimed[h] for h in ids):
            faces_by_size.setdefault(len(ids), []).append(ids)
    for group in faces_by_size.values():
        ids_of = np.array(group)  # (faces, edges)
        a, b = flat[ids_of], flat[after[ids_of]]
        w = b - a
        d = 1j * w / np.abs(w)
        p = a[:, None, :] + w[:, None, :] * shares
        # The ray p + s * d into the face, from three points of every edge, meets the edge a + u * w: two real
        # equations for s and u. With the cross product x of complex numbers s = (a - p) x w / d x w and u = (a - p) x d
        # / d x w; all are (faces, points, edges from, edges to).
        cross = _cross_products(d, w)
        solved = np.where(np.abs(cross) > 1e-9, cross, np.nan)[:, None]
        own = a.real * w.imag - a.imag * w.real  # a x w
        beside = p.real * d.imag[:, None] - p.imag * d.real[:, None]  # p x d
        s = (own[:, None, None, :] - _cross_products(p, w[:, None])) / solved
        u = (-_cross_products(d, a)[:, None] - beside[..., None]) / solved
        s = np.where((s > 1e-6) & (u > -1e-9) & (u < 1 + 1e-9), s, np.inf)
        near = s.argmin(axis=3)
        reach = np.take_along_axis(s, near[..., None], axis=3)[..., 0]
        shared = aimed[ids_of][np.arange(len(ids_of))[:, None, None], near]
        free = reach * np.where(shared, SHARED_DEPTH_SHARE, TARGET_DEPTH_SHARE)
        depth[ids_of] = np.minimum(depth[ids_of], free.min(axis=1))
    result: list[float] = depth.tolist()
    return result


def _cross_products(one: ComplexPoints, two: ComplexPoints) -> Array:
    """Cross products of each of one with each of two, along their last axes."""
    left = np.stack((one.real, -one.imag), axis=-1)
    right = np.stack((two.imag, two.real), axis=-2)
    crossed: Array = left @ right
    return crossed


def bevel_limit_behind_target(corner: float, shared: bool) -> float:
    """The angle, radians, that a tab may open to behind a corner of its target.

    shared: a tab comes from the next edge too, and each takes half.
    """
    return corner / 2 - SHARED_CORNER_GAP_RAD if shared else corner - CORNER_GAP_RAD


def bevel_limit_beside_root(free: tuple[float, int], carrying: set[int]) -> float:
    """The angle, radians, that a tab may open to beside its root on paper.

    Half of the free paper where the neighbour carries a tab too.
    """
    angle, neighbour = free
    return angle / 2 - SHARED_PAPER_GAP_RAD if neighbour in carrying else angle - PAPER_GAP_RAD
