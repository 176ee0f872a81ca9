"""Volumes that tests hold bodies against, by formulas of their own."""

import numpy as np


def enclosed(corners, faces):
    """Volume of a closed mesh of triangles: signed tetrahedra from the origin."""
    a, b, c = (corners[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6
