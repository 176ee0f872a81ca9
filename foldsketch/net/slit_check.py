"""Check of feet on tongues: every tongue is in its slit, and lies clear behind the face."""

from __future__ import annotations

from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.folding import tabs_behind_panels
from foldsketch.net.model import Nets, Tab

MIN_SLIT_PLAY_MM, MIN_SLIT_DISTANCE_MM, MIN_TONGUE_INSET_MM, MIN_LIP_DISTANCE_MM = 0.25, 3.0, 0.5, 1.0
"""Least play of a tongue at each end of its slit; distance of a slit from others, edges and holes; of a tongue behind a
face from the face's edge; and of a slit from a lip behind its face; mm."""


def slits_hold_tongues(nets: Nets) -> bool:
    """Whether every tongue, folded up, is in its slit with play at both ends, and lies clear behind the face.

    A slit keeps its distance from other slits, edges and holes; a tongue from the face's edge, from what is glued
    behind that, and from other tongues.
    """
    import shapely

    panels = {(p.id, q.id): q for p in nets.pieces for q in p.panels}
    faces: dict[tuple[str, int], list[Tab]] = {}
    for t in (t for piece in nets.pieces for t in piece.tabs if t.slit):
        faces.setdefault(t.meets[:2], []).append(t)
    for at, own in faces.items():
        panel = panels[at]
        face = shapely.Polygon(panel.outline, panel.holes)
        slits = [shapely.LineString(t.slit) for t in own if t.slit]
        glued = [t for p in nets.pieces for t in p.tabs if t.joint is None and t.meets[:2] == at]
        there = [*own, *glued]
        shapes = tabs_behind_panels(there, RaggedPolygons.from_loops([(t.behind,) for t in there])).shapes
        lying = shapely.make_valid(shapes)
        for k, (t, slit) in enumerate(zip(own, slits, strict=True)):
            root = shapely.LineString(t.meets.line)
            ends = min(slit.boundary.distance(shapely.Point(p)) for p in t.meets.line)
            if slit.hausdorff_distance(slit.union(root)) > 1e-6 or slit.distance(root) > 1e-6:
                return False
            if slit.length - root.length < 2 * MIN_SLIT_PLAY_MM - 1e-6 or ends < MIN_SLIT_PLAY_MM - 1e-6:
                return False
            if not face.buffer(1e-6 - MIN_SLIT_DISTANCE_MM).covers(slit):
                return False
            if any(slit.distance(other) < MIN_SLIT_DISTANCE_MM - 1e-6 for other in slits[:k]):
                return False
            if any(slit.distance(lying[j]) < MIN_LIP_DISTANCE_MM for j, o in enumerate(there) if o.part == "lip"):
                return False
            if not face.buffer(-MIN_TONGUE_INSET_MM).covers(lying[k]):
                return False
            if any(lying[k].intersection(lying[j]).area > 1e-6 for j in range(len(there)) if j != k):
                return False
    return True
