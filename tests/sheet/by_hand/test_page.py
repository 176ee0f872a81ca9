"""The by-hand page, carried out by a reader that knows only the printed words and figures."""

import re
import tomllib
from math import cos, hypot, radians, sin
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

import hand_reader
import parts
from examples import examples, few
from foldsketch.base.drawing import Circle, Stroke, Text
from foldsketch.base.findings import FoldsketchError
from foldsketch.base.lettering import text_width
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Cone, Cylinder, Feature
from foldsketch.sheet.by_hand.page import MARGIN_MM, draw_by_hand
from foldsketch.sheet.by_hand.plan import plan_by_hand
from foldsketch.sheet.layout.paper import parse_paper
from foldsketch.sheet.messages import (
    BY_HAND_APART,
    BY_HAND_NOTHING,
    BY_HAND_TOO_LARGE,
    BY_HAND_TOO_MUCH,
)
from foldsketch.write.pdf import pdf
from strategies import random_part

SAMPLES = sorted(Path(__file__).parents[3].glob("samples/**/*.toml"))
PARTS = [p for p in SAMPLES if "machines" not in p.parts]
PAPERS = ("A4", "Letter")

REFUSED = {m.code for m in (BY_HAND_APART, BY_HAND_NOTHING, BY_HAND_TOO_LARGE, BY_HAND_TOO_MUCH)}

WALL_SHARE = 0.0059
"""10 / 3 over 8 tan 22.5 degrees, less one: by so much a folded wall is wider than its square [D]."""


def page_of(part, paper="A4", scale=1.0):
    return draw_by_hand(plan_by_hand(part, (), scale, parse_paper(paper)), parse_paper(paper))


def made_from(part, paper="A4", scale=1.0):
    page = page_of(part, paper, scale)
    return hand_reader.carry_out(pdf([page], page.title))


def axes_of(file):
    """Where every axis of a part file is, worked out from its own text."""
    text = tomllib.loads(file.read_text("utf-8"))
    found = {}
    for a in text["axis"]:
        if "offset" in a:
            found[a["name"]] = (a["offset"] * cos(radians(a["angle"])), a["offset"] * sin(radians(a["angle"])))
        elif "at" in a:
            found[a["name"]] = tuple(a["at"])
    return found, {f["name"]: f for f in text["feature"]}


def told_error(read, axis):
    """By how much the page says that an axis is off."""
    m = re.search(rf"[ ;]{axis} [\d.]+(?: exact| for [\d.]+, off by (\d+\.\d+))", read.offsets)
    return float(m[1] or 0.0) + 0.005


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["bilge-pump-cover", "eccentric-shaft"])
def test_offsets_heights_and_diameters_of_cover_and_shaft(name, paper):
    """Against the part file's own text: exact here, for all of its figures are whole."""
    file = next(p for p in PARTS if p.stem == name)
    axes, features = axes_of(file)
    read = made_from(read_part(file)[0], paper)
    solid = {n: f for n, f in features.items() if not f.get("cut")}
    assert read.bodies.keys() == solid.keys()
    first = read.order[0][0]
    base = solid[first]
    for body, made in read.bodies.items():
        f = solid[body]
        end = f.get("end", f["start"] + f.get("length", 0))
        assert made.width == made.depth == f["diameter"]
        assert made.height == end - f["start"]
        assert made.low == f["start"] - base["start"]
        assert made.over_wall == pytest.approx(f["diameter"] * (1 + WALL_SHARE), abs=0.2)
    for axis in {f["axis"] for f in solid.values()}:
        got = [v - w for v, w in zip(read.axis(axis), read.axis("A"), strict=True)]
        assert got == pytest.approx(axes[axis], abs=1e-9)


@pytest.mark.parametrize("file", few(PARTS, 1), ids=lambda p: p.stem)
def test_every_sample_and_lesson_comes_out_within_the_rounding_told(file):
    part, _ = read_part(file)
    read = made_from(part)
    check_against_part(read, part)


def check_against_part(read, part):
    named = {f.name: f for f in part.features if not f.cut}
    tapered = any(isinstance(f.shape, Cone) for f in named.values())
    for name, made in read.bodies.items():
        f = named.get(name)
        if f is not None and f.is_round:
            assert abs(made.width - 2 * f.radius) <= 0.5 + 1e-9
            assert made.over_wall == pytest.approx(
                made.width * (1 + (WALL_SHARE if made.width >= 14.5 else 0)), abs=0.4
            )
            # A neighbour takes up the length of a chamfer that is left out.
            assert tapered or made.height <= f.length + 0.25 + 1e-9
        assert made.place is not None
    origin = re.search(r"Offsets from ([A-Z])", read.offsets)
    if origin is None:
        return
    base = part.axis(origin[1])
    for axis in re.findall(r"[:;] ([A-Z]) [\d.]+", read.offsets):
        got = [v - w for v, w in zip(read.axis(axis), read.axis(origin[1]), strict=True)]
        x, y, _ = (v - w for v, w in zip(part.axis(axis).point, base.point, strict=True))
        assert hypot(got[0] - x, got[1] - y) <= told_error(read, axis)


@pytest.mark.parametrize("file", few(PARTS, 2), ids=lambda p: p.stem)
def test_circles_are_as_wide_as_what_stands_on_them(file):
    read = made_from(read_part(file)[0])
    for body, where, other, axis in read.order[1:]:
        end = "top" if where == "on" else "under"
        far = "under" if where == "on" else "top"
        on_other = read.circles.get((other, end, axis))
        on_body = read.circles.get((body, far, axis))
        assert read.bodies[body].width == on_other or read.bodies[other].width == on_body


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("file", few(PARTS, 3), ids=lambda p: p.stem)
def test_nothing_overlaps_or_leaves_the_page(file, paper):
    check_page(page_of(read_part(file)[0], paper))


def check_page(page):
    width, height = page.size
    for item in page.items:
        if isinstance(item, Text):
            x0, y0, x1, y1 = box_of(item)
            assert item.size >= 2.5 and item.angle == 0
        elif isinstance(item, Circle):
            (x, y), r = item.centre, item.radius
            x0, y0, x1, y1 = x - r, y - r, x + r, y + r
        else:
            xs, ys = zip(*item.points, strict=True)
            x0, y0, x1, y1 = min(xs), min(ys), max(xs), max(ys)
        least = MARGIN_MM - 2.5
        assert x0 >= least and y0 >= least and x1 <= width - least and y1 <= height - least, item
    boxes = [(box_of(t), t.text) for t in page.items if isinstance(t, Text)]
    for k, (a, one) in enumerate(boxes):
        for b, two in boxes[k + 1 :]:
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, (one, two)


def box_of(t):
    w = text_width(t.text, t.size)
    x = t.at[0] - {"start": 0.0, "middle": w / 2, "end": w}[t.anchor]
    return (x, t.at[1], x + w, t.at[1] + t.size)


NINE_STEPS = parts.part(
    [Feature(f"step {k}", "AB"[k % 2], Cylinder(60 - 4 * k), 20 * k, 20 * k + 20) for k in range(9)],
    parts.at("B", 3, 2),
)
NINE_AXES = parts.part(
    [Feature("plate", "A", Cylinder(180), 0, 12)]
    + [Feature(f"pin {k}", axis, Cylinder(20), 12, 30) for k, axis in enumerate("BCDEFGHJ")],
    *(parts.polar(axis, 65, 7 + 45 * k) for k, axis in enumerate("BCDEFGHJ")),
)


@pytest.mark.parametrize("part", [NINE_STEPS, NINE_AXES], ids=["nine steps", "nine axes"])
def test_squares_without_room_are_described_in_words(part):
    page = page_of(part)
    check_page(page)
    read = hand_reader.carry_out(pdf([page], page.title))
    assert any(w.text == "More marks" for w in read.words)
    check_against_part(read, part)


def test_long_names_keep_to_their_place():
    long = "intermediate flange of the discharge casing, drive side"
    part = parts.part(
        [
            Feature(long, "A", Cylinder(90), 0, 12),
            Feature(f"{long}, spigot", "second axis", Cylinder(36), 12, 42),
            Feature(f"{long}, hole", "C", Cylinder(20), -1, 13, cut=True),
        ],
        parts.at("second axis", 20, 0),
        parts.at("C", -22, 3.3),
        name=f"{long}, as cast",
    )
    page = page_of(part)
    check_page(page)
    words = " ".join(t.text for t in page.items if isinstance(t, Text))
    assert "2 intermediate flange of th… (2) on intermediate flange of th…, at second axis" in words


@pytest.mark.slow
@examples(150, suppress_health_check=[HealthCheck.too_slow])
@given(st.randoms(use_true_random=False), st.sampled_from(PAPERS))
def test_random_parts_are_made_or_refused_by_one_line(random, paper):
    part = random_part(random)
    try:
        page = page_of(part, paper)
    except FoldsketchError as error:
        (finding,) = error.findings
        if finding.code not in REFUSED:
            raise
        return
    check_page(page)
    read = hand_reader.carry_out(pdf([page], page.title))
    check_against_part(read, part)


def test_the_page_is_drawn_with_a_stroke_for_every_scissor_line():
    """Thick is cut, dashed is folded: eight sides, seven folds between them and one at the lap, two along the edges."""
    page = page_of(parts.part([Feature("disc", "A", Cylinder(30), 0, 20)]))
    folds = [i for i in page.items if isinstance(i, Stroke) and i.layer == "mountain"]
    assert len(folds) == 7 + 1 + 2
