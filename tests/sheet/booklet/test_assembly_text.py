"""What is said where something is set in, stood on or put over something else, of short seams, and at the end."""

import math
import random
import re
from collections import Counter
from dataclasses import replace
from math import dist
from pathlib import Path

import pytest

from booklets import booklet_of
from foldsketch.assembly.glue_batches import tabs_closing_together
from foldsketch.base.drawing import Text
from foldsketch.base.lettering import is_ambiguous_upside_down
from foldsketch.job import pipeline
from foldsketch.job.outputs import booklet_pages
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.sheet.booklet.step_text import describe_step
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets, quick_model
from strategies import random_part

ROOT = Path(__file__).parents[3] / "samples"
SAMPLES = {
    str(p.relative_to(ROOT).with_suffix("")): p for p in sorted(ROOT.rglob("*.toml")) if "machines" not in p.parts
}


COARSE = coarsen_facets(FacetChoice())


def quick_one(name, join="fuse"):
    """A sample at half size, without details, tabs only where neighbours do not hold."""
    return quick_model(read_part(SAMPLES[name])[0], pipeline.Choices(scale=0.5, join=join, facets=COARSE))


def rows_of(book):
    """Every step with its title and all its words in one line."""
    for row, step in enumerate(book.steps):
        title, words, _ = describe_step(book, row)
        yield step, title, " ".join(words)


def test_what_is_put_through_an_opening_is_tried_dry_and_pressed_from_behind():
    crank = booklet_of(pipeline.make_model(read_part(SAMPLES["single-throw-crank"])[0], pipeline.Choices(join="fuse")))
    sleeve = booklet_of(pipeline.make_model(read_part(SAMPLES["offset-bore-sleeve"])[0], pipeline.Choices(join="fuse")))
    for book in (crank, sleeve):
        for step, title, text in rows_of(book):
            if step.kind == "insert":
                assert ("Try it dry first" in text) == title.startswith(("Stand", "Put"))
                assert ("press them on from behind" in text) == ("through it, to be glued" in text)
                assert ("pencilled on the blank side" in text) <= title.startswith("Set")
    assert any("pencilled on the blank side" in text for _, _, text in rows_of(sleeve))


def test_numbers_are_pencilled_through_only_for_tubes_behind_openings():
    """The pump cover sets bores into ends, and one half of its flange to the other, which has its numbers in sight."""
    book = booklet_of(pipeline.make_model(read_part(SAMPLES["bilge-pump-cover"])[0]))
    said = {}
    for step, _, text in rows_of(book):
        if step.kind == "insert":
            tubes = [all(q.kind == "side" for q in book.pieces[i].panels) for i in step.target_pieces]
            said["pencilled" in text] = tubes
    assert all(said[True]) and not any(said[False])


def test_few_numbers_are_named_that_are_to_be_pencilled():
    """Two tabs hold the bore at each end: with signs it is the half sign; of numbers one of each opening will do."""
    sleeve = booklet_of(quick_one("offset-bore-sleeve"))
    needed, *_ = (step for step, title, _ in rows_of(sleeve) if title.startswith("Set"))
    (told_,) = [t for step, _, t in rows_of(sleeve) if step.kind == "cut" and step.piece == needed.piece]
    assert len(needed.tabs) == 2 and "Pencil the half sign of each opening on its blank side too" in told_
    cover = booklet_of(pipeline.make_model(read_part(SAMPLES["bilge-pump-cover"])[0]))
    assert any("Pencil one number of each opening on" in t for _, _, t in rows_of(cover))


@pytest.mark.parametrize("name", ["single-throw-crank", "lessons/5-double-throw-crank", "offset-bore-sleeve"])
def test_what_is_gone_by_later_is_pencilled_while_the_net_is_flat(name):
    """Every net whose pencilled numbers a step goes by had them asked for when it was cut out, and no other."""
    book = booklet_of(quick_one(name))
    asked = {step.piece for step, _, text in rows_of(book) if step.kind == "cut" and "Pencil" in text}
    gone_by = {step.piece for step, _, text in rows_of(book) if step.kind != "cut" and "pencilled" in text}
    assert asked == gone_by != set()


@pytest.mark.parametrize("name", ["single-throw-crank", "double-throw-crank", "lessons/5-double-throw-crank"])
def test_what_is_stood_on_a_lid_is_tried_dry_and_glued_before_the_lid_closes(name):
    """A pin of six equal sides fits its opening six ways; the web that follows would stand turned about it."""
    stood = put = 0
    for step, title, text in rows_of(booklet_of(quick_one(name))):
        if step.kind == "close" and title.startswith("Stand"):
            stood += 1
            assert text.index("through it, to be glued") < text.index("Try it dry first, signs together")
            assert text.index("Try it dry") < text.index("Put glue on these tabs only") < text.index("After that put")
        if title.startswith("Put net"):
            put += 1
            assert "go by those pencilled beside the opening" in text, "its printed side is below"
    assert stood and put


def into_openings(book):
    """Steps in which tabs go through an opening of a net that stands open: title, words, and whether the side with the
    numbers of the opening is up in the picture."""
    for row, step in enumerate(book.steps):
        title, words, stage = describe_step(book, row)
        text = " ".join(words)
        if step.kind != "insert" or "through it, to be glued" not in text:
            continue
        piece = book.pieces[step.piece]
        faces = {
            t.meets.panel
            for p in book.nets.pieces
            for t in p.tabs
            if t.number in step.tabs and p.id != t.meets.piece == piece.id
        }
        up = stage.up
        if faces:
            yield title, text, {float(piece.panel(k).to_space[:, 2] @ up) > 0 for k in faces}


@pytest.mark.slow
def test_numbers_are_pencilled_beside_an_opening_only_where_they_are_below():
    """A net put over another is looked into: its numbers are below. What something is stood on shows them."""
    made = [quick_one(name) for name in ("single-throw-crank", "double-throw-crank")]
    fused = pipeline.Choices(join="fuse", facets=FacetChoice(sides=8), scale=1.0)
    made += [pipeline.make_model(random_part(random.Random(seed)), fused) for seed in (62, 66, 156)]
    seen = {"Put": 0, "Stand": 0}
    for one in made:
        for title, text, up in into_openings(booklet_of(one)):
            assert ("go by those pencilled" in text) == (up == {False}), title
            seen[title.split()[0]] += 1
    assert min(seen.values()) >= 2


def test_a_short_seam_is_to_be_held():
    """The webs of the crank are 6 mm thick at half size; its journals are long enough."""
    book = booklet_of(quick_one("single-throw-crank"))
    seen = set()
    for step, _, text in rows_of(book):
        piece = book.pieces[step.piece]
        seams = [
            t
            for t in piece.tabs
            if t.number in step.tabs
            and t.meets.piece == piece.id
            and {piece.panel(t.panel).kind, piece.panel(t.meets.panel).kind} == {"side"}
        ]
        short = [t.number for t in seams if dist(*t.line) < 7]
        for n in short:
            one, more = re.search(r"Tabs? (\d+)(?: to (\d+))? of its wall (?:is|are) short: hold", text).groups()
            assert int(one) <= n <= int(more or one)
        if not short:
            assert "of its wall" not in text
        seen |= {bool(short) for _ in seams}
    assert seen == {False, True}


@pytest.mark.slow
def test_a_net_is_creased_pierced_opened_and_cut_out_in_this_order():
    """As long as the sheet is whole it lies still; beside an opening the paper would give under the needle."""
    every = 0
    for name in SAMPLES:
        for step, _, text in rows_of(booklet_of(quick_one(name))):
            if step.kind == "cut":
                said = [text.find(w) for w in ("Crease", "pierce", "cut the opening", "then cut it out", "Pencil")]
                there = [k for k in said if k >= 0]
                assert there == sorted(there) and said[3] >= 0
                every += min(said[:4]) >= 0
    assert every > 5


def test_edges_without_a_number_are_told_in_the_step_that_glues_them():
    """Each edge of the full crank whose number did not fit, as its marks have it, once; no other."""
    part = read_part(SAMPLES["single-throw-crank"])[0]
    book = booklet_of(quick_model(part, pipeline.Choices(scale=0.5, join="fuse", facets=COARSE), quick=False))
    wanting = {
        t.number
        for p in book.nets.pieces
        for t in p.tabs
        if not any(m.panel == t.meets.panel and m.text == str(t.number) for m in book.pieces[t.meets.piece].marks)
    }
    said = Counter()
    for _, _, t in rows_of(book):
        for some in re.findall(r"The edges? of tabs? ([\d, to]+) ha(?:s|ve) no number", t):
            for run in some.split(", "):
                ends = [int(n) for n in run.split(" to ")]
                said.update(range(ends[0], ends[-1] + 1))
    assert wanting and said == Counter(dict.fromkeys(wanting, 1))


def test_what_is_longer_than_a_needle_or_pierced_for_a_stick_is_spun_on_a_stick():
    """The crank is 116 mm long, 58 at half size; a disc of 10 mm has no joints; the spigots are joined on a stick."""
    disc = pipeline.make_model(Part("disc", (Axis("A"),), (Feature("disc", "A", Cylinder(60.0), 0, 10),)))
    crank, spigots = quick_one("single-throw-crank"), quick_one("lessons/4-two-spigots", "faces")
    assert not crank.nets.joints and spigots.nets.joints
    for made, stick in ((disc, False), (crank, True), (spigots, True)):
        pages = booklet_pages(made)
        words = " ".join(i.text for page in pages for i in page.items if isinstance(i, Text))
        assert ("Put a thin stick through" in words, "Put the needle through" in words) == (stick, not stick)
        assert ("a thin stick" in words.split("The nets")[0]) == stick


def test_of_an_axis_with_one_pin_hole_no_spin_is_spoken():
    """A needle through one hole is no axle."""
    lone = pipeline.make_model(random_part(random.Random(3)), pipeline.Choices(scale=1.0))
    pins = Counter(m.axis for p in lone.nets.pieces for m in p.marks if m.dots)
    assert pins and max(pins.values()) == 1
    *_, (_, _, text) = rows_of(booklet_of(lone))
    assert text.endswith("The model is finished.")


def test_short_seams_are_told_in_batches_too_and_only_of_the_wall_of_one_feature():
    """The right boss of the quick rocker is 6 mm high; where an arm meets a boss there is no seam of a wall."""
    facets = replace(coarsen_facets(FacetChoice()), rotation=math.radians(10))
    one_net = pipeline.Choices(facets=facets, scale=0.5, join="fuse")
    made = quick_model(read_part(SAMPLES["three-boss-rocker"])[0], one_net)
    book = booklet_of(made)
    (piece,) = book.pieces.values()
    feature = {p.id: p.feature for p in piece.panels}
    kind = {p.id: p.kind for p in piece.panels}
    walls = [t for t in piece.tabs if kind[t.panel] == kind[t.meets.panel] == "side" and dist(*t.line) < 7]
    short = {t.number for t in walls if feature[t.panel] == feature[t.meets.panel]}
    said = {int(n) for _, _, text in rows_of(book) for n in re.findall(r"Tab (\d+) of its wall is short", text)}
    assert said == short and len(walls) > len(short) == 1
    first = " ".join(i.text for i in booklet_pages(made)[0].items if isinstance(i, Text))
    assert "a thin stick" in first, "what is folded up around itself is pressed on from inside"
    together = [
        re.findall(r"Tabs ([\d, ]+) close together: put glue on all of them first", t) for *_, t in rows_of(book)
    ]
    groups = [tabs_closing_together(piece, s.tabs, s.already_glued_tabs) for s in book.steps]
    assert [[", ".join(map(str, g)) for g in own] for own in groups if own] == [own for own in together if own] != []


@pytest.mark.parametrize("name", ["single-throw-crank", "offset-bore-sleeve", "eccentric-shaft"])
def test_the_last_step_says_that_it_is_done_and_the_first_page_that_a_line_is_a_foot(name):
    made = quick_one(name)
    texts = [text for _, _, text in rows_of(booklet_of(made))]
    assert ["The model is finished" in text for text in texts] == [*[False] * (len(texts) - 1), True]
    pins = Counter(m.axis for p in made.nets.pieces for m in p.marks if m.dots)
    assert pins == {} or min(pins.values()) > 1
    assert ("spin it" in texts[-1]) == bool(pins), "the axes of a sleeve are in its bore"
    for axis in pins:
        assert re.search(rf"the pin holes of axis .*\b{axis}\b.* and spin it", texts[-1])
    first = " ".join(i.text for i in booklet_pages(made)[0].items if isinstance(i, Text))
    numbers = [t.number for p in made.nets.pieces for t in p.tabs] if booklet_of(made).numbered else []
    barred = any(is_ambiguous_upside_down(str(n)) for n in numbers)
    assert ("A line under a number marks its bottom" in first) == barred
    assert "The first model takes longer." in first
