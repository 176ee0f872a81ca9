"""Geometry of triangles and points: measures, fits, searches; knows nothing of features."""
