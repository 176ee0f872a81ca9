"""DXF read back by the library's own reader and audit: layers, units, the 100 mm bar, text that stays text."""

import io
import math
from pathlib import Path

import ezdxf
import pytest

from foldsketch.base.drawing import DASH_PATTERNS, Circle, Drawing, Layer, LineType, Stroke, Text
from foldsketch.job import outputs, pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.net_lines import cut_paths
from foldsketch.write.dxf import dxf

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def made():
    return pipeline.make_model(read_part(SAMPLES / "eccentric-shaft.toml")[0])


@pytest.fixture(scope="module")
def page(made):
    return ezdxf.read(io.StringIO(outputs.dxf_pages(made)[0].decode()))


def test_header_and_layers(page):
    assert page.header["$INSUNITS"] == 4
    assert not page.audit().has_errors
    assert {v.value for v in Layer} <= {layer.dxf.name for layer in page.layers}


def test_the_bar_is_100_mm(page):
    runs = [e for e in page.modelspace().query("LWPOLYLINE") if e.dxf.layer == "frame" and len(e) == 2]
    lengths = [max(abs(a[0] - b[0]), abs(a[1] - b[1])) for a, b in ([p[:2] for p in e.get_points()] for e in runs)]
    assert sum(abs(v - 100) < 1e-9 for v in lengths) >= 2, "both ways"


def test_cuts_are_those_of_the_nets(made, page):
    own = [e for e in page.modelspace().query("LWPOLYLINE") if e.dxf.layer == "cut"]
    first = {p.piece for p in made.sheets[0].placed}
    paths = [path for p in made.nets.pieces if p.id in first for path in cut_paths(p, lambda points: points)]
    # The legend shows one cut line more.
    assert len(own) in (len(paths), len(paths) + 1)


def test_text_stays_text_and_repeats(made, page):
    texts = [e.dxf.text for e in page.modelspace().query("TEXT")]
    assert any("print at 100 %" in t for t in texts)
    assert outputs.dxf_pages(made) == outputs.dxf_pages(made)


def test_pieces_alone(made, tmp_path):
    drawn = outputs.piece_svgs(made)
    assert drawn.keys() == {p.id for p in made.nets.pieces}
    for data in drawn.values():
        assert data.lstrip().startswith(b"<?xml")


def test_the_command(tmp_path):
    from foldsketch.cli import main

    arguments = ["make", str(SAMPLES / "eccentric-shaft.toml"), "--dxf", "--pieces", "--out", str(tmp_path)]
    assert main(arguments) == 0
    names = {p.name for p in tmp_path.iterdir()}
    assert {"eccentric-shaft-1.dxf", "eccentric-shaft-net-1.svg"} <= names


def entities(*items):
    """The entities of a page with these items, read by the library."""
    document = ezdxf.read(io.StringIO(dxf(Drawing((210, 297), items)).decode()))
    assert not document.audit().has_errors
    return document, list(document.modelspace())


@pytest.mark.parametrize("line", list(LineType))
def test_a_line_keeps_its_points_layer_and_dashes(line):
    points = ((1.5, 2.0), (30.25, 40.0), (7.0, 80.0))
    document, (found,) = entities(Stroke(Layer.VALLEY, points, closed=True, line=line))
    assert [p[:2] for p in found.get_points()] == list(points)
    assert (found.closed, found.dxf.layer) == (True, "valley")
    if line is LineType.SOLID:
        assert found.dxf.linetype == "BYLAYER"
    else:
        total = document.linetypes.get(found.dxf.linetype).pattern_tags.tags
        length = next(value for code, value in total if code == 40)
        assert length == pytest.approx(0.25 * sum(DASH_PATTERNS[line])), "of a line 0.25 mm wide"


def test_a_circle_is_kept_and_white_backgrounds_are_left_out():
    _, (found,) = entities(
        Circle(Layer.MARK, (20.0, 30.0), 4.0),
        Circle(Layer.MARK, (20.0, 30.0), 5.0, colour=None, fill=(1.0, 1.0, 1.0)),
        Stroke(Layer.MARK, ((0, 0), (9, 0), (9, 9)), closed=True, colour=None, fill=(1.0, 1.0, 1.0)),
    )
    assert (tuple(found.dxf.center)[:2], found.dxf.radius, found.dxf.layer) == ((20, 30), 4, "mark")


def test_text_keeps_its_place_height_and_angle():
    _, (found,) = entities(Text(Layer.MARK, (20.0, 30.0), "Ø 36 α", size=3.5, angle=math.pi / 6, anchor="middle"))
    assert (found.dxf.text, found.dxf.height, found.dxf.rotation) == ("Ø 36 α", 3.5, pytest.approx(30))
    assert tuple(found.dxf.align_point)[:2] == (20, 30)
