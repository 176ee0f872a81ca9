"""Numbers no longer than a page needs, and the box around a model."""

from __future__ import annotations

from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.job.model import Model


def rounded_values(values: Any, digits: int = 3) -> list[float]:
    """A few numbers, no longer than a page needs."""
    plain = values.tolist() if isinstance(values, np.ndarray) else values
    return [round(float(v), digits) + 0.0 for v in plain]


def model_bounds(made: Model) -> tuple[Array, Array]:
    """The lowest and the highest x, y and z of a model, part frame, paper mm."""
    points = _corners(made)
    return points.min(axis=0), points.max(axis=0)


def model_reach(made: Model, middle: Array) -> float:
    """Radius of a ball about a point that has room for the model however it is turned, paper mm."""
    return float(np.linalg.norm(_corners(made) - middle, axis=1).max())


def _corners(made: Model) -> Array:
    return np.concatenate([b.skin.corners @ made.faceted.rotation_to_part.T for b in made.solids.blocks])
