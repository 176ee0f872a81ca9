"""Lessons: the worksheet leaves blank what the answers fill in at the same place; both are for the model in hand."""

import math
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from examples import few
from foldsketch.base.drawing import Circle, Layer, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.machine_file.read import read_machine
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.sheet.lessons.form import MARGIN_MM, SHORT_CAUTION
from foldsketch.sheet.lessons.lesson import draw_lesson
from foldsketch.sheet.lessons.questions import (
    LessonModel,
    cards,
    figures,
    how_it_moves,
    lettered_axes,
    measures,
    spare_set_up,
    tick_angle,
    without_answers,
)
from foldsketch.sheet.page.draw import draw_sheets
from foldsketch.sheet.page.page_text import A4_PORTRAIT_MM

SAMPLES = Path(__file__).parents[3] / "samples"
LESSONS = sorted((SAMPLES / "lessons").glob("*.toml"))


@cache
def made(path, scale=0.5):
    part, _ = read_part(path)
    planned = plan(part, DEFAULT_MACHINE)
    return part, planned, draw_lesson(part, DEFAULT_MACHINE, planned, LessonModel(scale))


@cache
def with_model(part, choices=None, machine=DEFAULT_MACHINE):
    own = model(part, choices or Choices())
    flats = {p.feature.name: p.across_flats for p in own.faceted.prisms if p.sides and p.sides % 2 == 0}
    about = LessonModel(own.nets.scale, own.nets, own.nets.hold, 13.6, len(own.sheets), flats)
    return about, draw_lesson(part, machine, plan(part, machine), about)


def words(pages):
    return [i.text for p in pages for i in p.items if isinstance(i, Text)]


def placed(page):
    """Text with its box: left, bottom, right, top."""
    for i in page.items:
        if isinstance(i, Text):
            w = text_width(i.text, i.size)
            x = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
            yield i, (x, i.at[1], x + w, i.at[1] + i.size)


@pytest.mark.parametrize("path", few([*LESSONS, SAMPLES / "bilge-pump-cover.toml"], 1), ids=lambda p: p.stem)
def test_nothing_is_smaller_than_can_be_read_or_on_something_else(path):
    """Capitals of 2.5 mm at least; inside the margins; no word on a word; all cautions where there is a set-up."""
    part, _ = read_part(path)
    planned = plan(part, DEFAULT_MACHINE)
    assert not planned.unturned, "a lesson can be done on the machine"
    _, sheets = with_model(part)
    assert len(sheets.worksheet) == 2, "one leaf"
    assert len(sheets.answers) == 3, "the same, and the teacher's page"
    for page in (*sheets.worksheet, *sheets.answers):
        own = list(placed(page))
        for i, (x, y, right, top) in own:
            assert i.size >= 2.5, i.text
            assert x >= MARGIN_MM - 0.01 and right <= A4_PORTRAIT_MM[0] - MARGIN_MM + 0.01, i.text
            assert y >= MARGIN_MM - 0.01 and top <= A4_PORTRAIT_MM[1] - MARGIN_MM + 0.01, i.text
        for k, (i, a) in enumerate(own):
            for j, b in own[k + 1 :]:
                assert a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3], (i.text, j.text)
        for i in page.items:
            if isinstance(i, Stroke):
                left, right = MARGIN_MM - 0.1, A4_PORTRAIT_MM[0] - MARGIN_MM + 0.1
                assert all(left < x < right and 5 < y < A4_PORTRAIT_MM[1] - 5 for x, y in i.points)
    for pages in (sheets.worksheet, sheets.answers):
        assert SHORT_CAUTION in words(pages[:1])
        assert all(c in words([p]) for p in pages[1:] for c in CAUTIONS)


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_no_ring_is_on_the_rule_below_the_title(path):
    part, _ = read_part(path)
    _, sheets = with_model(part)
    for page in (sheets.worksheet[0], sheets.answers[0]):
        rule = next(i for i in page.items if isinstance(i, Stroke) and i.layer is Layer.FRAME and i.width == 0.5)
        rings = [i for i in page.items if isinstance(i, Circle) and i.radius == 4.0]
        assert rings and all(i.centre[1] + i.radius < rule.points[0][1] for i in rings)


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_answers_are_where_the_blanks_are(path):
    """The worksheet's lines, boxes and words are all on the answers, which have more."""
    part, _ = read_part(path)
    _, sheets = with_model(part)
    for blank, full in zip(sheets.worksheet, sheets.answers[:2], strict=True):

        def shapes(page):
            return {i.points for i in page.items if isinstance(i, Stroke) and i.layer is Layer.FRAME and i.closed}

        assert shapes(blank) == shapes(full)
        bold = [i.text for i in full.items if isinstance(i, Text) and i.bold]
        assert len(bold) > len([i for i in blank.items if isinstance(i, Text) and i.bold])


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_lengths_are_those_of_the_model_in_hand(path):
    part, planned, sheets = made(path)
    blank, full = words(sheets.worksheet), words(sheets.answers)
    for s in planned.setups:
        assert f"{s.indicator:.2f}" in full
        assert f"{s.indicator:.2f}" not in blank
    for a in part.axes[1:]:
        # Measured on the model at half scale, by hand: half the distance of the two centres.
        apart = math.dist(a.point[:2], part.datum.point[:2])
        assert f"{apart / 2:.1f}" in full and f"{apart / 2:.1f}" not in blank
        assert f"{apart:.2f}" in full and f"{apart:.2f}" not in blank


def test_the_swing_can_be_reckoned_from_what_the_worksheet_says():
    """A bar on its own axis swings its own diameter; the bar is not to be seen on the finished model."""
    _, planned, sheets = made(SAMPLES / "lessons" / "2-offset-bore.toml")
    (bar,) = (w for w in words(sheets.worksheet) if "bar Ø" in w)
    diameter = float(bar.split("Ø")[1].split()[0])
    assert any(s.indicator == 0 and s.swing == pytest.approx(diameter) for s in planned.setups)
    assert f"{diameter:.1f}" in words(sheets.answers)


def test_a_keyway_is_not_turned():
    part, _ = read_part(SAMPLES / "lessons" / "3-eccentric.toml")
    slot = Feature("keyway", part.datum.name, Plate(((-2, 6), (2, 6), (2, 20), (-2, 20))), -1.0, 12.0, cut=True)
    keyed = replace(part, features=(*part.features, slot))
    assert lettered_axes(keyed, None) == lettered_axes(part, None)


def test_an_inch_part_is_taught_in_inches():
    """The lever's pin stands 2.25 in from the hub: the indicator shows twice that."""
    part, _, sheets = made(SAMPLES / "valve-lever.toml")
    full = words(sheets.answers)
    assert "2.250" in full and "4.500" in full
    assert not [t for t in full if re.search(r"\d mm\b", t) and "bars" not in t]
    assert {b.after for m in measures(part, LessonModel(0.5)) for b in m.blanks} <= {"in", "°"}


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_what_is_measured_on_the_paper_is_what_the_answers_say(path):
    """With rule and protractor on the nets: from the cross of A to the other one, and from the tick of A to there,
    anticlockwise on an end that faces +z, clockwise on one that faces -z."""
    part, _ = read_part(path)
    nets = model(part, Choices(scale=1.0)).nets
    asked = {m.axes[1]: m.blanks for m in measures(part, LessonModel(1.0, nets)) if not m.radius}
    angles = {a: float(b.answer) for a, own in asked.items() for b in own if b.after == "°"}
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
                assert float(asked[axis][0].answer) == pytest.approx(math.hypot(x, y), abs=0.051)
                off = (math.degrees(turned) - angles.get(axis, 0.0) + 180) % 360 - 180
                assert abs(off) < 0.1
                measured += 1
    assert measured


def test_a_rule_across_the_flats_reads_what_the_answers_say():
    """Octagons have their flats on the round: 36 mm across. With twelve sides of the same area a rule reads
    less: 2 R cos(15 deg), with 6 R^2 sin(30 deg) = pi 18^2, so 35.37 mm for 36 [D]."""
    part, _ = read_part(SAMPLES / "bilge-pump-cover.toml")
    eight, _ = with_model(part)
    twelve, _ = with_model(part, Choices(minutes=60, facets=replace(Choices().facets, sides=12)))

    def across(about):
        (own,) = (m.blanks for m in measures(part, about) if m.axes == ("B", "B"))
        return [(b.before, float(b.answer)) for b in own]

    assert across(eight) == [("Ø inlet spigot", 36.0)]
    radius = math.sqrt(math.pi * 18**2 / (6 * math.sin(math.pi / 6)))
    assert across(twelve) == [
        ("inlet spigot, across flats", pytest.approx(2 * radius * math.cos(math.pi / 12), abs=0.05))
    ]


def test_drilled_holes_have_no_letter_and_are_not_asked_for():
    part, _ = read_part(SAMPLES / "bilge-pump-cover.toml")
    about, sheets = with_model(part)
    assert set(lettered_axes(part, about.nets)) == {"A", "B", "C"} < {a.name for a in part.axes}
    assert "bolt hole 1" not in " ".join(words(sheets.answers[:1]))


def test_rings_stand_for_the_letters():
    """As many empty rings as axes beside the model; their letters are on the answers alone, none in a colour."""
    part, _ = read_part(LESSONS[3])
    _, sheets = with_model(part)
    for page, answered in ((sheets.worksheet[0], False), (sheets.answers[0], True)):
        rings = [i for i in page.items if isinstance(i, Circle) and i.radius == 4.0]
        letters = [i for i in page.items if isinstance(i, Text) and i.layer is Layer.MARK]
        assert len(rings) == 3
        assert {i.text for i in letters} == ({"A", "B", "C"} if answered else set())
        drawn = [i for i in page.items if isinstance(i, (Stroke, Circle)) and i.layer is Layer.MARK]
        assert {i.colour for i in drawn} <= {None, (0.0, 0.0, 0.0)} or all(
            len(set(i.colour)) == 1 for i in drawn if i.colour
        )
        for a in rings:
            for b in rings:
                assert a is b or math.dist(a.centre, b.centre) > 8


@pytest.mark.parametrize("path", few(LESSONS), ids=lambda p: p.stem)
def test_the_worksheet_gives_no_order_away(path):
    part, _ = read_part(path)
    planned = plan(part, DEFAULT_MACHINE)
    own = cards(part, planned)
    numbers = [c.setup.number for c in own]
    assert sorted(numbers) == [s.number for s in planned.setups]
    assert len(numbers) < 2 or numbers != sorted(numbers)
    assert len({c.letter for c in own}) == len(own) and not {c.letter for c in own} & {a.name for a in part.axes}
    asked = {len(figures(part, DEFAULT_MACHINE, c.setup, True)) for c in own}
    assert len(asked) <= 1, "every picture has the same boxes, on centre or not"


def test_answers_say_how_the_part_moves_as_the_plan_has_it():
    """Two spigots: over to the sub-spindle once, and twice put in by hand. On one spindle always by hand."""
    part, planned, sheets = made(LESSONS[3])
    assert [s.by_hand for s in planned.setups] == [False, False, True, True]
    said = how_it_moves(planned.setups)
    assert said == "For set-up 2 the other spindle takes the part over; for set-ups 3 and 4 it is put in again by hand."
    assert said in " ".join(words(sheets.answers)) and said not in " ".join(words(sheets.worksheet))
    single = read_machine(SAMPLES / "machines" / "single-spindle.toml")
    alone = draw_lesson(part, single, plan(part, single), LessonModel(1.0))
    full = " ".join(words(alone.answers))
    assert "by hand" in full and "moved" not in full and "other spindle" not in full


def test_the_worksheet_tells_what_the_machine_can_do():
    """All that the order of the set-ups follows from stands on the sheet: what is turned, hands over, holds."""
    _, _, sheets = made(LESSONS[3])
    blank = " ".join(words(sheets.worksheet))
    for told in ("inlet, outlet", "15 mm to 210 mm", "15 mm to 165 mm", "at least 5 mm", "up to 60 mm", "four-jaw up"):
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
    full = " ".join(words(draw_lesson(part, small, planned, LessonModel(1.0)).answers))
    assert left and f"On this machine: {', '.join(left)}." in full and "Least time" not in full


def test_the_class_plan_counts_sheets_tools_and_minutes():
    """Four models between eight apprentices, or one each; a first model takes half as long again."""
    part, _ = read_part(LESSONS[1])
    about, sheets = with_model(part, Choices(hold="tape"))
    full = " ".join(words(sheets.answers[2:]))
    assert f"One between two: {4 * about.sheets} sheets" in full and f"one each: {8 * about.sheets}." in full
    assert "tape 12 to 19 mm wide" in full and "glue" not in full
    rows = [int(t.split()[0]) for t in words(sheets.answers[2:]) if re.fullmatch(r"\d+ min", t)]
    assert math.ceil(13.6 * 1.5) in rows
    assert f"{sum(rows)} minutes" in full


def test_the_tick_is_where_the_first_offset_is():
    """Lesson 3: along the one offset, at 45 degrees; lesson 5: along the first of two, at 90."""
    for path, wanted in ((LESSONS[2], 45.0), (LESSONS[4], 90.0)):
        assert math.degrees(tick_angle(read_part(path)[0])) == pytest.approx(wanted)


def test_names_of_any_length_and_nine_axes():
    """Long names take more lines, boxes go on over the page; nothing leaves the page or covers something."""
    axes = [Axis("A")] + [Axis(chr(66 + k), (9.0 * math.cos(k), 9.0 * math.sin(k), 0.0)) for k in range(8)]
    features = [Feature("drive end journal towards the gear, behind the seal", "A", Cylinder(60), 0, 40)]
    features += [
        Feature(f"eccentric {k} for the bilge pump rod", axes[k].name, Cylinder(30.0 - k), 40 + 8 * k, 48 + 8 * k)
        for k in range(1, 9)
    ]
    part = Part("Shaft with many eccentrics for the pumps of a very small harbour", tuple(axes), tuple(features))
    planned = plan(read_part(LESSONS[0])[0], DEFAULT_MACHINE)  # its set-ups: those of nine axes take a minute
    sheets = draw_lesson(part, DEFAULT_MACHINE, planned, LessonModel(1.0))
    for page in (*sheets.worksheet, *sheets.answers):
        own = list(placed(page))
        for k, (i, a) in enumerate(own):
            assert a[0] >= MARGIN_MM - 0.01 and a[2] <= A4_PORTRAIT_MM[0] - MARGIN_MM + 0.01, i.text
            assert a[1] >= MARGIN_MM - 0.01, i.text
            for j, b in own[k + 1 :]:
                assert a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3], (i.text, j.text)


@pytest.mark.parametrize("path", few(LESSONS, 3), ids=lambda p: p.stem)
def test_the_model_of_a_class_bears_none_of_the_answers(path):
    """No offset, no diameter: they are measured. Letters, names and what is not a figure stay."""
    made = model(read_part(path)[0], Choices())
    bare = without_answers(made.nets)
    before, after = ([m for p in nets.pieces for m in p.marks] for nets in (made.nets, bare))
    assert any(m.kind == "offset" for m in before) and not any(m.kind == "offset" for m in after)
    texts = words(draw_sheets(bare, made.sheets))
    assert not any("Ø" in text for text in texts) and any("Ø" in t for t in words(draw_sheets(made.nets, made.sheets)))
    kept = ("centre", "text", "datum", "outline", "pin")
    assert [m for m in before if m.kind in kept] == [m for m in after if m.kind in kept]


@pytest.mark.parametrize("path", few(LESSONS, 3), ids=lambda p: p.stem)
def test_the_pictures_do_not_tell_how_many_set_ups_it_takes(path):
    """One of them belongs to another plan: it gets no number, and the answers say so."""
    part, planned, _ = made(path)
    others = [plan(part, DEFAULT_MACHINE, number=a.number) for a in planned.alternatives]
    spare = spare_set_up(planned, others)
    own = cards(part, planned, spare)
    assert sorted(c.setup.number for c in own) == [0, *(s.number for s in planned.setups)]
    held = {(s.clamping.spindle, s.clamping.way, s.clamping.held_on, s.clamping.on_centreline) for s in planned.setups}
    c = spare.clamping
    assert (c.spindle, c.way, c.held_on, c.on_centreline) not in held
    sheets = draw_lesson(part, DEFAULT_MACHINE, planned, LessonModel(0.5), spare)
    blank, full = " ".join(words(sheets.worksheet)), " ".join(words(sheets.answers))
    assert "What is not needed gets no number." in blank and "another plan" not in blank
    letter = next(card.letter for card in own if not card.setup.number)
    assert f"{letter}: it belongs to another plan." in full
