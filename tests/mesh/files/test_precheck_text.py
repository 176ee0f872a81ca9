"""OBJ: fans, numbers that count back, other files that are not opened."""

from __future__ import annotations

import os
from pathlib import Path

from foldsketch.mesh.files.load import load_mesh
from foldsketch.mesh.files.precheck_text import check_obj


def test_obj_counts_back_fans_and_never_opens_other_files(tmp_path: Path) -> None:
    path = tmp_path / "wall.obj"
    os.mkfifo(tmp_path / "trap.mtl")  # opening it would hang for ever
    path.write_text("mtllib trap.mtl\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nusemtl x\nf -4/1 -3//2 -2 -1\n")
    assert load_mesh(path).triangles.tolist() == [[0, 1, 2], [0, 2, 3]]


def test_a_face_line_without_corners_does_not_count() -> None:
    """Faces that count back do so from the corners read before their own line."""
    checked = check_obj("lid.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf \nf -1 -2 -3\nv 0 0 5\nf -1 1 2\n")
    assert checked.arrays is not None
    assert checked.arrays[1].tolist() == [[2, 1, 0], [3, 0, 1]]


def test_lines_may_be_continued_and_commented() -> None:
    checked = check_obj("lid.obj", b"v 0 0 0 # first\nv 1 0 \\\n0\r\nv 0 1 0\n# f 1 1 1\nf 1 2 3\n")
    assert checked.arrays is not None
    assert checked.arrays[0].tolist() == [[0, 0, 0], [1, 0, 0], [0, 1, 0]]
    assert checked.arrays[1].tolist() == [[0, 1, 2]]
