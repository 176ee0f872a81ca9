"""share: one HTML file with the model that was chosen."""

from pathlib import Path

from foldsketch.part.file.write import part_to_toml
from foldsketch.part.model import Axis, Feature, Part, Plate

SAMPLE = Path(__file__).parents[2] / "samples" / "eccentric-shaft.toml"


def test_share_sends_the_model_that_was_chosen(run, tmp_path):
    hinges = {}
    for walls in ("folded", "rolled"):
        done = run("share", SAMPLE, "--walls", walls, "--card", "160gsm", "--out", tmp_path / walls)
        assert done.code == 0, done.err
        hinges[walls] = (tmp_path / walls / "eccentric-shaft.html").read_text("utf-8").count('"hinge"')
    assert hinges["rolled"] > 1.5 * hinges["folded"]


def test_a_part_with_nothing_to_turn_is_sent_without_set_ups(run, tmp_path):
    square = ((-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0))
    part = Part("Key plate", (Axis("A"),), (Feature("plate", "A", Plate(outline=square), 0, 10),))
    path = tmp_path / "plate.toml"
    path.write_text(part_to_toml(part), "utf-8")
    done = run("share", path, "--out", tmp_path)
    assert done.code == 0 and done.err.startswith("note: ")
    assert '"setups":[]' in (tmp_path / "plate.html").read_text("utf-8")


def test_choices_out_of_range_are_refused(run, tmp_path):
    assert run("share", SAMPLE, "--least-step", "99", "--out", tmp_path / "out").code == 2
    assert not (tmp_path / "out").exists()
