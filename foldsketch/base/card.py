"""Card: its thickness, how it is creased, and what a fold takes up. Lengths mm, angles radians."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import pi, sin, tan

from foldsketch.base.findings import mm
from foldsketch.base.messages import CARD_THICKNESS, CARD_UNKNOWN
from foldsketch.base.units import MM_PER_UNIT, format_number

BULK_CM3_PER_G = 1.25
"""cm3/g of uncoated card: its thickness in um is grammage times bulk [common practice; makers give 0.9 to 1.4]."""

MIN_THICKNESS_MM, MAX_THICKNESS_MM = 0.05, 1.0
"""mm of card that can be folded by hand along a score."""

K_FACTOR = 0.5
"""Depth of the neutral line in a scored fold, where card neither stretches nor shrinks, as a share of thickness."""

_THICKNESS_PATTERN = re.compile(r"([0-9]*[.,]?[0-9]+) ?(mm|in|um)")
_GRAMMAGE_PATTERN = re.compile(r"([0-9]*[.,]?[0-9]+) ?(gsm|g|g/m2|g/m²)")


@dataclass(frozen=True, slots=True)
class Card:
    """The card that a model is printed on.

    Attributes
    ----------
    thickness : float
        mm, 0 for none.
    grammage : float or None
        g/m2, or None when the thickness itself was given.

    Examples
    --------
    >>> Card(0.25).text
    '0.25 mm'
    """

    thickness: float = 0.0
    grammage: float | None = None

    def __bool__(self) -> bool:
        return self.thickness > 0

    @property
    def text(self) -> str:
        """For the user.

        >>> parse_card("160gsm").text
        '160 g/m2 (about 0.2 mm)'
        """
        thick = f"{format_number(self.thickness, 3)} mm"
        return f"{format_number(self.grammage, 0)} g/m2 (about {thick})" if self.grammage else thick

    @property
    def creasing_advice(self) -> str:
        """How to crease it [common practice: above some 160 g/m2 folds are scored]."""
        if self.thickness < 0.18:
            return "crease along the ruler with an empty ballpoint pen"
        if self.thickness <= 0.35:
            return "score every fold along the ruler on the side that comes out, with a blunt knife, not through"
        return "cut every fold half through on the side that comes out; valleys from the back"


NO_CARD = Card()


def parse_card(text: str) -> Card:
    """Card from a grammage, `160gsm` (g/m2), or a thickness, `0.25mm`. Raises FoldsketchError.

    >>> parse_card("0.25mm")
    Card(thickness=0.25, grammage=None)
    """
    words = text.strip().lower()
    if found := _THICKNESS_PATTERN.fullmatch(words):
        thickness, grammage = float(found[1].replace(",", ".")) * MM_PER_UNIT[found[2]], None
    elif found := _GRAMMAGE_PATTERN.fullmatch(words):
        grammage = float(found[1].replace(",", "."))
        thickness = grammage * BULK_CM3_PER_G / 1000
    else:
        raise CARD_UNKNOWN.error("--card", given=text)
    if thickness == 0:
        return NO_CARD
    if not MIN_THICKNESS_MM <= thickness <= MAX_THICKNESS_MM:
        raise CARD_THICKNESS.error(
            "--card", thickness=mm(thickness, 3), least=mm(MIN_THICKNESS_MM), most=mm(MAX_THICKNESS_MM)
        )
    return Card(thickness, grammage)


def bend_allowance(angle: float, radius: float, thickness: float, neutral: float = K_FACTOR) -> float:
    """Length of the neutral line in a bend: angle (R + k T), R its inner radius [Machinery's Handbook 31, p. 1421].

    >>> round(bend_allowance(pi / 2, 0.0, 0.25), 3)
    0.196
    """
    return angle * (radius + neutral * thickness)


def crease_length_error(angle: float, thickness: float) -> float:
    """How much longer than drawn two panels come out across one scored crease, mm."""
    return thickness * tan(angle / 2) - bend_allowance(angle, 0.0, thickness)


def tab_crease_shift(angle: float, thickness: float) -> float:
    """How far a tab's crease is moved into its panel, mm; below 0 at a valley (angle below 0).

    From a right angle on the tab lies one thickness T under the panel it is glued to: T / sin(angle), at most 2 T. At
    a flatter fold that would leave a gap wider than T, so the two overlap: T tan(angle / 2), which puts the tab
    T (1 - cos(angle)) under the panel, and is 0 where paper is not folded.

    >>> tab_crease_shift(pi / 2, 0.25), tab_crease_shift(-pi / 2, 0.25), round(tab_crease_shift(2 * pi / 3, 0.25), 4)
    (0.25, -0.25, 0.2887)
    """
    steep = abs(angle)
    share = tan(steep / 2) if steep <= pi / 2 else 1 / max(sin(steep), 0.5)
    shift = round(thickness * share, 12)
    return shift if angle > 0 else -shift
