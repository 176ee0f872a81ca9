"""Work and time: counted on nets by shapely and by hand."""

from dataclasses import fields

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import parts
from foldsketch.assembly.work_time import DEFAULT_PACE, Pace, Work, measure_work, parse_pace, work_minutes
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Cylinder, PrismShape
from nets import nets_of, one, shape_of


def test_the_work_in_a_box_is_what_one_counts_on_its_net():
    """A cube of 40 mm: five folds and seven cut edges. The net of a cube is 14 edges round, and every tab, 7 mm wide at
    45 degrees less 0.03 rad, or at 62 degrees on the seam, takes its root out and puts its three other sides in."""
    nets = nets_of(one(PrismShape(4, 40.0), 40))
    work = measure_work(nets)
    assert (work.folds, work.tabs, work.joints, work.teeth) == (5 + 7, 7, 0, 0)
    assert work.glued == 7
    (piece,) = nets.pieces
    sides = sum(shapely.LinearRing(t.outline).length - 2 * 40 for t in piece.tabs)
    assert work.cut == pytest.approx(14 * 40 + sides)


@pytest.mark.parametrize("part", [p for p in parts.ALL if p is not parts.INTERLOCKED], ids=lambda p: p.name)
def test_what_is_cut_is_the_rim_of_the_paper(part):
    """Of panels and tabs united, by shapely, each a little larger so that no gap is left along folds.

    The net of the interlocked part is left out: it has slits, of which both sides count.
    """
    nets = nets_of(part)
    rims = 0.0
    for piece in nets.pieces:
        paper = [shape_of(x).buffer(1e-4, join_style="mitre") for x in (*piece.panels, *piece.tabs)]
        rims += shapely.union_all(paper).length
    assert measure_work(nets).cut == pytest.approx(rims, rel=1e-3)


def test_joints_are_counted_and_teeth_are_one_tab():
    work = measure_work(nets_of(parts.TWO_SPIGOTS))
    assert work.joints == 2 and work.glued == work.tabs + 2
    rolled = measure_work(nets_of(one(Cylinder(40)), walls="rolled"))
    # 28 sides: two rims of 28 teeth under one number each, and the seam; nothing else is creased.
    assert (rolled.tabs, rolled.folds, rolled.teeth) == (3, 3, 2 * 27)


def test_minutes_are_the_work_at_the_pace():
    pace = Pace(cut=1.0, fold=2.0, glue=3.0, joint=4.0, tooth=5.0)
    assert work_minutes(Work(60.0, 30, 20, 15, 12), pace) == pytest.approx(1 + 1 + 1 + 1 + 1)
    assert pace.qualifier == "your" and DEFAULT_PACE.qualifier == "an ordinary"


@given(st.dictionaries(st.sampled_from([f.name for f in fields(Pace)]), st.floats(0, 3600)))
def test_a_pace_is_read_back(seconds):
    """However its words are separated, and with the usual seconds for what is not named."""
    words = [f"{name}={value!r}" for name, value in seconds.items()]
    for text in (" ".join(words), ", ".join(words)):
        pace = parse_pace(text)
        for f in fields(Pace):
            assert getattr(pace, f.name) == seconds.get(f.name, f.default)


@pytest.mark.parametrize(
    ("text", "code", "values"),
    [
        ("fold", "pace-not-a-number", {"word": "fold"}),
        ("fold=four", "pace-not-a-number", {"word": "fold=four"}),
        ("glue=3 crease=4", "pace-unknown-step", {"name": "crease"}),
        ("glue=-1", "pace-out-of-range", {"name": "glue", "number": "-1"}),
        ("glue=3601", "pace-out-of-range", {"name": "glue", "most": 3600}),
        ("glue=nan", "pace-out-of-range", {"number": "nan"}),
        ("glue=inf", "pace-out-of-range", {"number": "inf"}),
    ],
)
def test_a_pace_that_cannot_be_read_is_refused(text, code, values):
    with pytest.raises(FoldsketchError) as refused:
        parse_pace(text)
    (finding,) = refused.value.findings
    assert (finding.level, finding.code, finding.where) == ("error", code, "--pace")
    assert {k: finding.value(k) for k in values} == values


def test_strips_of_tape_are_counted_and_take_eight_seconds_each():
    """Two octagonal spigots on an octagonal flange. Of the 7 edges of an end beside its hinge two hold: no more than
    two in a row are bare, 3 k + 2 >= 7; on the flange, where two are longer than 40 mm, three: 2 k + 1 >= 7 [D]. Three
    seams, and every other side of a foot. Tape of 8 s a strip is common practice [C]."""
    nets = nets_of(parts.TWO_SPIGOTS, hold="tape", sides=8)
    work = measure_work(nets)
    assert (work.tabs, work.joints, work.glued) == (0, 0, 0)
    assert work.strips == 2 * 3 + 2 * 2 * 2 + 3 + 2 * 4
    assert work.folds == sum(len(p.folds) for p in nets.pieces)
    assert work_minutes(Work(0.0, 0, 0, 0, strips=30)) == pytest.approx(4.0)
    assert work_minutes(Work(0.0, 0, 0, 0, strips=30), Pace(tape=2)) == pytest.approx(1.0)


def test_tongues_are_creased_slit_and_bent_in_and_get_no_glue():
    """Two octagonal spigots: four tongues each. A slit of 8 s and a tongue of 6 s are common practice [C]; creases
    count as folds."""
    nets = nets_of(parts.TWO_SPIGOTS, sparse=True, sides=8, open_feet=True, tongues=True)
    work = measure_work(nets)
    glued = {(p.id, t.number) for p in nets.pieces for t in p.tabs if not t.slit}
    assert (work.tongues, work.slits, work.tabs, work.joints) == (8, 8, len(glued), 0)
    assert work.folds == sum(len(p.folds) for p in nets.pieces) + len(glued) + 8
    assert work_minutes(Work(0.0, 0, 0, 0, tongues=30, slits=20)) == pytest.approx((20 * 8 + 30 * 6) / 60)
    assert work_minutes(
        Work(0.0, 0, 0, 0, tongues=30, slits=30, flaps=30), Pace(slit=1, tongue=1, flap=2)
    ) == pytest.approx(2.0)
    assert Work(0, 0, 5, 1, tongues=8).hold_text == "6 glue joints, 8 tongues in slits"
