"""Where tools can stand, against points of the tool put one by one into the turning material.

Nothing here comes from the program but the answer that is judged: tools are boxes in space written down again, the
material is asked point by point, and ways in are searched on a grid. A tool that is said to stand may meet nothing when
it is 0.02 mm smaller; one that is said not to must meet something when it is 0.3 mm larger.
"""

import math
from collections import deque

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.setup.access.standing import covered_spans
from foldsketch.setup.access.swept_region import swept_region
from foldsketch.setup.access.tools import tool_stances
from foldsketch.setup.cutters import Cutter

SMALLER, LARGER = -0.02, 0.3
FAR = 120.0
"""As far as tools are sampled, mm."""


def material(part, r, z):
    """Whether a place at a radius and a height is in the way of a fixed tool: some turn of the part fills it."""
    filled = np.zeros_like(r, dtype=bool)
    for f in part.features:
        away, s = math.hypot(*part.axis(f.axis).point[:2]), f.shape
        outer, inner = s.diameter / 2, s.bore / 2 if isinstance(s, Ring) else 0.0
        level = (z > f.start) & (z < f.end)
        if f.cut:
            filled &= ~(level & (r < outer - away) & (r >= inner))
        else:
            filled |= level & (r > max(0.0, away - outer, inner - away)) & (r < away + outer)
    return filled


def boxes(cutter, stick_out, hand):
    """The tool about its tip as boxes: x, y and z from and to. x away from the centreline, z out of the chuck."""
    w, d = cutter.width, cutter.diameter
    if cutter.kind == "outside":
        return [((0, FAR), (0, 0), sorted((0, hand * w))), ((stick_out, FAR), (0, 0), sorted((0, hand * 40)))]
    if cutter.kind == "blade":
        return [((0, FAR), (0, 0), (0, w)), ((stick_out, FAR), (0, 0), (0, 40) if hand > 0 else (w - 40, w))]
    if cutter.kind == "axial":
        return [((0, w), (-cutter.shank, 0), (0, FAR)), ((-20, 20), (0, 0), (stick_out, FAR))]
    deep = d / 0.7
    return [((-deep, 0), (0, 0), (0, 4)), ((-deep, -2), (0, 0), (0, FAR)), ((-30, 10), (0, 0), (stick_out, FAR))]


def samples(cutter, stick_out, hand, grown):
    """Points of the tool, (n, 3), edges among them; the trailing edges of outside tools and bars lean back."""
    made = []
    for k, ((x0, x1), (y0, y1), (z0, z1)) in enumerate(boxes(cutter, stick_out, hand)):
        xs, zs = (np.append(np.arange(a - grown, b + grown, 0.4), b + grown) for a, b in ((x0, x1), (z0, z1)))
        x, y, z = (v.ravel() for v in np.meshgrid(xs, np.linspace(y0, y1, 7 if y1 > y0 else 1), zs))
        keep = np.ones(len(x), dtype=bool)
        if cutter.kind == "outside" and k == 0:
            keep = x >= math.tan(math.radians(5)) * np.abs(z) - grown
        if cutter.kind == "bar" and k == 0:
            keep = x <= -z / 2 + grown
        made.append(np.stack([x[keep], y[keep], z[keep]], axis=1))
    return np.concatenate(made)


def meets(part, tip, points):
    x, z = points[:, 0] + tip[0], points[:, 2] + tip[1]
    return bool(material(part, np.hypot(x, points[:, 1]), z).any())


def stands(part, cutter, stick_out, tip, grown):
    """Whether the tool meets nothing with some point of its cutting edge on the tip's place, in either hand."""
    edge = {"blade": (0.0, cutter.width), "axial": (cutter.width, 0.0)}.get(cutter.kind, (0.0, 0.0))
    hands = (1, -1) if cutter.kind in ("outside", "blade") else (1,)
    shifts = np.linspace(0.0, 1.0, 9 if any(edge) else 1)
    for hand in hands:
        points = samples(cutter, stick_out, hand, grown)
        for s in shifts:
            if not meets(part, (tip[0] - s * edge[0], tip[1] - s * edge[1]), points):
                return True
    return False


@st.composite
def parts(draw):
    """A stepped shaft with a groove, a boss beside it and a blind bore; what is there is at least 0.5 mm thick."""

    def size(low, high):
        return draw(st.integers(2 * low, 2 * high)) / 2

    r1, r2 = size(8, 30), size(8, 30)
    a = size(4, 25)
    b = a + size(4, 25)
    boss, away = size(3, 12), size(0, 50)
    low, high = size(-5, 40), size(41, 60)
    groove = (size(1, 12), size(1, 6))
    bore, deep = 2 * size(3, 7), size(2, 20)
    features = [
        Feature("foot", "A", Cylinder(2 * r1), 0, a),
        Feature("top", "A", Cylinder(2 * r2), a, b),
        Feature(
            "groove", "A", Ring(2 * r2 + 2, 2 * max(r2 - groove[1], bore / 2 + 1)), b - groove[0], b - 0.5, cut=True
        ),
        Feature("boss", "B", Cylinder(2 * boss), low, high),
        Feature("bore", "A", Cylinder(bore), max(0.5, b - deep), 61, cut=True),
    ]
    return Part("p", (Axis("A"), Axis("B", (away, 0.0, 0.0))), tuple(f for f in features if f.end - f.start > 0.5))


TOOLS = st.sampled_from(
    [
        (Cutter("outside", 12.0, 20.0, 40.0), 25.0),
        (Cutter("outside", 20.0, 20.0, 40.0), 40.0),
        (Cutter("blade", 3.0, 26.0, 35.0), 12.0),
        (Cutter("blade", 2.0, 26.0, 35.0), 35.0),
        (Cutter("axial", 4.0, 12.0, 35.0), 35.0),
        (Cutter("axial", 3.0, 8.0, 35.0), 15.0),
        (Cutter("bar", 6.0, 6.0, 40.0, 6.0), 30.0),
    ]
)


@pytest.mark.slow
@examples(250)
@given(parts(), TOOLS, st.data())
def test_where_tools_stand(part, tool, data):
    """At random places of any line the answer is that of the points."""
    cutter, stick_out = tool
    bounds = st.floats(-2, 62)
    level = data.draw(st.booleans())
    if level:
        z, r = data.draw(bounds), 45.0
        line = ((0.0, z), (r, z))
    else:
        r = data.draw(st.floats(0.5, 35))
        line = ((r, -5.0), (r, 65.0))
    region = swept_region(part, (0.0, 0.0), "+z").material
    spans = covered_spans(line, (region,), tool_stances(cutter, stick_out))
    length = math.dist(*line)
    for share in data.draw(st.lists(st.floats(0, 1), min_size=3, max_size=3)):
        t = share * length
        tip = tuple(p + (q - p) * share for p, q in zip(*line, strict=True))
        if cutter.kind == "bar" and not any(a <= t <= b for a, b in spans):
            continue  # it may stand there and not get there: the next test
        if any(a <= t <= b for a, b in spans):
            assert stands(part, cutter, stick_out, tip, SMALLER)
        else:
            assert not stands(part, cutter, stick_out, tip, LARGER)


def gets_in(part, cutter, stick_out, tip, grown, step=0.5):
    """Whether a bar comes from the outside to a place, by a search on a grid of places."""
    points = samples(cutter, stick_out, 1, grown)
    points = points[(points[:, 2] < 90) & (np.abs(points[:, 0]) < 60)]
    nx, nz = 60, 140
    start, seen = (0, nz), set()
    todo = deque([start])
    goal = (round(tip[0] / step), round(tip[1] / step))
    while todo:
        i, k = todo.popleft()
        if (i, k) == goal:
            return True
        for place in ((i + 1, k), (i - 1, k), (i, k + 1), (i, k - 1)):
            if place in seen or not (0 <= place[0] <= nx and -10 <= place[1] <= nz):
                continue
            seen.add(place)
            if not meets(part, (place[0] * step, place[1] * step), points):
                todo.append(place)
    return False


@pytest.mark.slow
@pytest.mark.parametrize(
    ("mouth", "deep", "comes"),
    [(16.0, 18.0, True), (16.0, 20.0, True), (16.0, 22.0, False), (9.0, 12.0, True), (8.0, 12.0, False)],
)
def test_a_bar_goes_around_the_corner(mouth, deep, comes):
    """A recess behind a mouth, bar of 6: with its chips it takes 8.57 of the mouth, and its tip stands 2 mm out, so the
    recess may be 2 mm deeper than the mouth all around."""
    part = Part(
        "p",
        (Axis("A"),),
        (
            Feature("body", "A", Cylinder(40), 0, 30),
            Feature("mouth", "A", Cylinder(mouth), 5, 31, cut=True),
            Feature("recess", "A", Ring(deep, mouth), 5, 13, cut=True),
        ),
    )
    cutter = Cutter("bar", 6.0, 6.0, 40.0, 6.0)
    region = swept_region(part, (0.0, 0.0), "+z").material
    line = ((deep / 2, 5.0), (deep / 2, 13.0))
    spans = covered_spans(line, (region,), tool_stances(cutter, 40.0))
    middle = 2.0
    assert any(a <= middle <= b for a, b in spans) is comes
    assert gets_in(part, cutter, 40.0, (deep / 2, 7.0), SMALLER) is comes


def test_a_tool_does_not_stand_in_solid_work_by_what_it_may_be_too_wide():
    features = (Feature("foot", "A", Cylinder(16), 0, 8), Feature("bore", "A", Cylinder(6), 6, 61, cut=True))
    region = swept_region(Part("p", (Axis("A"),), features), (0.0, 0.0), "+z").material
    spans = covered_spans(((0.0, 0.5), (45.0, 0.5)), (region,), tool_stances(Cutter("axial", 4.0, 12.0, 35.0), 35.0))
    assert [round(a) for a, _ in spans] == [8]
