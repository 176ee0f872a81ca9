"""A point of the plane as plain numbers. Imports no numpy, so that part and setup start fast."""

from __future__ import annotations

Point = tuple[float, float]
"""x and y, mm."""
