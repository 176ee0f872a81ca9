"""Axis colours: readable on white, apart in grey and for colour-blind readers, the same wherever an axis appears.

Sources: relative luminance and contrast as WCAG 2.1 defines them, 4.5:1 its level for words; colour blindness by the
matrices of G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation of Color
Vision Deficiency", IEEE TVCG 15 (2009), severity 1.0, which act on linear sRGB [M: quoted from memory; that each row
sums to one, so that grey stays grey, is checked]. Differences are those of CIE 1976 L*a*b*, by another way than the
code's own: from sRGB to L*a*b*, not back.
"""

import itertools
from pathlib import Path

import numpy as np
import pytest

import parts
from foldsketch.base.drawing import Layer, Text
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import plan
from foldsketch.sheet.booklet.first_page_text import WorkEstimate
from foldsketch.sheet.booklet.pages import draw_booklet
from foldsketch.sheet.page.axis_colours import axis_colours, palette
from foldsketch.sheet.page.draw import draw_sheets
from foldsketch.sheet.setup_sheets.talk_sheets import draw_talk_sheets

ROCKER = read_part(Path(__file__).parents[3] / "samples" / "three-boss-rocker.toml")[0]

SEEN = {
    "all colours": np.eye(3),
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
TO_XYZ = np.array(
    [[0.4123908, 0.3575843, 0.1804808], [0.2126390, 0.7151687, 0.0721923], [0.0193308, 0.1191948, 0.9505322]]
)


def linear(colour):
    c = np.array(colour)
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def lab(lin):
    t = TO_XYZ @ np.clip(lin, 0, 1) / (TO_XYZ @ np.ones(3))
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def nearest(colours, matrix):
    seen = [lab(matrix @ linear(c)) for c in colours]
    return min(float(np.linalg.norm(a - b)) for a, b in itertools.combinations(seen, 2))


def test_words_are_readable_on_white():
    for colour in palette():
        luminance = float(np.array([0.2126, 0.7152, 0.0722]) @ linear(colour))
        assert (1.0 + 0.05) / (luminance + 0.05) >= 4.5


@pytest.mark.parametrize("kind", SEEN)
def test_apart_however_they_are_seen(kind):
    """A difference of 2.3 can just be seen on large areas; thin lines need several times that."""
    assert np.abs(SEEN[kind].sum(axis=1) - 1).max() < 2e-6
    assert nearest(palette()[:3], SEEN[kind]) > 45
    assert nearest(palette()[:5], SEEN[kind]) > 16
    assert nearest(palette()[:8], SEEN[kind]) > 13


def test_every_axis_from_a_to_z_has_a_colour_of_its_own():
    """For eyes that see all colours more than a just noticeable 2.3 apart; else the letters must tell."""
    assert nearest(palette(), SEEN["all colours"]) > 9
    letters = axis_colours([chr(ord("A") + k) for k in range(26)])
    assert len(set(letters.values())) == 26
    assert letters["I"] != letters["A"]


def test_apart_in_grey():
    """The ink of A is far from the others; B and C, and those after them, are close: there the letters must tell."""
    ink, *light = [lab(linear(c))[0] for c in palette()]
    assert min(light) > ink + 8
    assert abs(light[0] - light[1]) > 5
    black = lab(np.zeros(3))
    assert min(float(np.linalg.norm(lab(linear(c)) - black)) for c in palette()[1:]) > 15


def test_an_axis_keeps_its_colour():
    all_eight = axis_colours("ABCDEFGH")
    assert axis_colours(["C"])["C"] == all_eight["C"]
    assert len(set(all_eight.values())) == 8
    mixed = axis_colours(["A", "pin", "B", "crank"])
    assert len(set(mixed.values())) == 4
    assert mixed["B"] == all_eight["B"]
    many = axis_colours([f"axis {k}" for k in range(20)])
    assert len(many) == len(set(many.values())) == 20
    assert len(set(axis_colours([f"axis {k}" for k in range(30)]).values())) == 26


@pytest.mark.parametrize(
    "part", [parts.TWO_SPIGOTS, pytest.param(ROCKER, marks=pytest.mark.slow)], ids=lambda p: p.name
)
def test_nets_booklet_and_talk_sheets_agree(part):
    """A letter that is the name of an axis has that axis's colour wherever it is drawn."""
    made = pipeline.make_model(part)
    pages = [
        *draw_sheets(made.nets, made.sheets),
        *draw_booklet(made.nets, made.sheets, WorkEstimate(1.0, 1.0, 1, "1 glue joint")),
    ]
    pages += draw_talk_sheets(part, DEFAULT_MACHINE, plan(part, DEFAULT_MACHINE))
    expected = axis_colours("ABC")
    found = {name: set() for name in expected}
    for page in pages:
        for i in page.items:
            sentence = isinstance(i, Text) and i.layer is Layer.FRAME and not i.bold  # its last word may be a letter
            if isinstance(i, Text) and i.text in expected and i.size > 1.7 and not sentence:
                found[i.text].add(i.colour)
    assert found == {name: {colour} for name, colour in expected.items()}
