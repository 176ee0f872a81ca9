"""The parts of reading_parts as STEP and IGES files, written by the exact kernel in the gmsh wheel.

Nothing here uses foldsketch.
"""

from __future__ import annotations

from pathlib import Path

import gmsh
import numpy as np
from scipy.spatial.transform import Rotation

from reading_parts import PARTS, Drawn

Array = np.ndarray
STRAIGHT, THERE = np.eye(3), np.zeros(3)


def write_cad(name: str, path: Path, turn: Array = STRAIGHT, shift: Array = THERE, as_splines: bool = False) -> Drawn:
    """Draw one of PARTS, turned (3, 3) and shifted (3,), and write it; the ending names the format.

    as_splines: all its surfaces are splines in the file, though they are as round as before.
    """
    gmsh.model.add(name)
    try:
        truth = PARTS[name]()
        occ = gmsh.model.occ
        occ.synchronize()
        solids = gmsh.model.getEntities(3)
        if as_splines:  # the kernel makes splines of every surface before it applies a general matrix
            place = np.eye(4)
            place[:3, :3], place[:3, 3] = turn, shift
            occ.affineTransform(solids, place.ravel().tolist())
        else:
            axis = Rotation.from_matrix(turn).as_rotvec()
            angle = float(np.linalg.norm(axis))
            if angle > 0:
                occ.rotate(solids, 0, 0, 0, *(axis / angle).tolist(), angle)
            occ.translate(solids, *shift.tolist())
        occ.synchronize()
        volume = sum(occ.getMass(*s) for s in solids)
        area = sum(occ.getMass(*s) for s in gmsh.model.getBoundary(solids, oriented=False))
        # What is drawn on the way and not used is left behind: points, curves and faces of their own.
        free = [
            e for dim in (2, 1, 0) for e in gmsh.model.getEntities(dim) if not len(gmsh.model.getAdjacencies(*e)[0])
        ]
        occ.remove(free)
        occ.synchronize()
        gmsh.write(str(path))
    finally:
        gmsh.model.remove()
    return Drawn(name, np.zeros((0, 3, 3)), truth, volume, area)
