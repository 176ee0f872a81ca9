"""Lessons: the worksheet leaves blank what the answer sheet fills in; both carry the cautions and fit their pages."""

import math
import re
from pathlib import Path

import pytest

from foldsketch import job
from foldsketch.base.drawing import Layer, Stroke, Words
from foldsketch.base.lettering import width
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.part.read import read_part
from foldsketch.setup.machine import INVENTED
from foldsketch.setup.plan import plan
from foldsketch.setup.words import CAUTIONS
from foldsketch.sheet.lesson import EDGE, PAGE, lesson

SAMPLES = Path(__file__).parents[2] / "samples"
LESSONS = sorted((SAMPLES / "lessons").glob("*.toml"))


def made(path):
    part, _ = read_part(path)
    planned = plan(part, INVENTED)
    return part, planned, lesson(part, INVENTED, planned, 0.5)


def lines_of(page):
    """Words of a page by the height at which they stand, from the top."""
    found = {}
    for i in page.items:
        if isinstance(i, Words):
            found.setdefault(round(i.at[1], 1), []).append(i.text)
    return [found[y] for y in sorted(found, reverse=True)]


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


@pytest.mark.parametrize("path", LESSONS, ids=lambda p: p.stem)
def test_no_task_is_parted_by_the_foot_of_a_page(path):
    """Under the title of every page but the first comes a task, not a row of the one before."""
    _, _, sheets = made(path)
    for pages in (sheets.worksheet, sheets.answers):
        for page in pages[1:]:
            assert re.match(r"\d  [A-Z]", lines_of(page)[1][0])


def test_tasks_are_counted_without_a_gap():
    """A part that nothing is packed for has no task of packing; the next one takes its number."""
    for path in [*LESSONS, SAMPLES / "valve-lever.toml"]:
        _, _, sheets = made(path)
        numbers = [int(m[1]) for t in words(sheets.worksheet) if (m := re.match(r"(\d)  [A-Z]", t))]
        assert numbers == list(range(1, len(numbers) + 1)) and len(numbers) >= 5


def test_an_inch_part_is_taught_in_inches():
    """The lever's pin stands 2.25 in from the hub: the indicator shows twice that."""
    _, planned, sheets = made(SAMPLES / "valve-lever.toml")
    full = words(sheets.answers)
    assert "2.250 in" in full
    assert any(math.isclose(s.indicator, 2 * 2.25 * 25.4, rel_tol=1e-6) for s in planned.setups) and "4.500 in" in full
    assert not [t for t in full if re.search(r"\d mm\b", t)]


def test_the_model_is_shown_and_the_worksheet_signed():
    part, _ = read_part(LESSONS[0])
    planned = plan(part, INVENTED)
    nets = job.model(part, job.Choices(scale=1.0)).nets
    shown, bare = lesson(part, INVENTED, planned, 1.0, nets), lesson(part, INVENTED, planned, 1.0)
    for one, other in ((shown.worksheet, bare.worksheet), (shown.answers, bare.answers)):
        more = [i for i in one[0].items if isinstance(i, Stroke) and i.layer is Layer.MARK]
        assert more and not [i for i in other[0].items if isinstance(i, Stroke) and i.layer is Layer.MARK]
        x, y = zip(*(p for i in more for p in i.points), strict=True)
        assert min(x) >= EDGE and max(x) <= PAGE[0] - EDGE + 0.01
        for i in one[0].items:
            if i.layer is Layer.FRAME:
                points, reach = (i.points, 0.0) if isinstance(i, Stroke) else ([i.at], width(i.text, i.size))
                for u, v in points:
                    beside = u + reach < min(x) or u > max(x)
                    assert beside or not min(y) < v < max(y), "the picture stands beside the first task, on nothing"
    assert "name" in words(shown.worksheet) and "name" not in words(shown.answers)


@pytest.mark.parametrize("path", LESSONS[:2], ids=lambda p: p.stem)
def test_the_first_lessons_are_one_page_each(path):
    part, _ = read_part(path)
    sheets = lesson(part, INVENTED, plan(part, INVENTED), 1.0, job.model(part).nets)
    assert (len(sheets.worksheet), len(sheets.answers)) == (1, 1)


def test_an_axis_with_many_features_has_the_whole_width():
    """Five discs on one axis: their names fit no column beside the picture, so the task begins below it."""
    discs = tuple(Feature(f"bearing seat {k}", "A", Cylinder(40 + k), 10.0 * k, 10.0 * k + 10) for k in range(5))
    part = Part("many", (Axis("A"), Axis("B", (5.0, 0.0, 0.0))), (*discs, Feature("pin", "B", Cylinder(20), 50, 70)))
    nets = job.model(part).nets
    answers = lesson(part, INVENTED, plan(part, INVENTED), 1.0, nets).answers
    assert ", ".join(f.name for f in discs) in words(answers)
    first = next(i.at[1] for i in answers[0].items if isinstance(i, Words) and i.text.startswith("1  "))
    drawn = [p[1] for i in answers[0].items if isinstance(i, Stroke) and i.layer is Layer.MARK for p in i.points]
    assert min(drawn) > first + 3.5


@pytest.mark.parametrize("path", LESSONS, ids=lambda p: p.stem)
def test_no_letter_of_the_picture_stands_on_the_rule_below_the_title(path):
    part, _ = read_part(path)
    nets = job.model(part).nets
    page = lesson(part, INVENTED, plan(part, INVENTED), 0.5, nets).worksheet[0]
    rule = next(i for i in page.items if isinstance(i, Stroke) and i.width == 0.5)
    level = rule.points[0][1]
    letters = [i for i in page.items if isinstance(i, Words) and i.text in {a.name for a in part.axes}]
    shown = [i for i in letters if i.at[0] > PAGE[0] - EDGE - 56]
    assert shown
    assert all(i.at[1] + i.size < level - 0.5 for i in shown)


def test_a_long_name_takes_two_lines_and_its_row_is_as_high_on_both_sheets():
    """What is held and how does not fit on one line of its cell: nothing of it is left out."""
    axes = (Axis("A"), Axis("B", (9.0, 0.0, 0.0)))
    names = ("drive end journal towards the gear", "eccentric for the bilge pump rod", "tail journal with the thread")
    part = Part(
        "Long names",
        axes,
        tuple(
            Feature(name, axis, Cylinder(d), z, z + 40)
            for name, axis, d, z in zip(names, "ABA", (40.0, 60.0, 25.0), (0, 40, 80), strict=True)
        ),
    )
    planned = plan(part, INVENTED)
    sheets = lesson(part, INVENTED, planned, 1.0)
    full = " ".join(words(sheets.answers))
    assert "…" not in full
    for s in planned.setups:
        assert f"{s.clamping.held_on}, {s.clamping.way}".split()[-1] in full
    assert f"{names[0]}," in words(sheets.answers), "the line ends where the cell does"
    ruled = [
        [sorted(i.points) for i in page.items if isinstance(i, Stroke) and i.width == 0.18 and i.points[0][1] < 250]
        for page in (*sheets.worksheet, *sheets.answers)
    ]
    half = len(ruled) // 2
    heights = [{round(a[1] - b[1], 3) for a, b in (p for p in own if p[0][0] == p[1][0])} for own in ruled]
    assert heights[:half] == heights[half:]
    assert {7.5, 11.7} <= {abs(h) for own in heights for h in own}
