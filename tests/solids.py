"""For tests of solids: parts of one feature, blocks of a part, a brick of polygons, areas and outlines."""

import numpy as np
import shapely

from foldsketch.part.model import Axis, Feature, Part
from foldsketch.solid.card.allowance import apply_card_allowance
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join


def single(shape, length=20.0, axis=None, **more):
    """A part of one feature, from 0 along its axis."""
    return Part("p", (axis or Axis("A"),), (Feature("p", "A", shape, 0, length, **more),))


def solids_of(part, rule="faces", **choice):
    """Faceted part and solids at full size."""
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return faceted, join(faceted, rule)


def with_card(part, card, rule="faces", scale=1.0, **choice):
    """Solids compensated for the thickness of card."""
    faceted = facet(part, scale, FacetChoice(**choice))
    return apply_card_allowance(faceted, join(faceted, rule), card, scale)


def end_outline(prism, axes=((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))):
    """One end of a prism as a shapely polygon, seen in two directions."""
    end = next(f for f in prism.faces if f.kind == "end")
    return shapely.Polygon(prism.corners[list(end.loops[0])] @ np.transpose(axes))


def newell(corners, loop):
    """Area of a loop as a vector along its normal [Newell's method]."""
    p = corners[list(loop)]
    return np.cross(p, np.roll(p, -1, axis=0)).sum(axis=0) / 2


def planes(skin):
    """(n, 4): normal and distance from the origin of every face."""
    return np.array([[*f.normal, f.normal @ skin.corners[f.loops[0][0]]] for f in skin.faces])


# A brick of 4 x 3 x 2 with its lower left corner at (10, 20, 30).
BRICK = np.array([(x, y, z) for z in (30.0, 32.0) for y in (20.0, 23.0) for x in (10.0, 14.0)])
BRICK_FACES = [[[0, 2, 3, 1]], [[4, 5, 7, 6]], [[0, 1, 5, 4]], [[2, 6, 7, 3]], [[0, 4, 6, 2]], [[1, 3, 7, 5]]]


def brick_with_hole(hole):
    """Corners and faces of the brick with a hole from bottom to top; hole: its corners x, y seen from above."""
    inner = np.array([(x, y, z) for z in (30.0, 32.0) for x, y in hole])
    corners = np.concatenate((BRICK, inner))
    n = len(hole)
    faces = [[list(loop) for loop in f] for f in BRICK_FACES]
    faces[0].append([8 + k for k in range(n)])
    faces[1].append([8 + n + k for k in range(n)][::-1])
    faces += [[[8 + k, 8 + n + k, 8 + n + (k + 1) % n, 8 + (k + 1) % n]] for k in range(n)]
    return corners, faces
