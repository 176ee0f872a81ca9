"""Set-up sheets and lessons as PDF files."""

from pathlib import Path

import pypdfium2
import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.job.setup_outputs import lesson, setup_sheets
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Feature, Part, Plate
from foldsketch.setup.machine_file.read import read_machine
from foldsketch.setup.plan.plan import plan

SAMPLES = Path(__file__).parents[2] / "samples"
SINGLE = SAMPLES / "machines" / "single-spindle.toml"


@pytest.fixture(scope="module")
def part():
    return read_part(SAMPLES / "lessons" / "1-one-offset-spigot.toml")[0]


def words(data):
    with pypdfium2.PdfDocument(data) as pages:
        return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in pages).split())


def test_set_up_sheets_name_part_and_machine(part):
    machine = read_machine(SINGLE)
    shown = words(setup_sheets(part, plan(part, machine), machine))
    assert part.name in shown and machine.name in shown


def test_a_lesson_is_for_the_scale_and_machine_asked_for(part):
    machine = read_machine(SINGLE)
    made = lesson(part, machine, Choices(scale=0.2))
    assert made.keys() == {"worksheet", "answers", "model", "booklet"}
    assert "1:5" in words(made["worksheet"]) and "by hand" in words(made["worksheet"])
    assert lesson(part, machine, Choices(scale=0.2), plan(part, machine)) == made


def test_without_a_scale_it_is_that_of_the_model(part):
    assert model(part).nets.scale == 1 and "1:1" in words(lesson(part)["worksheet"])
    short = Choices(minutes=5)
    assert model(part, short).nets.scale == 0.5 and "1:2" in words(lesson(part, choices=short)["worksheet"])


def test_there_is_no_lesson_about_a_part_with_nothing_to_turn():
    square = ((-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0))
    plate = Part("Key plate", (Axis("A"),), (Feature("plate", "A", Plate(outline=square), 0, 10),))
    with pytest.raises(FoldsketchError):
        lesson(plate)
