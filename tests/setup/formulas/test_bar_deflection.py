"""Bars: limits of each kind; deflections of references are in tests/validation/test_deflection_figures.py."""

import pytest

from foldsketch.setup.formulas.bar_deflection import bar_type_for, deflection, second_moment_of_area


def test_deflection_by_hand():
    """100 N on 10 mm at 50 mm: I = pi 10^4 / 64 = 490.874; 100 x 125,000 / (3 x 210,000 x 490.874) = 0.04042 mm."""
    assert second_moment_of_area(10) == pytest.approx(490.874, abs=1e-3)
    assert deflection(100, 50, 10) == pytest.approx(0.04042, abs=1e-5)
    assert deflection(100, 100, 10) == pytest.approx(8 * deflection(100, 50, 10))
    assert deflection(100, 50, 20) == pytest.approx(deflection(100, 50, 10) / 16)


@pytest.mark.parametrize(
    ("ratio", "kind"),
    [(0, "solid steel"), (4, "solid steel"), (4.01, "heavy metal"), (8, "carbide"), (10, "damped"), (10.1, None)],
)
def test_the_plainest_bar(ratio, kind):
    assert bar_type_for(ratio) == kind
