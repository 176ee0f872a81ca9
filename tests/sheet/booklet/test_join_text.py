"""Joins: what is said where one block is glued onto another."""

from pathlib import Path

import pytest

from booklets import booklet_of, words_of
from foldsketch.base.drawing import Text
from foldsketch.job import pipeline
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.job.outputs import booklet_pages
from foldsketch.part.file.read import read_part
from foldsketch.sheet.booklet.step_text import describe_step
from foldsketch.solid.faceting.sides import FacetChoice
from nets import quick_model

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))}


def test_a_stick_is_asked_for_only_where_both_blocks_have_a_pin_hole():
    """A bored spigot has none: there one looks through the bore instead."""
    rocker = words_of("three-boss-rocker", "join")
    assert {
        ("A stick through" in words, "Look through" in words) for title, words in rocker.items() if "pivot" in title
    } == {(False, True)}
    assert all("A stick through" in words for title, words in rocker.items() if "pivot" not in title)
    cover = words_of("bilge-pump-cover", "join")
    assert len(cover) == 2
    assert all("A stick through" not in words for words in cover.values())
    assert "Look through the inlet bore" in cover["Join: inlet spigot onto flange"]


def test_a_block_is_turned_by_what_is_seen_when_it_stands():
    """What lies between the glued faces is out of sight: by the tick outside the outline where the face is wider there,
    by the walls' ticks elsewhere."""
    words = words_of("three-boss-rocker", "join")
    tick = {title: "the tick outside its outline" in said for title, said in words.items()}
    arm = " onto left arm and right arm"
    assert tick == {f"Join: pivot boss{arm}": True, f"Join: left boss{arm}": False, f"Join: right boss{arm}": True}
    assert all(("ticks on both walls" in said) != tick[title] for title, said in words.items())
    taper = words_of("tapered-spigot", "join")
    assert {title: "outline is printed" in said for title, said in taper.items()} == {
        "Join: taper onto foot": True,
        "Join: lip onto taper": False,
    }


@pytest.mark.parametrize(
    ("name", "walls", "again"), [("tapered-spigot", "rolled", True), ("three-boss-rocker", "folded", False)]
)
def test_pin_holes_behind_which_a_tab_lies_are_pierced_again(name, walls, again):
    """The teeth of the rolled taper are 5 mm deep, axis A is 3 mm from its upper rim; the rocker's pins are 13 mm from
    the rims of their bosses and 10 from that of the arm."""
    book = booklet_of(
        pipeline.make_model(read_part(SAMPLES[name])[0], pipeline.Choices(facets=FacetChoice(walls=walls)))
    )
    last = " ".join(describe_step(book, len(book.steps) - 1)[1])
    assert ("Pierce the pin holes of axis A again" in last) == ("Pierce" in last) == again
    sticks = [t for k, s in enumerate(book.steps) for t in describe_step(book, k)[1] if t.startswith("A stick through")]
    assert sticks and not (again and any("A" in t.split("axis ")[1].split(" keeps")[0] for t in sticks))


def test_a_block_of_two_features_is_called_by_both():
    assert "Join: right boss onto left arm and right arm" in words_of("three-boss-rocker", "join")


def test_tabs_at_a_foot_are_turned_in_and_glued_onto_the_outline():
    part = read_part(SAMPLES["bilge-pump-cover"])[0]
    book = booklet_of(quick_model(part, pipeline.Choices(scale=1.0)))
    joins = [describe_step(book, row) for row, step in enumerate(book.steps) if step.kind == "join"]
    assert len(joins) == 2
    for title, words, _ in joins:
        spigot = title.removeprefix("Join: ").removesuffix(" onto flange")
        assert words[0].startswith(f"Turn the tabs at the foot of the {spigot} in")
        assert "face to face" not in " ".join(words)


@pytest.mark.parametrize("hold", ["glue", "tape"])
def test_a_block_on_tongues_is_pushed_through_the_slits_of_a_flat_net(hold):
    made = model(
        read_part(SAMPLES["bilge-pump-cover"])[0], Choices(hold=hold, feet="tongues", facets=FacetChoice(sides=8))
    )
    book = booklet_of(made)
    said = {title: " ".join(words) for title, words, _ in (describe_step(book, k) for k in range(len(book.steps)))}
    stand = {title: words for title, words in said.items() if title.startswith("Stand: ")}
    assert sorted(stand) == ["Stand: inlet spigot on net 1", "Stand: outlet spigot on net 1"]
    for words in stand.values():
        assert "flat" in words and "4 tongues" in words and "no glue" in words and "Glue" not in words
    assert "cut its 8 slits with the knife" in said["Cut out net 1"]
    first = " ".join(i.text for i in booklet_pages(made)[0].items if isinstance(i, Text))
    assert "Slits, thick with a tick across each end" in first and "a knife and a mat," in first
    assert "a block is glued there" not in first
