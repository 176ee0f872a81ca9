"""The stand folds and holds the pin high enough; the gauges stay clear of the sweep."""

from pathlib import Path

import pytest
from shapely import LineString, Polygon, box

from foldsketch.job.swing_gauge import GAUGE_CLEARANCE_MM, make_swing_gauge
from foldsketch.part.file.read import read_part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import plan

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.mark.slow
@pytest.mark.parametrize("name", ["bilge-pump-cover", "eccentric-shaft", "offset-bore-sleeve"])
def test_stand_and_gauges(name):
    made = plan(read_part(SAMPLES / f"{name}.toml")[0], DEFAULT_MACHINE)
    scale = 0.5
    pair = make_swing_gauge(made, scale)
    assert pair.stand.nets.checks.passed()
    assert pair.gauge_nets.checks.passed()
    setups = [s for s in made.setups if s.features]
    assert len(pair.gauge_nets.pieces) == len(setups)
    pin = pair.stand.part.axis("pin").point[2]
    for s, piece in zip(setups, pair.gauge_nets.pieces, strict=True):
        base = next(f for f in pair.stand.part.features if f.name == "base")
        assert pin - base.end > s.swing / 2 * scale, "the model turns clear of the base"
        panel = piece.panels[0]
        card = Polygon(panel.outline)
        assert card.is_valid
        assert pair.gauge_nets.checks.overlap_area == 0
        # The swept outline, laid where the notch is: its left end lies RIM from the card's edge.
        from foldsketch.job.swing_gauge import GAUGE_RIM_MM

        low = min(w.start for w in s.sweep)
        for w in s.sweep:
            swept = box(
                GAUGE_RIM_MM + (w.start - low) * scale, -1.0, GAUGE_RIM_MM + (w.end - low) * scale, w.outer * scale
            )
            assert (
                card.distance(swept) == pytest.approx(GAUGE_CLEARANCE_MM, abs=1e-6)
                or card.distance(swept) > GAUGE_CLEARANCE_MM
            )
        assert card.intersects(LineString([(1, 1), (1, panel.outline[:, 1].max() - 1)])), "a rim holds it together"
    pin_holes = [m for p in pair.stand.nets.pieces for m in p.marks if m.kind == "pin" and m.axis == "pin"]
    assert len(pin_holes) == 4, "both faces of both uprights"
