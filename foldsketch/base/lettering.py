"""The sheet font: where it lies, how wide a word is, which characters it lacks.

Noto Sans from the wheel fontpkg-noto-sans. Widths are those of its default weight.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any


@lru_cache(maxsize=1)
def font_path() -> Path:
    """The font file."""
    return Path(str(files("fontpkg_noto_sans") / "files" / "NotoSans[wdth,wght].ttf"))


@lru_cache(maxsize=1)
def _font_tables() -> tuple[dict[int, str], Any, float, float]:
    from fontTools.ttLib import TTFont

    with TTFont(font_path(), lazy=True) as font:
        cap = float(font["OS/2"].sCapHeight)
        return font.getBestCmap(), font["hmtx"].metrics, float(font["head"].unitsPerEm), cap


def em_per_cap_height() -> float:
    """Font size over capital height."""
    _, _, em, cap = _font_tables()
    return em / cap


@lru_cache(maxsize=4096)
def text_width(text: str, size: float) -> float:
    """Width in mm of one line of text at a capital height of size mm."""
    cmap, metrics, em, cap = _font_tables()
    # A character from another font is taken as an em wide, which is what most of those are.
    total = sum(metrics[cmap[ord(c)]][0] if ord(c) in cmap else em for c in text)
    return float(total) * size / cap


UNDERLINE_DROP_SHARE = 0.18
"""How far below its foot a number is underlined, as a share of its capital height."""

_UPSIDE_DOWN_DIGITS = str.maketrans("69", "96")


def is_ambiguous_upside_down(text: str) -> bool:
    """Whether a number reads as another one upside down.

    >>> [n for n in ("6", "8", "10", "16", "69", "81") if is_ambiguous_upside_down(n)]
    ['6', '16', '81']
    """
    return set(text) <= set("01689") and text != text[::-1].translate(_UPSIDE_DOWN_DIGITS) and not text.endswith("0")


def truncate_text(text: str, size: float, room: float) -> str:
    """A line of text cut to a width in mm, with an ellipsis where something is left out."""
    if text_width(text, size) <= room:
        return text
    while text and text_width(text + "…", size) > room:
        text = text[:-1]
    return text + "…"


def wrap_text(text: str, size: float, room: float) -> list[str]:
    """Text in lines no wider than room, broken at blanks; a longer word stands alone."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def missing_characters(text: str) -> tuple[str, ...]:
    """The characters of text that the font cannot show, each once, in order."""
    cmap = _font_tables()[0]
    seen: dict[str, None] = {}
    for c in unicodedata.normalize("NFC", text):
        if ord(c) not in cmap and not c.isspace():
            seen[c] = None
    return tuple(seen)


FALLBACK_FONT_FILES = (
    "DejaVuSans.ttf",
    "NotoSansCJK-Regular.ttc",
    "NotoSansSC-Regular.ttf",
    "NotoSansSC-Regular.otf",
    "wqy-zenhei.ttc",
    "wqy-microhei.ttc",
    "DroidSansFallbackFull.ttf",
)
"""Fonts that may lie on a machine and hold what the sheet font lacks, by file name."""

FONT_FOLDERS = (
    "/usr/share/fonts",
    "/usr/local/share/fonts",
    "/Library/Fonts",
    "/System/Library/Fonts",
    "C:/Windows/Fonts",
)


@lru_cache(maxsize=64)
def find_fallback_font(character: str) -> Path | None:
    """A font on this machine that can show a character which the sheet font lacks; looked for only then."""
    from fontTools.ttLib import TTFont

    for folder in FONT_FOLDERS:
        if not Path(folder).is_dir():
            continue
        for name in FALLBACK_FONT_FILES:
            for path in sorted(Path(folder).rglob(name)):
                try:
                    with path.open("rb") as file, TTFont(file, lazy=True, fontNumber=0) as font:
                        # PDF embedding needs TrueType outlines.
                        if "glyf" in font and ord(character) in font.getBestCmap():
                            return path
                except Exception:  # a font file of the machine that cannot be read is no fallback
                    continue
    return None


@lru_cache(maxsize=4096)
def font_runs(text: str) -> tuple[tuple[str, str], ...]:
    """The text cut into runs of one font each: (font file, characters). What no font has becomes a question mark."""
    absent = set(missing_characters(text))
    if not absent:
        return ((str(font_path()), text),)
    result: list[tuple[str, str]] = []
    for c in text:
        path = font_path()
        if c in absent:
            found = find_fallback_font(c)
            path, c = (found, c) if found else (font_path(), "?")
        if result and result[-1][0] == str(path):
            result[-1] = (str(path), result[-1][1] + c)
        else:
            result.append((str(path), c))
    return tuple(result)


def unprintable_characters(texts: Iterable[str]) -> tuple[str, ...]:
    """The characters of texts that no font on this machine can show, each once."""
    seen: dict[str, None] = {}
    for text in texts:
        for c in missing_characters(text):
            if find_fallback_font(c) is None:
                seen[c] = None
    return tuple(seen)
