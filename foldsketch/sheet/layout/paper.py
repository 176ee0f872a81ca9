"""Paper sizes, the part of a page that nets may use, and the scales of ISO 5455."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from difflib import get_close_matches

from foldsketch.base.units import MM_PER_UNIT
from foldsketch.sheet.messages import PAPER_MISSPELT, PAPER_OUT_OF_RANGE, PAPER_UNKNOWN, SCALE_INVALID

PAPER_SIZES_MM: dict[str, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
"""Width and height in mm, portrait [ISO 216; US sizes 8.5 x 11 and 11 x 17 inches]."""

PRINTER_MARGIN_MM = 7.0
"""Edge in mm that desktop printers cannot print on [common practice: 4 to 6.5 mm]."""

FOOTER_HEIGHT_MM = 26.0
"""Height in mm of the strip with check bar, title and legend."""

SIDE_STRIP_WIDTH_MM = 6.0
"""Width in mm of the strip with the upright check bar."""

STANDARD_SCALES: tuple[float, ...] = (
    *(f * 10**k for k in (1, 0) for f in (5, 2, 1)),
    *(1 / (f * 10**k) for k in range(4) for f in (2, 5, 10)),
)
"""Paper over part, largest first: 50:1 … 1:1 … 1:10000 [ISO 5455]."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A page as printed: name, width and height in mm."""

    name: str
    width: float
    height: float


def parse_paper(text: str) -> Paper:
    """A paper from its name or size. Raises FoldsketchError for an unknown one.

    >>> parse_paper("a4"), parse_paper("A3 landscape").width, parse_paper("200x300").name
    (Paper(name='A4', width=210.0, height=297.0), 420.0, '200 x 300 mm')
    """
    words = re.split(r"[\s\-_,]+", text.strip())
    name = " ".join(w for w in words if w.lower() not in {"landscape", "portrait"})
    custom = re.fullmatch(r"(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)\s*(mm|in)?", name)
    if custom:
        w, h = (float(custom[k]) * MM_PER_UNIT[custom[3] or "mm"] for k in (1, 2))
        if not (100 <= w <= 2000 and 100 <= h <= 2000):
            raise PAPER_OUT_OF_RANGE.error("--paper", given=text)
        name = f"{w:g} x {h:g} mm"
    else:
        known = {k.lower(): k for k in PAPER_SIZES_MM}
        if name.lower() not in known:
            close = get_close_matches(name.lower(), known, 1)
            if close:
                raise PAPER_MISSPELT.error("--paper", given=text, meant=known[close[0]])
            raise PAPER_UNKNOWN.error("--paper", given=text)
        name = known[name.lower()]
        w, h = PAPER_SIZES_MM[name]
    if "landscape" in map(str.lower, words):
        w, h, name = max(w, h), min(w, h), f"{name} landscape"
    return Paper(name, w, h)


def printable_size(paper: Paper) -> tuple[float, float]:
    """Width and height in mm of the area for nets; its lower left corner is `printable_origin()`."""
    return printable_part(paper.width, paper.height)


def printable_part(width: float, height: float) -> tuple[float, float]:
    """The same for a page of this width and height, mm."""
    return width - 2 * PRINTER_MARGIN_MM - SIDE_STRIP_WIDTH_MM, height - 2 * PRINTER_MARGIN_MM - FOOTER_HEIGHT_MM


def printable_origin() -> tuple[float, float]:
    """Lower left corner in mm of the area for nets."""
    return PRINTER_MARGIN_MM + SIDE_STRIP_WIDTH_MM, PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM


def parse_scale(text: str) -> float | None:
    """Paper over part from "1:2", "2:1" or "0.5"; None for "auto". Raises FoldsketchError.

    >>> parse_scale("1:2"), parse_scale("2"), parse_scale("auto")
    (0.5, 2.0, None)
    """
    word = text.strip().lower()
    if word == "auto":
        return None
    try:
        if ":" in word:
            a, b = (float(v) for v in word.split(":"))
            value = a / b
        else:
            value = float(word)
    except (ValueError, ZeroDivisionError):
        value = math.nan
    if not (math.isfinite(value) and 1e-4 <= value <= 100):
        raise SCALE_INVALID.error("--scale", given=text)
    return value


def scale_text(scale: float) -> str:
    """A scale as drawings state it [ISO 5455].

    >>> scale_text(0.5), scale_text(2.0), scale_text(1.0)
    ('1:2', '2:1', '1:1')
    """
    return f"{scale:.4g}:1" if scale >= 1 else f"1:{1 / scale:.4g}"
