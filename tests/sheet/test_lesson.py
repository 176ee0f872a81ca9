"""Lessons: the worksheet leaves blank what the answer sheet fills in; both carry the cautions and fit their pages."""

import math
from pathlib import Path

import pytest

from foldsketch.base.drawing import Stroke, Words
from foldsketch.base.lettering import width
from foldsketch.part.read import read_part
from foldsketch.setup.machine import INVENTED
from foldsketch.setup.plan import plan
from foldsketch.setup.words import CAUTIONS
from foldsketch.sheet.lesson import EDGE, PAGE, lesson

LESSONS = sorted((Path(__file__).parents[2] / "samples" / "lessons").glob("*.toml"))


def made(path):
    part, _ = read_part(path)
    planned = plan(part, INVENTED)
    return part, planned, lesson(part, INVENTED, planned, 0.5)


def words(pages):
    return [i.text for p in pages for i in p.items if isinstance(i, Words)]


def test_five_lessons():
    assert len(LESSONS) == 5


@pytest.mark.parametrize("path", LESSONS, ids=lambda p: p.stem)
def test_sheets(path):
    part, planned, sheets = made(path)
    assert not planned.left, "a lesson can be done on the machine"
    blank, full = words(sheets.worksheet), words(sheets.answers)
    for s in planned.setups:
        reading = f"{s.indicator:.2f} mm"
        assert reading in full
        if s.indicator:
            assert reading not in blank
    for a in part.axes[1:]:
        # Measured on the model at half scale, by hand: half the distance of the two centres.
        apart = math.dist(a.point[:2], part.datum.point[:2])
        assert f"{apart / 2:.1f} mm" in full
        assert f"{apart:.2f} mm" in full
        assert f"{apart:.2f} mm" not in blank
    for pages in (sheets.worksheet, sheets.answers):
        for page in pages:
            own = words([page])
            assert all(c in own for c in CAUTIONS)
            for i in page.items:
                if isinstance(i, Words):
                    w = width(i.text, i.size)
                    x = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
                    assert x >= EDGE - 0.01 and x + w <= PAGE[0] - EDGE + 0.01, i.text
                    assert EDGE - 0.01 <= i.at[1] <= PAGE[1] - EDGE, i.text
                if isinstance(i, Stroke):
                    assert all(0 < x < PAGE[0] and 0 < y < PAGE[1] for x, y in i.points)
    assert len(sheets.worksheet) == len(sheets.answers), "the answers lie where the blanks are"
