"""Printed files as they are painted: what a reader of the paper sees, and nothing that the program knows besides.

Lines and words come in the order of the file; a filled area hides what lies under it.
"""

import ctypes
import io
import math
import re
from dataclasses import dataclass, field
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pypdfium2.raw as raw
import shapely

MM = 72 / 25.4
"""Points in a millimetre [ISO 32000-1, 8.3.2.3]."""

SVG = "{http://www.w3.org/2000/svg}"


@dataclass
class Line:
    """A painted line: its points, mm, y up; colour as #rrggbb; pen: width, mm; dashes: lengths, mm; layer: if known."""

    points: np.ndarray
    colour: str
    pen: float
    dashes: tuple = ()
    layer: str = ""


@dataclass
class Word:
    """A painted word: where its base line begins, mm; angle: degrees; size: of the font, mm."""

    text: str
    at: tuple
    angle: float
    size: float


@dataclass
class Page:
    """A page. hidden: what of its lines was painted over, as (line, geometry)."""

    size: tuple
    lines: list = field(default_factory=list)
    words: list = field(default_factory=list)
    hidden: list = field(default_factory=list)

    def paint(self, line):
        self.lines.append(line)

    def cover(self, area, colour):
        """Fill an area, which hides the lines under it; a dark one, such as the dot in a pin hole, is a line itself."""
        if min(int(colour[k : k + 2], 16) for k in (1, 3, 5)) < 144:
            return
        box = area.bounds
        for k, line in enumerate(self.lines):
            low, high = line.points.min(axis=0), line.points.max(axis=0)
            if (low > box[2:]).any() or (high < box[:2]).any():
                continue
            under = shapely.linestrings(line.points).intersection(area)
            if under.length > 1e-6:
                self.hidden.append((self.lines[k], under))

    def seen(self, *layers):
        """Straight pieces (n, 2, 2) of the lines on some layers, or of all."""
        runs = [line.points for line in self.lines if not layers or line.layer in layers]
        found = [np.stack((p[:-1], p[1:]), axis=1) for p in runs if len(p) > 1]
        return np.concatenate(found) if found else np.empty((0, 2, 2))


def numbers(text):
    return [float(v) for v in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", text)]


def read_svg(data):
    """An SVG file, painted from its first element to its last one."""
    root = ElementTree.fromstring(data)
    width, height = numbers(root.get("viewBox"))[2:]
    for side, units in (("width", width), ("height", height)):
        assert re.fullmatch(r"[\d.]+mm", root.get(side)) and float(root.get(side)[:-2]) == units, "one unit is one mm"
    page = Page((width, height))
    for group in root:
        for node in group.iter():
            kind = node.tag.removeprefix(SVG)
            if kind in ("path", "circle"):
                _paint_svg_shape(page, node, kind, group.get("id"))
            elif kind == "text":
                turn = re.match(r"rotate\((\S+)", node.get("transform") or "rotate(0 ")
                at = (float(node.get("x")), height - float(node.get("y")))
                angle = -float(turn[1])
                back = {"start": 0.0, "middle": 0.5, "end": 1.0}[node.get("text-anchor")] * float(
                    node.get("textLength")
                )
                c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
                start = (at[0] - back * c, at[1] - back * s)
                page.words.append(Word(node.text, start, angle, float(node.get("font-size"))))
    return page


def _paint_svg_shape(page, node, kind, layer):
    runs = []
    if kind == "circle":
        x, y, r = (float(node.get(k)) for k in ("cx", "cy", "r"))
        turns = np.linspace(0, 2 * math.pi, 49)
        runs.append(np.column_stack((x + r * np.cos(turns), page.size[1] - y + r * np.sin(turns))))
    else:
        for run in node.get("d").split("M")[1:]:
            points = np.array(numbers(run)).reshape(-1, 2) * (1, -1) + (0, page.size[1])
            runs.append(np.concatenate((points, points[:1])) if run.strip().endswith("Z") else points)
    if node.get("fill") not in (None, "none"):
        page.cover(shapely.union_all([shapely.Polygon(p).buffer(0) for p in runs if len(p) > 3]), node.get("fill"))
    if node.get("stroke") not in (None, "none"):
        dashes = tuple(numbers(node.get("stroke-dasharray") or ""))
        for p in runs:
            page.paint(Line(p, node.get("stroke"), float(node.get("stroke-width")), dashes, layer))


def read_pdf(page):
    """A page of a PDF as pypdfium2 reads it."""
    width, height = page.get_size()
    found = Page((width / MM, height / MM))
    for obj in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        _paint_pdf_path(found, obj)
    words = page.get_textpage()
    for k in range(words.count_rects()):
        left, low, right, high = (v / MM for v in words.get_rect(k))
        text = words.get_text_bounded(*(v * MM for v in (left, low, right, high))).strip()
        found.words.append(Word(text, (left, low), 0.0, high - low))
    words.close()
    return found


def _paint_pdf_path(page, obj):
    matrix, runs = obj.get_matrix(), []
    for k in range(raw.FPDFPath_CountSegments(obj.raw)):
        s = raw.FPDFPath_GetPathSegment(obj.raw, k)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(s, x, y)
        here = tuple(v / MM for v in matrix.on_point(x.value, y.value))
        if raw.FPDFPathSegment_GetType(s) == raw.FPDF_SEGMENT_MOVETO:
            runs.append([here])
        else:
            runs[-1].append(here)
        if raw.FPDFPathSegment_GetClose(s):
            runs[-1].append(runs[-1][0])
    runs = [np.array(p) for p in runs]
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(obj.raw, fill, stroke)
    if fill.value:
        page.cover(
            shapely.union_all([shapely.Polygon(p).buffer(0) for p in runs if len(p) > 3]),
            _colour(obj, raw.FPDFPageObj_GetFillColor),
        )
    if stroke.value:
        pen = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(obj.raw, pen)
        count = max(0, raw.FPDFPageObj_GetDashCount(obj.raw))
        dashes = (ctypes.c_float * count)()
        raw.FPDFPageObj_GetDashArray(obj.raw, dashes, count)
        scale = math.hypot(matrix.a, matrix.b) / MM
        colour = _colour(obj, raw.FPDFPageObj_GetStrokeColor)
        for p in runs:
            page.paint(Line(p, colour, pen.value * scale, tuple(v * scale for v in dashes)))


def _colour(obj, ask):
    r, g, b, a = (ctypes.c_uint() for _ in range(4))
    ask(obj.raw, r, g, b, a)
    return f"#{r.value:02x}{g.value:02x}{b.value:02x}"


def read_dxf(data):
    """A DXF file; it has no filled areas."""
    import ezdxf

    page = Page((0, 0))
    for e in ezdxf.read(io.StringIO(data.decode())).modelspace():
        if e.dxftype() == "LWPOLYLINE":
            points = np.array([p[:2] for p in e.get_points()])
            points = np.concatenate((points, points[:1])) if e.closed else points
            page.paint(Line(points, "", 0.0, (), e.dxf.layer))
        elif e.dxftype() == "TEXT":
            page.words.append(Word(e.dxf.text, tuple(e.dxf.insert)[:2], e.dxf.rotation, e.dxf.height))
    return page


def straight(lines):
    """Lines as shapely geometries."""
    return shapely.linestrings(lines) if len(lines) else np.empty(0, dtype=object)


def rings(loop):
    """The edges of a closed loop (n, 2, 2)."""
    return np.array(list(pairwise([*loop, loop[0]])))


def faces_of(page, grid=1e-3, reach=0.0):
    """The areas that visible cut and fold lines close: panels, tabs, and what is open between them.

    reach: mm by which a crease may end before a cut and is still read as going on to it."""
    creases = page.seen("mountain", "valley")
    ahead = creases[:, 1] - creases[:, 0]
    ahead = ahead / np.maximum(np.hypot(*ahead.T), 1e-9)[:, None] * reach
    creases = np.stack((creases[:, 0] - ahead, creases[:, 1] + ahead), axis=1)
    lines = straight(np.concatenate((page.seen("cut"), creases)))
    if not len(lines):
        return []
    network = shapely.unary_union(shapely.MultiLineString(list(lines)), grid_size=grid)
    return [p for p in shapely.polygonize(shapely.get_parts(network).tolist()).geoms if p.area > 0.01]


def word_centre(word, cap_share=0.714):
    """The middle of a printed word, from where its base line begins: half its capital height up, half its width along.

    cap_share: capital height over font size; the width is taken as 0.8 of that for each character."""
    high = word.size * cap_share
    half = 0.4 * high * len(word.text)
    c, s = math.cos(math.radians(word.angle)), math.sin(math.radians(word.angle))
    return word.at[0] + half * c - high / 2 * s, word.at[1] + half * s + high / 2 * c
