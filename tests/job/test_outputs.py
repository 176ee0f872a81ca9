"""Files: all or none, no page of an earlier run left behind, and what each of them is."""

import json
from dataclasses import replace
from xml.etree import ElementTree

import pypdfium2
import pytest

import parts
from foldsketch.assembly.work_time import Pace
from foldsketch.base.drawing import Text
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.choices import Choices
from foldsketch.job.outputs import (
    booklet,
    by_hand_files,
    by_hand_page,
    dxf_pages,
    piece_svgs,
    require_dxf,
    sheet_pages,
    write_model,
)
from foldsketch.job.pipeline import make_model
from foldsketch.part.model import Cylinder, Feature, Ring
from foldsketch.sheet.messages import BY_HAND_TOO_LARGE


@pytest.fixture(scope="module")
def made():
    return make_model(parts.ECCENTRIC, Choices(scale=0.5))


def words(data):
    with pypdfium2.PdfDocument(data) as pages:
        return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in pages).split())


def test_files_and_their_order(made, tmp_path):
    written = write_model(made, tmp_path / "new" / "folder", "pin", more={"pin-booklet.pdf": b"x"})
    assert [p.name for p in written] == ["pin.pdf", "pin-1.svg", "pin.net.json", "pin.png", "pin-booklet.pdf"]
    assert sorted(p.name for p in (tmp_path / "new" / "folder").iterdir()) == sorted(p.name for p in written)
    assert json.loads(written[2].read_bytes())["part"] == "eccentric shaft"


def test_with_backs_every_sheet_is_followed_by_its_back(made, tmp_path):
    written = write_model(made, tmp_path, "pin", backs=True)
    assert [p.name for p in written[1:3]] == ["pin-1.svg", "pin-1-back.svg"]
    with pypdfium2.PdfDocument(written[0]) as pages:
        assert len(pages) == 2 * len(made.sheets) == len(sheet_pages(made, backs=True))


@pytest.mark.parametrize("name", ["pin-9.svg", "pin-12.svg", "pin-2-back.svg"])
def test_pages_of_an_earlier_longer_run_do_not_stay(made, tmp_path, name):
    (tmp_path / name).write_text("old")
    write_model(made, tmp_path, "pin")
    assert not (tmp_path / name).exists()


@pytest.mark.parametrize(
    "name", ["pin-x.svg", "pin-01.svg", "pin-9.dxf", "pin-net-4.svg", "pin-9-front.svg", "pinion-9.svg", "pin-1000.svg"]
)
def test_other_files_stay(made, tmp_path, name):
    """A file of another name, or of a series that is not written this time."""
    (tmp_path / name).write_text("mine")
    write_model(made, tmp_path, "pin")
    assert (tmp_path / name).read_text() == "mine"


def test_a_folder_of_such_a_name_stays(made, tmp_path):
    (tmp_path / "pin-9.svg").mkdir()
    write_model(made, tmp_path, "pin")
    assert (tmp_path / "pin-9.svg").is_dir()


def test_all_files_or_none(made, tmp_path):
    (tmp_path / "pin.pdf").write_text("old")
    (tmp_path / "taken").mkdir()
    with pytest.raises(FoldsketchError):
        write_model(made, tmp_path, "pin", more={"taken": b"x"})
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir() if p.is_file()] == [("pin.pdf", "old")]


def test_every_net_alone(made):
    drawn = piece_svgs(made)
    assert drawn.keys() == {p.id for p in made.nets.pieces}
    assert all(ElementTree.fromstring(data).tag.endswith("svg") for data in drawn.values())


def test_dxf_pages(made):
    assert len(dxf_pages(made)) == len(made.sheets)


def test_without_ezdxf_it_says_what_to_install(made, monkeypatch):
    monkeypatch.setattr("foldsketch.write.dxf.find_spec", lambda name: None)
    for ask in (require_dxf, lambda: dxf_pages(made)):
        with pytest.raises(FoldsketchError) as caught:
            ask()
        assert caught.value.findings[0].cure == "pip install -e '.[dxf]'"


def test_the_booklet_says_whose_pace_it_counts_with(made):
    assert "at an ordinary pace" in words(booklet(made))
    assert "at your pace" in words(booklet(made, Pace(glue=3.0)))


def test_the_booklet_says_what_is_drawn_and_not_built():
    """A bolt hole of 6 mm in a flange of 90, and the 9 mm bore of a sleeve of 40."""
    part = parts.part(
        [
            parts.FLANGE,
            Feature("sleeve", "A", Ring(40, 9), 12, 40),
            Feature("spigot", "B", Cylinder(20), 12, 40),
            Feature("bolt hole", "C", Cylinder(6), -1, 13, cut=True),
        ],
        parts.at("B", 31, 0),
        parts.at("C", -35, 0),
    )
    made = make_model(part, Choices(), level="no details")
    shown = words(booklet(made))
    assert "Drawn on the faces and not built: sleeve, bolt hole." in shown
    assert "Drawn on the faces" not in words(booklet(replace(made, drawn=())))


def test_by_hand_is_at_the_largest_scale_that_the_paper_has_room_for():
    """A flange of 90 at full size; one of 300 at 1:2, even where the sheets are smaller or on larger paper."""
    for diameter, scale in ((90, "1:1"), (300, "1:2")):
        part = parts.part([Feature("flange", "A", Cylinder(diameter), 0, 40)])
        page, _ = by_hand_page(make_model(part, Choices(paper="A3", scale=0.5)))
        assert page.size == (210.0, 297.0)
        assert scale in [item.text for item in page.items if isinstance(item, Text)]


def test_by_hand_at_a_scale_that_was_given_is_refused_where_it_does_not_fit():
    part = parts.part([Feature("flange", "A", Cylinder(300), 0, 40)])
    with pytest.raises(FoldsketchError) as caught:
        by_hand_page(make_model(part, Choices(scale=0.5)), scale=1.0)
    assert caught.value.findings[0].code == BY_HAND_TOO_LARGE.code


def test_by_hand_as_pdf_and_svg(made):
    files = by_hand_files(by_hand_page(made)[0])
    assert files.keys() == {"by-hand.pdf", "by-hand.svg"}
    assert "eccentric on journal, at B" in words(files["by-hand.pdf"])
    assert b"eccentric on journal, at B" in files["by-hand.svg"]
