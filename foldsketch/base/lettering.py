"""The sheet font: where it lies, how wide a word is, which characters it lacks.

Noto Sans from the wheel fontpkg-noto-sans. Widths are those of its default weight.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

SMALLEST = 1.8
"""Smallest capital height that may be printed, mm (ISO 3098-1 series)."""

SERIES = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
"""Nominal capital heights, mm [ISO 3098-1]."""


@lru_cache(maxsize=1)
def font_path() -> Path:
    """The font file."""
    return Path(str(files("fontpkg_noto_sans") / "files" / "NotoSans[wdth,wght].ttf"))


@lru_cache(maxsize=1)
def _tables() -> tuple[dict[int, str], Any, float, float]:
    from fontTools.ttLib import TTFont

    with TTFont(font_path(), lazy=True) as font:
        cap = float(font["OS/2"].sCapHeight)
        return font.getBestCmap(), font["hmtx"].metrics, float(font["head"].unitsPerEm), cap


def em_per_capital() -> float:
    """Font size over capital height."""
    _, _, em, cap = _tables()
    return em / cap


@lru_cache(maxsize=4096)
def width(text: str, size: float) -> float:
    """Width in mm of one line of text at a capital height of size mm."""
    cmap, metrics, _, cap = _tables()
    total = sum(metrics[cmap.get(ord(c), ".notdef")][0] for c in text)
    return float(total) * size / cap


def missing(text: str) -> tuple[str, ...]:
    """The characters of text that the font cannot show, each once, in order."""
    cmap = _tables()[0]
    seen: dict[str, None] = {}
    for c in unicodedata.normalize("NFC", text):
        if ord(c) not in cmap and not c.isspace():
            seen[c] = None
    return tuple(seen)
