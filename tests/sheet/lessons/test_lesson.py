"""Lessons: the worksheet leaves blank what the answer sheet fills in; both carry the cautions and fit their pages."""

import math
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from examples import few
from foldsketch.base.drawing import Layer, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.machine_file.read import read_machine
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import CAUTIONS, WAY_TEXT
from foldsketch.sheet.lessons.lesson import draw_lesson
from foldsketch.sheet.page.page_text import A4_PORTRAIT_MM, TEXT_MARGIN_MM

SAMPLES = Path(__file__).parents[3] / "samples"
LESSONS = sorted((SAMPLES / "lessons").glob("*.toml"))


@cache
def made(path):
    part, _ = read_part(path)
    planned = plan(part, DEFAULT_MACHINE)
    return part, planned, draw_lesson(part, DEFAULT_MACHINE, planned, 0.5)


def lines_of(page):
    """Words of a page by the height at which they stand, from the top."""
    found = {}
    for i in page.items:
        if isinstance(i, Text):
            found.setdefault(round(i.at[1], 1), []).append(i.text)
    return [found[y] for y in sorted(found, reverse=True)]


def words(pages):
    return [i.text for p in pages for i in p.items if isinstance(i, Text)]


def test_five_lessons():
    assert len(LESSONS) == 5


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_sheets(path):
    part, planned, sheets = made(path)
    assert not planned.unturned, "a lesson can be done on the machine"
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
                if isinstance(i, Text):
                    w = text_width(i.text, i.size)
                    x = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
                    assert x >= TEXT_MARGIN_MM - 0.01 and x + w <= A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM + 0.01, i.text
                    assert TEXT_MARGIN_MM - 0.01 <= i.at[1] <= A4_PORTRAIT_MM[1] - TEXT_MARGIN_MM, i.text
                if isinstance(i, Stroke):
                    assert all(0 < x < A4_PORTRAIT_MM[0] and 0 < y < A4_PORTRAIT_MM[1] for x, y in i.points)
    assert len(sheets.worksheet) == len(sheets.answers), "the answers lie where the blanks are"


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_no_task_is_parted_by_the_foot_of_a_page(path):
    """Under the title of every page but the first comes a task, not a row of the one before."""
    _, _, sheets = made(path)
    for pages in (sheets.worksheet, sheets.answers):
        for page in pages[1:]:
            assert re.match(r"\d  [A-Z]", lines_of(page)[1][0])


@pytest.mark.parametrize("path", few([SAMPLES / "valve-lever.toml", *LESSONS]), ids=lambda p: p.stem)
def test_tasks_are_counted_without_a_gap(path):
    """A part that nothing is packed for has no task of packing; the next one takes its number."""
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
    planned = plan(part, DEFAULT_MACHINE)
    nets = pipeline.make_model(part, pipeline.Choices(scale=1.0)).nets
    shown, bare = (draw_lesson(part, DEFAULT_MACHINE, planned, 1.0, own) for own in (nets, None))
    for one, other in ((shown.worksheet, bare.worksheet), (shown.answers, bare.answers)):
        more = [i for i in one[0].items if isinstance(i, Stroke) and i.layer is Layer.MARK]
        assert more and not [i for i in other[0].items if isinstance(i, Stroke) and i.layer is Layer.MARK]
        x, y = zip(*(p for i in more for p in i.points), strict=True)
        assert min(x) >= TEXT_MARGIN_MM and max(x) <= A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM + 0.01
        for i in one[0].items:
            if i.layer is Layer.FRAME:
                points, reach = (i.points, 0.0) if isinstance(i, Stroke) else ([i.at], text_width(i.text, i.size))
                for u, v in points:
                    beside = u + reach < min(x) or u > max(x)
                    assert beside or not min(y) < v < max(y), "the picture stands beside the first task, on nothing"
    assert "name" in words(shown.worksheet) and "name" not in words(shown.answers)


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_a_lesson_is_one_leaf_with_the_figures_on_its_back(path):
    part, _ = read_part(path)
    sheets = draw_lesson(part, DEFAULT_MACHINE, plan(part, DEFAULT_MACHINE), 1.0, pipeline.make_model(part).nets)
    for pages in (sheets.worksheet, sheets.answers):
        numbers = [[int(m[1]) for t in words([p]) if (m := re.match(r"(\d)  [A-Z]", t))] for p in pages]
        assert len(pages) == 2 and numbers[0] == [1, 2, 3] and numbers[1][0] == 4


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_what_is_measured_on_the_paper_is_what_the_answers_say(path):
    """With rule and protractor on the nets: from the cross of A to the other one, and from the tick of A to there,
    anticlockwise on an end that faces +z, clockwise on one that faces -z."""
    part, _ = read_part(path)
    nets = pipeline.make_model(part, pipeline.Choices(scale=1.0)).nets
    answers = lines_of(draw_lesson(part, DEFAULT_MACHINE, plan(part, DEFAULT_MACHINE), 1.0).answers[0])
    rows = {row[0]: row[1:] for row in answers if len(row) == 5 and row[0] in {"B", "C"}}
    measured = 0
    for piece in nets.pieces:
        for panel in (p for p in piece.panels if p.kind == "end"):
            own = [m for m in piece.marks if m.panel == panel.id]
            crosses = {m.axis: np.array(m.at) for m in own if m.kind == "centre" and not m.text}
            ticks = [m.paths[0] for m in own if m.kind == "datum" and m.axis == "A"]
            if "A" not in crosses or not ticks:
                continue
            way = np.subtract(ticks[0][1], ticks[0][0])
            for axis in crosses.keys() - {"A"}:
                x, y = crosses[axis] - crosses["A"]
                turned = math.atan2(way[0] * y - way[1] * x, way @ (x, y)) * np.sign(panel.to_space[2, 2])
                length, angle, *_ = rows[axis]
                assert float(length.split()[0]) == pytest.approx(math.hypot(x, y), abs=0.051)
                off = (math.degrees(turned) - float(angle[:-1]) + 180) % 360 - 180
                assert abs(off) < 0.1
                measured += 1
    assert measured


def test_the_angle_from_the_tick_goes_on_from_that_of_the_tick():
    """Lesson 3: its tick lies along the one offset, at 45 degrees; lesson 5: along the first of two."""
    for path, wanted in (
        (LESSONS[2], {"B": ("0.0°", "45.0°")}),
        (LESSONS[4], {"B": ("0.0°", "90.0°"), "C": ("180.0°", "270.0°")}),
    ):
        part, _ = read_part(path)
        sheets = draw_lesson(part, DEFAULT_MACHINE, plan(part, DEFAULT_MACHINE), 1.0)
        rows = {row[0]: row[1:] for row in lines_of(sheets.answers[0]) if len(row) == 5 and row[0] in {"B", "C"}}
        assert {axis: (row[1], row[3]) for axis, row in rows.items()} == wanted
        assert f"{wanted['B'][1]} from the part's +x" in " ".join(words(sheets.worksheet))


def test_the_worksheet_tells_what_the_machine_can_do():
    """All that the order of the set-ups follows from stands on the sheet: what is turned, hands over, holds."""
    _, _, sheets = made(LESSONS[3])
    blank = " ".join(words(sheets.worksheet))
    for told in (
        "inlet, outlet",
        "15 mm to 210 mm",
        "15 mm to 165 mm",
        "at least 5 mm",
        "up to 60 mm",
        "four-jaw up to 40 mm",
    ):
        assert told in blank, told


def test_answers_say_how_they_come_about_and_what_else_takes():
    _, planned, sheets = made(LESSONS[3])
    blank, full = " ".join(words(sheets.worksheet)), " ".join(words(sheets.answers))
    for told in ("Least time: ", "1.5 e", "twice the distance", "twice the farthest point"):
        assert told in full and told not in blank
    assert f"{planned.minutes.a_part(planned.batch):.1f} min a part" in full
    # The offset of 22 mm is below 0.2887 x 96 = 27.7 mm, but this machine packs to 10 mm.
    assert full.count("no, this machine to 10 mm") == 2


def test_what_no_clamping_turns_is_told_and_not_proved_least():
    """With 1 mm of swing too little for the spigot nothing is said of the least number of clampings."""
    part, _ = read_part(LESSONS[3])
    small = replace(DEFAULT_MACHINE, swing=139.0)
    planned = plan(part, small)
    left = [name for name, _ in planned.unturned]
    full = " ".join(words(draw_lesson(part, small, planned, 1.0).answers))
    assert left and f"Not cut on this machine: {', '.join(left)}." in full and "Least time" not in full


def test_on_a_single_spindle_nothing_is_handed_over():
    single = read_machine(SAMPLES / "machines" / "single-spindle.toml")
    part, _ = read_part(LESSONS[3])
    sheets = draw_lesson(part, single, plan(part, single), 1.0)
    full = " ".join(words(sheets.answers))
    assert "by hand" in full and "moved" not in full and "sub-spindle" not in full


def test_an_axis_with_many_features_has_the_whole_width():
    """Five discs on one axis: their names fit no column beside the picture, so the task begins below it."""
    discs = tuple(Feature(f"bearing seat {k}", "A", Cylinder(40 + k), 10.0 * k, 10.0 * k + 10) for k in range(5))
    part = Part("many", (Axis("A"), Axis("B", (5.0, 0.0, 0.0))), (*discs, Feature("pin", "B", Cylinder(20), 50, 70)))
    nets = pipeline.make_model(part).nets
    answers = draw_lesson(part, DEFAULT_MACHINE, plan(part, DEFAULT_MACHINE), 1.0, nets).answers
    assert ", ".join(f.name for f in discs) in words(answers)
    first = next(i.at[1] for i in answers[0].items if isinstance(i, Text) and i.text.startswith("1  "))
    drawn = [p[1] for i in answers[0].items if isinstance(i, Stroke) and i.layer is Layer.MARK for p in i.points]
    assert min(drawn) > first + 3.5


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_no_letter_of_the_picture_stands_on_the_rule_below_the_title(path):
    part, _ = read_part(path)
    nets = pipeline.make_model(part).nets
    page = draw_lesson(part, DEFAULT_MACHINE, plan(part, DEFAULT_MACHINE), 0.5, nets).worksheet[0]
    rule = next(i for i in page.items if isinstance(i, Stroke) and i.width == 0.5)
    level = rule.points[0][1]
    letters = [i for i in page.items if isinstance(i, Text) and i.text in {a.name for a in part.axes}]
    shown = [i for i in letters if i.at[0] > A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM - 56]
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
    planned = plan(part, DEFAULT_MACHINE)
    sheets = draw_lesson(part, DEFAULT_MACHINE, planned, 1.0)
    full = " ".join(words(sheets.answers))
    assert "…" not in full
    for s in planned.setups:
        assert f"{s.clamping.held_on}, {WAY_TEXT[s.clamping.way]}".split()[-1] in full
    ruled = [
        [sorted(i.points) for i in page.items if isinstance(i, Stroke) and i.width == 0.18 and i.points[0][1] < 250]
        for page in (*sheets.worksheet, *sheets.answers)
    ]
    half = len(ruled) // 2
    heights = [{round(a[1] - b[1], 3) for a, b in (p for p in own if p[0][0] == p[1][0])} for own in ruled]
    assert heights[:half] == heights[half:]
    assert {7.5, 11.7} <= {abs(h) for own in heights for h in own}
