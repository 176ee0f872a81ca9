"""The booklet of a model held by tape: every edge is named in its step, and glue in none."""

import re

import pytest

import parts
from booklets import SAMPLES, booklet_of
from foldsketch.base.drawing import Text
from foldsketch.job import pipeline
from foldsketch.job.outputs import booklet_pages
from foldsketch.part.file.read import read_part
from foldsketch.sheet.booklet.step_text import describe_step
from nets import quick_model


def taped(part, quick=True):
    return quick_model(part, pipeline.Choices(hold="tape", scale=1.0), quick)


@pytest.mark.parametrize("name", ["bilge-pump-cover", "offset-bore-sleeve", "three-boss-rocker", "cross-drilled-boss"])
@pytest.mark.parametrize("quick", [True, False])
def test_a_step_names_its_edges_and_no_tab(name, quick):
    part = read_part(SAMPLES[name])[0]
    book = booklet_of(taped(part, quick))
    for row, step in enumerate(book.steps):
        title, words, view = describe_step(book, row)
        text = " ".join([title, *words])
        assert not re.search(r"\b(glue[ds]?|tabs?)\b", text.lower()), text
        named = set()
        for run in re.findall(r"edges? ((?:\d+(?: to \d+)?(?:, )?)+)", text):
            for first, last in re.findall(r"(\d+)(?: to (\d+))?", run):
                named |= set(range(int(first), int(last or first) + 1))
        assert named == set(step.tabs), text
        assert (view is None) == (step.kind == "cut")


def test_a_tube_is_taped_on_its_blank_side():
    book = booklet_of(pipeline.make_model(parts.OFFSET_SLEEVE, pipeline.Choices(hold="tape")))
    said = [" ".join(describe_step(book, row)[1]) for row in range(len(book.steps))]
    assert any("on the blank side" in words for words in said)
    assert any("into the bore" in words for words in said)


def test_the_first_page_says_what_the_ticks_mean():
    made = taped(parts.TWO_SPIGOTS)
    words = " ".join(i.text for i in booklet_pages(made)[0].items if isinstance(i, Text))
    assert "tick" in words and "12 to 19 mm" in words and "strips of tape" in words
    assert not re.search(r"\bglue", words)


def test_the_picture_shows_the_strips_of_the_step():
    book = booklet_of(taped(parts.TWO_SPIGOTS))
    for row, step in enumerate(book.steps):
        _, _, view = describe_step(book, row)
        if step.tabs:
            assert {t.label for t in view.things if getattr(t, "label", "")} == {str(n) for n in step.tabs}
