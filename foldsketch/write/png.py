"""A picture of a solid: flat faces in parallel projection, hidden surfaces removed by a depth buffer."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Floats = NDArray[np.float32]

SUPER = 2
"""Samples across a pixel, each way, before the picture is made smaller."""


@dataclass(frozen=True, slots=True, eq=False)
class Face3:
    """A flat face. triangles: (t, 3, 3) mm; loops: its outlines, each (n, 3) mm; shade: 0 dark to 1 white."""

    triangles: Array
    loops: tuple[Array, ...]
    shade: float = 0.92


@dataclass(frozen=True, slots=True, eq=False)
class AxisLine:
    """An axis through the model. low, high: (3,) mm, its visible ends; letter stands beyond high."""

    letter: str
    low: Array
    high: Array


def view(azimuth: float, elevation: float) -> Array:
    """(3, 3) rows: right, up and towards the viewer, for a view from azimuth and elevation in radians."""
    ca, sa, ce, se = np.cos(azimuth), np.sin(azimuth), np.cos(elevation), np.sin(elevation)
    return np.array([[-sa, ca, 0.0], [-se * ca, -se * sa, ce], [ce * ca, ce * sa, se]])


def picture(
    faces: Sequence[Face3],
    axes: Sequence[AxisLine],
    font: str,
    size: tuple[int, int] = (900, 700),
    azimuth: float = -1.05,
    elevation: float = 0.6,
) -> bytes:
    """A PNG of the faces, shaded, with edges, and the axes as chain lines with their letters."""
    from PIL import Image, ImageDraw, ImageFont

    w, h = size[0] * SUPER, size[1] * SUPER
    eye = view(azimuth, elevation)
    points = [f.triangles.reshape(-1, 3) for f in faces]
    points += [np.vstack((a.low, a.high)) for a in axes]
    flat = np.concatenate(points) @ eye.T
    low, high = flat.min(axis=0), flat.max(axis=0)
    scale = float(min(0.84 * w / (high[0] - low[0] + 1e-9), 0.84 * h / (high[1] - low[1] + 1e-9)))
    middle = (low + high) / 2

    def seen(p: Array) -> Array:
        q = (p @ eye.T - middle) * scale
        return np.column_stack((w / 2 + q[:, 0], h / 2 - q[:, 1], q[:, 2]))

    depth = np.full((h, w), -np.inf, dtype=np.float32)
    tone = np.full((h, w), 255, dtype=np.uint8)
    light = np.array([0.35, 0.55, 0.76])
    for f in faces:
        t = f.triangles @ eye.T
        n = np.cross(t[0, 1] - t[0, 0], t[0, 2] - t[0, 0])
        n = n / (np.linalg.norm(n) + 1e-30)
        if n[2] <= 1e-6:
            continue
        shade = int(255 * min(1.0, f.shade * (0.62 + 0.38 * max(0.0, float(n @ light)))))
        plane = seen(f.triangles[0])
        for triangle in f.triangles:
            _fill(depth, tone, seen(triangle), plane, shade)
    image = Image.fromarray(tone, "L")
    pen = ImageDraw.Draw(image)
    for f in faces:
        for loop in f.loops:
            _edges(pen, depth, seen(np.concatenate((loop, loop[:1]))))
    letters = ImageFont.truetype(font, 15 * SUPER)
    for a in axes:
        _axis(pen, depth, seen(np.vstack((a.low, a.high))), a.letter, letters)
    out = io.BytesIO()
    image.resize(size, Image.Resampling.BOX).save(out, "PNG", compress_level=5)
    return out.getvalue()


def _fill(depth: Floats, tone: NDArray[np.uint8], p: Array, plane: Array, shade: int) -> None:
    """One triangle into the depth buffer; plane: three points (3, 3) that fix its depth."""
    h, w = depth.shape
    x0, x1 = max(0, int(p[:, 0].min())), min(w, int(p[:, 0].max()) + 2)
    y0, y1 = max(0, int(p[:, 1].min())), min(h, int(p[:, 1].max()) + 2)
    if x0 >= x1 or y0 >= y1:
        return
    x = np.arange(x0, x1, dtype=np.float32) + 0.5
    y = (np.arange(y0, y1, dtype=np.float32) + 0.5)[:, None]
    inside = np.ones((y1 - y0, x1 - x0), dtype=bool)
    (ax, ay), (bx, by), (cx, cy) = p[:, :2]
    turn = 1.0 if (bx - ax) * (cy - ay) - (by - ay) * (cx - ax) > 0 else -1.0
    for (px, py), (qx, qy) in (((ax, ay), (bx, by)), ((bx, by), (cx, cy)), ((cx, cy), (ax, ay))):
        inside &= turn * ((qx - px) * (y - py) - (qy - py) * (x - px)) >= -0.5
    u, v = plane[1] - plane[0], plane[2] - plane[0]
    nx, ny, nz = np.cross(u, v)
    if abs(nz) < 1e-9:
        return
    z = plane[0, 2] - (nx * (x - plane[0, 0]) + ny * (y - plane[0, 1])) / nz
    near = inside & (z > depth[y0:y1, x0:x1])
    depth[y0:y1, x0:x1][near] = np.broadcast_to(z, near.shape)[near]
    tone[y0:y1, x0:x1][near] = shade


def _edges(pen: Any, depth: Floats, p: Array) -> None:
    for a, b in pairwise(p):
        for start, end in _visible(depth, a, b, 2.5 * SUPER):
            pen.line([start, end], fill=40, width=SUPER)


def _visible(depth: Floats, a: Array, b: Array, slack: float) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """The stretches of a line that nothing stands in front of."""
    h, w = depth.shape
    n = max(2, int(np.hypot(b[0] - a[0], b[1] - a[1]) / 3))
    s = np.linspace(0, 1, n + 1)[:, None]
    q = a + (b - a) * s
    x = np.clip(q[:, 0].astype(int), 0, w - 1)
    y = np.clip(q[:, 1].astype(int), 0, h - 1)
    free = q[:, 2] + slack >= depth[y, x]
    result = []
    k = 0
    while k < n:
        if free[k] and free[k + 1]:
            j = k + 1
            while j < n and free[j + 1]:
                j += 1
            result.append(((float(q[k, 0]), float(q[k, 1])), (float(q[j, 0]), float(q[j, 1]))))
            k = j
        else:
            k += 1
    return result


def _axis(pen: Any, depth: Floats, p: Array, letter: str, font: Any) -> None:
    """A chain line, long dash and dot, where it is not hidden, and the letter in a ring beyond its far end."""
    a, b = p
    length = float(np.hypot(b[0] - a[0], b[1] - a[1]))
    if length < 1:
        return
    u = (b - a) / length
    at, dash = 0.0, 0
    while at < length:
        step = (16.0, 5.0, 3.0, 5.0)[dash % 4] * SUPER
        if dash % 2 == 0:
            for start, end in _visible(depth, a + u * at, a + u * min(at + step, length), 1.0):
                pen.line([start, end], fill=0, width=SUPER)
        at, dash = at + step, dash + 1
    r = 13 * SUPER
    x, y = float(b[0] + u[0] * r), float(b[1] + u[1] * r)
    pen.ellipse([x - r, y - r, x + r, y + r], fill=255, outline=0, width=SUPER)
    pen.text((x, y), letter[:3], fill=0, font=font, anchor="mm")
