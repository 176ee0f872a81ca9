"""Rules of thumb: every way has its share of the location, and shares add."""

import pytest

from foldsketch.setup.formulas.way_cost import WAY_MINUTES
from foldsketch.setup.formulas.workpiece_rules import LOCATION_SHARE_MM, location_between


def test_every_way_of_holding_has_a_share():
    """A hand-over is no way of holding, and has one too."""
    assert {*WAY_MINUTES, "hand_over"} == LOCATION_SHARE_MM.keys()


def test_shares_add():
    assert location_between(("hard_jaws", "pads")) == pytest.approx(0.5)
