"""A picture of a solid: flat faces in parallel projection, hidden surfaces removed by a depth buffer."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.write.axis_labels import INK_TONE, PAPER_TONE, SAMPLES_PER_PIXEL, Float32Array, place_axis_labels

Int16Array = NDArray[np.int16]
UInt8Array = NDArray[np.uint8]

CHAIN_LINE_PX = (24.0, 3.0, 1.0, 3.0)
"""Long dash, gap, dot, gap of an axis in picture pixels, its line being one wide (ISO 128-20 type 04; the dot is
drawn a whole pixel long, since half of one would not be seen)."""

CONTOUR_TONE, CREASE_TONE = 20, 80
"""Tones of edges beyond which the body turns away, and of edges between two visible faces."""

DRAWN_TONE, LINE_DEPTH_SAMPLES = 120, 3.0
"""Tone of lines on faces, and how far behind its face such a line may lie by rounding, samples."""

LIGHT_DIRECTION = np.array([0.35, -0.55, 0.76])
"""Direction towards the light: right, above and in front of the model."""

_NEIGHBOURS = [(dy, dx) for dy in (-1, 0, 1) for dx in (-1, 0, 1)]


@dataclass(frozen=True, slots=True, eq=False)
class ShadedFace:
    """A flat face.

    loops: each (n, 3) mm, the outline anticlockwise seen from outside, then its holes clockwise; shade: 0 dark to 1
    white.
    """

    loops: tuple[Array, ...]
    shade: float = 0.92


@dataclass(frozen=True, slots=True, eq=False)
class AxisLine:
    """An axis through the model.

    low, high: (3,) mm, ends of its line; far: (3,) mm, the farthest point for the letter, which goes beyond high where
    that is hidden or taken.
    """

    letter: str
    low: Array
    high: Array
    far: Array


def view_matrix(azimuth: float, elevation: float) -> Array:
    """(3, 3) rows: right, up and towards the viewer, for a view from azimuth and elevation in radians."""
    ca, sa, ce, se = np.cos(azimuth), np.sin(azimuth), np.cos(elevation), np.sin(elevation)
    return np.array([[-sa, ca, 0.0], [-se * ca, -se * sa, ce], [ce * ca, ce * sa, se]])


def render_png(
    faces: Sequence[ShadedFace],
    axes: Sequence[AxisLine],
    size: tuple[int, int] = (900, 700),
    azimuth: float = -1.05,
    elevation: float = 0.6,
    drawn: Sequence[Array] = (),
) -> bytes:
    """A PNG of the faces, shaded, with their visible edges, and the axes as chain lines with their letters.

    size: pixels, width by height; drawn: lines on the faces, each (n, 3) mm. The same faces and axes give the
    same bytes.
    """
    from PIL import Image, ImageDraw

    w, h = size[0] * SAMPLES_PER_PIXEL, size[1] * SAMPLES_PER_PIXEL
    eye = view_matrix(azimuth, elevation)
    loops = [loop for f in faces for loop in f.loops]
    owner = [k for k, f in enumerate(faces) for _ in f.loops]
    ends = [end for a in axes for end in (a.low, a.high, a.far)]
    flat = np.concatenate((*loops, np.reshape(ends, (-1, 3)))) @ eye.T
    low, high = flat.min(axis=0), flat.max(axis=0)
    scale = float(min(0.86 * w / (high[0] - low[0] + 1e-9), 0.86 * h / (high[1] - low[1] + 1e-9)))
    # From here on x runs right, y down and z towards the viewer, all in samples.
    seen = (flat - (low + high) / 2) * (scale, -scale, scale) + (w / 2, h / 2, 0.0)
    bounds = np.cumsum([0, *(len(loop) for loop in loops)])
    loops = [seen[a:b] for a, b in pairwise(bounds.tolist())]

    depth = np.full((h, w), -np.inf, dtype=np.float32)
    number = np.full((h, w), len(faces), dtype=np.int16)
    shade = np.full(len(faces) + 1, PAPER_TONE, dtype=np.uint8)
    front = np.zeros(len(faces), dtype=bool)
    for k, own in groupby(zip(owner, loops, strict=True), key=lambda x: x[0]):
        outline = [loop for _, loop in own]
        n = _normal(outline[0])
        if n[2] > 1e-6:
            front[k] = True
            shade[k] = int(255 * min(1.0, faces[k].shade * (0.62 + 0.38 * max(0.0, float(n @ LIGHT_DIRECTION)))))
            _fill_depth_buffer(depth, number, outline, n, k)
    tone: UInt8Array = shade[number]
    _draw_edges(tone, number, loops, np.array(owner), front)

    for line in drawn:
        points = (line @ eye.T - (low + high) / 2) * (scale, -scale, scale) + (w / 2, h / 2, 0.0)
        _draw_line(tone, depth, points)
    axis_lines = seen[bounds[-1] :].reshape(-1, 3, 3)
    placed = place_axis_labels(depth, [(a.letter, line) for a, line in zip(axes, axis_lines, strict=True)])
    for label in placed:
        _draw_axis(tone, depth, label.low, label.at)
    image = Image.fromarray(tone)
    pen = ImageDraw.Draw(image)
    for label in placed:
        label.draw(pen)
    out = io.BytesIO()
    _centre_image(image.reduce(SAMPLES_PER_PIXEL)).save(out, "PNG")
    return out.getvalue()


def _draw_line(tone: UInt8Array, depth: Float32Array, points: Array) -> None:
    """Draw a line on the faces where nothing is before it. points: (n, 3) in samples."""
    at, _, _ = _sample_lines(points[:-1], points[1:])
    x, y = np.round(at[:, :2]).astype(int).T
    on = (x >= 1) & (y >= 1) & (x < depth.shape[1] - 1) & (y < depth.shape[0] - 1)
    x, y, z = x[on], y[on], at[on, 2]
    seen = z > depth[y, x] - LINE_DEPTH_SAMPLES
    for dx, dy in ((0, 0), (1, 0), (0, 1)):
        tone[y[seen] + dy, x[seen] + dx] = DRAWN_TONE


def _centre_image(image: Any) -> Any:
    """The picture with what is drawn in the middle of the paper."""
    from PIL import Image, ImageChops

    box = ImageChops.invert(image).getbbox() or (0, 0, *image.size)
    middle = Image.new("L", image.size, PAPER_TONE)
    middle.paste(image.crop(box), ((image.width - box[2] + box[0]) // 2, (image.height - box[3] + box[1]) // 2))
    return middle


def _normal(p: Array) -> Array:
    """Unit normal of an outline (n, 3) that runs anticlockwise as seen from outside.

    The frame of the samples is left-handed, hence the sign.
    """
    q = np.roll(p, -1, axis=0)
    n = -np.array([(p[:, i] * q[:, j] - p[:, j] * q[:, i]).sum() for i, j in ((1, 2), (2, 0), (0, 1))])
    size = float(np.sqrt(n @ n))
    return n / size if size else n


def _fill_depth_buffer(depth: Float32Array, number: Int16Array, loops: Sequence[Array], n: Array, k: int) -> None:
    """Add face k, without its holes, to the depth buffer."""
    from PIL import Image, ImageDraw

    h, w = depth.shape
    p = loops[0]
    x0, y0 = np.maximum(p[:, :2].min(axis=0).astype(int), 0).tolist()
    x1, y1 = np.minimum(p[:, :2].max(axis=0).astype(int) + 2, (w, h)).tolist()
    image = Image.new("L", (x1 - x0, y1 - y0))
    pen = ImageDraw.Draw(image)
    for i, loop in enumerate(loops):
        pen.polygon((loop[:, :2] - (x0, y0)).ravel().tolist(), fill=0 if i else 1)
    inside = np.asarray(image).view(np.bool_)
    gx, gy = -n[0] / n[2], -n[1] / n[2]
    start = p[0, 2] - gx * p[0, 0] - gy * p[0, 1]
    z = (start + gx * np.arange(x0, x1)).astype(np.float32) + (gy * np.arange(y0, y1)).astype(np.float32)[:, None]
    there = depth[y0:y1, x0:x1]
    near = (z > there) & inside
    np.copyto(there, z, where=near)
    np.copyto(number[y0:y1, x0:x1], k, where=near)


def _draw_edges(tone: UInt8Array, number: Int16Array, loops: Sequence[Array], owner: Ints, front: Bools) -> None:
    """The visible parts of the edges, contours heavier than creases.

    An edge is visible where one of its own faces is visible beside it.
    """
    kept = [(k, loop) for k, loop in zip(owner.tolist(), loops, strict=True) if front[k]]
    start = np.concatenate([loop for _, loop in kept])
    end = np.concatenate([np.roll(loop, -1, axis=0) for _, loop in kept])
    face = np.repeat([k for k, _ in kept], [len(loop) for _, loop in kept])
    _, name = np.unique(np.round(np.concatenate((start, end)), 3), axis=0, return_inverse=True)
    one, two = name.reshape(2, -1)
    key = np.minimum(one, two) * len(name) + np.maximum(one, two)
    _, first, times = np.unique(key, return_index=True, return_counts=True)
    last = len(key) - 1 - np.unique(key[::-1], return_index=True)[1]
    p, many, _ = _sample_lines(start[first], end[first])
    edge = np.repeat(np.arange(len(first)), many)
    h, w = tone.shape
    x, y = np.clip(p[:, 0].astype(int), 1, w - 2), np.clip(p[:, 1].astype(int), 1, h - 2)
    mine, other = face[first][edge], face[last][edge]
    visible = np.zeros(len(x), dtype=bool)
    for dy, dx in _NEIGHBOURS:
        there = number[y + dy, x + dx]
        visible |= (there == mine) | (there == other)
    crease = times[edge] > 1
    _stamp(tone, p[visible & crease], SAMPLES_PER_PIXEL, CREASE_TONE)
    _stamp(tone, p[visible & ~crease], SAMPLES_PER_PIXEL + 1, CONTOUR_TONE)


def _sample_lines(start: Array, end: Array) -> tuple[Array, Ints, Array]:
    """Points (s, 3) along lines from (n, 3) to (n, 3), close enough to leave no gap.

    Also how many there are on each line, and the distance of each from the start of its line, samples.
    """
    size = np.hypot(*(end - start)[:, :2].T)
    many = np.maximum(1, np.ceil(size / 0.8).astype(int))
    step = np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many)
    share = (step + 0.5) / np.repeat(many, many)
    p = np.repeat(start, many, axis=0) + np.repeat(end - start, many, axis=0) * share[:, None]
    return p, many, share * np.repeat(size, many)


def _stamp(tone: UInt8Array, p: Array, pen: int, ink: int) -> None:
    """Squares of pen samples, centred on points (n, 2 or more)."""
    h, w = tone.shape
    x = np.floor(p[:, 0] - pen / 2 + 0.5).astype(int)
    y = np.floor(p[:, 1] - pen / 2 + 0.5).astype(int)
    for dy in range(pen):
        for dx in range(pen):
            tone[np.clip(y + dy, 0, h - 1), np.clip(x + dx, 0, w - 1)] = ink


def _draw_axis(tone: UInt8Array, depth: Float32Array, low: Array, high: Array) -> None:
    """A chain line, from a long dash at its letter, where nothing is in front, and a dot where it goes into a face."""
    p, _, along = _sample_lines(high[None], low[None])
    h, w = depth.shape
    x, y = np.clip(p[:, 0].astype(int), 0, w - 1), np.clip(p[:, 1].astype(int), 0, h - 1)
    over = p[:, 2] - depth[y, x]
    free = over >= -1.0
    dash, gap, dot, _ = (SAMPLES_PER_PIXEL * c for c in CHAIN_LINE_PX)
    place = along % (SAMPLES_PER_PIXEL * sum(CHAIN_LINE_PX))
    drawn = (place < dash) | ((place >= dash + gap) & (place < dash + gap + dot))
    _stamp(tone, p[free & drawn], SAMPLES_PER_PIXEL, INK_TONE)
    for k in np.flatnonzero(free[1:] != free[:-1]):
        if min(abs(over[k]), abs(over[k + 1])) < 4.0:
            _draw_disc(tone, p[k], 2.2 * SAMPLES_PER_PIXEL)


def _draw_disc(tone: UInt8Array, p: Array, radius: float) -> None:
    h, w = tone.shape
    x0, y0, r = int(p[0]), int(p[1]), int(radius) + 1
    y, x = np.ogrid[max(0, y0 - r) : min(h, y0 + r + 1), max(0, x0 - r) : min(w, x0 + r + 1)]
    tone[y, x] = np.where((x + 0.5 - p[0]) ** 2 + (y + 0.5 - p[1]) ** 2 <= radius**2, INK_TONE, tone[y, x])
