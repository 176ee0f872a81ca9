"""Letters of the axes in a picture: each in a ring at the end of its axis, where nothing hides it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.arrays import Array
from foldsketch.base.lettering import em_per_cap_height, font_runs, text_width

Float32Array = NDArray[np.float32]

SAMPLES_PER_PIXEL = 2
"""Samples across a pixel, each way, before the picture is reduced."""

PAPER_TONE, INK_TONE = 255, 0
"""Grey of the background, and of axes and letters."""

RING_RADIUS_PX, LETTER_EM_PX = 13.0, 15
"""Radius of the ring around a letter, and em of the letter, picture pixels."""


@dataclass(frozen=True, slots=True, eq=False)
class AxisLabel:
    """The letter of an axis on white in a ring.

    runs: font, text and width of each part; low: (3,) the other end of the axis; at: (3,) centre of the ring; samples.
    """

    runs: tuple[tuple[Any, str, float], ...]
    low: Array
    at: Array
    half_width: float

    def draw(self, pen: Any) -> None:
        """Draw ring and text with the picture's pen."""
        r, x, y = RING_RADIUS_PX * SAMPLES_PER_PIXEL, float(self.at[0]), float(self.at[1])
        box = [x - self.half_width, y - r, x + self.half_width, y + r]
        pen.rounded_rectangle(box, radius=r, fill=PAPER_TONE, outline=INK_TONE, width=SAMPLES_PER_PIXEL)
        left = x - sum(wide for _, _, wide in self.runs) / 2
        for font, text, wide in self.runs:
            pen.text((left, y), text, fill=INK_TONE, font=font, anchor="lm")
            left += wide


def place_axis_labels(depth: Float32Array, axes: Sequence[tuple[str, Array]]) -> list[AxisLabel]:
    """A place for every letter: outwards along its axis until it is visible with some of its line, clear of the others.

    depth: (h, w) of the picture; axes: letter, and (3, 3) start, end and farthest point of its axis, all in samples.
    """
    from PIL import ImageFont

    h, w = depth.shape
    em, r = LETTER_EM_PX * SAMPLES_PER_PIXEL, RING_RADIUS_PX * SAMPLES_PER_PIXEL
    fonts: dict[str, Any] = {}
    placed: list[AxisLabel] = []

    def free(p: Array) -> bool:
        x, y = int(np.clip(p[0], 0, w - 1)), int(np.clip(p[1], 0, h - 1))
        return bool(depth[y, x] < p[2])

    for name, (low, high, far) in axes:
        pieces = []
        for path, text in font_runs(name[:12]):
            if path not in fonts:
                fonts[path] = ImageFont.truetype(path, em, layout_engine=ImageFont.Layout.BASIC)
            pieces.append((fonts[path], text, text_width(text, em / em_per_cap_height())))
        half = label_half_width(sum(x for _, _, x in pieces))
        size = float(np.hypot(*(high - low)[:2]))
        outward = (high - low) / size if size > 1 else np.array([0.0, -1.0, 0.0])
        reach = int(np.hypot(*(far - high)[:2]))
        spot = far
        for k in range(0, reach + 1, 2 * SAMPLES_PER_PIXEL):
            spot = high + outward * (k + r)
            alone = all(
                abs(o.at[1] - spot[1]) > 2.2 * r or abs(o.at[0] - spot[0]) > o.half_width + half + 0.2 * r
                for o in placed
            )
            if alone and free(spot) and free(spot - outward * 2.5 * r):
                break
        placed.append(AxisLabel(tuple(pieces), low, spot, half))
    return placed


def label_half_width(wide: float) -> float:
    """Half the width of the ring around a text of a width, samples: a circle unless the text is wider."""
    return max(wide / 2 + 0.45 * RING_RADIUS_PX * SAMPLES_PER_PIXEL, RING_RADIUS_PX * SAMPLES_PER_PIXEL)
