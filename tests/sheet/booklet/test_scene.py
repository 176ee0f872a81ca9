"""Pictures of the booklet: numbers keep apart."""

import numpy as np
import pytest

from foldsketch.base.drawing import Text
from foldsketch.base.lettering import text_width
from foldsketch.sheet.booklet.scene import PaintedFace, paint_scene
from foldsketch.sheet.page.page_text import PageRectangle


def test_numbers_in_a_picture_stand_apart_each_within_its_tab():
    """Two tabs over each other: the smaller has the first choice, the number of the other moves towards a corner of its
    own; of two too small to move one is left out."""

    def tab(label, wide, high, back):
        x = wide / 2
        return PaintedFace(
            (np.array([(-x, 0, back), (x, 0, back), (x, 0, back + high), (-x, 0, back + high)], float),), label=label
        )

    box, eye = PageRectangle(0, 0, 60, 60), np.eye(3)[[0, 2, 1]] * [[1], [1], [-1]]

    def shown(*tabs):
        words = [
            i
            for i in paint_scene([*tabs, PaintedFace((tab("", 60, 60, -30).loops[0],))], eye, box, 1.0)
            if isinstance(i, Text)
        ]
        return {w.text: w.at for w in words}

    both = shown(tab("1", 40, 9, 0), tab("2", 1, 1, 4))
    assert both["2"][0] == pytest.approx(30) and 1.5 < abs(both["1"][0] - 30) <= 20
    assert abs(both["1"][0] - both["2"][0]) > text_width("1", 1.8) + 0.7 - 1e-9
    assert set(shown(tab("1", 1, 1, 0), tab("2", 1, 1, 0))) == {"1"}
