"""Prisms that are tucked together, without glue or tape: which blocks are such, and how each lies on paper."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi, tan
from typing import Literal, NamedTuple

from foldsketch.base.arrays import Array
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import FlatPiece, FoldTree, flatten
from foldsketch.net.unfolding.fold_trees import tree_of_links
from foldsketch.net.unfolding.page_fit import fits_on_page
from foldsketch.net.unfolding.strip_layouts import paper_up_direction
from foldsketch.solid.joining.blocks import Block, Solids

EndLock = Literal["straight", "eared", "cap"]
"""How an end is held shut: its tongue is bent over behind the lip of a wall, through the opening that is left; it has
ears that catch below the lip; or flaps alone hold it, by friction."""

CARD_MM = 0.2
"""Thickness of the card that the joints allow for, mm: 160 g/m2; with paper they have a little more play."""

MIN_TUCKED_HEIGHT_MM = 12.0
"""A wall that is lower has no room for the hook of its seam, mm."""

MIN_HOOK_SIDE_MM = 5.4
"""Narrowest side on which a hook is 4 mm long, mm."""

MIN_LOCK_SIDES_MM: Mapping[EndLock, float] = {"straight": 8.2, "eared": 9.4, "cap": 5.4}
"""Narrowest side for every lock, mm: the neck of its tongue is 4 mm wide."""

MIN_HALVED_SIDE_MM = 17.0
"""Narrowest side of a wall in two halves, mm: behind one side there are a hook and the tongues of an end."""

MAX_REACH_MM = 60.0
"""How deep a finger or a pencil bends a tongue over, from the other end, mm [common practice]."""

FLAP_SIDES: Mapping[int, tuple[int, ...]] = {6: (), 8: (2, 6), 10: (2, 3, 7, 8), 12: (2, 4, 8, 10)}
"""By the number of sides those, counted from the hinge of an end, behind which the end has a flap; with hinge and lock
they make the rim rigid."""

CAP_SIDES: Mapping[int, tuple[int, ...]] = {6: (2, 3, 4), 8: (2, 4, 6)}
"""The same for an end without a lock."""

MAX_UNEVEN_SIDES = 0.02
"""Relative difference between the sides of a prism that counts as regular."""

MIN_LIP_DISTANCE_MM, MAX_LIP_DEPTH_MM = 1.0, 7.0
"""Distance of a lip from what stands on the face above it, and its depth, mm."""


TUCK_MARGIN_MM = 8.5
"""Room for flaps, tongues and hooks, mm, on each side of a net that has to fit the page."""


class TuckedEnd(NamedTuple):
    """An end of a tucked prism: its face, how it is held shut, and the side that it hangs on, by its place in the ring.

    The lock is on the side opposite.
    """

    face: int
    lock: EndLock
    hinge: int


@dataclass(frozen=True, slots=True)
class TuckedPrism:
    """A block that is tucked together.

    ring: its side faces in order, the first beside the seam; ends: in the order in which they are closed; side, height:
    of a wall, mm; pieces: its nets.
    """

    block: int
    ring: tuple[int, ...]
    ends: tuple[TuckedEnd, ...]
    side: float
    height: float
    pieces: tuple[FlatPiece, ...]

    @property
    def halved(self) -> bool:
        """Whether its wall is cut in two, with a seam beside the lock of each end."""
        return len(self.pieces) > 1


def find_tucked_prisms(
    solids: Solids,
    graph: FaceGraph,
    feet: Container[int],
    direction: Array,
    page: tuple[float, float] | None,
) -> list[TuckedPrism]:
    """The blocks that can be tucked together; the others are taped.

    feet: faces that are not built; direction: (3,) the datum; page: what every net must fit, mm.
    """
    found, first = [], 0
    for block in solids.blocks:
        faces = range(first, first + len(block.skin.faces))
        prism = _tucked_prism(solids, graph, block, faces, feet, direction, page)
        found += [prism] if prism else []
        first = faces.stop
    return found


def _tucked_prism(
    solids: Solids,
    graph: FaceGraph,
    block: Block,
    faces: range,
    feet: Container[int],
    direction: Array,
    page: tuple[float, float] | None,
) -> TuckedPrism | None:
    """A block as a tucked prism; None where it is none, is too small or does not fit the page."""
    ring = _ring_of_sides(graph, faces)
    if ring is None:
        return None
    ends = [f for f in faces if graph.faces[f].kind == "end" and f not in feet]
    side, height = graph.length[_rim_edge(graph, ring[0], ends[0])] if ends else 0.0, _height(graph, ring)
    locks = choose_locks(len(ring), side, height, len(ends)) if ends else None
    if locks is None:
        return None
    standing = _outlines_on(solids, block, faces.start)
    # What is stood on is closed first, while its back can be reached.
    ends.sort(key=lambda f: -len(standing.get(f, ())))
    for halves in (False, True) if side >= MIN_HALVED_SIDE_MM else (False,):
        # Of a wall in two halves each has an end, so that neither net is too large.
        hinges = [k * len(ring) // 2 if halves else 0 for k in range(len(ends))]
        start = _choose_start(graph, ring, dict(zip(ends, hinges, strict=True)), standing, direction, side)
        turned = (*ring[start:], *ring[:start])
        hung = tuple(map(TuckedEnd, ends, locks, hinges))
        pieces = _layout(graph, turned, hung, halves)
        if page is None or all(fits_on_page(graph, p, page, TUCK_MARGIN_MM) for p in pieces):
            return TuckedPrism(block.id, turned, hung, side, height, pieces)
    return None


def _ring_of_sides(graph: FaceGraph, faces: Sequence[int]) -> tuple[int, ...] | None:
    """The sides of a regular prism in order; None of anything else: bores, plates, odd or many sides, rolled walls."""
    sides = [f for f in faces if graph.faces[f].kind == "side"]
    ends = [f for f in faces if graph.faces[f].kind == "end"]
    n = len(sides)
    if n not in FLAP_SIDES or len(ends) != 2 or len(faces) != n + 2 or graph.rolled or graph.teeth:
        return None
    if any(len(graph.loops[f]) != 1 or len(graph.loops[f][0]) != (4 if f in sides else n) for f in faces):
        return None
    if not is_regular([graph.length[h] for f in ends for h in graph.loops[f][0]]):
        return None
    ring = tuple(graph.across(h) for h in graph.loops[ends[0]][0])
    heights = [graph.length[h] for f in ring for h in graph.loops[f][0] if graph.across(h) in ring]
    same = max(heights) - min(heights) < 1e-6 and all(graph.angle[h] > 0 for f in ends for h in graph.loops[f][0])
    return ring if same and set(ring) == set(sides) else None


def is_regular(lengths: Sequence[float]) -> bool:
    """Whether edges around an end are as good as equal."""
    return max(lengths) <= min(lengths) * (1 + MAX_UNEVEN_SIDES)


def _rim_edge(graph: FaceGraph, side: int, end: int) -> int:
    """The half-edge of a side that it shares with an end."""
    return next(h for h in graph.loops[side][0] if graph.across(h) == end)


def _height(graph: FaceGraph, ring: Sequence[int]) -> float:
    return next(graph.length[h] for h in graph.loops[ring[0]][0] if graph.across(h) in ring)


def choose_locks(sides: int, side: float, height: float, ends: int) -> list[EndLock] | None:
    """The lock of every end in the order in which they are closed; None where a prism has too little room. Lengths mm.

    Only the end that is closed last has ears, if the other one can be reached; a block that stands has no other end.
    """
    if sides not in FLAP_SIDES or height < MIN_TUCKED_HEIGHT_MM - 1e-6 or side < MIN_HOOK_SIDE_MM:
        return None
    locks: list[EndLock] = []
    for k in range(ends):
        reached = height <= MAX_REACH_MM and (k == 0 or ends == 1)
        wanted: list[EndLock] = ["straight", "eared"] if reached else ["eared"]
        fitting = [lock for lock in wanted if side >= MIN_LOCK_SIDES_MM[lock]]
        if not fitting and sides in CAP_SIDES and side >= MIN_LOCK_SIDES_MM["cap"]:
            fitting = ["cap"]
        if not fitting:
            return None
        locks.append(fitting[0])
    return locks


def flap_sides(sides: int, lock: EndLock) -> tuple[int, ...]:
    """The sides, counted from the hinge of an end, behind which it has a flap."""
    return (CAP_SIDES if lock == "cap" else FLAP_SIDES)[sides]


def _outlines_on(solids: Solids, block: Block, first: int) -> dict[int, list[Array]]:
    """The outlines (n, 3) of what touches each face of a block."""
    found: dict[int, list[Array]] = {}
    for joint in solids.joints:
        for b, f in zip(joint.blocks, joint.faces, strict=True):
            if b == block.id:
                found.setdefault(first + f, []).append(joint.outline)
    return found


def _choose_start(
    graph: FaceGraph,
    ring: Sequence[int],
    hinges: Mapping[int, int],
    standing: Mapping[int, Iterable[Array]],
    direction: Array,
    side: float,
) -> int:
    """Where in the ring the row of walls begins: so that the lips are farthest from what stands on the ends.

    Of equals the side that faces most ahead. hinges: of every end, counted from there.
    """
    import shapely

    n = len(ring)
    depth = min(MAX_LIP_DEPTH_MM, side / tan(pi / n) / 4)

    def clearance(k: int) -> float:
        found = 20.0
        for face, hinge in hinges.items():
            wall, outlines = ring[(k + hinge + n // 2) % n], standing.get(face, ())
            a, b = (graph.flat[h] for h in _along(graph, face, wall))
            inward = 1j * (b - a) / abs(b - a) * depth
            lip = shapely.Polygon([(z.real, z.imag) for z in (a, b, b + inward, a + inward)])
            frame, origin = graph.frame[face][:, :2], graph.origin[face]
            found = min([found, *(lip.distance(shapely.Polygon((o - origin) @ frame)) for o in outlines)])
        return round(found, 1)

    ahead = [round(float(graph.faces[f].normal @ direction), 6) for f in ring]
    return max(range(n), key=lambda k: (clearance(k), ahead[k], -k))


def _along(graph: FaceGraph, face: int, wall: int) -> tuple[int, int]:
    """Both ends of the edge of a face at a wall, as half-edges whose tails they are."""
    h = next(h for h in graph.loops[face][0] if graph.across(h) == wall)
    return h, graph.after[h]


def _layout(graph: FaceGraph, ring: Sequence[int], ends: Sequence[TuckedEnd], halves: bool) -> tuple[FlatPiece, ...]:
    """The walls in one row or two, with the ends on the first wall of a row."""
    rows = (ring[: len(ring) // 2], ring[len(ring) // 2 :]) if halves else (ring,)
    return tuple(_strip(graph, row, [e.face for e in ends if ring[e.hinge] == row[0]]) for row in rows)


def _strip(graph: FaceGraph, row: Sequence[int], ends: Sequence[int]) -> FlatPiece:
    links: dict[int, dict[int, int]] = {f: {} for f in row}
    for f, g in pairwise(row):
        h = next(h for h in graph.loops[f][0] if graph.across(h) == g)
        links[f][g], links[g][f] = h, graph.twin[h]
    tree: FoldTree = tree_of_links(links, row[0])
    for end in ends:
        tree[end] = graph.twin[_rim_edge(graph, row[0], end)]
    return flatten(graph, row[0], tree, paper_up_direction(graph, row[0]))
