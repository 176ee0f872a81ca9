"""The booklet: every tab glued once, in an order that hands can follow, pictures that end where the oracle does."""

import math
import re
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from booklets import booklet_of
from examples import examples, few
from foldsketch.assembly.build_warnings import equivalent_width
from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.assembly.work_time import Pace, measure_work, work_minutes
from foldsketch.base.drawing import BLACK, Circle, Stroke, Text
from foldsketch.base.findings import FoldsketchError
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.net.build import build_nets
from foldsketch.part.file.read import read_part
from foldsketch.sheet.booklet.attachment_views import closing_view
from foldsketch.sheet.booklet.first_page_text import WorkEstimate
from foldsketch.sheet.booklet.join_text import POSITION_TEXTS
from foldsketch.sheet.booklet.joint_views import finished_model_view
from foldsketch.sheet.booklet.loupe import LOUPE_RADIUS_MM
from foldsketch.sheet.booklet.motion import closing_arrow
from foldsketch.sheet.booklet.pages import draw_booklet
from foldsketch.sheet.booklet.scene import ACTIVE_FILL, PaintedFace
from foldsketch.sheet.booklet.step_text import describe_step
from foldsketch.sheet.booklet.untabbed_edges import format_number_ranges
from foldsketch.sheet.page.page_text import A4_PORTRAIT_MM, TEXT_MARGIN_MM
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from nets import coarsen_facets, quick_model
from strategies import parts

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))}


@pytest.fixture(
    scope="module", params=few([(name, quick) for name in SAMPLES for quick in (False, True)], 1, every=5), ids=str
)
def made(request):
    name, quick = request.param
    facets = coarsen_facets(FacetChoice()) if quick else FacetChoice()
    return quick_model(read_part(SAMPLES[name])[0], pipeline.Choices(facets=facets), quick)


def test_every_tab_once_and_in_order(made):
    nets = made.nets
    steps = assembly_steps(nets)
    glued = [n for s in steps for n in s.tabs]
    assert sorted(glued) == sorted({t.number for p in nets.pieces for t in p.tabs if t.joint is None})
    cut = [s.piece for s in steps if s.kind == "cut"]
    assert sorted(cut) == sorted(p.id for p in nets.pieces)
    joined = [s.blocks for s in steps if s.kind == "join"]
    assert sorted(joined) == sorted(j.blocks for j in nets.joints)
    seen = set()
    pieces = {p.id: p for p in nets.pieces}
    for s in steps:
        if s.kind == "cut":
            seen.add(s.piece)
        if s.kind in ("glue", "insert", "close"):
            assert {s.piece, *s.target_pieces} <= seen, "nothing is glued before it is cut"
        if s.kind == "join":
            assert all(p.id in seen for p in nets.pieces if p.block in s.blocks)
    # What lies inside is glued before the lid closes over it, and nothing of a piece after its lid.
    for piece in nets.pieces:
        own = [s.kind for s in steps if s.piece == piece.id and s.kind in ("glue", "insert", "close")]
        assert "close" not in own[:-1]
        if "insert" in own:
            assert own.index("insert") == len(own) - (2 if "close" in own else 1)
    # Tubes without ends come before what closes over them.
    for block in nets.blocks:
        own = [i for i in cut if pieces[i].block == block.id]
        ends = [any(p.kind == "end" for p in pieces[i].panels) for i in own]
        assert ends == sorted(ends)


STICK = 4.0
"""A gap of this breadth lets a stick through that presses a tab from behind, mm [common practice]."""


def out_of_reach(nets, steps=None):
    """Tabs that are glued when nothing can be pressed behind them any more, by a reading of the steps that shares no
    code with them: while something of the block is open, a stick goes in; what is glued last must be pressed on from
    outside, so the panel that closes must carry no tab of its own there, or the step says that it is tucked in."""
    steps = steps or assembly_steps(nets)
    bad = []
    for block in nets.blocks:
        own = [p for p in nets.pieces if p.block == block.id]
        ends = {}  # number -> (carrying piece and panel, target piece and panel) of every tab
        for p in own:
            for t in p.tabs:
                ends.setdefault(t.number, []).append(((p.id, t.panel), (t.meets.piece, t.meets.panel)))
        width_of = {(p.id, q.id): equivalent_width(q) for p in own for q in p.panels}
        touched = {end for pairs in ends.values() for pair in pairs for end in pair}
        if max((width_of[end] for end in touched), default=0.0) < STICK:
            # Either no face of it would let a stick in, and the booklet says so; or a wide one has taped edges only and
            # stays open to the end.
            continue
        groups = []
        for s in steps:
            if s.kind not in ("glue", "insert", "close") or s.piece not in {p.id for p in own}:
                continue
            closing = (s.piece, s.closing_panel)
            together = [n for n in s.tabs if s.kind != "glue" or any(closing in pair for pair in ends[n])]
            groups += [([n], None, s) for n in s.tabs if n not in together]
            if together:
                groups.append((together, closing if s.closing_panel is not None else None, s))
        for k, (numbers, closing, step) in enumerate(groups):
            left = [pair for g, _, _ in groups[k + 1 :] for n in g for pair in ends[n]]
            if left:
                if max(width_of[x] for pair in left for x in pair) < STICK:
                    bad += numbers
            else:
                bad += [n for n in numbers if any(to != closing for _, to in ends[n]) and n not in step.tucked_tabs]
    return bad


@pytest.mark.parametrize("walls", ["folded", "rolled"])
@pytest.mark.parametrize("rule", ["faces", "fuse"])
@pytest.mark.parametrize("name", few(SAMPLES, 3, every=6))
def test_nothing_is_glued_out_of_reach(name, rule, walls):
    made = pipeline.make_model(
        read_part(SAMPLES[name])[0], pipeline.Choices(join=rule, facets=FacetChoice(walls=walls))
    )
    assert not out_of_reach(made.nets)
    assert not any(s.tucked_tabs for s in assembly_steps(made.nets)), "every sample has a lid that is pressed on"


@pytest.mark.slow
@examples(40, suppress_health_check=[HealthCheck.too_slow])
@given(parts(), st.sampled_from(["faces", "fuse"]))
def test_nothing_of_any_part_is_glued_out_of_reach(part, rule):
    try:
        faceted = facet(part, 1.0, FacetChoice())
        nets = build_nets(faceted, join(faceted, rule), 1.0, (180.0, 240.0))
    except FoldsketchError:
        return
    assert not out_of_reach(nets)


def test_it_finds_a_lid_closed_too_early():
    """The check itself: the same steps in the wrong order."""
    nets = pipeline.make_model(read_part(SAMPLES["offset-bore-sleeve"])[0]).nets
    steps = assembly_steps(nets)
    last = next(s for s in reversed(steps) if s.kind == "close")
    early = [last, *(s for s in steps if s is not last)]
    assert out_of_reach(nets, early)


def test_folded_to_the_end_all_stands_where_the_net_file_says(made):
    for piece in made.nets.pieces:
        flat = fold_partially(piece, 0.0)
        normal = np.array([piece.panels[0].to_space[:, 2]])
        first = piece.panels[0].origin
        assert max(abs(float(((s.loops[0] - first) @ normal.T).max())) for s in flat) < 1e-9
        for s, p in zip(fold_partially(piece, 1.0, tabs=False), piece.panels, strict=True):
            expected = p.outline @ p.to_space[:, :2].T + p.origin
            assert np.abs(s.loops[0] - expected).max() < 1e-9


def test_pages(made):
    work = measure_work(made.nets)
    pages = draw_booklet(made.nets, made.sheets, WorkEstimate(work_minutes(work), work.cut, work.folds, work.glued))
    texts = []
    for page in pages:
        for i in page.items:
            if isinstance(i, Text):
                texts.append(i.text)
                w = abs(math.cos(i.angle)) * text_width(i.text, i.size)
                x = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
                assert i.size >= 1.8 and x >= 0 and x + w <= A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM + 0.01, i.text
            if isinstance(i, Stroke):
                assert all(0 <= x <= A4_PORTRAIT_MM[0] and 0 <= y <= A4_PORTRAIT_MM[1] for x, y in i.points)


def test_the_estimate_follows_its_model(made):
    pace = Pace(cut=0.0, fold=0.0, glue=60.0, joint=0.0)
    assert work_minutes(measure_work(made.nets), pace) == pytest.approx(sum(len(p.tabs) for p in made.nets.pieces))
    assert work_minutes(measure_work(made.nets)) > 0


def test_the_command(tmp_path):
    from foldsketch.cli import main

    assert main(["make", str(SAMPLES["eccentric-shaft"]), "--booklet", "--out", str(tmp_path)]) == 0
    assert (tmp_path / "eccentric-shaft-booklet.pdf").read_bytes().startswith(b"%PDF")


def test_spans():
    assert format_number_ranges([1, 2, 3, 4, 8, 9, 12]) == "1 to 4, 8, 9, 12"
    assert format_number_ranges([5]) == "5"
    assert format_number_ranges([3, 2, 1]) == "3, 2, 1"


def test_no_step_hides_a_number(made):
    """Every tab of a step is named in its words, alone or in a run."""
    book = booklet_of(made)
    for row, step in enumerate(book.steps):
        if step.kind in ("cut", "join"):
            continue
        said = set()
        for text in describe_step(book, row)[1]:
            for a, b in re.findall(r"(\d+)(?: to (\d+))?", text):
                said |= set(range(int(a), int(b or a) + 1))
        assert set(step.tabs) <= said


def test_lids_stand_open_until_they_close(made):
    """In the picture of a closing step the grey lid lies wholly above what it is hinged to, in the reader's up."""
    book = booklet_of(made)
    for row, step in enumerate(book.steps):
        if step.kind != "close" or step.closing_panel is None:
            continue
        _, _, stage = describe_step(book, row)
        grey = [t for t in stage.things if isinstance(t, PaintedFace) and t.fill == ACTIVE_FILL and not t.label]
        if len(grey) != 1 or len(book.pieces[step.piece].panels) == 1:
            continue
        up = stage.up
        own = closing_view(book.pieces[step.piece], [], step).things
        rest = max(
            float((t.loops[0] @ up).max())
            for t in own
            if isinstance(t, PaintedFace) and (t.fill != ACTIVE_FILL or t.label)
        )
        assert float((grey[0].loops[0] @ up).mean()) > rest


def test_an_arrow_leads_the_last_face_to_where_it_closes(made):
    """It begins beside the open face and ends nearer to the closed one than any open corner of it."""
    seen = 0
    for piece in made.nets.pieces:
        lid = next(
            (s.closing_panel for s in assembly_steps(made.nets) if s.piece == piece.id and s.closing_panel), None
        )
        arrows = closing_arrow(piece, lid, np.eye(3))
        if lid is None or not arrows:
            continue
        seen += 1
        path, panel = arrows[0].points, piece.panel(lid)
        height = (path - panel.origin) @ panel.to_space[:, 2]
        assert all(a > b > 0 for a, b in pairwise(height))
        assert height[-1] < 0.45 * height[0]
    assert seen or not any(s.closing_panel for s in assembly_steps(made.nets))


@pytest.mark.parametrize(("hold", "words"), [("glue", "two halves, one sign"), ("tape", "from tick to tick")])
def test_one_seam_is_magnified_as_it_is_printed(hold, words):
    """In a circle: both halves of the sign, their flat sides facing each other; or the strip of tape with its ticks."""
    made = model(read_part(SAMPLES["bilge-pump-cover"])[0], Choices(hold=hold))
    pages = draw_booklet(made.nets, made.sheets, WorkEstimate(1.0, 1.0, 1, ""))
    rings = [(p, i) for p in pages for i in p.items if isinstance(i, Circle) and i.radius == LOUPE_RADIUS_MM]
    ((page, ring),) = rings
    assert words in {i.text for i in page.items if isinstance(i, Text)}
    (x, y), r = ring.centre, ring.radius
    inside = [
        np.array(i.points)
        for i in page.items
        if isinstance(i, Stroke)
        and all(math.dist(p, ring.centre) < r + 1e-6 for p in i.points)
        and (i.fill == BLACK if hold == "glue" else i.width == 0.5)
        and len(i.points) != 3
    ]
    left, right = sorted(inside, key=lambda s: s[:, 0].mean())[:2] if hold == "glue" else (None, None)
    if hold == "glue":
        assert left[:, 0].max() < x < right[:, 0].min()
        assert np.ptp(left[:, 1]) == pytest.approx(np.ptp(right[:, 1]))
        assert left[:, 1].mean() == pytest.approx(right[:, 1].mean(), abs=0.01) == pytest.approx(y, abs=0.01)
    else:
        assert len(inside) >= 4 and len({round(float(s[0, 1]), 6) for s in inside}) == len(inside) / 2


def test_how_a_thing_is_done_is_said_once():
    """The steps after the first that does it go by their pictures."""
    for name in ("bilge-pump-cover", "single-throw-crank", "three-boss-rocker"):
        made = model(read_part(SAMPLES[name])[0], Choices())
        pages = draw_booklet(made.nets, made.sheets, WorkEstimate(1.0, 1.0, 1, ""))
        text = " ".join(i.text for page in pages for i in page.items if isinstance(i, Text))
        assert text.count("grey in the picture, at the end") == 1
        counts = [text.count(how) for how in POSITION_TEXTS]
        assert max(counts) == 1 and sum(s.kind == "join" for s in assembly_steps(made.nets)) > sum(counts)


def test_the_whole_model_stands_in_its_last_picture(made):
    """The faces of the finished model are those of the net file, in their places, that look at the reader."""
    stage = finished_model_view(made.nets, {})
    faces = [t for t in stage.things if isinstance(t, PaintedFace)]
    expected = [
        p.outline @ p.to_space[:, :2].T + p.origin
        for piece in made.nets.pieces
        for p in piece.panels
        if float(p.to_space[:, 2] @ stage.camera[2]) > 1e-6
    ]
    assert len(faces) == len(expected)
    for face, outline in zip(faces, expected, strict=True):
        assert np.abs(face.loops[0] - outline).max() < 1e-9


def test_every_net_of_a_sample_is_pictured_on_the_first_page(made):
    """Under its picture its number and what it is of; what finds no room would be counted instead."""
    work = measure_work(made.nets)
    first = draw_booklet(made.nets, made.sheets, WorkEstimate(work_minutes(work), work.cut, work.folds, work.glued))[0]
    texts = [i.text for i in first.items if isinstance(i, Text)]
    assert not any(re.fullmatch(r"and \d+ more", t) for t in texts)
    assert {p.id for p in made.nets.pieces} <= {t.split("  ")[0] for t in texts}


def test_the_nets_on_the_first_page_are_at_one_scale():
    """Their widths on the page are to each other as those of the nets, each turned as on its sheet."""
    made = pipeline.make_model(read_part(SAMPLES["eccentric-shaft"])[0])
    page = draw_booklet(made.nets, made.sheets, WorkEstimate(1.0, 1.0, 1, ""))[0]
    (head,) = [i for i in page.items if isinstance(i, Text) and i.text == "The nets"]
    names = {i.text.split("  ")[0]: i for i in page.items if isinstance(i, Text) and "  " in i.text}
    across = min(abs(names["2"].at[0] - names["1"].at[0]), A4_PORTRAIT_MM[0])
    angle = {p.piece: p.angle for sheet in made.sheets for p in sheet.placed}
    scales = []
    for piece in made.nets.pieces:
        left, under = names[piece.id].at
        own = [
            x
            for s in page.items
            if isinstance(s, Stroke)
            and all(left - 1 < u < left + across - 1 and under < v < head.at[1] - 2 for u, v in s.points)
            for x, _ in s.points
        ]
        points = np.concatenate([p.outline for p in piece.panels] + [t.outline for t in piece.tabs])
        x = points @ (math.cos(angle[piece.id]), -math.sin(angle[piece.id]))
        scales.append((max(own) - min(own)) / np.ptp(x))
    assert scales == pytest.approx([scales[0]] * len(scales), rel=1e-3)


def test_a_net_is_cut_out_in_the_step_that_folds_it(made):
    """No step of its own for the scissors: two to four to a page, each with its number, none lost."""
    work = measure_work(made.nets)
    pages = draw_booklet(made.nets, made.sheets, WorkEstimate(work_minutes(work), work.cut, work.folds, work.glued))
    texts = [[i for i in page.items if isinstance(i, Text)] for page in pages]
    numbers = [int(i.text) for page in texts for i in page if i.bold and i.text.isdigit()]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(pages) <= 1 + math.ceil(len(numbers) / 2)
    said = " ".join(i.text for page in texts for i in page)
    for step in assembly_steps(made.nets):
        if step.kind == "cut":
            assert re.search(rf"(Crease|Cut|Of) net {step.piece}\b", said)


def test_two_pages_for_the_cover():
    """As many pictures as the sheet that the look was drawn from, on as many pages; no word below 2.5 mm."""
    made = model(read_part(SAMPLES["bilge-pump-cover"])[0], Choices())
    pages = draw_booklet(made.nets, made.sheets, WorkEstimate(1.0, 1.0, 1, ""))
    assert len(pages) == 2
    words = [i for page in pages for i in page.items if isinstance(i, Text)]
    assert min(i.size for i in words) >= 2.5
