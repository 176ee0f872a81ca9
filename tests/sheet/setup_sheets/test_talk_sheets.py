"""Talk sheets: everything on the page, readable, true to its scale, cautions on every one."""

from functools import cache
from pathlib import Path

import pytest

from examples import few
from foldsketch.base.drawing import Circle, Layer, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.part.file.read import read_part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.castings_and_time import check_castings, time_comparison
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM
from foldsketch.sheet.setup_sheets.talk_sheets import draw_talk_sheets
from foldsketch.sheet.setup_sheets.title_block import MARGIN_MM
from foldsketch.write.pdf import pdf

SAMPLES = sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))


@cache
def pages_of(path):
    part, _ = read_part(path)
    made = plan(part, DEFAULT_MACHINE)
    more = check_castings(part, made, 1.0, 0.5), time_comparison(made, DEFAULT_MACHINE)
    return made, draw_talk_sheets(part, DEFAULT_MACHINE, made, *more)


@pytest.mark.parametrize("path", few(SAMPLES, 3), ids=lambda p: p.stem)
def test_pages(path):
    made, pages = pages_of(path)
    assert len(pages) == len(made.setups) + 2
    for page in pages:
        texts = [i.text for i in page.items if isinstance(i, Text)]
        assert all(c in texts for c in CAUTIONS)
        for i in page.items:
            match i:
                case Text():
                    assert i.size >= 2.5
                    w = text_width(i.text, i.size)
                    x0 = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
                    assert x0 >= MARGIN_MM and x0 + w <= A4_LANDSCAPE_MM[0] - MARGIN_MM + 0.01, i.text
                    assert MARGIN_MM <= i.at[1] <= A4_LANDSCAPE_MM[1] - MARGIN_MM, i.text
                case Circle():
                    assert (
                        i.centre[0] - i.radius >= MARGIN_MM and i.centre[0] + i.radius <= A4_LANDSCAPE_MM[0] - MARGIN_MM
                    )
                case Stroke():
                    assert all(0 < x < A4_LANDSCAPE_MM[0] and 0 < y < A4_LANDSCAPE_MM[1] for x, y in i.points)


@pytest.mark.parametrize("path", few(SAMPLES, 3), ids=lambda p: p.stem)
def test_words_of_a_page_do_not_overlap(path):
    for page in pages_of(path)[1]:
        boxes = []
        for i in page.items:
            if isinstance(i, Text):
                w = text_width(i.text, i.size)
                x = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
                boxes.append((x, i.at[1], x + w, i.at[1] + i.size, i.text))
        for k, a in enumerate(boxes):
            for b in boxes[k + 1 :]:
                apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                assert apart, (path.stem, page.title, a[4], b[4])


def test_the_swing_circle_is_true_to_scale():
    made, pages = pages_of(next(p for p in SAMPLES if p.stem == "bilge-pump-cover"))
    for s, page in zip(made.setups, pages[1:-1], strict=True):
        caption = next(i.text for i in page.items if isinstance(i, Text) and ", seen from" in i.text)
        a, b = (float(v) for v in caption.split(",")[0].split(":"))
        largest = max(i.radius for i in page.items if isinstance(i, Circle))
        assert largest == pytest.approx(s.swing / 2 * a / b)


def test_repeats_byte_for_byte():
    path = SAMPLES[3]
    assert pdf(pages_of(path)[1], "x") == pdf(pages_of.__wrapped__(path)[1], "x")


def test_what_is_painted_over_what_does_not_depend_on_the_writer():
    """An SVG is written layer by layer: all of a view lies on one, so that the part hides the shade behind it."""
    _, pages = pages_of(SAMPLES[3])
    for page in pages:
        assert {i.layer for i in page.items} <= {Layer.MARK, Layer.FRAME}
