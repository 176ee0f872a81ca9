"""A colour for every axis: dark enough for thin lines, apart in grey and for colour-blind readers.

Lightness is halved again and again, so that the first few axes differ most on a grey copy; the hue goes on by an
even step. Both are laid out in CIE 1976 L*a*b* and brought to sRGB (IEC 61966-2-1).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import cos, radians, sin

from foldsketch.base.drawing import Colour

MIN_LIGHTNESS, MAX_LIGHTNESS = 14.0, 49.0
"""Range of L*. 49 keeps a contrast of 4.5:1 to white paper, 14 still differs from the black of cuts."""

COLOUR_COUNT = 26
"""Axes with a colour of their own: A to Z."""


def _lightness_fraction(k: int) -> float:
    """Where in the range axis k is: at an end, then halfway between those before it (van der Corput's sequence).

    >>> [_lightness_fraction(k) for k in range(9)]
    [0.0, 1.0, 0.5, 0.25, 0.75, 0.125, 0.625, 0.375, 0.875]
    """
    if k < 2:
        return float(k)
    digits = f"{k - 1:b}"
    return float(sum(int(d) / 2 ** (place + 1) for place, d in enumerate(reversed(digits))))


FIRST_AXES: tuple[Colour, ...] = (
    (0x11 / 255, 0x11 / 255, 0x11 / 255),
    (0x0A / 255, 0x5C / 255, 0xA8 / 255),
    (0xB3 / 255, 0x4A / 255, 0.0),
)
"""Ink, blue and burnt orange of the first three axes, which most parts have no more of: far apart for all kinds of
colour blindness. On a grey copy the letter tells blue from orange."""

FIRST_HUES_DEG = (262.0, 57.0)
"""Hues of the second and the third, degrees, for other backgrounds; the first is grey there."""

FIRST_HUE_DEG, HUE_STEP_DEG, LIGHTNESS_SKIPPED = 110.0, 70.0, 2
"""Hue of the others: that of axis k is the first and k steps, degrees; and so many lightnesses are passed over. Of all
steps of ten degrees these keep the colours farthest apart, and from the first three, under three kinds of colour
blindness."""

_XYZ_TO_LINEAR_SRGB = (
    (3.2409699, -1.5373832, -0.4986108),
    (-0.9692436, 1.8759675, 0.0415551),
    (0.0556301, -0.2039770, 1.0569715),
)
_WHITE_POINT_D65 = (0.9504559, 1.0, 1.0890578)


def axis_colours(names: Sequence[str]) -> dict[str, Colour]:
    """The colour of every axis: A to Z have their own wherever they appear.

    Another name takes the next that is free, and after 26 they start again, so that only the letters differ.

    >>> two = axis_colours(["B", "pin"])
    >>> two["pin"] == axis_colours(["A"])["A"], two["B"] == axis_colours("AB")["B"]
    (True, True)
    """
    colours = palette()
    return {name: colours[k] for name, k in axis_colour_indices(names).items()}


def axis_colour_indices(names: Sequence[str]) -> dict[str, int]:
    """Which colour of the palette every axis has.

    >>> axis_colour_indices(["B", "pin", "A"])
    {'B': 1, 'A': 0, 'pin': 2}
    """
    own: dict[str, int] = {}
    for name in names:
        k = ord(name) - ord("A") if len(name) == 1 else -1
        if 0 <= k < COLOUR_COUNT:
            own[name] = k
    free = [k for k in range(COLOUR_COUNT) if k not in own.values()]
    for name in dict.fromkeys(n for n in names if n not in own):
        own[name] = free.pop(0) if free else len(own) % COLOUR_COUNT
    return own


@lru_cache
def palette(first: float = MIN_LIGHTNESS, last: float = MAX_LIGHTNESS) -> tuple[Colour, ...]:
    """The colours in turn, sRGB from 0 to 1.

    first, last: L* of the first axis and of the second, with the others between; lighter ones are for a dark
    background.
    """
    ways = [
        (
            first + (last - first) * _lightness_fraction(k + LIGHTNESS_SKIPPED * (k >= len(FIRST_AXES))),
            radians(FIRST_HUE_DEG + HUE_STEP_DEG * k),
        )
        for k in range(COLOUR_COUNT)
    ]
    begin = FIRST_AXES
    if (first, last) != (MIN_LIGHTNESS, MAX_LIGHTNESS):
        grey = _srgb_gamma(_lab_to_linear_srgb(first, 0.0, 0.0)[1])
        blue, orange = (
            _most_saturated(lightness, radians(h)) for (lightness, _), h in zip(ways[1:3], FIRST_HUES_DEG, strict=True)
        )
        begin = ((grey,) * 3, blue, orange)
    return (*begin, *(_most_saturated(lightness, hue) for lightness, hue in ways[len(begin) :]))


def _most_saturated(lightness: float, hue: float) -> Colour:
    """The most saturated colour of a lightness and hue that sRGB holds."""
    low, high = 0.0, 70.0
    for _ in range(12):
        middle = (low + high) / 2
        linear = _lab_to_linear_srgb(lightness, middle * cos(hue), middle * sin(hue))
        if min(linear) >= 0 and max(linear) <= 1:
            low = middle
        else:
            high = middle
    r, g, b = (_srgb_gamma(v) for v in _lab_to_linear_srgb(lightness, low * cos(hue), low * sin(hue)))
    return (r, g, b)


def _lab_to_linear_srgb(lightness: float, a: float, b: float) -> tuple[float, ...]:
    """Linear sRGB of an L*a*b* colour (CIE 15:2004, white D65)."""
    fy = (lightness + 16) / 116
    xyz = [w * _inverse_lab_curve(f) for w, f in zip(_WHITE_POINT_D65, (fy + a / 500, fy, fy - b / 200), strict=True)]
    return tuple(sum(m * v for m, v in zip(row, xyz, strict=True)) for row in _XYZ_TO_LINEAR_SRGB)


def _inverse_lab_curve(f: float) -> float:
    return f**3 if f > 6 / 29 else 3 * (6 / 29) ** 2 * (f - 4 / 29)


def _srgb_gamma(v: float) -> float:
    v = min(1.0, max(0.0, v))
    made = 12.92 * v if v <= 0.0031308 else 1.055 * v ** (1 / 2.4) - 0.055
    return round(made * 255) / 255
