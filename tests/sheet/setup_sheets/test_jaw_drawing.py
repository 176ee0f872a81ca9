"""Jaw drawings read back from PDF, SVG and DXF by other libraries, and compared with each other and with the pocket."""

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pypdfium2
import pytest
import shapely

from foldsketch.base.drawing import Text
from foldsketch.base.lettering import text_width
from foldsketch.sheet.setup_sheets.jaw_drawing import draw_jaw_model, draw_jaw_page
from foldsketch.sheet.setup_sheets.jaw_face_frame import VIEW_CENTRE_MM, face_view_scale
from foldsketch.write.dxf import dxf
from foldsketch.write.pdf import pdf
from foldsketch.write.svg import svg
from tests.printed import read_dxf, read_pdf, read_svg
from tests.setup_works import bored_pockets

NAMES = [f"Bilge pump cover, set-up {k}" for k in (2, 3, 4)] + [f"Eccentric shaft, set-up {k}" for k in (2, 3)]

pytestmark = pytest.mark.slow


@pytest.fixture(params=NAMES, scope="module")
def drawn(request):
    part, p = bored_pockets()[request.param]
    return p, draw_jaw_page(p, part.name, (), 1, 1), draw_jaw_model(p, part.name)


def fitted(points):
    """Centre and radius of a circle through points, by least squares."""
    a = np.column_stack((2 * points, np.ones(len(points))))
    x, y, c = np.linalg.lstsq(a, (points**2).sum(axis=1), rcond=None)[0]
    return np.array((x, y)), math.sqrt(c + x * x + y * y)


def walls(page):
    """The pocket's wall on the jaws: the thickest lines that bend, as painted."""
    return [v.points for v in page.lines if abs(v.pen - 0.7) < 0.01 and len(v.points) > 12]


def test_the_wall_is_the_pocket_at_scale(drawn):
    p, page, _ = drawn
    document = pypdfium2.PdfDocument(pdf([page], "jaws"))
    seen = read_pdf(document[0])
    assert seen.size == pytest.approx((297, 210), abs=1e-3)
    arcs = walls(seen)
    assert len(arcs) == 3, "one on each jaw"
    scale = face_view_scale(p)
    for arc in arcs:
        centre, radius = fitted(arc)
        assert radius == pytest.approx(p.bore / 2 * scale, abs=0.01)
        assert centre == pytest.approx((VIEW_CENTRE_MM[0] + p.offset * scale, VIEW_CENTRE_MM[1]), abs=0.02)
    document.close()


def test_pdf_and_svg_paint_the_same_walls_and_hide_none(drawn):
    _, page, _ = drawn
    document = pypdfium2.PdfDocument(pdf([page], "jaws"))
    on_pdf, on_svg = walls(read_pdf(document[0])), walls(read_svg(svg(page)))
    document.close()
    for a, b in zip(on_pdf, on_svg, strict=True):
        assert shapely.linestrings(a).hausdorff_distance(shapely.linestrings(b)) < 1e-3
    thick = [line for line, _ in read_svg(svg(page)).hidden if line.pen >= 0.69]
    assert not thick, "no ground hides what is bored"


def test_the_dxf_is_true_to_size(drawn):
    """Read by ezdxf: on the layer cut a circle of the bore at (e, 0), and the hole about the spindle."""
    import io

    import ezdxf

    p, _, model = drawn
    data = dxf(model)
    doc = ezdxf.read(io.StringIO(data.decode()))
    circles = {
        (round(c.dxf.center.x, 6), round(c.dxf.radius, 6)) for c in doc.modelspace().query('CIRCLE[layer=="cut"]')
    }
    expected = {(round(p.offset, 6), round(p.bore / 2, 6))}
    if p.through:
        expected.add((0.0, round(p.through / 2, 6)))
    assert circles == expected
    assert doc.units == ezdxf.units.MM
    words = " ".join(w.text for w in read_dxf(data).words)
    assert "First estimates" in words and "jaw 1" in words
    # The jaws are the same on paper and in the file: those of width w, 120 degrees apart.
    lines = [v.points for v in read_dxf(data).lines if v.layer == "mark"]
    level = [v for v in np.concatenate([np.stack((q[:-1], q[1:]), 1) for q in lines]) if abs(v[0][1] - v[1][1]) < 1e-9]
    face = [v for v in level if max(v[0][0], v[1][0]) <= p.chuck_radius + 6]
    assert {round(abs(v[0][1]), 6) for v in face if abs(v[0][1]) > 2} == {round(p.width / 2, 6)}


def test_the_dxf_has_the_section_through_jaw_1(drawn):
    """Read by ezdxf: the wall e + D/2 from the spindle axis, as deep as the pocket, with its chamfer, and the rest face
    from there inwards."""
    import io

    import ezdxf

    p, _, model = drawn
    doc = ezdxf.read(io.StringIO(dxf(model).decode()))
    runs = [np.array([q[:2] for q in v.get_points()]) for v in doc.modelspace().query('LWPOLYLINE[layer=="cut"]')]
    runs += [np.array([v.dxf.start[:2], v.dxf.end[:2]]) for v in doc.modelspace().query('LINE[layer=="cut"]')]
    points = np.concatenate(runs)
    x0 = p.chuck_radius + 25.0
    wall = x0 + p.offset + p.bore / 2
    assert points[:, 0].max() == pytest.approx(wall + p.values.chamfer) and points[:, 1].max() == pytest.approx(0)
    on_wall = points[np.isclose(points[:, 0], wall)]
    assert on_wall[:, 1].max() == pytest.approx(-p.values.chamfer)
    if p.rests:
        assert points[:, 1].min() == pytest.approx(-p.depth)
        floor = points[np.isclose(points[:, 1], -p.depth)]
        assert floor[:, 0].max() == pytest.approx(wall) and floor[:, 0].min() >= x0 + p.through / 2 - 1e-9
    else:
        assert points[:, 1].min() < -p.depth
    assert any("section" in w.text for w in read_dxf(dxf(model)).words)


def test_the_indicator_and_the_cautions_are_on_the_page(drawn):
    p, page, _ = drawn
    words = " ".join(i.text for i in page.items if isinstance(i, Text))
    assert "First estimates" in words and "trained person decide" in words and "chuck and jaw makers' limits" in words
    if p.offset:
        assert f"2e = {2 * p.offset:.2f} ±0.04" in words and "opposite jaw 1" in words
    else:
        assert "2e" not in words and "opposite" not in words


def boxes(page):
    """Words and their boxes, from base line to capital height."""
    found = []
    for w in page.items:
        if isinstance(w, Text):
            wide = text_width(w.text, w.size)
            left = w.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[w.anchor] * wide
            found.append((w.text, shapely.box(left, w.at[1], left + wide, w.at[1] + w.size)))
    return found


def test_words_are_large_enough_and_apart(drawn):
    _, page, _ = drawn
    assert min(i.size for i in page.items if isinstance(i, Text)) >= 2.5
    every = boxes(page)
    for (one, a), (other, b) in combinations(every, 2):
        assert a.intersection(b).area < 0.02, f"{one!r} on {other!r}"
    whole = shapely.union_all([box for _, box in every]).bounds
    assert whole[0] >= 8.75 and whole[1] >= 8.0 and whole[2] <= 297 - 8.75 and whole[3] <= 210 - 8.75


def test_the_same_page_twice(drawn):
    p, page, _ = drawn
    assert pdf([page], "jaws") == pdf([draw_jaw_page(p, page.title.split(", jaws")[0], (), 1, 1)], "jaws")


def test_jaws_of_an_unknown_width_say_so():
    part, p = bored_pockets()[NAMES[0]]
    page = draw_jaw_page(p, part.name, ("soft_jaw_width",), 1, 1)
    assert any("not in the machine file" in i.text for i in page.items if isinstance(i, Text))


def test_an_unknown_mass_gives_no_speed():
    part, p = bored_pockets()[NAMES[-1]]
    unknown = replace(p.setup.speeds, recommended=None, limit="mass unknown: no speed can be recommended")
    page = draw_jaw_page(replace(p, setup=replace(p.setup, speeds=unknown)), part.name, (), 1, 1)
    words = " ".join(i.text for i in page.items if isinstance(i, Text))
    assert "no figure: mass unknown" in words
