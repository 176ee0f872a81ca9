"""Sheets compared with the net file alone, as docs/file-formats.md describes it: every cut and fold is drawn, no other,
in the SVG by its layer and in the PDF as its viewers read it. Every sample."""

import ctypes
import json
import math
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
import shapely

from examples import few
from foldsketch.job import outputs, pipeline
from foldsketch.part.file.read import read_part

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "samples").glob("*.toml"))
MM = 72 / 25.4
NEAR = 0.01
"""mm; the SVG rounds to a ten-thousandth."""
RADIUS, ROUND = 2.2, 4.0
"""Corners of tabs are cut with this radius, mm, or less: within so much of them the cut is inside the tab."""


def ring(points):
    return list(pairwise([*points, points[0]]))


def convex(tab, piece, pieces):
    """Whether the panel that a tab is glued behind turns away from the printed side, by where both stand in space."""
    own = piece["panels"][tab["panel"]]
    other = pieces[tab["meets"]["piece"]]["panels"][tab["meets"]["panel"]]
    (ax, ay), (bx, by) = tab["line"]
    out = np.array([by - ay, ax - bx, 0.0])
    middle = np.array([(ax + bx) / 2, (ay + by) / 2, 0.0])
    if out @ (np.mean([[*p, 0.0] for p in tab["outline"]], axis=0) - middle) < 0:
        out = -out  # away from the panel, on which side the tab lies
    return (np.array(own["to_space"]) @ out) @ np.array(other["to_space"])[:, 2] > 0


def by_the_net_file(tree, number):
    """Lines of one sheet in its frame: edges of panels and tabs, mountain and valley folds, tabs' roots
    among them."""
    found = {"edges": [], "mountain": [], "valley": [], "corners": [], "tabs": []}
    pieces = {p["id"]: p for p in tree["pieces"]}
    for placed in tree["sheets"][number]["placed"]:
        piece = pieces[placed["piece"]]
        c, s = (f(math.radians(placed["angle"])) for f in (math.cos, math.sin))
        dx, dy = placed["shift"]

        def put(line, c=c, s=s, dx=dx, dy=dy):
            return [(c * x - s * y + dx, s * x + c * y + dy) for x, y in line]

        for p in piece["panels"]:
            for loop in (p["outline"], *p["holes"]):
                found["edges"] += map(put, ring(loop))
        for t in piece["tabs"]:
            found["edges"] += map(put, ring(t["outline"]))
            # The corners away from the root are cut round.
            root = shapely.LineString(t["line"])
            found["corners"] += [put([c, c]) for c in t["outline"] if root.distance(shapely.Point(c)) > NEAR]
            found["tabs"].append(shapely.Polygon(put(t["outline"])).buffer(NEAR))
            found["mountain" if convex(t, piece, pieces) else "valley"].append(put(t["line"]))
        for f in piece["folds"]:
            found["mountain" if f["angle"] > 0 else "valley"].append(put(f["line"]))
    tabs = shapely.union_all(found.pop("tabs"))
    return {**{k: np.array(v).reshape(-1, 2, 2) for k, v in found.items()}, "tabs": tabs}


def by_the_svg(data, height):
    """Lines of every layer, y up."""
    found = {}
    for group in ElementTree.fromstring(data):
        lines = found.setdefault(group.get("id"), [])
        for node in group.iter():
            if node.tag.endswith("}path"):
                for run in node.get("d").split("M")[1:]:
                    numbers = [float(v) for v in re.findall(r"-?\d+\.?\d*", run)]
                    points = [(x, height - y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
                    lines += pairwise([*points, points[0]] if run.strip().endswith("Z") else points)
    return {k: np.array(v).reshape(-1, 2, 2) for k, v in found.items() if k}


def by_the_pdf(page):
    """All straight lines of a page, mm."""
    found = []
    for obj in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        matrix = obj.get_matrix()
        start = last = None
        for k in range(raw.FPDFPath_CountSegments(obj.raw)):
            s = raw.FPDFPath_GetPathSegment(obj.raw, k)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(s, x, y)
            here = tuple(v / MM for v in matrix.on_point(x.value, y.value))
            kind = raw.FPDFPathSegment_GetType(s)
            if kind == raw.FPDF_SEGMENT_MOVETO:
                start = here
            elif kind == raw.FPDF_SEGMENT_LINETO:
                found.append((last, here))
            last = here
            if raw.FPDFPathSegment_GetClose(s) and start != here:
                found.append((here, start))
    return np.array(found)


def along(lines):
    """Points on the inside of lines, no more than a millimetre apart."""
    found = [np.empty((0, 2))]
    for a, b in lines:
        n = max(2, math.ceil(math.dist(a, b)))
        found.append(a + (b - a) * ((np.arange(n) + 0.5) / n)[:, None])
    return np.concatenate(found)


def away(points, lines):
    """How far each point is from the nearest of some lines, mm."""
    if not len(points) or not len(lines):
        return np.full(len(points), np.inf)
    near = shapely.STRtree(shapely.linestrings(lines))
    (order, _), distance = near.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
    return distance[np.argsort(order)]


def missing(wanted, drawn):
    """What is wrong with the lines of a sheet, in words."""
    creases = np.concatenate([wanted["mountain"], wanted["valley"]])
    ends = along(wanted["edges"])
    cut = ends[(away(ends, creases) > NEAR) & (away(ends, wanted["corners"]) > ROUND)]
    ink = along(drawn["cut"])
    rounded = (away(ink, wanted["corners"]) < ROUND) & shapely.contains_xy(wanted["tabs"], *ink.T)
    at_ends = away(ink, np.repeat(creases.reshape(-1, 1, 2), 2, axis=1)) < 0.2
    wrong = {
        "cuts not drawn": away(cut, drawn["cut"]) > NEAR,
        "cuts drawn where nothing is cut": (away(ink, wanted["edges"]) > NEAR) & ~rounded,
        "corners of tabs not cut": away(wanted["corners"][:, 0], drawn["cut"]) > RADIUS,
        "cuts drawn along folds": (away(ink, creases) < NEAR) & ~at_ends,
    }
    for fold in ("mountain", "valley"):
        wrong[f"{fold} folds not drawn"] = away(along(wanted[fold]), drawn[fold]) > NEAR
        wrong[f"{fold} folds that are none"] = away(along(drawn[fold]), wanted[fold]) > NEAR
    return {k: int(v.sum()) for k, v in wrong.items() if v.any()}


@pytest.mark.parametrize("path", few(SAMPLES, 1), ids=lambda p: p.stem)
def test_what_is_cut_and_folded_is_drawn_and_nothing_else(path, tmp_path):
    made = pipeline.make_model(read_part(path)[0])
    outputs.write_model(made, tmp_path, "x")
    tree = json.loads((tmp_path / "x.net.json").read_bytes())
    document = pdfium.PdfDocument((tmp_path / "x.pdf").read_bytes())
    assert len(document) == len(tree["sheets"])
    for number, sheet in enumerate(tree["sheets"]):
        wanted = by_the_net_file(tree, number)
        drawn = by_the_svg((tmp_path / f"x-{number + 1}.svg").read_bytes(), sheet["size"][1])
        assert missing(wanted, drawn) == {}
        page = document[number]
        printed = by_the_pdf(page)
        page.close()
        for layer in ("cut", "mountain", "valley"):
            assert away(along(drawn[layer]), printed).max(initial=0) < NEAR, layer
    document.close()


def test_it_would_notice(tmp_path):
    """A sheet with a cut less, a cut more, and a fold of the other sign."""
    made = pipeline.make_model(read_part(ROOT / "samples" / "eccentric-shaft.toml")[0])
    outputs.write_model(made, tmp_path, "x")
    tree = json.loads((tmp_path / "x.net.json").read_bytes())
    wanted = by_the_net_file(tree, 0)
    drawn = by_the_svg((tmp_path / "x-1.svg").read_bytes(), 297)
    assert missing(wanted, drawn) == {}
    assert "cuts not drawn" in missing(wanted, {**drawn, "cut": drawn["cut"][1:]})
    extra = np.concatenate([drawn["cut"], [[[0, 0], [50, 60]]]])
    assert missing(wanted, {**drawn, "cut": extra}).keys() == {"cuts drawn where nothing is cut"}
    extra = np.concatenate([drawn["cut"], wanted["mountain"][:1]])
    assert missing(wanted, {**drawn, "cut": extra}).keys() == {"cuts drawn along folds"}
    tree["pieces"][0]["folds"][0]["angle"] *= -1
    assert len(missing(by_the_net_file(tree, 0), drawn)) == 2
