"""The sheet font: its file, the width of text, and the characters it lacks.

Noto Sans from the wheel fontpkg-noto-sans. Widths are those of its default weight.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from struct import unpack_from


@lru_cache(maxsize=1)
def font_path() -> Path:
    """The font file."""
    return Path(str(files("fontpkg_noto_sans") / "files" / "NotoSans[wdth,wght].ttf"))


@lru_cache(maxsize=1)
def _font_tables() -> tuple[dict[int, int], float, float]:
    """Advance width of every character, the em and the capital height, font units, straight from the file.

    Importing a library for that took a tenth of a run. Layout of the tables: OpenType 1.9, chapters `otff`, `head`,
    `hhea`, `hmtx`, `OS/2` and `cmap`; the character map of the sheet font is of format 12.
    """
    data = font_path().read_bytes()
    tables = (unpack_from(">4sIII", data, 12 + 16 * k) for k in range(unpack_from(">H", data, 4)[0]))
    at = {tag.decode(): start for tag, _, start, _ in tables}
    (em,), (cap,) = unpack_from(">H", data, at["head"] + 18), unpack_from(">h", data, at["OS/2"] + 88)
    (count,) = unpack_from(">H", data, at["hhea"] + 34)
    widths = unpack_from(f">{2 * count}H", data, at["hmtx"])[::2]
    many = unpack_from(">H", data, at["cmap"] + 2)[0]
    maps = (unpack_from(">HHI", data, at["cmap"] + 4 + 8 * k) for k in range(many))
    full = at["cmap"] + next(start for platform, encoding, start in maps if (platform, encoding) == (3, 10))
    groups = (unpack_from(">III", data, full + 16 + 12 * k) for k in range(unpack_from(">I", data, full + 12)[0]))
    advance = {
        first + k: widths[min(glyph + k, count - 1)] for first, last, glyph in groups for k in range(last - first + 1)
    }
    return advance, float(em), float(cap)


def em_per_cap_height() -> float:
    """Font size over capital height."""
    _, em, cap = _font_tables()
    return em / cap


@lru_cache(maxsize=4096)
def text_width(text: str, size: float) -> float:
    """Width, mm, of one line of text; size: capital height, mm."""
    advance, em, cap = _font_tables()
    # A character from another font counts as one em wide, as most of those are.
    total = sum(advance.get(ord(c), em) for c in text)
    return float(total) * size / cap


UNDERLINE_DROP_SHARE = 0.18
"""Distance of the line under a number from its base line, as a share of its capital height."""

_UPSIDE_DOWN_DIGITS = str.maketrans("69", "96")


def is_ambiguous_upside_down(text: str) -> bool:
    """Whether a number reads as another number upside down.

    >>> [n for n in ("6", "8", "10", "16", "69", "81") if is_ambiguous_upside_down(n)]
    ['6', '16', '81']
    """
    return set(text) <= set("01689") and text != text[::-1].translate(_UPSIDE_DOWN_DIGITS) and not text.endswith("0")


_LIKE_ASCII = str.maketrans("l1|0", "IIIO")
"""Characters that differ from a capital letter by little more than their height."""


@lru_cache(maxsize=4096)
def _outline(character: str) -> object:
    """What the sheet font draws for a character, or the character where it has none."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen
    from fontTools.ttLib import TTFont

    with TTFont(font_path(), lazy=True) as font:
        glyph = font.getBestCmap().get(ord(character))
        if glyph is None:
            return character
        pen = DecomposingRecordingPen(font.getGlyphSet())
        font.getGlyphSet()[glyph].draw(pen)
        return tuple(pen.value) or character


def look_alike(one: str, other: str) -> bool:
    """Whether two texts look the same on paper although their characters differ.

    >>> look_alike("A", "\N{CYRILLIC CAPITAL LETTER A}"), look_alike("I", "l"), look_alike("A", "B")
    (True, True, False)
    """
    one, other = (unicodedata.normalize("NFKC", t).translate(_LIKE_ASCII) for t in (one, other))
    if one == other or len(one) != len(other):
        return one == other
    return all(
        a == b or (not (a + b).isascii() and _outline(a) == _outline(b)) for a, b in zip(one, other, strict=True)
    )


def truncate_text(text: str, size: float, max_width: float) -> str:
    """A line of text cut to a width, mm, with an ellipsis if anything is left out."""
    if text_width(text, size) <= max_width:
        return text
    while text and text_width(text + "…", size) > max_width:
        text = text[:-1]
    return text + "…"


def wrap_text(text: str, size: float, max_width: float) -> list[str]:
    """Text in lines no wider than max_width, mm, broken at blanks; a longer word has a line of its own."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= max_width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def missing_characters(text: str) -> tuple[str, ...]:
    """The characters of text that the sheet font lacks, each once, in order."""
    known, text = _font_tables()[0], unicodedata.normalize("NFC", text)
    return tuple(dict.fromkeys(c for c in text if ord(c) not in known and not c.isspace()))


FALLBACK_FONT_FILES = (
    "DejaVuSans.ttf",
    "NotoSansCJK-Regular.ttc",
    "NotoSansSC-Regular.ttf",
    "NotoSansSC-Regular.otf",
    "wqy-zenhei.ttc",
    "wqy-microhei.ttc",
    "DroidSansFallbackFull.ttf",
)
"""Fonts that may be installed and have what the sheet font lacks, by file name."""

FONT_FOLDERS = (
    "/usr/share/fonts",
    "/usr/local/share/fonts",
    "/Library/Fonts",
    "/System/Library/Fonts",
    "C:/Windows/Fonts",
)


@lru_cache(maxsize=64)
def find_fallback_font(character: str) -> Path | None:
    """The file of an installed font that has a character, or None."""
    from fontTools.ttLib import TTFont

    installed = (p for folder in FONT_FOLDERS for name in FALLBACK_FONT_FILES for p in sorted(Path(folder).rglob(name)))
    for path in installed:
        try:
            with path.open("rb") as file, TTFont(file, lazy=True, fontNumber=0) as font:
                # PDF embedding needs TrueType outlines.
                if "glyf" in font and ord(character) in font.getBestCmap():
                    return path
        except Exception:  # an installed font that cannot be read is no fallback
            continue
    return None


@lru_cache(maxsize=4096)
def font_runs(text: str) -> tuple[tuple[str, str], ...]:
    """The text cut into runs of one font each: (font file, characters). What no font has becomes a question mark.

    >>> [characters for _, characters in font_runs("Ø36")]
    ['Ø36']
    """
    absent = set(missing_characters(text))
    if not absent:
        return ((str(font_path()), text),)

    def printed(c: str) -> tuple[str, str]:
        path = find_fallback_font(c) if c in absent else font_path()
        return (str(path), c) if path else (str(font_path()), "?")

    runs = groupby(map(printed, text), key=itemgetter(0))
    return tuple((path, "".join(c for _, c in run)) for path, run in runs)


def unprintable_characters(texts: Iterable[str]) -> tuple[str, ...]:
    """The characters of texts that no installed font has, each once."""
    lacking = (c for text in texts for c in missing_characters(text))
    return tuple(dict.fromkeys(c for c in lacking if find_fallback_font(c) is None))
