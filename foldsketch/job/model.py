"""A paper model with every stage that led to it."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

from foldsketch.base.findings import LEVELS, Finding
from foldsketch.base.units import format_count
from foldsketch.net.model import Nets
from foldsketch.part.model import Feature, Part
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.paper import Paper, scale_text
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import JoinRule, Solids

if TYPE_CHECKING:
    from foldsketch.job.ladder import Ladder

MAX_SHEETS_SHOWN = 12
"""Sheets that a notebook shows of one model."""


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """A checked paper model: what `model` returns. In a notebook it shows its picture and its sheets.

    Attributes
    ----------
    part : Part
        The part as it is built, without the features that are only drawn.
    faceted : FacetedPart
        Its features as prisms, paper mm.
    solids : Solids
        The glued blocks that the prisms form.
    nets : Nets
        The nets, paper mm; ``nets.scale`` is paper over part, ``nets.checks`` the fold-up check.
    sheets : tuple of Sheet
        The pages, with the place of every net on them.
    min_sheets : int
        No layout needs fewer pages: the area of the nets over the area of a page.
    paper : Paper
        Size of the pages, mm.
    findings : tuple of Finding
        Notes and warnings about the model.
    join : {"faces", "fuse"}
        How touching features were joined.
    drawn : tuple of Feature
        The features that are drawn on the faces and not built.
    step, step_up, step_down : Finding or None
        The step of the ladder that the model is, what the next step up would cost and the next one down save: code
        and values ``step`` and ``minutes``. None where there is no such step.
    ladder : Ladder or None
        All the steps that there were to choose from. None for a model made without a budget of minutes.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> foldsketch.model(part)
    <Model 'Eccentric shaft': 3 nets on 1 sheet A4 at 1:1>
    """

    part: Part
    faceted: FacetedPart
    solids: Solids
    nets: Nets
    sheets: tuple[Sheet, ...]
    min_sheets: int
    paper: Paper
    findings: tuple[Finding, ...]
    join: JoinRule = "faces"
    drawn: tuple[Feature, ...] = ()
    step: Finding | None = None
    step_up: Finding | None = None
    step_down: Finding | None = None
    ladder: Ladder | None = None

    def __repr__(self) -> str:
        nets, sheets = format_count(len(self.nets.pieces), "net"), format_count(len(self.sheets), "sheet")
        worst = ", ".join(
            format_count(n, level) for level in LEVELS[:2] if (n := sum(f.level == level for f in self.findings))
        )
        scale = scale_text(self.nets.scale)
        return f"<Model '{self.part.name}': {nets} on {sheets} {self.paper.name} at {scale}{worst and f', {worst}'}>"

    def _repr_html_(self) -> str:
        """Picture and sheets, for notebooks."""
        from foldsketch.job.preview import preview_png
        from foldsketch.sheet.page.draw import draw_sheets
        from foldsketch.write.svg import svg

        picture = preview_png(self.part, self.faceted, self.solids, self.nets.scale, self.nets)
        pages = draw_sheets(self.nets, self.sheets)[:MAX_SHEETS_SHOWN]
        images = [_image("image/png", picture, 260), *(_image("image/svg+xml", svg(page), 180) for page in pages)]
        left = len(self.sheets) - len(pages)
        more = f"<p>and {format_count(left, 'more sheet')}</p>" if left else ""
        return f"<p>{escape(repr(self)[1:-1])}</p>{''.join(images)}{more}"


def _image(kind: str, data: bytes, width: int) -> str:
    address = f"data:{kind};base64,{base64.b64encode(data).decode()}"
    return f'<img style="width:{width}px;margin:4px;background:white" src="{address}">'
