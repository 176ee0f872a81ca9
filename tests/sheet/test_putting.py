"""What is said where something is set in, stood on or put over something else, of short seams, and at the end."""

import re
from math import dist
from pathlib import Path

import pytest

from foldsketch import job, quickest
from foldsketch.base.drawing import Words
from foldsketch.base.lettering import reads_otherwise
from foldsketch.net.steps import steps_of
from foldsketch.outputs import booklet_pages
from foldsketch.part.read import read_part
from foldsketch.sheet.book import Book
from foldsketch.sheet.telling import told
from foldsketch.solid.sides import FacetChoice, quicker

ROOT = Path(__file__).parents[2] / "samples"
SAMPLES = {
    str(p.relative_to(ROOT).with_suffix("")): p for p in sorted(ROOT.rglob("*.toml")) if "machines" not in p.parts
}


def booklet_of(made):
    return Book(made.nets, {p.id: p for p in made.nets.pieces}, {}, {}, steps_of(made.nets))


def quick_one(name):
    return quickest.model(read_part(SAMPLES[name])[0], job.Choices(quick=True, facets=quicker(FacetChoice())))


def rows_of(book):
    """Every step with its title and all its words in one line."""
    for row, step in enumerate(book.steps):
        title, words, _ = told(book, row)
        yield step, title, " ".join(words)


def test_what_is_put_through_an_opening_is_tried_dry_and_pressed_from_behind():
    crank = booklet_of(job.model(read_part(SAMPLES["single-throw-crank"])[0], job.Choices(join="fuse")))
    sleeve = booklet_of(job.model(read_part(SAMPLES["offset-bore-sleeve"])[0], job.Choices(join="fuse")))
    for book in (crank, sleeve):
        for step, title, text in rows_of(book):
            if step.kind == "insert":
                assert ("Try it dry first" in text) == title.startswith(("Stand", "Put"))
                assert ("press them on from behind" in text) == ("go through it" in text)
                assert ("Pencil" in text) <= title.startswith("Set")
    assert any("Pencil" in text for _, _, text in rows_of(sleeve))


def test_numbers_are_pencilled_through_only_for_tubes_behind_openings():
    """The pump cover sets bores into ends, and one half of its flange to the other, which has its numbers in sight."""
    book = booklet_of(job.model(read_part(SAMPLES["bilge-pump-cover"])[0]))
    said = {}
    for step, _, text in rows_of(book):
        if step.kind == "insert":
            tubes = [all(q.kind == "side" for q in book.pieces[i].panels) for i in step.to]
            said["Pencil" in text] = tubes
    assert all(said[True]) and not any(said[False])


def test_few_numbers_are_named_that_are_to_be_pencilled():
    """Two hold the bore of the quick sleeve at each end; of six tubes at once one each will do."""
    (text,) = [t for _, title, t in rows_of(booklet_of(quick_one("offset-bore-sleeve"))) if title.startswith("Set")]
    assert re.search(r"Pencil (\d+) and (\d+) beside the opening on the blank side first", text)
    cover = booklet_of(job.model(read_part(SAMPLES["bilge-pump-cover"])[0]))
    assert any("Pencil a number beside each opening on" in t for _, _, t in rows_of(cover))


@pytest.mark.parametrize("name", ["single-throw-crank", "double-throw-crank", "lessons/5-double-throw-crank"])
def test_what_is_stood_on_a_lid_is_tried_dry_and_glued_before_the_lid_closes(name):
    """A pin of six equal sides fits its opening six ways; the web that follows would stand turned about it."""
    stood = put = 0
    for step, title, text in rows_of(booklet_of(quick_one(name))):
        if step.kind == "close" and title.startswith("Stand"):
            stood += 1
            assert text.index("go through it") < text.index("Try it dry first, numbers together")
            assert text.index("Try it dry") < text.index("Put glue on these tabs only") < text.index("After that put")
        if title.startswith("Put net"):
            put += 1
            assert "pencil them beside the opening on the blank side" in text, "its printed side is below"
    assert stood and put


@pytest.mark.parametrize("name", ["single-throw-crank", "double-throw-crank", "three-boss-rocker", "bilge-pump-cover"])
@pytest.mark.parametrize("quick", [True, False])
def test_numbers_are_pencilled_beside_an_opening_only_of_the_net_that_is_looked_into(name, quick):
    """Of another net the printed side is looked at, and its numbers with it."""
    facets = quicker(FacetChoice()) if quick else FacetChoice()
    book = booklet_of(job.model(read_part(SAMPLES[name])[0], job.Choices(quick=quick, facets=facets, join="fuse")))
    for step, _, text in rows_of(book):
        if step.kind == "insert" and "go through it" in text:
            into = {
                t.meets.piece == step.piece
                for p in book.nets.pieces
                for t in p.tabs
                if t.number in step.tabs and t.meets.piece != p.id
            }
            assert ("pencil them beside the opening" in text) == (into == {True})


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
            assert f"Tab {n} of its wall is short: hold it until it stays." in text
        if not short:
            assert "of its wall" not in text
        seen |= {bool(short) for _ in seams}
    assert seen == {False, True}


@pytest.mark.parametrize("name", SAMPLES)
def test_pins_are_pierced_before_openings_are_cut(name):
    """Beside an opening the paper would give under the needle."""
    for step, _, text in rows_of(booklet_of(quick_one(name))):
        if step.kind == "cut" and "pierce" in text and "Cut the openings" in text:
            assert text.index("pierce") < text.index("Cut the openings")


@pytest.mark.parametrize("name", ["single-throw-crank", "offset-bore-sleeve", "eccentric-shaft"])
def test_the_last_step_says_that_it_is_done_and_the_first_page_that_a_line_is_a_foot(name):
    made = quick_one(name)
    texts = [text for _, _, text in rows_of(booklet_of(made))]
    assert ["That is the model" in text for text in texts] == [*[False] * (len(texts) - 1), True]
    pins = any(m.dots for p in made.nets.pieces for m in p.marks)
    assert ("spin it" in texts[-1]) == pins, "a sleeve's axes go through its bore"
    first = " ".join(i.text for i in booklet_pages(made)[0].items if isinstance(i, Words))
    barred = any(reads_otherwise(str(t.number)) for p in made.nets.pieces for t in p.tabs)
    assert ("A line under a number is its foot" in first) == barred
    assert "The first model takes longer." in first
