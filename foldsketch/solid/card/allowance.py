"""Allow for the card: skins drawn in by half its thickness, so that the built model measures what it should outside.

The sheet folds along its middle. A face that is to lie at the part's surface needs its middle half a thickness below
it: bosses come out smaller on paper, bores wider, tubes shorter by a whole thickness.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from foldsketch.base.card import Card
from foldsketch.base.findings import Finding
from foldsketch.base.units import format_number
from foldsketch.part.model import Cylinder, Feature, Part, Ring
from foldsketch.solid.card.offset_by_features import offset_block
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.faceting.clearances import parallel_axis_distance
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import Block, Solids

MIN_WALL_LAYERS = 4
"""Thicknesses that lie in a wall: two skins and the tabs behind both."""

SLIDING_CLEARANCE_MM = 0.2
"""Clearance on the diameter, mm, with which paper slides in paper [common practice]."""


def apply_card_allowance(faceted: FacetedPart, solids: Solids, card: Card, scale: float) -> Solids:
    """The blocks with their skins drawn in by half the card's thickness, and findings where card will not fit.

    Joints stay where they are: they are contacts of the outsides. Nothing changes without card.
    """
    if not card:
        return solids
    blocks, findings = [], list(solids.findings)
    for b in solids.blocks:
        half = card.thickness / 2
        skin = inset_skin(b.skin, half) or offset_block(faceted, b, half)
        if skin is None:
            findings.append(_no_allowance_warning(faceted, b, card))
        blocks.append(Block(b.id, b.features, skin or b.skin))
    findings += check_card_fit(faceted.part, card, scale)
    return replace(solids, blocks=tuple(blocks), findings=tuple(findings))


def _no_allowance_warning(faceted: FacetedPart, block: Block, card: Card) -> Finding:
    name = faceted.prisms[block.features[0]].feature.name
    return Finding(
        "warning",
        f"block of '{name}'",
        f"is drawn without allowance for card: it comes out {format_number(card.thickness, 2)} mm thicker all over",
        "thinner card, a larger scale, or --join faces",
    )


def check_card_fit(part: Part, card: Card, scale: float) -> list[Finding]:
    """Where card will not go: walls with no room for the layers in them, and spigots in bores of their own size."""
    found = []
    material = [f for f in part.features if not f.cut and isinstance(f.shape, Cylinder | Ring)]
    for f in material:
        for radius, distance, name in _parallel_bores(part, f):
            own, bore, beside = f.radius * scale, radius * scale, distance * scale
            wall = own - beside - bore
            # What is written after a cut is not cut by it, nor is a shaft by the bore of a ring.
            own_bore = name is f or (name.cut and not _is_listed_later(part, f, name))
            if own_bore and 1e-9 < wall < MIN_WALL_LAYERS * card.thickness:
                what = (
                    f"the wall to '{name.name}' is {format_number(wall, 2)} mm on paper, too thin "
                    f"for two layers and their tabs"
                )
                found.append(Finding("warning", f"feature '{f.name}'", what, "thinner card or a larger scale"))
            # Material written later stands in the bore: a shaft in its sleeve.
            if (
                beside < 1e-9
                and abs(own - bore) < (SLIDING_CLEARANCE_MM + card.thickness) / 2
                and _is_listed_later(part, f, name)
            ):
                what = f"would bind in '{name.name}': no clearance for card"
                cure = (
                    f"give it {format_number((SLIDING_CLEARANCE_MM + card.thickness) / scale, 2)} "
                    f"mm less diameter, or leave it out"
                )
                found.append(Finding("warning", f"feature '{f.name}'", what, cure))
    return found


def _parallel_bores(part: Part, f: Feature) -> Sequence[tuple[float, float, Feature]]:
    """Round bores on axes parallel to a feature's that share some of its length: radius, how far the axes are apart,
    mm, and the feature."""
    result = []
    for g in part.features:
        radius = g.shape.bore / 2 if isinstance(g.shape, Ring) and not g.cut else g.radius
        if not ((g.cut and isinstance(g.shape, Cylinder)) or (isinstance(g.shape, Ring) and not g.cut)):
            continue
        distance = parallel_axis_distance(part.axis(f.axis), part.axis(g.axis))
        together = f.start < g.end - 1e-9 and g.start < f.end - 1e-9
        if distance is not None and together and (g is not f or radius < f.radius):
            result.append((radius, distance, g))
    return result


def _is_listed_later(part: Part, f: Feature, bore: Feature) -> bool:
    order = [g.name for g in part.features]
    return f is not bore and order.index(f.name) > order.index(bore.name)
