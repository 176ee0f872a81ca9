"""Measures, fits and searches on triangles and points; knows nothing of features."""
