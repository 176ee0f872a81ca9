"""The book of a model, as the booklet's words and pictures are told from it."""

from pathlib import Path

from foldsketch.assembly.sequence import assembly_steps
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.booklet.context import BookletContext
from foldsketch.sheet.booklet.step_text import describe_step

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[1] / "samples").glob("*.toml"))}


def booklet_of(made):
    return BookletContext(made.nets, {p.id: p for p in made.nets.pieces}, {}, {}, assembly_steps(made.nets))


def words_of(name, kind):
    """The words of every step of one kind of a sample's booklet, by its title."""
    made = pipeline.make_model(read_part(SAMPLES[name])[0], pipeline.Choices(scale=1.0))
    book = booklet_of(made)
    return {
        title: " ".join(words)
        for row, step in enumerate(book.steps)
        if step.kind == kind
        for title, words, _ in [describe_step(book, row)]
    }
