"""Where faces with openings hang, and which of their edges hold where few do: with room beside openings and tabs."""

import math
from pathlib import Path

import pytest
import shapely

from foldsketch.assembly.build_warnings import tab_widths
from foldsketch.job import pipeline, quick_model
from foldsketch.net.build import build_nets
from foldsketch.net.unfolding.spanning_trees import SAFE_HINGE_STRIP_MM
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets
from foldsketch.solid.joining.blocks import join

SAMPLES = Path(__file__).parents[2] / "samples"


def bored(bearing, offset=16.0, bore=24.0, length=30.0):
    """A round of six sides with a bore near its rim, towards a bearing in degrees from the middle of a side."""
    t = math.radians(bearing)
    axes = (Axis("A"), Axis("B", (offset * math.cos(t), offset * math.sin(t), 0.0)))
    body = Feature("body", "A", Cylinder(70.0), 0, length, sides=6)
    return Part("p", axes, (body, Feature("bore", "B", Cylinder(bore), -1, length + 1, cut=True, sides=6)))


def nets_of(part, sparse=True):
    faceted = facet(part, 1.0, FacetChoice())
    return build_nets(faceted, join(faceted, "fuse"), 1.0, sparse=sparse)


def holed_ends(nets):
    return [(piece, p) for piece in nets.pieces for p in piece.panels if p.kind == "end" and p.holes]


def room_of(panel, line):
    """How far the middle of a line is from the openings of a panel, mm."""
    return min(shapely.Point(middle(line)).distance(shapely.LinearRing(h)) for h in panel.holes)


def middle(line):
    (x0, y0), (x1, y1) = line
    return (x0 + x1) / 2, (y0 + y1) / 2


@pytest.mark.parametrize("sparse", [True, False])
@pytest.mark.parametrize("bearing", [0, 30, 60, 95, 180])
def test_a_face_hangs_where_paper_is_left_beside_its_opening_and_opposite(bearing, sparse):
    """Of the three pairs of edges across it none has more on its narrower side, as far as a hand wants it."""
    found = 0
    for piece, p in holed_ends(nets_of(bored(bearing), sparse)):
        corners = [*map(tuple, p.outline.tolist())]
        edges = list(zip(corners, [*corners[1:], corners[0]], strict=True))
        rooms = [room_of(p, e) for e in edges]
        pairs = [round(min(SAFE_HINGE_STRIP_MM, rooms[k], rooms[(k + 3) % 6]), 6) for k in range(6)]
        for fold in piece.folds:
            if p.id in fold.panels:
                k = min(range(6), key=lambda k: math.dist(middle(edges[k]), middle(fold.line)))
                assert pairs[k] == pytest.approx(max(pairs), abs=1e-3)
                found += 1
    assert found == 2


def test_a_face_without_an_opening_hangs_where_it_did_on_the_side_that_faces_the_datum():
    part = Part("p", (Axis("A"),), (Feature("disc", "A", Cylinder(70.0), 0, 30, sides=6),))
    (piece,) = nets_of(part).pieces
    kind = {p.id: p.kind for p in piece.panels}
    (wall,) = {k for f in piece.folds if {kind[x] for x in f.panels} == {"side", "end"} for k in f.panels} & {
        k for k in kind if kind[k] == "side"
    }
    assert piece.panel(wall).to_space[:, 2] == pytest.approx([1.0, 0.0, 0.0], abs=1e-9)


CRANKS = ["double-throw-crank", "single-throw-crank", "lessons/5-double-throw-crank"]


@pytest.mark.parametrize("name", [*CRANKS, "offset-bore-sleeve"])
def test_tabs_of_two_rims_do_not_share_a_narrow_strip_where_others_are_free(name):
    """From both sides of a rim of 4 mm two tabs would have less than 2 mm each, and their numbers stand side by
    side."""
    quick = pipeline.Choices(quick=True, facets=coarsen_facets(FacetChoice()))
    made = quick_model.model(read_part(SAMPLES / f"{name}.toml")[0], quick)
    assert min(tab_widths([t for p in made.nets.pieces for t in p.tabs])) > 2.5
    assert all(t.label_size for p in made.nets.pieces for t in p.tabs), "and all bear their numbers"


def test_opposite_is_what_lies_farthest_away():
    """On a triangle with an opening near one corner the face hangs on an edge that leaves it room, whichever is
    counted as opposite."""
    axes = (Axis("A"), Axis("B", (-9.0, 0.0, 0.0)))
    body = Feature("body", "A", PrismShape(3, 60.0), 0, 30)
    part = Part("p", axes, (body, Feature("bore", "B", Cylinder(16.0), -1, 31, cut=True, sides=6)))
    nets = nets_of(part)
    assert len(holed_ends(nets)) == 2 and nets.checks.passed()
    for piece, p in holed_ends(nets):
        (fold,) = [f for f in piece.folds if p.id in f.panels]
        assert room_of(p, fold.line) > 2.0
