"""Blocks with cuts and unions against an independent exact kernel (gmsh.model.occ) on the same flat-faced prisms.

References section 11: the kernel in the gmsh wheel gives exact volumes; it shares no code with ours.
"""

import pytest

import parts
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join

CASES = [parts.BORED, parts.OFFSET_SLEEVE, parts.INTERLOCKED, parts.CROSS, parts.BLIND, parts.ROCKER, parts.OVERHUNG]


def solid(model, prism):
    """The prism as a solid of the kernel, from its corners and faces."""
    occ = model.occ
    points = [occ.addPoint(*p) for p in prism.corners.tolist()]
    lines = {}

    def line(a, b):
        if (b, a) in lines:
            return -lines[b, a]
        if (a, b) not in lines:
            lines[a, b] = occ.addLine(points[a], points[b])
        return lines[a, b]

    surfaces = []
    for f in prism.faces:
        wires = []
        for loop in f.loops:
            wires.append(occ.addCurveLoop([line(a, b) for a, b in zip(loop, [*loop[1:], loop[0]], strict=True)]))
        surfaces.append(occ.addPlaneSurface(wires))
    return (3, occ.addVolume([occ.addSurfaceLoop(surfaces)]))


@pytest.mark.parametrize("part", CASES, ids=lambda p: p.name)
def test_volume_of_the_whole_part(kernel, part):
    faceted = facet(part, 1.0, FacetChoice())
    kernel.add(part.name)
    shape = []
    for p in faceted.prisms:
        one = [solid(kernel, p)]
        if not shape:
            shape = one
        elif p.cut:
            shape, _ = kernel.occ.cut(shape, one)
        else:
            shape, _ = kernel.occ.fuse(shape, one)
    expected = sum(kernel.occ.getMass(*s) for s in shape)
    kernel.remove()
    for rule in ("faces", "fuse"):
        ours = sum(b.skin.volume for b in join(faceted, rule).blocks)
        assert ours == pytest.approx(expected, rel=1e-9), rule
