"""Telling: titles, words and pictures of the booklet's steps, held against the nets."""

import random
import re
from pathlib import Path

import numpy as np
import pytest

from booklets import booklet_of, words_of
from examples import few
from foldsketch.assembly.build_warnings import tab_widths
from foldsketch.assembly.glue_batches import folds_to_bend
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.base.drawing import WHITE, Text
from foldsketch.job import pipeline
from foldsketch.job.outputs import booklet_pages
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.sheet.booklet.context import BookletContext
from foldsketch.sheet.booklet.first_page_text import WorkEstimate
from foldsketch.sheet.booklet.pages import draw_booklet
from foldsketch.sheet.booklet.scene import ACTIVE_FILL, TAB_FILL, PaintedFace, loop_normal
from foldsketch.sheet.booklet.step_text import describe_step
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets, quick_model
from strategies import random_part

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))}


def rolled_words(*features):
    """The words of every step of a part with rolled walls, by the title."""
    part = Part("p", (Axis("A"),), features)
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0, facets=FacetChoice(walls="rolled")))
    book = booklet_of(made)
    return made, [(step, *describe_step(book, row)[:2]) for row, step in enumerate(book.steps)]


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
    nets = pipeline.make_model(read_part(SAMPLES["cross-drilled-boss"])[0], pipeline.Choices(scale=0.2)).nets
    told_of = set()
    book = BookletContext(nets, {p.id: p for p in nets.pieces}, {}, {}, assembly_steps(nets))
    for row in range(len(book.steps)):
        for text in describe_step(book, row)[1]:
            if "tape" in text:
                told_of |= {
                    n for a, b in re.findall(r"(\d+)(?: to (\d+))?", text) for n in range(int(a), int(b or a) + 1)
                }
    butts = {b.number for p in nets.pieces for b in p.butts}
    assert butts
    assert butts <= told_of


@pytest.mark.parametrize("name", few(SAMPLES, 1))
def test_bare_edges_are_told_once_before_the_first_step_and_never_taped(name):
    """Only where tabs are spared: with a tab on every edge there are none."""
    part = read_part(SAMPLES[name])[0]
    for quick in (True, False):
        facets = coarsen_facets(FacetChoice()) if quick else FacetChoice()
        made = quick_model(part, pipeline.Choices(scale=1.0, facets=facets), quick)
        book = booklet_of(made)
        words = " ".join(text for row in range(len(book.steps)) for text in describe_step(book, row)[1])
        assert not re.search(r"\btape\b", words)
        first = draw_booklet(made.nets, made.sheets, WorkEstimate(10, 100, 1, "1 glue joint"))[0]
        told = " ".join(i.text for i in first.items if isinstance(i, Text))
        assert told.count("An edge where no tab goes gets no glue") == quick


def test_a_needle_is_asked_for_only_where_there_is_something_to_pierce():
    for name, pierced in (("offset-bore-sleeve", False), ("eccentric-shaft", True)):
        made = pipeline.make_model(read_part(SAMPLES[name])[0], pipeline.Choices(scale=1.0))
        assert any(m.dots for p in made.nets.pieces for m in p.marks) == pierced
        first = draw_booklet(made.nets, made.sheets, WorkEstimate(10, 100, 1, "1 glue joint"))[0]
        assert ("needle" in " ".join(i.text for i in first.items if isinstance(i, Text))) == pierced


def test_one_fold_is_told_in_the_singular():
    words = words_of("three-boss-rocker", "cut")
    assert any("1 fold of it forward" in w for w in words.values())
    assert not any(re.search(r"\b1 folds", w) for w in words.values())


def test_a_face_that_is_a_net_by_itself_is_seen_from_outside_above_its_walls():
    """Its printed side looks at the reader, and the numbered teeth that it goes on lie below it."""
    made, _ = rolled_words(Feature("drum", "A", Cylinder(40), 0, 40))
    book = booklet_of(made)
    caps = 0
    for row, step in enumerate(book.steps):
        if step.kind == "close" and len(book.pieces[step.piece].panels) == 1:
            caps += 1
            _, words, stage = describe_step(book, row)
            up = book.pieces[step.piece].panels[0].to_space[:, 2]
            assert float(up @ stage.camera[2]) > 0.3
            faces = [t for t in stage.things if isinstance(t, PaintedFace)]
            cap = [f for f in faces if f.rank == (4.0,)]
            assert len(cap) == 1
            assert float((cap[0].loops[0] @ up).min()) > max(
                float((f.loops[0] @ up).max()) for f in faces if f is not cap[0]
            )
            assert any(f.label for f in faces if f is not cap[0])
            assert ("upside down" in " ".join(words)) == (float(up[2]) < 0)
    assert caps == 2


@pytest.mark.slow
def test_teeth_are_called_teeth_and_edges_named_once():
    _, steps = rolled_words(Feature("sleeve", "A", Ring(60, 30), 0, 40))
    assert not any("too small for" in w for _, _, words in steps for w in words), "a rim's number is on its wall"
    closing = [" ".join(words) for s, _, words in steps if s.kind == "close"]
    assert closing and all("on the teeth" in words and "tabs" not in words for words in closing)
    rolled = pipeline.Choices(scale=1.0, facets=FacetChoice(walls="rolled"))
    rocker = pipeline.make_model(read_part(SAMPLES["three-boss-rocker"])[0], rolled)
    book = booklet_of(rocker)
    taped = [w for row in range(len(book.steps)) for w in describe_step(book, row)[1] if "tape" in w]
    assert taped
    for words in taped:
        numbers = re.findall(r"\d+", words)
        assert len(numbers) == len(set(numbers))


@pytest.mark.parametrize("rule", ["faces", "fuse"])
@pytest.mark.parametrize("quick", [False, True])
@pytest.mark.parametrize("name", few(SAMPLES, 2))
def test_every_sentence_is_whole_and_names_its_tabs(name, quick, rule):
    """None ends before its numbers, and the words of a step name all of its tabs and no others."""
    broken = r"((?<!no )tabs?|teeth|nets?|numbers?:|order:) *[.,:]|  |\btab \d+(, \d| to)"
    facets = coarsen_facets(FacetChoice()) if quick else FacetChoice()
    book = booklet_of(quick_model(read_part(SAMPLES[name])[0], pipeline.Choices(facets=facets, join=rule), quick))
    for row, step in enumerate(book.steps):
        title, words, _ = describe_step(book, row)
        for text in (title, *words):
            assert not re.search(broken, text), text
        assert ("bend them in to pass the opening" in " ".join(words)) == ("through it, to be glued" in " ".join(words))
        if step.kind in ("cut", "join"):
            continue
        numbers = set()
        for text in words:
            for run in re.findall(r"(?:tabs?|teeth|order:|edges:|then) ((?:\d+(?: to \d+)?(?:, )?)+)", text):
                for a, b in re.findall(r"(\d+)(?: to (\d+))?", run):
                    numbers |= set(range(int(a), int(b or a) + 1))
        assert (
            set(step.tabs)
            <= numbers
            <= set(step.tabs) | set(step.tucked_tabs) | {b.number for p in book.nets.pieces for b in p.butts}
        )


def test_what_stands_on_a_face_is_stood_on_it_and_what_lies_inside_is_set_in():
    """The single-throw crank as one body: pin and second journal go on the lids of the webs before these close, and are
    shown there; a bore is set into its sleeve."""
    quick = pipeline.Choices(facets=coarsen_facets(FacetChoice()), scale=0.5, join="fuse")
    book = booklet_of(quick_model(read_part(SAMPLES["single-throw-crank"])[0], quick))
    of = {"net " + p.id: next(iter({q.feature for q in p.panels})) for p in book.nets.pieces}
    titles = [describe_step(book, row)[0] for row in range(len(book.steps))]
    named = [re.sub(r"net \d+", lambda m: of[m[0]], t) for t in titles if not t.startswith("Cut out")]
    assert [t for t in named if t.startswith(("Stand", "Put", "Close"))] == [
        "Put web 1 over main journal 1",
        "Stand crank pin on the last face of web 1, and close it",
        "Put web 2 over crank pin",
        "Stand main journal 2 on the last face of web 2, and close it",
    ]
    row = next(k for k, t in enumerate(titles) if "on the last face of" in t)
    step = book.steps[row]
    stage = describe_step(book, row)[2]
    up = stage.up
    pin = [t for t in stage.things if isinstance(t, PaintedFace) and t.rank[0] == -2.0]
    lid = next(t for t in stage.things if isinstance(t, PaintedFace) and t.fill == ACTIVE_FILL and t.rank == (-1.0,))
    (tube,) = (book.pieces[i] for i in step.newly_attached)
    assert len(pin) == len(tube.panels) + sum(t.number not in step.already_glued_tabs for t in tube.tabs), (
        "what is glued is hid"
    )
    assert {t.label for t in pin} - {""} == {str(n) for n in step.tabs if any(t.number == n for t in tube.tabs)}
    # Lifted with the lid: the rim of the pin still lies in the lid's plane, and the pin on its printed side.
    face = loop_normal(lid.loops[0])
    walls = [t for t in pin if t.pen == 0.25]
    heights = [float(h) for t in walls for h in (t.loops[0] - lid.loops[0][0]) @ face]
    assert len(walls) == 6 and min(heights) == pytest.approx(0.0, abs=1e-6)
    others = [t for t in stage.things if isinstance(t, PaintedFace) and t.rank[0] != -2.0 and t is not lid]
    assert float((lid.loops[0] @ up).mean()) > max(float((t.loops[0] @ up).max()) for t in others)


@pytest.mark.parametrize("quick", [False, True])
@pytest.mark.parametrize("name", few(SAMPLES, 3))
def test_a_wall_stands_where_the_crease_is_hollow_and_its_tabs_go_through_only_where_it_bears_them(name, quick):
    """One body. Read from the nets alone: what is stood on a face meets it at a hollow crease, what is set in does not;
    tabs that go through an opening are on walls; the other end is promised to the lid only where it is glued then."""
    facets = coarsen_facets(FacetChoice()) if quick else FacetChoice()
    book = booklet_of(quick_model(read_part(SAMPLES[name])[0], pipeline.Choices(facets=facets, join="fuse"), quick))
    tabs = {t.number: (p, t) for p in book.nets.pieces for t in p.tabs}
    for row, step in enumerate(book.steps):
        if step.kind != "insert":
            continue
        title, words, _ = describe_step(book, row)
        own = [tabs[n] for n in step.tabs if tabs[n][1].meets.piece != tabs[n][0].id]
        hollow = sum(t.angle < 0 for _, t in own) > len(own) / 2
        assert title.startswith(("Stand", "Put") if hollow else ("Set", "Join", "Fold")), title
        text = " ".join(words)
        if hollow:
            stage = describe_step(book, row)[2]
            up = stage.up
            rises = []
            for p, t in own:
                wall = p.panel(t.panel)
                wall = wall if wall.kind == "side" else book.pieces[t.meets.piece].panel(t.meets.panel)
                root = p.panel(t.panel).to_space[:, :2] @ np.mean(t.line, axis=0) + p.panel(t.panel).origin
                rises.append(float((wall.to_space[:, :2] @ wall.outline.mean(axis=0) + wall.origin - root) @ up))
            assert title.startswith("Stand" if sum(rises) > 0 else "Put"), title
        if "through it, to be glued" in text:
            assert all(p.panel(t.panel).kind == "side" for p, t in own)
        elif hollow:
            assert ("numbers together" in text or "signs together" in text) and any(
                p.panel(t.panel).kind != "side" for p, t in own
            )
        later = [s for s in book.steps[row + 1 :] if s.kind == "close" and s.piece == step.piece]
        at_lid = {x for s in later for n in s.tabs for x in (tabs[n][0].id, tabs[n][1].meets.piece)}
        assert ("The edges of the last face are glued when it closes." in text) == bool(
            at_lid & set(step.target_pieces)
        )


@pytest.mark.parametrize("rule", ["faces", "fuse"])
@pytest.mark.parametrize("name", few(SAMPLES))
def test_what_goes_behind_a_face_is_glued_while_that_net_is_open(name, rule):
    """A wall that stands on an end, or is set into it, is glued in the step of the net that has the end, before its
    own lid has closed; a net's ends wait for all that stands on them."""
    quick = pipeline.Choices(scale=0.5, facets=coarsen_facets(FacetChoice()), join=rule)
    book = booklet_of(quick_model(read_part(SAMPLES[name])[0], quick))
    kinds = {(p.id, q.id): q.kind for p in book.nets.pieces for q in p.panels}
    carrying = {(p.id, t.panel) for p in book.nets.pieces for t in p.tabs}
    waits = {}
    for p in book.nets.pieces:
        for t in p.tabs:
            own, other = (p.id, t.panel), (t.meets.piece, t.meets.panel)
            wall, end = (own, other) if kinds[own] == "side" else (other, own)
            if own[0] != other[0] and kinds[wall] == "side" and kinds[end] == "end":
                waits[t.number] = end[0]
    # A net whose ends all bear tabs cannot be closed last: the flap would have nothing to be pressed against.
    lids = {p for (p, q), kind in kinds.items() if kind == "end" and (p, q) not in carrying}
    late = {(s.piece, n) for s in book.steps for n in s.tabs if waits.get(n) in lids and s.piece != waits[n]}
    assert not late


def test_a_tab_without_a_number_is_told():
    """In the words of its own step and of no other."""
    made = pipeline.make_model(read_part(SAMPLES["cross-drilled-boss"])[0], pipeline.Choices(scale=0.5, join="faces"))
    book = booklet_of(made)
    bare = {t.number for p in book.nets.pieces for t in p.tabs if not t.label_size}
    assert bare
    for row, step in enumerate(book.steps):
        said = [w for w in describe_step(book, row)[1] if "too small for" in w]
        mine = sorted(bare & set(step.tabs))
        assert bool(said) == bool(mine)
        if mine:
            assert str(mine[0]) in said[0]


def test_the_first_page_says_what_is_drawn_and_what_small_tabs_want():
    quick = pipeline.Choices(facets=coarsen_facets(FacetChoice()), scale=0.5)
    rocker, boss = (quick_model(read_part(SAMPLES[n])[0], quick) for n in ("three-boss-rocker", "cross-drilled-boss"))
    first = [" ".join(i.text for i in booklet_pages(m)[0].items if isinstance(i, Text)) for m in (rocker, boss)]
    assert "Drawn on the faces and not built: pivot bore." in first[0]
    shallow = [min(tab_widths([t for p in m.nets.pieces for t in p.tabs])) for m in (rocker, boss)]
    assert shallow[0] > 3 > shallow[1]
    assert ["tweezers" in words for words in first] == [False, True]
    plain = pipeline.make_model(
        read_part(SAMPLES["hex-eccentric"])[0], pipeline.Choices(scale=2.0, facets=FacetChoice(sides=6))
    )
    words = " ".join(i.text for i in booklet_pages(plain)[0].items if isinstance(i, Text))
    assert "leaves out" not in words and "tweezers" not in words


def test_where_the_circles_are_pierced_is_said_when_their_net_is_cut_out():
    book = booklet_of(pipeline.make_model(read_part(SAMPLES["bilge-pump-cover"])[0]))
    for row, step in enumerate(book.steps):
        if step.kind == "cut":
            pins = sum(len(m.dots) for m in book.pieces[step.piece].marks)
            said = re.search("pierce its centre(s?),", " ".join(describe_step(book, row)[1]))
            assert (said is not None) == (pins > 0)
            assert said is None or bool(said[1]) == (pins > 1)


def titles_of(name, quick=False, **choice):
    """Titles of the steps of a sample that glue nets to each other, by the features of the nets."""
    book = booklet_of(quick_model(read_part(SAMPLES[name])[0], pipeline.Choices(**choice), quick))
    of = {"net " + p.id: next(iter({q.feature for q in p.panels})) for p in book.nets.pieces}
    titles = [describe_step(book, row)[0] for row in range(len(book.steps))]
    return [re.sub(r"net \d+", lambda m: of[m[0]], t) for t in titles if not t.startswith("Cut out")]


@pytest.mark.parametrize("quick", [False, True])
def test_a_bore_is_set_into_what_is_open_and_never_hung_on_a_lid(quick):
    """The sleeve in one body: on the sleeve's only end the tube would swing in with it and come against the walls; so
    the end is closed first, and the tube set in from below. The collar is put over both and closed by the end on which
    nothing stands; where its walls hang on its disc, the tube with the sleeve is set into that."""
    choice = {"facets": coarsen_facets(FacetChoice()), "scale": 0.5} if quick else {}
    assert titles_of("offset-bore-sleeve", join="fuse", quick=quick, **choice)[-5:] == [
        "Glue sleeve",
        "Set offset bore into sleeve",
        "Glue collar",
        "Set offset bore into collar" if quick else "Put collar over sleeve",
        "Close collar",
    ]


def test_a_net_is_said_to_point_its_arrow_down_only_if_it_has_one():
    for name in ("offset-bore-sleeve", "bilge-pump-cover", "single-throw-crank"):
        quick = pipeline.Choices(scale=0.5, facets=coarsen_facets(FacetChoice()), join="fuse")
        book = booklet_of(quick_model(read_part(SAMPLES[name])[0], quick))
        for row, step in enumerate(book.steps):
            said = [w for w in describe_step(book, row)[1] if "upside down" in w]
            if said and step.kind != "join":
                has = any(m.text == "z" for m in book.pieces[step.piece].marks)
                assert ("arrow z" in said[0]) == has


def told_in_batches(name, quick=False, **choice):
    """Titles and first sentences of the steps that glue a sample in one body, batch by batch, with the steps."""
    book = booklet_of(quick_model(read_part(SAMPLES[name])[0], pipeline.Choices(join="fuse", **choice), quick))
    return [
        (s, *describe_step(book, row)[:2]) for row, s in enumerate(book.steps) if s.folded_features or s.kind == "close"
    ]


def test_a_net_glued_in_batches_says_what_is_folded_and_what_waits():
    steps = told_in_batches("three-boss-rocker", quick=True, scale=0.5, facets=coarsen_facets(FacetChoice()))
    titles = [title for _, title, _ in steps]
    assert titles[:2] == ["Glue net 1: left boss", "Glue net 1: right boss"]
    assert titles[2:-1] == ["Glue net 1: further"] * (len(titles) - 3) and titles[-1] == "Close net 1"
    first, second, third = (words for _, _, words in steps[:3])
    assert first[0].startswith("Fold the walls of the left boss only, light grey in the picture, and glue tabs")
    assert first[1] == "Leave the rest as it is for now."
    assert second[0].startswith("Fold the walls of the right boss too, light grey in the picture, and glue tabs")
    assert third[0].startswith("Fold it up further at the light grey faces, as shown, and glue tabs")
    assert not any("Leave the rest" in w for _, _, words in steps[1:] for w in words)


@pytest.mark.slow
def test_rolled_walls_are_rolled_in_batches_too():
    steps = told_in_batches("three-boss-rocker", facets=FacetChoice(walls="rolled"))
    said = {s.folded_features[0]: words[0].split()[0] for s, _, words in steps if len(s.folded_features) == 1}
    expected = {"left arm": "Fold", "left boss": "Roll", "right boss": "Roll"}
    assert len(said) > 1 and said.items() <= expected.items(), "as their cut steps have them"


@pytest.mark.parametrize("seed", [27, 12, 59])
def test_a_first_batch_of_several_features_is_not_called_further(seed):
    quick = pipeline.Choices(join="fuse", facets=coarsen_facets(FacetChoice()))
    book = booklet_of(quick_model(random_part(random.Random(seed)), quick))
    begun = set()
    for row, step in enumerate(book.steps):
        title, words, _ = describe_step(book, row)
        if step.folded_features:
            assert ("further" in " ".join((title, *words))) == (step.piece in begun and len(step.folded_features) > 1)
            assert ("Leave the rest as it is for now." in words) == (step.piece not in begun)
        if step.kind == "glue":
            begun.add(step.piece)


def test_what_is_folded_in_a_batch_is_light_grey():
    """The faces on both sides of the folds that its tabs need and no earlier ones did; of any other net none."""
    quick = pipeline.Choices(join="fuse", scale=0.5, facets=coarsen_facets(FacetChoice()))
    book = booklet_of(quick_model(read_part(SAMPLES["three-boss-rocker"])[0], quick))
    (piece,) = book.pieces.values()
    batches = 0
    for row, step in enumerate(book.steps):
        if step.kind != "glue":
            continue
        stage = describe_step(book, row)[2]
        faces = [t for t in stage.things if isinstance(t, PaintedFace) and t.pen == 0.25]
        new = folds_to_bend(piece, step.tabs) - folds_to_bend(piece, step.already_glued_tabs)
        assert len(faces) == len(piece.panels)
        assert sum(f.fill == TAB_FILL for f in faces) == len({k for pair in new for k in pair})
        assert {f.fill for f in faces} <= {TAB_FILL, WHITE}
        batches += 1
    assert batches > 3
    sleeve = booklet_of(pipeline.make_model(read_part(SAMPLES["offset-bore-sleeve"])[0]))
    for row, step in enumerate(sleeve.steps):
        if step.kind == "glue":
            faces = [t for t in describe_step(sleeve, row)[2].things if isinstance(t, PaintedFace)]
            assert {f.fill for f in faces} <= {WHITE, ACTIVE_FILL}
