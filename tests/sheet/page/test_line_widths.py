"""Line widths: short folds still show their pattern."""

import pytest

from foldsketch.base.drawing import DASH_PATTERNS, LineType
from foldsketch.sheet.page.line_widths import fold_line_width


@pytest.mark.parametrize("length", [3.0, 4.0, 6.0, 7.9, 8.0, 20.0])
def test_a_fold_of_any_length_shows_its_pattern(length):
    """From 3 mm on: a dash or a dot, a gap and what follows it, by the pattern in widths of the line."""
    line = ((0.0, 0.0), (0.0, length))
    for kind in (LineType.DASHED, LineType.DOTTED):
        pen = fold_line_width(line, kind)
        assert sum(DASH_PATTERNS[kind][:2]) * pen < length - 0.25
        assert pen == {LineType.DASHED: 0.25, LineType.DOTTED: 0.35}[kind] or length < 8.0
