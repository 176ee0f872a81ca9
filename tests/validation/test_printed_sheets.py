"""The printed files alone, as they are painted: what is cut, folded, numbered and marked on paper is the model of the
net file and of the part file."""

import json
import math
import re
from pathlib import Path

import networkx
import numpy as np
import pypdfium2 as pdfium
import pytest
import shapely
import shapely.ops
from hypothesis import given, reject
from hypothesis import strategies as st

from foldsketch.base.card import Card
from foldsketch.base.findings import FoldsketchError
from foldsketch.job import outputs, pipeline
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.part.file.read import read_part
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.write.net_json import net_json
from foldsketch.write.pdf import pdf
from foldsketch.write.svg import svg
from nets import some_examples
from printed import faces_of, read_dxf, read_pdf, read_svg, word_centre
from strategies import parts as any_part

ROOT = Path(__file__).parents[2]
SAMPLES = sorted([*(ROOT / "samples").glob("*.toml"), *(ROOT / "samples" / "lessons").glob("*.toml")])
TO_BE_SEEN = {"cut", "mountain", "valley", "mark"}
"""Layers whose lines nothing may hide; hatching and pictures have grounds on them."""


def read_all(pages):
    """The pages as SVG and as PDF."""
    document = pdfium.PdfDocument(pdf(pages, "x"))
    made = [read_svg(svg(page)) for page in pages], [read_pdf(page) for page in document]
    document.close()
    return made


@pytest.mark.slow
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_nothing_is_painted_over_a_cut_a_fold_or_a_mark(path):
    """In the SVG by its layers; the PDF, which has none, hides the same lines as the SVG and no others."""
    made = pipeline.make_model(read_part(path)[0])
    in_svg, in_pdf = read_all(outputs.sheet_pages(made, backs=True))
    for one, other in zip(in_svg, in_pdf, strict=True):
        assert not [line.layer for line, under in one.hidden if line.layer in TO_BE_SEEN and under.length > 0.05]
        lengths = [sum(under.length for _, under in page.hidden) for page in (one, other)]
        assert lengths[0] == pytest.approx(lengths[1], rel=1e-3, abs=0.05)
    alone = [read_svg(data) for data in outputs.piece_svgs(made).values()]
    assert not [1 for page in alone for line, under in page.hidden if line.layer in TO_BE_SEEN and under.length > 0.05]


def placed(tree, sheet):
    """The pieces on a sheet, each with a function that takes its points to the page, by the net file."""
    pieces = {p["id"]: p for p in tree["pieces"]}
    for p in tree["sheets"][sheet]["placed"]:
        c, s = math.cos(math.radians(p["angle"])), math.sin(math.radians(p["angle"]))
        matrix, shift = np.array([[c, s], [-s, c]]), np.array(p["shift"])
        yield pieces[p["piece"]], lambda q, m=matrix, t=shift: np.asarray(q, dtype=float).reshape(-1, 2) @ m + t


def uncreased(piece):
    """The panels of a piece in groups between which nothing is creased, by the net file."""
    graph = networkx.Graph()
    graph.add_nodes_from(p["id"] for p in piece["panels"])
    graph.add_edges_from(f["panels"] for f in piece["folds"] if f.get("rolled") or abs(f["angle"]) < 1e-6)
    return list(networkx.connected_components(graph))


CREASE_REACH = 0.4
"""A crease beside its edge by the thickness of the card, mm, ends so far from the cuts at most."""


def beside(t):
    """The strip between a tab's root and its crease, by the net file: `under` mm inside the panel, or outside it."""
    (ax, ay), (bx, by) = t["line"]
    k = t["under"] / math.dist(*t["line"])
    u, v = -(by - ay) * k, (bx - ax) * k
    return [(ax, ay), (bx, by), (bx + u, by + v), (ax + u, ay + v)]


SAME_EDGE_MM = 2e-4
"""Edges nearer to each other than twice this, mm, are one."""


def panels_and_tabs(piece, put):
    """What is paper between cuts and creases: areas on the page, of panels and of tabs."""
    groups, tabs = whole_panels_and_tabs(piece, put)
    for k, t in enumerate(piece["tabs"]):
        if "under" not in t:
            continue
        strip = shapely.Polygon(put(beside(t))).buffer(1e-6, join_style="mitre")
        if t["under"] > 0:
            tabs[k] = tabs[k].union(strip, grid_size=1e-4)
            groups = [g.difference(strip, grid_size=1e-4) for g in groups]
        else:
            own = next(i for i, ids in enumerate(uncreased(piece)) if t["panel"] in ids)
            tabs[k] = tabs[k].difference(strip, grid_size=1e-4)
            groups[own] = groups[own].union(strip, grid_size=1e-4)
    groups, tabs = ([max(shapely.get_parts(shape), key=shapely.area) for shape in own] for own in (groups, tabs))
    for k, t in enumerate(piece["tabs"]):
        if "bend" in t:  # two areas, before and beyond the second crease
            (ax, ay), (bx, by) = put(t["bend"])
            dx, dy = (np.array((bx - ax, by - ay)) / math.dist((ax, ay), (bx, by)) * CREASE_REACH).tolist()
            line = shapely.LineString([(ax - dx, ay - dy), (bx + dx, by + dy)])
            parts = sorted(shapely.ops.split(tabs[k], line).geoms, key=lambda p: -p.area)
            tabs[k] = parts[0]
            groups += parts[1:]
    return groups, tabs


def whole_panels_and_tabs(piece, put):
    """The same where every crease is on its edge."""
    by_id = {p["id"]: shapely.Polygon(put(p["outline"]), [put(h) for h in p["holes"]]) for p in piece["panels"]}
    # The edge that two panels of a rolled wall share is the same but for rounding.
    wide = {k: p.buffer(SAME_EDGE_MM, join_style="mitre") for k, p in by_id.items()}
    groups = [
        shapely.union_all([wide[k] for k in own], grid_size=1e-4).buffer(-SAME_EDGE_MM, join_style="mitre")
        if len(own) > 1
        else by_id[own[0]]
        for own in map(list, uncreased(piece))
    ]
    return groups, [shapely.Polygon(put(t["outline"])) for t in piece["tabs"]]


def same_area(face, area):
    """Whether a printed face and an area of the net file are the same, but for 0.01 mm along the edges."""
    return face.symmetric_difference(area).area < 0.01 * (face.length + area.length)


def same_tab(face, area):
    """The same of a tab, whose two far corners are rounded on paper, by 2.2 mm at most.

    At a corner of angle t the radius r takes r2 (cot(t / 2) - (pi - t) / 2) away: 1.04 mm2 of a right angle, 1.6 of 80
    degrees.
    """
    return face.difference(area).area < 0.01 * face.length and area.area - face.area < 2 * 1.6


SMALLEST_AREA_MM2 = 0.05
"""A panel below this, mm2, is a speck on paper, and no area of its own."""

MODELS = (
    {path.stem: (path, {}) for path in SAMPLES}
    | {
        f"{stem}, {words}": (ROOT / "samples" / f"{stem}.toml", options)
        for stem in ("eccentric-shaft", "cross-drilled-boss", "valve-lever")
        for words, options in {
            "everything": {"minutes": None},
            "rolled": {"minutes": None, "facets": FacetChoice(walls="rolled")},
            "fused": {"minutes": None, "join": "fuse"},
            "half size": {"minutes": None, "scale": 0.5},
            "taped": {"hold": "tape"},
            "tucked": {"hold": "tuck"},
            "on tongues": {"feet": "tongues"},
            "for card": {"card": Card(0.25)},
        }.items()
    }
    | {"bilge-pump-cover, tucked": (ROOT / "samples" / "bilge-pump-cover.toml", {"hold": "tuck"})}
)


def length_seen(page, layer):
    """Length of the lines of a layer that nothing hides, mm."""
    starts, ends = page.seen(layer)[:, 0], page.seen(layer)[:, 1]
    return float(np.hypot(*(ends - starts).T).sum())


def check_paper_against_net_file(made, plotted=True):
    """Rebuild a model from its printed pages, SVG and if plotted DXF, and compare it with its net file."""
    tree = json.loads(net_json(made.nets, made.sheets))
    plots = outputs.dxf_pages(made) if plotted else []
    for number, (sheet, drawn) in enumerate(zip(tree["sheets"], outputs.sheet_pages(made), strict=True)):
        page = read_svg(svg(drawn))
        assert list(page.size) == pytest.approx(sheet["size"])
        for plot in map(read_dxf, plots[number : number + 1]):
            for layer in ("cut", "mountain", "valley"):
                assert length_seen(page, layer) == pytest.approx(length_seen(plot, layer), abs=0.05), layer
        check_sheet(page, tree, number)


def check_sheet(page, tree, number):
    """Faces, tab numbers, scale and bars of one sheet."""
    signed = not any("same number" in w.text for w in page.words)  # the legend tells how tabs find their edges
    shifted = any(t.get("under", 0) > 0 and "part" not in t for p in tree["pieces"] for t in p["tabs"])
    faces = faces_of(page, reach=CREASE_REACH if shifted else 0.0)
    index, paper, flaps = shapely.STRtree(faces), [], []
    for piece, put in placed(tree, number):
        groups, tabs = panels_and_tabs(piece, put)
        paper += [*groups, *tabs]
        flaps += tabs
        for same, areas in ((same_area, groups), (same_tab, tabs)):
            for area in (a for a in areas if a.area > SMALLEST_AREA_MM2):
                near = index.query(area, predicate="intersects")
                assert any(same(faces[k], area) for k in near), (piece["id"], area.wkt[:80])
        for t, area in zip(piece["tabs"], tabs, strict=True):
            said = [
                w for w in page.words if w.text == str(t["number"]) and area.contains(shapely.Point(word_centre(w)))
            ]
            alone = sum(o["number"] == t["number"] for o in piece["tabs"]) == 1
            small = area.area / area.length < 1.2
            # What is turned in under a block goes into the outline there, and has no number.
            if (
                signed or "part" in t or "slit" in t
            ):  # halves of signs tell which edges meet, and grey says "glue": the tab is empty
                assert not said, (piece["id"], t["number"])
                continue
            assert said or small or not alone or "joint" in t, (piece["id"], t["number"])
    rounded = shapely.MultiPoint([q for area in flaps for q in area.exterior.coords]).buffer(2.2 * math.sqrt(2))
    whole = shapely.union_all(paper, grid_size=1e-4).buffer(-0.02).difference(rounded)
    for face in faces:
        known = any(same_area(face, area) or same_tab(face, area) for area in paper)
        assert known or face.intersection(whole).area < 0.02 * face.length
    scale = tree["scale"]
    said = f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"
    assert any(said in w.text.split() for w in page.words)
    ends = page.seen("frame")
    spans = np.abs(ends[:, 1] - ends[:, 0])
    for bar in ((100, 0), (0, 100)):
        assert (np.abs(spans - bar).max(axis=1) < 1e-3).any()


@pytest.mark.slow
@pytest.mark.parametrize("name", MODELS)
def test_the_paper_is_the_model_of_the_net_file(name):
    path, options = MODELS[name]
    check_paper_against_net_file(model(read_part(path)[0], Choices(**options)))


@pytest.mark.slow
@some_examples(15)
@given(any_part(), st.sampled_from(["auto", "fuse"]))
def test_the_paper_of_any_part_is_its_model(part, join):
    try:
        made = model(part, Choices(minutes=None, join=join))
    except FoldsketchError:
        reject()
    check_paper_against_net_file(made)


@pytest.mark.slow
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_axes_and_offsets_on_paper_are_those_of_the_part_file(path, tmp_path):
    """Letters, the places that lines of crosses meet in, and the words of offsets; by part file and panels' places."""
    part = read_part(path)[0]
    made = model(part, Choices(minutes=None))
    outputs.write_model(made, tmp_path, "x")
    tree = json.loads((tmp_path / "x.net.json").read_bytes())
    letters, crossed = set(), set()
    for number in range(len(tree["sheets"])):
        page = read_svg((tmp_path / f"x-{number + 1}.svg").read_bytes())
        letters |= {w.text for w in page.words}
        marks = [line for line in page.lines if line.layer == "mark" and len(line.points) == 2 and not line.dashes]
        ends = np.array([line.points for line in marks])
        ahead = ends[:, 1] - ends[:, 0]
        for piece, put in placed(tree, number):
            for p in piece["panels"]:
                for axis in part.axes:
                    at = pierced(p, axis, tree["scale"])
                    if at is None or not shapely.Polygon(p["outline"], p["holes"]).buffer(-2).contains(
                        shapely.Point(at)
                    ):
                        continue
                    away = ends[:, 0] - put(at)[0]
                    beside = np.abs(away[:, 0] * ahead[:, 1] - away[:, 1] * ahead[:, 0]) / np.hypot(*ahead.T)
                    near = np.hypot(*away.T) < 6
                    assert ((beside < 0.01) & near).sum() >= 2, (axis.name, piece["id"], p["id"])
                    crossed.add(axis.name)
        for w in page.words:
            if found := re.fullmatch(r"(?:axis )?(?:([A-Z]): )?([\d.]+) mm at ([\d.]+)°", w.text):
                offsets = {a.name: part.offset(a.name) for a in part.axes if a.along_z}
                own = [offsets[found[1]]] if found[1] else list(offsets.values())
                assert any(
                    abs(d - float(found[2])) < 0.01
                    and abs((math.degrees(t) - float(found[3]) + 180) % 360 - 180) < 0.01
                    for d, t in own
                ), w.text
    assert letters >= {f.axis for f in part.features}


def pierced(panel, axis, scale):
    """Where an axis goes square through the plane of a panel, on its paper, by the net file's places."""
    to_space, origin = np.array(panel["to_space"]), np.array(panel["origin"])
    slope = float(np.array(axis.direction) @ to_space[:, 2])
    if abs(abs(slope) - 1) > 1e-9:
        return None
    point = np.array(axis.point) * scale
    point = point + axis.direction * np.array(((origin - point) @ to_space[:, 2]) / slope)
    return (point - origin) @ to_space[:, :2]


def test_the_check_notices_what_is_wrong_on_paper(tmp_path):
    """A cut less, a fold less, a number changed, a sheet that was scaled."""
    made = model(read_part(ROOT / "samples" / "eccentric-shaft.toml")[0], Choices(minutes=None))
    outputs.write_model(made, tmp_path, "x")
    tree = json.loads((tmp_path / "x.net.json").read_bytes())
    data = (tmp_path / "x-1.svg").read_bytes()
    check_sheet(read_svg(data), tree, 0)
    for layer in ("cut", "mountain"):
        page = read_svg(data)
        longest = max(
            (x for x in page.lines if x.layer == layer), key=lambda x: len(x.points) * 1000 + np.ptp(x.points)
        )
        page.lines = [x for x in page.lines if x is not longest]
        with pytest.raises(AssertionError):
            check_sheet(page, tree, 0)
    page = read_svg(data)
    for w in page.words:
        w.text = w.text.replace("2", "3")
    with pytest.raises(AssertionError):
        check_sheet(page, tree, 0)
    page = read_svg(data)
    for x in page.lines:
        x.points = x.points * 0.97
    with pytest.raises(AssertionError):
        check_sheet(page, tree, 0)
