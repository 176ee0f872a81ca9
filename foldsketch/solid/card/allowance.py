"""Card thickness: skins move inwards by half of it, so that the built model has the right size outside.

The sheet folds along its middle. For a face to end up at the part's surface, the middle of its sheet must lie half a
thickness below: spigots get smaller on paper, bores larger, tubes shorter by a whole thickness.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from foldsketch.base.card import Card
from foldsketch.base.findings import Finding, mm
from foldsketch.part.model import Cylinder, Feature, Part, Ring
from foldsketch.solid import messages
from foldsketch.solid.card.offset_by_features import offset_block
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.faceting.clearances import parallel_axis_distance
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import Solids

MIN_WALL_LAYERS = 4
"""Layers of card in a wall: two skins and the tabs behind both."""

SLIDING_CLEARANCE_MM = 0.2
"""Clearance on the diameter, mm, with which paper slides in paper [common practice]."""


def apply_card_allowance(faceted: FacetedPart, solids: Solids, card: Card, scale: float) -> Solids:
    """The blocks with their skins moved inwards by half the card's thickness, and findings where card will not fit.

    Joints stay where they are: outer surfaces touch there. Without card nothing changes.
    """
    if not card:
        return solids
    blocks, findings = [], list(solids.findings)
    for b in solids.blocks:
        half = card.thickness / 2
        skin = inset_skin(b.skin, half) or offset_block(faceted, b, half)
        if skin is None:
            name = faceted.prisms[b.features[0]].feature.name
            findings.append(messages.CARD_NOT_COMPENSATED.at(f"block of '{name}'", thickness=mm(card.thickness)))
        blocks.append(replace(b, skin=skin or b.skin))
    findings += check_card_fit(faceted.part, card, scale)
    return replace(solids, blocks=tuple(blocks), findings=tuple(findings))


def check_card_fit(part: Part, card: Card, scale: float) -> list[Finding]:
    """Warnings of walls too thin for their layers of card, and of spigots in bores of their own size."""
    found = []
    order = {f.name: k for k, f in enumerate(part.features)}
    for f in part.features:
        if f.cut or not isinstance(f.shape, Cylinder | Ring):
            continue
        where = f"feature '{f.name}'"
        for radius, distance, bored in _bores_beside(part, f):
            # A cut takes from what comes before it in the part file; a ring's own bore takes from the ring only.
            added_later = order[f.name] > order[bored.name]
            wall = (f.radius - distance - radius) * scale
            if (bored is f or (bored.cut and not added_later)) and 1e-9 < wall < MIN_WALL_LAYERS * card.thickness:
                found.append(messages.WALL_TOO_THIN.at(where, bore=bored.name, wall=mm(wall)))
            clearance = SLIDING_CLEARANCE_MM + card.thickness
            if added_later and distance * scale < 1e-9 and abs(f.radius - radius) * scale < clearance / 2:
                found.append(messages.SPIGOT_JAMS.at(where, bore=bored.name, reduction=mm(clearance / scale)))
    return found


def _bores_beside(part: Part, f: Feature) -> Iterator[tuple[float, float, Feature]]:
    """Bores on parallel axes that overlap a feature in height: radius, distance of the axes, mm, and whose it is."""
    for g in part.features:
        if isinstance(g.shape, Ring) and not g.cut:
            radius = g.shape.bore / 2
        elif isinstance(g.shape, Cylinder) and g.cut:
            radius = g.radius
        else:
            continue
        distance = parallel_axis_distance(part.axis(f.axis), part.axis(g.axis))
        if distance is not None and f.start < g.end - 1e-9 and g.start < f.end - 1e-9:
            yield radius, distance, g
