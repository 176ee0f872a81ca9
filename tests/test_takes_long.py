"""What a model that takes long to build is told: what has been tried and found quicker, and nothing else."""

from dataclasses import replace
from pathlib import Path

from foldsketch import job
from foldsketch.commands import long
from foldsketch.part.read import read_part
from foldsketch.solid.sides import FacetChoice, quicker
from foldsketch.worktime import Pace, minutes, work_of

SAMPLES = Path(__file__).parents[1] / "samples"


def test_only_what_was_not_asked_for_is_named_and_nothing_is_tried_on_a_giant(monkeypatch):
    part = read_part(SAMPLES / "bilge-pump-cover.toml")[0]
    choices = job.Choices(quick=True, facets=quicker(FacetChoice(walls="rolled")), join="fuse", scale=1.0)
    made, slow = job.model(part, choices), Pace(glue=60)
    (note,) = long.takes_long(made, choices, slow)
    assert note.cure.startswith("--scale 1:2 takes about") and "rolled" not in note.cure and "fuse" not in note.cure
    assert note.what.endswith("at your pace")
    assert long.takes_long(made, choices, Pace())[0].what.endswith("at an ordinary pace")
    monkeypatch.setattr(long, "PATIENCE", -1.0)
    assert long.takes_long(made, choices, slow)[0].cure == "a part with less on it is quicker"
    monkeypatch.setattr(long, "PATIENCE", 60.0)
    monkeypatch.setattr(long, "MOST_PANELS", 3)
    assert long.takes_long(made, choices, slow)[0].cure == "a part with less on it is quicker"


def test_what_leaves_more_edges_to_tape_is_no_cure():
    """At half size rolled walls would save minutes, for their teeth find no room: they are not named, one body is."""
    part = read_part(SAMPLES / "double-throw-crank.toml")[0]
    facets = quicker(FacetChoice())
    folded, rolled = (job.Choices(quick=True, facets=replace(facets, walls=w), scale=0.5) for w in ("folded", "rolled"))
    made, other = job.model(part, folded), job.model(part, rolled)
    assert minutes(work_of(other.nets)) < minutes(work_of(made.nets)) - 1
    assert any("no tab fits" in f.what for f in other.findings) and not any(
        "no tab fits" in f.what for f in made.findings
    )
    cure = long.takes_long(made, folded, None)[0].cure
    assert "--join fuse takes about" in cure and "--walls rolled" not in cure


def test_flat_panels_all_round_are_told_of_panels():
    from foldsketch.job_general import general_model
    from foldsketch.mesh.recognise import read_mesh
    from foldsketch.mesh.simplify import simplify

    reading = read_mesh(SAMPLES / "pipe-bracket.stl", "mm", False, None)[0]
    for quick in (False, True):
        choices = job.Choices(quick=quick)
        made = general_model(simplify(reading, 120), "bracket", choices)
        assert long.takes_long(made, choices, None) == (), (
            "ten minutes or so are not long for what knows no quicker way"
        )
        (note,) = long.takes_long(made, choices, Pace(glue=600))
        assert note.cure == "fewer --panels give a quicker one"
