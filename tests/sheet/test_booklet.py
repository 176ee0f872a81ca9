"""The booklet: every tab glued once, in an order that hands can follow, pictures that end where the oracle does."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldsketch import job, quickest
from foldsketch.base.drawing import WHITE, Stroke, Words
from foldsketch.base.findings import FoldsketchError
from foldsketch.base.lettering import width
from foldsketch.net.build import build
from foldsketch.net.partly import standing
from foldsketch.net.steps import steps_of
from foldsketch.net.unkind import breadth
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.part.read import read_part
from foldsketch.sheet.book import Book
from foldsketch.sheet.booklet import EDGE, PAGE, draw_booklet
from foldsketch.sheet.joined import finished
from foldsketch.sheet.scene import ELEVATION, LIT, Face, normal
from foldsketch.sheet.stages import closing
from foldsketch.sheet.tabless import spans
from foldsketch.sheet.telling import told
from foldsketch.solid.blocks import join
from foldsketch.solid.facet import facet
from foldsketch.solid.sides import FacetChoice, quicker
from foldsketch.worktime import Pace, minutes, work_of
from strategies import parts

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[2] / "samples").glob("*.toml"))}


@pytest.fixture(scope="module", params=[(name, quick) for name in SAMPLES for quick in (False, True)], ids=str)
def made(request):
    name, quick = request.param
    facets = quicker(FacetChoice()) if quick else FacetChoice()
    return quickest.model(read_part(SAMPLES[name])[0], job.Choices(quick=quick, facets=facets))


def test_every_tab_once_and_in_order(made):
    nets = made.nets
    steps = steps_of(nets)
    glued = [n for s in steps for n in s.tabs]
    assert sorted(glued) == sorted({t.number for p in nets.pieces for t in p.tabs})
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
            assert {s.piece, *s.to} <= seen, "nothing is glued before it is cut"
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
    steps = steps or steps_of(nets)
    bad = []
    for block in nets.blocks:
        own = [p for p in nets.pieces if p.block == block.id]
        ends = {}  # number -> (carrying piece and panel, target piece and panel) of every tab
        for p in own:
            for t in p.tabs:
                ends.setdefault(t.number, []).append(((p.id, t.panel), (t.meets.piece, t.meets.panel)))
        width_of = {(p.id, q.id): breadth(q) for p in own for q in p.panels}
        touched = {end for pairs in ends.values() for pair in pairs for end in pair}
        if max((width_of[end] for end in touched), default=0.0) < STICK:
            # Either no face of it would let a stick in, and the booklet says so; or a wide one has taped edges only and
            # stays open to the end.
            continue
        groups = []
        for s in steps:
            if s.kind not in ("glue", "insert", "close") or s.piece not in {p.id for p in own}:
                continue
            closing = (s.piece, s.last)
            together = [n for n in s.tabs if s.kind != "glue" or any(closing in pair for pair in ends[n])]
            groups += [([n], None, s) for n in s.tabs if n not in together]
            if together:
                groups.append((together, closing if s.last is not None else None, s))
        for k, (numbers, closing, step) in enumerate(groups):
            left = [pair for g, _, _ in groups[k + 1 :] for n in g for pair in ends[n]]
            if left:
                if max(width_of[x] for pair in left for x in pair) < STICK:
                    bad += numbers
            else:
                bad += [n for n in numbers if any(to != closing for _, to in ends[n]) and n not in step.tucked]
    return bad


@pytest.mark.parametrize("walls", ["folded", "rolled"])
@pytest.mark.parametrize("rule", ["faces", "fuse"])
@pytest.mark.parametrize("name", SAMPLES)
def test_nothing_is_glued_out_of_reach(name, rule, walls):
    made = job.model(read_part(SAMPLES[name])[0], job.Choices(join=rule, facets=FacetChoice(walls=walls)))
    assert not out_of_reach(made.nets)
    assert not any(s.tucked for s in steps_of(made.nets)), "every sample has a lid that is pressed on"


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(parts(), st.sampled_from(["faces", "fuse"]))
def test_nothing_of_any_part_is_glued_out_of_reach(part, rule):
    try:
        faceted = facet(part, 1.0, FacetChoice())
        nets = build(faceted, join(faceted, rule), 1.0, (180.0, 240.0))
    except FoldsketchError:
        return
    assert not out_of_reach(nets)


def test_it_finds_a_lid_closed_too_early():
    """The check itself: the same steps in the wrong order."""
    nets = job.model(read_part(SAMPLES["offset-bore-sleeve"])[0]).nets
    steps = steps_of(nets)
    last = next(s for s in reversed(steps) if s.kind == "close")
    early = [last, *(s for s in steps if s is not last)]
    assert out_of_reach(nets, early)


def test_folded_to_the_end_all_stands_where_the_net_file_says(made):
    for piece in made.nets.pieces:
        flat = standing(piece, 0.0)
        normal = np.array([piece.panels[0].to_space[:, 2]])
        first = piece.panels[0].origin
        assert max(abs(float(((s.loops[0] - first) @ normal.T).max())) for s in flat) < 1e-9
        for s, p in zip(standing(piece, 1.0, tabs=False), piece.panels, strict=True):
            expected = p.outline @ p.to_space[:, :2].T + p.origin
            assert np.abs(s.loops[0] - expected).max() < 1e-9


def test_pages(made):
    work = work_of(made.nets)
    pages = draw_booklet(made.nets, made.sheets, minutes(work), work.cut, work.folds, work.glued)
    texts = []
    for page in pages:
        for i in page.items:
            if isinstance(i, Words):
                texts.append(i.text)
                w = width(i.text, i.size)
                x = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
                assert i.size >= 1.8 and x >= 0 and x + w <= PAGE[0] - EDGE + 0.01, i.text
            if isinstance(i, Stroke):
                assert all(0 <= x <= PAGE[0] and 0 <= y <= PAGE[1] for x, y in i.points)
    numbered = [int(t) for t in texts if re.fullmatch(r"\d+", t)]
    assert max(numbered) >= len(steps_of(made.nets))


def test_the_estimate_follows_its_model(made):
    pace = Pace(cut=0.0, fold=0.0, glue=60.0, joint=0.0)
    assert minutes(work_of(made.nets), pace) == pytest.approx(sum(len(p.tabs) for p in made.nets.pieces))
    assert minutes(work_of(made.nets)) > 0


def test_the_command(tmp_path):
    from foldsketch.cli import main

    assert main(["make", str(SAMPLES["eccentric-shaft"]), "--booklet", "--out", str(tmp_path)]) == 0
    assert (tmp_path / "eccentric-shaft-booklet.pdf").read_bytes().startswith(b"%PDF")


def test_spans():
    assert spans([1, 2, 3, 4, 8, 9, 12]) == "1 to 4, 8, 9, 12"
    assert spans([5]) == "5"
    assert spans([3, 2, 1]) == "3, 2, 1"


def test_no_step_hides_a_number(made):
    """Every tab of a step is named in its words, alone or in a run."""
    book = booklet_of(made)
    for row, step in enumerate(book.steps):
        if step.kind in ("cut", "join"):
            continue
        said = set()
        for text in told(book, row)[1]:
            for a, b in re.findall(r"(\d+)(?: to (\d+))?", text):
                said |= set(range(int(a), int(b or a) + 1))
        assert set(step.tabs) <= said


def test_lids_stand_open_until_they_close(made):
    """In the picture of a closing step the grey lid lies wholly above what it is hinged to, in the reader's up."""
    book = booklet_of(made)
    for row, step in enumerate(book.steps):
        if step.kind != "close" or step.last is None:
            continue
        _, _, stage = told(book, row)
        grey = [t for t in stage.things if isinstance(t, Face) and t.fill == LIT and not t.label]
        if len(grey) != 1 or len(book.pieces[step.piece].panels) == 1:
            continue
        up = stage.seen[1] * math.cos(ELEVATION) + stage.seen[2] * math.sin(ELEVATION)
        own = closing(book.pieces[step.piece], [], step).things
        rest = max(float((t.loops[0] @ up).max()) for t in own if t.fill != LIT or t.label)
        assert float((grey[0].loops[0] @ up).mean()) > rest


def test_the_whole_model_stands_in_its_last_picture(made):
    """The faces of the finished model are those of the net file, in their places, that look at the reader."""
    stage = finished(made.nets, {})
    faces = [t for t in stage.things if isinstance(t, Face)]
    expected = [
        p.outline @ p.to_space[:, :2].T + p.origin
        for piece in made.nets.pieces
        for p in piece.panels
        if float(p.to_space[:, 2] @ stage.seen[2]) > 1e-6
    ]
    assert len(faces) == len(expected)
    for face, outline in zip(faces, expected, strict=True):
        assert np.abs(face.loops[0] - outline).max() < 1e-9


def booklet_of(made):
    pieces = {p.id: p for p in made.nets.pieces}
    return Book(made.nets, pieces, {}, {}, steps_of(made.nets))


def rolled_words(*features):
    """The words of every step of a part with rolled walls, by the title."""
    part = Part("p", (Axis("A"),), features)
    made = job.model(part, job.Choices(scale=1.0, facets=FacetChoice(walls="rolled")))
    book = booklet_of(made)
    return made, [(step, *told(book, row)[:2]) for row, step in enumerate(book.steps)]


def test_a_bore_is_rolled_with_its_printed_side_in():
    """Outside of a tube the print is outside; of a bore it is what one sees when looking through."""
    made, steps = rolled_words(Feature("sleeve", "A", Ring(60, 30), 0, 40))
    told_of = {s.piece: " ".join(words) for s, _, words in steps if s.kind == "cut"}
    for piece in made.nets.pieces:
        walls = [p for p in piece.panels if p.kind == "side"]
        if walls:
            middle = walls[0].to_space @ np.array([*walls[0].outline.mean(axis=0), 0]) + walls[0].origin
            outward = float(walls[0].to_space[:2, 2] @ middle[:2]) > 0  # the axis is at x = y = 0
            assert ("printed side up" in told_of[piece.id]) == outward
            assert ("printed side down" in told_of[piece.id]) != outward


def test_halves_of_a_wall_are_joined_and_not_put_into_each_other():
    made, steps = rolled_words(Feature("disc", "A", Cylinder(120), 0, 20))
    walls = {p.id for p in made.nets.pieces if any(f.rolled for f in p.folds)}
    assert len(walls) == 2
    titles = [title for s, title, _ in steps if s.piece in walls and s.kind != "cut"]
    assert titles and all(t.startswith("Join net") for t in titles)


def test_edges_without_tabs_are_told():
    """A cut edge on which no tab fits is taped: every step that ends a net says which."""
    nets = job.model(read_part(SAMPLES["cross-drilled-boss"])[0], job.Choices(scale=0.2)).nets
    told_of = set()
    book = Book(nets, {p.id: p for p in nets.pieces}, {}, {}, steps_of(nets))
    for row in range(len(book.steps)):
        for text in told(book, row)[1]:
            if "tape" in text:
                told_of |= {
                    n for a, b in re.findall(r"(\d+)(?: to (\d+))?", text) for n in range(int(a), int(b or a) + 1)
                }
    butts = {b.number for p in nets.pieces for b in p.butts}
    assert butts
    assert butts <= told_of


@pytest.mark.parametrize("name", SAMPLES)
def test_a_quick_models_bare_edges_are_told_once_and_never_taped(name):
    """At the first step that glues a tab on a rim with bare edges; without --quick never."""
    part = read_part(SAMPLES[name])[0]
    for quick in (True, False):
        facets = quicker(FacetChoice()) if quick else FacetChoice()
        book = booklet_of(job.model(part, job.Choices(scale=1.0, quick=quick, facets=facets)))
        pages = [told(book, row)[1] for row in range(len(book.steps))]
        assert not any(re.search(r"\btape\b", text) for words in pages for text in words)
        rows = [row for row, words in enumerate(pages) if any("neither tab nor number" in text for text in words)]
        assert len(rows) == quick
        pieces = book.nets.pieces
        bare = {(i, k) for p in pieces for b in p.butts for i, k in ((p.id, b.panel), (b.meets.piece, b.meets.panel))}
        ends = {(p.id, q.id) for p in pieces for q in p.panels if q.kind == "end" and (p.id, q.id) in bare}
        for row in rows:
            for k in range(row + 1):
                numbers = book.steps[k].tabs
                glued = [(p.id, t) for p in pieces for t in p.tabs if t.number in numbers]
                met = {x for i, t in glued for x in ((i, t.panel), (t.meets.piece, t.meets.panel))}
                assert bool(met & ends) == (k == row)


def words_of(name, kind):
    """The words of every step of one kind of a sample's booklet, by its title."""
    made = job.model(read_part(SAMPLES[name])[0], job.Choices(scale=1.0))
    book = booklet_of(made)
    return {
        title: " ".join(words)
        for row, step in enumerate(book.steps)
        if step.kind == kind
        for title, words, _ in [told(book, row)]
    }


def test_a_stick_is_asked_for_only_where_both_blocks_have_a_pin_hole():
    """A bored spigot has none: there one looks through the bore instead."""
    rocker = words_of("three-boss-rocker", "join")
    assert {("stick" in words, "Look through" in words) for title, words in rocker.items() if "pivot" in title} == {
        (False, True)
    }
    assert all("stick" in words for title, words in rocker.items() if "pivot" not in title)
    cover = words_of("bilge-pump-cover", "join")
    assert len(cover) == 2
    assert all("stick" not in words for words in cover.values())
    assert "Look through the inlet bore" in cover["Join: inlet spigot onto flange"]


def test_a_block_of_two_features_is_called_by_both():
    assert "Join: right boss onto left arm and right arm" in words_of("three-boss-rocker", "join")


def test_a_needle_is_asked_for_only_where_there_is_something_to_pierce():
    for name, pierced in (("offset-bore-sleeve", False), ("eccentric-shaft", True)):
        made = job.model(read_part(SAMPLES[name])[0], job.Choices(scale=1.0))
        assert any(m.dots for p in made.nets.pieces for m in p.marks) == pierced
        first = draw_booklet(made.nets, made.sheets, 10, 100, 1, 1)[0]
        assert ("needle" in " ".join(i.text for i in first.items if isinstance(i, Words))) == pierced


def test_one_fold_is_told_in_the_singular():
    words = words_of("three-boss-rocker", "cut")
    assert any("1 has it in." in w for w in words.values())
    assert not any(re.search(r"\b1 (folds )?have", w) for w in words.values())


def test_a_face_that_is_a_net_by_itself_is_seen_from_outside_above_its_walls():
    """Its printed side looks at the reader, and the numbered teeth that it goes on lie below it."""
    made, _ = rolled_words(Feature("drum", "A", Cylinder(40), 0, 40))
    book = booklet_of(made)
    caps = 0
    for row, step in enumerate(book.steps):
        if step.kind == "close" and len(book.pieces[step.piece].panels) == 1:
            caps += 1
            _, words, stage = told(book, row)
            up = book.pieces[step.piece].panels[0].to_space[:, 2]
            assert float(up @ stage.seen[2]) > 0.3
            faces = [t for t in stage.things if isinstance(t, Face)]
            cap = [f for f in faces if f.rank == (4.0,)]
            assert len(cap) == 1
            assert float((cap[0].loops[0] @ up).min()) > max(
                float((f.loops[0] @ up).max()) for f in faces if f is not cap[0]
            )
            assert any(f.label for f in faces if f is not cap[0])
            assert ("upside down" in " ".join(words)) == (float(up[2]) < 0)
    assert caps == 2


def test_teeth_are_called_teeth_and_edges_named_once():
    _, steps = rolled_words(Feature("sleeve", "A", Ring(60, 30), 0, 40))
    closing = [" ".join(words) for s, _, words in steps if s.kind == "close"]
    assert closing and all("on the teeth" in words and "tabs" not in words for words in closing)
    rolled = job.Choices(scale=1.0, facets=FacetChoice(walls="rolled"))
    rocker = job.model(read_part(SAMPLES["three-boss-rocker"])[0], rolled)
    book = booklet_of(rocker)
    taped = [w for row in range(len(book.steps)) for w in told(book, row)[1] if "tape" in w]
    assert taped
    for words in taped:
        numbers = re.findall(r"\d+", words)
        assert len(numbers) == len(set(numbers))


@pytest.mark.parametrize("rule", ["faces", "fuse"])
@pytest.mark.parametrize("quick", [False, True])
@pytest.mark.parametrize("name", SAMPLES)
def test_every_sentence_is_whole_and_names_its_tabs(name, quick, rule):
    """None ends before its numbers, and the words of a step name all of its tabs and no others."""
    broken = r"((?<!no )tabs?|teeth|nets?|numbers?:|order:) *[.,:]|  |\btab \d+(, \d| to)"
    facets = quicker(FacetChoice()) if quick else FacetChoice()
    book = booklet_of(job.model(read_part(SAMPLES[name])[0], job.Choices(quick=quick, facets=facets, join=rule)))
    for row, step in enumerate(book.steps):
        title, words, _ = told(book, row)
        for text in (title, *words):
            assert not re.search(broken, text), text
        if step.kind in ("cut", "join"):
            continue
        numbers = set()
        for text in words:
            for run in re.findall(r"(?:tabs?|teeth|order:) ((?:\d+(?: to \d+)?(?:, )?)+)", text):
                for a, b in re.findall(r"(\d+)(?: to (\d+))?", run):
                    numbers |= set(range(int(a), int(b or a) + 1))
        assert (
            set(step.tabs)
            <= numbers
            <= set(step.tabs) | set(step.tucked) | {b.number for p in book.nets.pieces for b in p.butts}
        )


def test_what_stands_on_a_face_is_stood_on_it_and_what_lies_inside_is_set_in():
    """The single-throw crank as one body: the pin goes on the lid of the first web before that closes, and is shown
    there; a bore is set into its sleeve."""
    quick = job.Choices(quick=True, facets=quicker(FacetChoice()))
    book = booklet_of(quickest.model(read_part(SAMPLES["single-throw-crank"])[0], quick))
    of = {"net " + p.id: next(iter({q.feature for q in p.panels})) for p in book.nets.pieces}
    titles = [told(book, row)[0] for row in range(len(book.steps))]
    named = [re.sub(r"net \d+", lambda m: of[m[0]], t) for t in titles if not t.startswith("Cut out")]
    assert [t for t in named if t.startswith(("Stand", "Close"))] == [
        "Stand main journal 1 on web 1",
        "Stand crank pin on the lid of web 1, and close it",
        "Stand crank pin on web 2",
        "Close web 2",
        "Stand main journal 2 on web 2",
        "Close main journal 2",
    ]
    row = next(k for k, t in enumerate(titles) if "on the lid of" in t)
    step = book.steps[row]
    stage = told(book, row)[2]
    up = stage.seen[1] * math.cos(ELEVATION) + stage.seen[2] * math.sin(ELEVATION)
    pin = [t for t in stage.things if isinstance(t, Face) and t.rank[0] == -2.0]
    lid = next(t for t in stage.things if isinstance(t, Face) and t.fill == LIT and t.rank == (-1.0,))
    (tube,) = (book.pieces[i] for i in step.fresh)
    assert len(pin) == len(tube.panels) + len(tube.tabs)
    assert {t.label for t in pin} - {""} == {str(n) for n in step.tabs if any(t.number == n for t in tube.tabs)}
    # Lifted with the lid: the rim of the pin still lies in the lid's plane, and the pin on its printed side.
    face = normal(lid.loops[0])
    walls = [t for t in pin if t.fill == WHITE]
    heights = [float(h) for t in walls for h in (t.loops[0] - lid.loops[0][0]) @ face]
    assert len(walls) == 6 and min(heights) == pytest.approx(0.0, abs=1e-6)
    others = [t for t in stage.things if isinstance(t, Face) and t.rank[0] != -2.0 and t is not lid]
    assert float((lid.loops[0] @ up).mean()) > max(float((t.loops[0] @ up).max()) for t in others)


@pytest.mark.parametrize("quick", [False, True])
@pytest.mark.parametrize("name", SAMPLES)
def test_a_wall_stands_where_the_crease_is_hollow_and_its_tabs_go_through_only_where_it_bears_them(name, quick):
    """One body. Read from the nets alone: what is stood on a face meets it at a hollow crease, what is set in does not;
    tabs that go through an opening are on walls; the other end is promised to the lid only where it is glued then."""
    facets = quicker(FacetChoice()) if quick else FacetChoice()
    book = booklet_of(job.model(read_part(SAMPLES[name])[0], job.Choices(quick=quick, facets=facets, join="fuse")))
    tabs = {t.number: (p, t) for p in book.nets.pieces for t in p.tabs}
    for row, step in enumerate(book.steps):
        if step.kind != "insert":
            continue
        title, words, _ = told(book, row)
        own = [tabs[n] for n in step.tabs if tabs[n][1].meets.piece != tabs[n][0].id]
        hollow = sum(t.angle < 0 for _, t in own) > len(own) / 2
        assert title.startswith("Stand" if hollow else ("Set", "Join")), title
        text = " ".join(words)
        if "go through it" in text:
            assert all(p.panel(t.panel).kind == "side" for p, t in own)
        elif hollow:
            assert "numbers together" in text and any(p.panel(t.panel).kind != "side" for p, t in own)
        later = [s for s in book.steps[row + 1 :] if s.kind == "close" and s.piece == step.piece]
        at_lid = {x for s in later for n in s.tabs for x in (tabs[n][0].id, tabs[n][1].meets.piece)}
        assert ("The other end is glued when the lid closes." in text) == bool(at_lid & set(step.to))
