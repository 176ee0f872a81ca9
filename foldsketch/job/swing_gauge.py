"""Swing gauge and stand: to turn the paper model about each axis and see that its sweep is clear."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from foldsketch.base.drawing import Drawing
from foldsketch.base.lettering import wrap_text
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.job import pipeline
from foldsketch.net.model import Mark, Nets, Panel, Piece
from foldsketch.net.refold import check_nets
from foldsketch.part.model import Axis, Feature, Part, Plate
from foldsketch.setup.access.sweep import swept_profile
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.sheet.layout.caption_positions import letter_nets
from foldsketch.sheet.layout.pack import pack
from foldsketch.sheet.layout.paper import parse_paper
from foldsketch.sheet.page.draw import draw_sheets

GAUGE_CLEARANCE_MM = 1.5
"""Clearance between the gauge's edge and the swept outline, mm on paper."""

GAUGE_RIM_MM = 12.0
"""Card beyond the swept outline, mm on paper."""

GAUGE_TEXT_MM, GAUGE_LINES = 2.5, 2
"""Capital height of the words on a gauge, mm, and lines that its rim has room for."""

STAND_WALL_MM, STAND_WIDTH_MM = 12.0, 40.0
"""Thickness of the stand's uprights and base, and its width, mm on paper."""


@dataclass(frozen=True, slots=True, eq=False)
class SwingGauge:
    """The stand's checked model and the gauges' nets, one for each set-up, with the pages of both."""

    stand: pipeline.Model
    gauge_nets: Nets
    pages: tuple[Drawing, ...]


def make_swing_gauge(
    plan: SetUpPlan, scale: float, paper: str = "A4", listener: Listener = ignore_progress
) -> SwingGauge:
    """The stand, and a gauge for every set-up that turns something, for a model at a scale (paper over part).

    Raises FoldsketchError when a gauge fits no page or the stand does not fold.
    """
    setups = [s for s in plan.setups if s.features]
    stand = pipeline.make_model(
        stand_part(plan, setups, scale), pipeline.Choices(paper=paper, scale=1.0, join="fuse"), listener
    )
    nets = Nets(
        f"{plan.part}, swing gauges",
        scale,
        (),
        (),
        tuple(_gauge_card(s, str(k + 1), scale) for k, s in enumerate(setups)),
    )
    nets = replace(nets, checks=check_nets(nets))
    sheets = pack(nets.pieces, parse_paper(paper))
    cards = draw_sheets(replace(nets, pieces=letter_nets(nets.pieces, sheets)), sheets)
    return SwingGauge(stand, nets, (*draw_sheets(stand.nets, stand.sheets), *cards))


def stand_part(plan: SetUpPlan, setups: list[SetUp], scale: float) -> Part:
    """The stand as a part, paper mm: a base and two uprights with the pin's axis through them.

    The axis is so high that every set-up swings clear of the base.
    """
    reach = max((s.swing / 2 for s in setups), default=20.0) * scale
    rings = [w for s in setups for w in s.sweep]
    length = (max((w.end for w in rings), default=20.0) - min((w.start for w in rings), default=0.0)) * scale
    height = reach + 8.0 + STAND_WALL_MM
    inner = length / 2 + 8.0
    half = STAND_WIDTH_MM / 2
    side = ((-half, STAND_WALL_MM - height), (half, STAND_WALL_MM - height), (half, 10.0), (-half, 10.0))
    far = inner + STAND_WALL_MM
    base = ((-far, -half), (far, -half), (far, half), (-far, half))
    return Part(
        f"{plan.part}, stand",
        (Axis("A"), Axis("pin", (0.0, 0.0, height), (1.0, 0.0, 0.0))),
        (
            Feature("base", "A", Plate(outline=base), 0.0, STAND_WALL_MM),
            Feature("left upright", "pin", Plate(outline=side), -far, -inner),
            Feature("right upright", "pin", Plate(outline=side), inner, far),
        ),
    )


def _gauge_card(s: SetUp, number: str, scale: float) -> Piece:
    """A flat card with the swept outline cut out of its lower edge, which is held at the pin's height."""
    steps = swept_profile(s.sweep)
    low = steps[0][0]
    top = max(r for _, _, r in steps) * scale + GAUGE_CLEARANCE_MM + GAUGE_RIM_MM
    end = (steps[-1][1] - low) * scale + GAUGE_RIM_MM
    points: list[tuple[float, float]] = [(-GAUGE_RIM_MM, 0.0), (-GAUGE_CLEARANCE_MM, 0.0)]
    for k, (z0, z1, r) in enumerate(steps):
        # Where the outline steps, the notch is as wide as the larger neighbour needs.
        before = steps[k - 1][2] if k else 0.0
        after = steps[k + 1][2] if k + 1 < len(steps) else 0.0
        x0 = (z0 - low) * scale + (GAUGE_CLEARANCE_MM if before > r else -GAUGE_CLEARANCE_MM)
        x1 = (z1 - low) * scale + (-GAUGE_CLEARANCE_MM if after > r else GAUGE_CLEARANCE_MM)
        y = r * scale + GAUGE_CLEARANCE_MM
        points += [(x0, y), (x1, y)]
    points += [((steps[-1][1] - low) * scale + GAUGE_CLEARANCE_MM, 0.0), (end, 0.0), (end, top), (-GAUGE_RIM_MM, top)]
    # The notch is walked left to right below the card, so the outline runs anticlockwise.
    outline = np.array([p for k, p in enumerate(points) if k == 0 or p != points[k - 1]])
    outline = outline - outline.min(axis=0)
    panel = Panel(0, outline, (), f"set-up {s.number}", "other", 0, np.eye(3), np.zeros(3))
    c = s.clamping
    width = float(outline[:, 0].max())
    name = f"set-up {s.number}: axis {c.on_centreline} on the centreline"
    lines = wrap_text(f"{name}; straight edges along the pin: nothing may touch", GAUGE_TEXT_MM, width - 6.0)
    lines = lines if len(lines) <= GAUGE_LINES else wrap_text(name, GAUGE_TEXT_MM, width - 6.0)
    marks = tuple(
        Mark("text", 0, "", (width / 2, top - 3.2 - 3.9 * k), line, GAUGE_TEXT_MM)
        for k, line in enumerate(lines[:GAUGE_LINES])
    )
    return Piece(number, 0, (panel,), (), marks=marks)
