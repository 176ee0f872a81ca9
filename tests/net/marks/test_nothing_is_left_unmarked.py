"""What a reading of the printed sheets once found missing: letters at pin holes, numbers at butt edges, axes."""

from collections import Counter
from pathlib import Path

import pytest

from examples import few
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.part.file.read import read_part

ROOT = Path(__file__).parents[3] / "samples"
SAMPLES = sorted([*ROOT.glob("*.toml"), *(ROOT / "lessons").glob("*.toml")])


@pytest.fixture(scope="module", params=few([(p, m) for p in SAMPLES for m in (15, None)], 2, every=6), ids=str)
def nets(request):
    path, minutes = request.param
    return model(read_part(path)[0], Choices(minutes=minutes)).nets


def printed(nets):
    return {(p.id, m.panel, m.text) for p in nets.pieces for m in p.marks if m.kind == "text"}


def numbered(nets):
    return any(t.label_size for p in nets.pieces for t in p.tabs)


def test_every_pin_hole_has_the_letter_of_its_axis_on_its_panel(nets):
    for p in nets.pieces:
        letters = {(m.panel, m.text) for m in p.marks if m.kind == "centre" and m.text}
        assert {(m.panel, m.axis) for m in p.marks if m.kind == "pin"} <= letters


def test_edges_that_meet_without_a_tab_bear_their_number_both(nets):
    if not numbered(nets):
        return
    texts = printed(nets)
    for p in nets.pieces:
        for b in p.butts:
            if not b.bare and b.joint is None:
                for piece, panel in ((p.id, b.panel), (b.meets.piece, b.meets.panel)):
                    assert (piece, panel, str(b.number)) in texts


def test_a_tab_with_its_number_neither_on_it_nor_on_its_edge_is_told(nets):
    if not numbered(nets):
        return
    texts, many = printed(nets), Counter(t.number for p in nets.pieces for t in p.tabs)
    lacking = [
        t.number
        for p in nets.pieces
        for t in p.tabs
        if t.joint is None and t.glued and not t.label_size and many[t.number] == 1
        if (t.meets.piece, t.meets.panel, str(t.number)) not in texts
    ]
    told = {f.code for f in nets.findings}
    assert not lacking or {"edge-numbers-omitted", "tab-numbers-omitted"} <= told
