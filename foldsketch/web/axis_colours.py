"""The axes' colours on screens, as a style sheet: the hues of the sheets, light enough or dark enough for the ground.

An element of class paint0, paint1 … knows its axis's colour as --axis, for the page's own ground, and as --print, for
paper, which is light in the dark too.
"""

from __future__ import annotations

from foldsketch.base.drawing import Colour
from foldsketch.sheet.page.axis_colours import palette

LIGHTNESS_ON_LIGHT = 14.0, 44.0
"""L* of the first and the second axis on light ground: 44 keeps a contrast of 4.5:1 to the greyest of the page's."""

LIGHTNESS_ON_DARK = 90.0, 62.0
"""The same on dark ground, the other way round: what is darkest on paper is lightest there."""


def axis_style_sheet() -> str:
    """The style sheet."""
    light, dark = _hex_colours(palette(*LIGHTNESS_ON_LIGHT)), _hex_colours(palette(*LIGHTNESS_ON_DARK))
    lines = [_root_rule(light), "@media (prefers-color-scheme: dark) { " + _root_rule(dark) + " }"]
    lines += [f".paint{k} {{ --axis: var(--axis{k}); --print: {c}; }}" for k, c in enumerate(light)]
    return "\n".join(lines) + "\n"


def _hex_colours(colours: tuple[Colour, ...]) -> list[str]:
    return ["#" + "".join(f"{round(v * 255):02x}" for v in c) for c in colours]


def _root_rule(colours: list[str]) -> str:
    return ":root { " + " ".join(f"--axis{k}: {c};" for k, c in enumerate(colours)) + " }"
