"""The book of a model, as the booklet's words and pictures are told from it."""

from foldsketch.net.steps import steps_of
from foldsketch.sheet.book import Book


def booklet_of(made):
    return Book(made.nets, {p.id: p for p in made.nets.pieces}, {}, {}, steps_of(made.nets))
