"""What every page of a booklet draws on, and phrases that its steps share."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from foldsketch.assembly.build_warnings import MIN_COMFORTABLE_WIDTH_MM, tab_widths
from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.base.arrays import Array
from foldsketch.base.drawing import Colour
from foldsketch.net.model import Nets, Piece
from foldsketch.sheet.booklet.step_views import StepView
from foldsketch.sheet.booklet.untabbed_edges import format_number_ranges

NEEDLE_REACH_MM = 35.0
"""Length of a sewing needle, mm [common practice]."""


@dataclass(frozen=True, slots=True)
class BookletContext:
    """What every page of a booklet draws on.

    sheet_positions: of every net the number of its sheet and how it is turned there.
    """

    nets: Nets
    pieces: dict[str, Piece]
    colours: Mapping[str, Colour]
    sheet_positions: dict[str, tuple[int, float]]
    steps: list[AssemblyStep]

    @property
    def numbered(self) -> bool:
        """Whether tabs and edges have their numbers on the sheets; else the pictures show them."""
        tabs = any(t.label_size for p in self.nets.pieces for t in p.tabs)
        return tabs or any(
            m.kind == "text" and m.text.isdigit() and m.text != p.id for p in self.nets.pieces for m in p.marks
        )

    @property
    def pairs(self) -> str:
        """What is printed on two edges that meet."""
        return "numbers" if self.numbered else "signs"


def has_tongues(nets: Nets) -> bool:
    """Whether a block stands on tongues, or is tucked together: there are slits to cut."""
    return any(not t.glued for p in nets.pieces for t in p.tabs)


def needs_stick(nets: Nets) -> bool:
    """Whether the pin holes of an axis are farther apart than a needle is long."""
    ends: dict[str, list[Array]] = {}
    for p in nets.pieces:
        for m in p.marks:
            if m.dots and m.panel is not None:
                ends.setdefault(m.axis, []).append(p.panel(m.panel).in_space(np.array(m.at)))
    return any(float(np.linalg.norm(np.ptp(points, axis=0))) > NEEDLE_REACH_MM for points in ends.values())


def holding_tools(nets: Nets) -> list[str]:
    """What holds a model, besides its own paper."""
    if nets.hold == "glue":
        return ["paper glue"]
    strips = any(b.strips for p in nets.pieces for b in p.butts) or any(j.taped for j in nets.joints)
    return ["tape 12 to 19 mm wide"] if strips else []


def tools_needed(context: BookletContext) -> tuple[str, ...]:
    """The tools and what holds the model, one entry each."""
    nets = context.nets
    pins = any(m.dots for p in nets.pieces for m in p.marks)
    holed = any(q.holes for p in nets.pieces for q in p.panels) or has_tongues(nets)
    pressed = any(s.folded_features for s in context.steps)  # a net of many features is pressed together from inside
    tools = ["scissors", "a knife and a mat" if holed else "a knife and a mat if needed"]
    tools += ["a ruler", "an empty ballpoint pen for creasing"]
    tools += holding_tools(nets)
    tools += ["a needle"] if pins else []
    tools += ["a thin stick"] if holed or pressed or (pins and (nets.joints or needs_stick(nets))) else []
    if any(w < MIN_COMFORTABLE_WIDTH_MM for w in tab_widths([t for p in nets.pieces for t in p.tabs if not t.part])):
        tools.append("tweezers and a pointed brush for small tabs")
    return tuple(tools)


def format_tabs(context: BookletContext, numbers: Sequence[int]) -> str:
    """Tabs, or the teeth of rims, by their numbers."""
    rims = {n for p in context.nets.pieces for n, many in Counter(t.number for t in p.tabs).items() if many > 1}
    toothed = rims & set(numbers)
    one = "tab" if len(numbers) == 1 else "tabs"
    word = one if not toothed else "teeth" if toothed == set(numbers) else "teeth and tabs"
    return f"{word} {format_number_ranges(numbers)}"


def format_edges(numbers: Sequence[int]) -> str:
    """Taped edges, by their numbers."""
    return f"{'edge' if len(numbers) == 1 else 'edges'} {format_number_ranges(numbers)}"


def format_nets(ids: Sequence[str]) -> str:
    """Nets, by their numbers."""
    return f"net {ids[0]}" if len(ids) == 1 else f"nets {', '.join(ids[:-1])} and {ids[-1]}"


def tucked_tabs_text(step: AssemblyStep) -> list[str]:
    """About tabs on the face that closes last."""
    if not step.tucked_tabs:
        return []
    if len(step.tucked_tabs) == 1:
        return [f"Tab {step.tucked_tabs[0]} is on the last face itself: slide it in first, behind its edge."]
    return [
        f"Tabs {format_number_ranges(step.tucked_tabs)} are on the last face itself: slide them in first, "
        "behind their edges."
    ]


def upside_down_text(view: StepView) -> list[str]:
    """About a picture that shows the part upside down."""
    return ["The picture is upside down."] if view.upside_down else []


def format_features(piece: Piece) -> str:
    """The features of a net."""
    return ", ".join(dict.fromkeys(p.feature for p in piece.panels))
