"""The booklet of a model that is tucked together: its order is possible, and its words are those of what is there."""

from pathlib import Path

import pytest

from foldsketch.assembly.sequence import assembly_steps
from foldsketch.job import outputs
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.part.file.read import read_part

SAMPLES = Path(__file__).parents[3] / "samples"


@pytest.fixture(scope="module", params=["bilge-pump-cover", "eccentric-shaft"])
def made(request):
    return model(read_part(SAMPLES / f"{request.param}.toml")[0], Choices(hold="tuck"))


def test_what_stands_is_closed_before_and_goes_on_while_the_slits_are_flat(made):
    """A carrier's lid is locked through its open foot, so it is shut before the block stands; the net that it stands on
    is not folded by then; an end that is locked from inside is shut before the one with ears."""
    steps = assembly_steps(made.nets)
    row = {}
    for k, s in enumerate(steps):
        row.setdefault((s.kind, s.piece), []).append(k)
    for p in made.nets.pieces:
        for t in p.tabs:
            if t.slit:
                joint = made.nets.joints[t.joint].blocks
                (stand,) = [k for k, s in enumerate(steps) if s.kind == "join" and s.blocks == joint]
                assert row["tuck", p.id][-1] < stand < row["tuck", t.meets.piece][0]
                assert row["cut", t.meets.piece][0] < stand
    shut = [s.closing_panel for s in steps if s.kind == "tuck"]
    ends = [q.id for p in made.nets.pieces for q in p.panels if q.kind == "end"]
    assert len(shut) == len(ends)
    for block in made.nets.blocks:
        own = [p for p in made.nets.pieces if p.block == block.id]
        order = [s for s in steps if s.kind == "tuck" and s.piece in {p.id for p in own}]
        bent = [
            any(t.bend for p in own for t in p.tabs if t.panel == s.closing_panel and p.id == s.piece) for s in order
        ]
        assert bent == sorted(bent, reverse=True) and sum(bent) == 1


def test_its_words_ask_for_no_glue_and_no_tape(made):
    words = " ".join(i.text for page in outputs.booklet_pages(made) for i in page.items if hasattr(i, "text"))
    assert "tape" not in words and "Put glue" not in words and "paper glue" not in words
    for said in ("knife and a mat", "Swing the end", "bend the tongue over", "one ear", "hook", "open foot"):
        assert said in words
