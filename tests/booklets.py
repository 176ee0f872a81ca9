"""The book of a model, as the booklet's words and pictures are told from it."""

from pathlib import Path

from foldsketch import job
from foldsketch.net.steps import steps_of
from foldsketch.part.read import read_part
from foldsketch.sheet.book import Book
from foldsketch.sheet.telling import told

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[1] / "samples").glob("*.toml"))}


def booklet_of(made):
    return Book(made.nets, {p.id: p for p in made.nets.pieces}, {}, {}, steps_of(made.nets))


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
