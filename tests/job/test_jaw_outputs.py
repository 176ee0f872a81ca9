"""Jaw drawings as files: PDF, DXF and a part file that `make` builds."""

import pypdfium2
import pytest

from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.job.jaw_outputs import jaw_drawings
from foldsketch.part.file.read import read_part
from tests.setup_works import SHAFT, SMALL, planned_shaft


@pytest.fixture(scope="module")
def made():
    return jaw_drawings(SHAFT, planned_shaft(), SMALL)


def test_a_file_of_each_kind_for_every_set_up_with_bored_jaws(made):
    numbers = [p.setup.number for p in made.pockets]
    assert len(numbers) == 2
    assert set(made.files) == {f"jaws-{n}.{kind}" for n in numbers for kind in ("pdf", "dxf", "toml")}


def test_the_pages_open_and_name_the_set_up(made):
    for p in made.pockets:
        with pypdfium2.PdfDocument(made.files[f"jaws-{p.setup.number}.pdf"]) as pages:
            assert len(pages) == 1
            assert f"jaws of set-up {p.setup.number}" in pages[0].get_textpage().get_text_bounded()


@pytest.mark.slow
def test_the_jaws_can_be_built_of_paper(made, tmp_path):
    """The fold-up check passes, and the body has the volume of three plates less their share of the pocket."""
    path = tmp_path / "jaws.toml"
    path.write_bytes(made.files[f"jaws-{made.pockets[-1].setup.number}.toml"])
    part, findings = read_part(path)
    assert not [f for f in findings if f.level == "error"]
    built = model(part, Choices(minutes=None))
    assert built.nets.checks.refold_gap < 1e-9 and len(built.nets.blocks) == 3
    assert {f.name for f in part.features} == {"jaw 1", "jaw 2", "jaw 3", "pocket"}
