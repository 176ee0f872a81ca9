"""SVG read back by an XML parser: millimetres, one group a layer, text that stays text."""

import math
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.drawing import DASH_PATTERNS, Circle, Drawing, Layer, LineType, Stroke, Text
from foldsketch.write.svg import svg

NAME = "{http://www.w3.org/2000/svg}"
WIDTH, HEIGHT = 210.0, 297.0


def nodes(*items, kind="path", title=""):
    """The nodes of one kind, and the root."""
    root = ElementTree.fromstring(svg(Drawing((WIDTH, HEIGHT), items, title)))
    return list(root.iter(NAME + kind)), root


def numbers(text):
    return [float(v) for v in re.findall(r"-?\d+\.?\d*", text)]


def test_the_page_has_its_size_in_mm_and_a_group_for_every_layer():
    _, root = nodes(title="cover")
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("210mm", "297mm", "0 0 210 297")
    assert [g.get("id") for g in root.iter(NAME + "g")] == ["glue", "cut", "mountain", "valley", "mark", "frame"]
    assert root.find(NAME + "title").text == "cover"


points = st.tuples(st.floats(0, WIDTH), st.floats(0, HEIGHT))


@given(st.lists(points, min_size=2, max_size=6), st.booleans(), st.sampled_from(list(Layer)))
def test_a_line_runs_through_its_points_with_y_down(line, closed, layer):
    (path,), root = nodes(Stroke(layer, tuple(line), closed))
    data = path.get("d")
    read = numbers(data)
    assert data.endswith("Z") == closed
    assert read[::2] == pytest.approx([x for x, _ in line], abs=5.1e-5)
    assert read[1::2] == pytest.approx([HEIGHT - y for _, y in line], abs=5.1e-5)
    (group,) = (g for g in root.iter(NAME + "g") if path in list(g))
    assert group.get("id") == layer.value


@pytest.mark.parametrize("line", list(LineType))
def test_dashes_are_multiples_of_the_line_width(line):
    (path,), _ = nodes(Stroke(Layer.CUT, ((0, 0), (50, 0)), width=0.5, line=line, colour=(1.0, 0.0, 0.5)))
    assert numbers(path.get("stroke-dasharray") or "") == [0.5 * k for k in DASH_PATTERNS[line]]
    assert (path.get("stroke"), path.get("fill"), path.get("stroke-width")) == ("#ff0080", "none", "0.5")
    assert (path.get("stroke-linecap") == "round") == any(k < 1 for k in DASH_PATTERNS[line])


def test_a_circle_and_a_filled_loop():
    (circle,), _ = nodes(Circle(Layer.MARK, (30.0, 40.0), 2.5), kind="circle")
    assert [float(circle.get(k)) for k in ("cx", "cy", "r")] == [30, HEIGHT - 40, 2.5]
    (path,), _ = nodes(Stroke(Layer.FRAME, ((0, 0), (1, 0), (0, 1)), closed=True, colour=None, fill=(1.0, 1.0, 1.0)))
    assert (path.get("stroke"), path.get("fill")) == ("none", "#ffffff")


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize("degrees", [0.0, 90.0, -30.0])
def test_text_stays_text_at_its_place_and_angle(anchor, degrees):
    """SVG turns clockwise for positive angles, y being down."""
    (text,), _ = nodes(
        Text(Layer.MARK, (20.0, 30.0), "Ø 36 < 40", angle=math.radians(degrees), anchor=anchor), kind="text"
    )
    assert text.text == "Ø 36 < 40"
    assert ([float(text.get("x")), float(text.get("y"))], text.get("text-anchor")) == ([20, HEIGHT - 30], anchor)
    assert numbers(text.get("transform") or "") == ([-degrees, 20, HEIGHT - 30] if degrees else [])
    bold, _ = nodes(Text(Layer.MARK, (0, 0), "A", bold=True), kind="text")
    assert bold[0].get("font-weight") == "bold"
