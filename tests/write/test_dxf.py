"""DXF read back by the library's own reader and audit: layers, units, the 100 mm bar, text that stays text."""

import io
from pathlib import Path

import ezdxf
import pytest

from foldsketch.base.drawing import Layer
from foldsketch.job import outputs, pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.net_lines import cut_paths

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
