"""Reading mesh files: what is sound gets in, everything else gets one finding, soon and without much memory."""

from __future__ import annotations

import os
import time
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from bad_meshes import BAD, BOX, STL, TEXT, bad_file, exported
from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.files import load
from foldsketch.mesh.files.load import load_mesh
from meshes import codes, threemf, values


def refusal(path: Path) -> str:
    """Code of the one finding with which a file is refused."""
    with pytest.raises(FoldsketchError) as caught:
        load_mesh(path)
    (finding,) = caught.value.findings
    assert finding.level == "error"
    return finding.code


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "ply", "obj", "off", "glb"])
def test_every_format_gives_the_box(kind: str, tmp_path: Path) -> None:
    path = tmp_path / f"box.{kind.split('_')[0]}"
    path.write_bytes(exported(kind))
    raw = load_mesh(path)
    assert raw.triangles.shape == (12, 3)
    assert np.ptp(raw.corners, axis=0) == pytest.approx((10, 20, 30))
    assert raw.single_precision == (kind in ("stl", "ply", "glb"))


def test_the_suffix_may_be_in_capitals_and_the_name_no_text(tmp_path: Path) -> None:
    path = tmp_path / os.fsdecode(b"b\xf6x.STL")
    path.write_bytes(STL)
    raw = load_mesh(path)
    assert len(raw.triangles) == 12
    assert raw.source == "b?x.STL"


def test_3mf_keeps_its_unit_and_its_place(tmp_path: Path) -> None:
    path = tmp_path / "box.3mf"
    path.write_bytes(threemf(BOX))
    raw = load_mesh(path)
    assert raw.unit == "in"
    assert raw.corners[:, 0].min() == pytest.approx(0.0)
    assert np.ptp(raw.corners, axis=0) == pytest.approx((10, 20, 30))


@pytest.mark.parametrize("name", BAD)
def test_bad_files_are_refused_in_one_line(name: str, tmp_path: Path) -> None:
    file, data, code = bad_file(name)
    path = tmp_path / file
    path.write_bytes(data)
    started = time.process_time()
    with pytest.raises(FoldsketchError) as caught:
        load_mesh(path)
    assert time.process_time() - started < 2.0
    (finding,) = caught.value.findings
    assert (finding.code, finding.where, finding.level) == (code, file, "error")
    assert finding.cure
    assert "\n" not in finding.text
    assert str(tmp_path) not in finding.text


def test_folders_missing_files_and_pipes_are_refused(tmp_path: Path) -> None:
    (tmp_path / "folder.stl").mkdir()
    os.mkfifo(tmp_path / "pipe.stl")  # opening it would hang for ever
    assert refusal(tmp_path / "folder.stl") == "mesh-file-is-a-folder"
    assert refusal(tmp_path / "pipe.stl") == "mesh-file-not-regular"
    assert refusal(tmp_path / "missing.stl") == "mesh-file-missing"


def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "box.stl"
    path.write_bytes(STL)
    monkeypatch.setattr(Path, "read_bytes", denied)
    assert refusal(path) == "mesh-file-unreadable"


def test_a_huge_file_is_refused_before_it_is_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "box.stl"
    path.write_bytes(STL)
    monkeypatch.setattr(load, "MAX_MESH_FILE_BYTES", len(STL) - 1)
    monkeypatch.setattr(Path, "read_bytes", None)
    assert refusal(path) == "mesh-file-too-large"


@pytest.mark.parametrize(
    "name", ["declares all bits", "PLY of many corners", "OFF of many", "GLB of many", "3MF that is a bomb"]
)
def test_nothing_is_set_aside_for_counts_that_cannot_be_true(name: str, tmp_path: Path) -> None:
    file, data, _ = bad_file(name)
    (tmp_path / file).write_bytes(data)
    tracemalloc.start()
    try:
        with pytest.raises(FoldsketchError):
            load_mesh(tmp_path / file)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 4_000_000 + 4 * len(data)


def test_bytes_after_the_last_triangle_are_reported(tmp_path: Path) -> None:
    path = tmp_path / "tail.stl"
    path.write_bytes(STL + b"made with care")
    raw = load_mesh(path)
    assert len(raw.triangles) == 12
    assert codes(raw.findings) == ["stl-extra-bytes"]
    assert values(raw.findings, "stl-extra-bytes") == {"count": len(b"made with care")}


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_text_stl_with_names_and_capitals(line_end: str, tmp_path: Path) -> None:
    path = tmp_path / "cap.stl"
    text = TEXT.upper().replace("SOLID", "SOLID the vertex of it", 1)
    path.write_bytes(text.replace("\n", line_end).encode())
    raw = load_mesh(path)
    assert raw.triangles.shape == (12, 3)


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "ply", "glb", "off"])
def test_a_file_cut_anywhere_is_refused(kind: str, tmp_path: Path) -> None:
    data = exported(kind)
    path = tmp_path / f"cut.{kind.split('_')[0]}"
    for end in range(1, len(data) - 24, max(1, len(data) // 25)):
        path.write_bytes(data[:end])
        with pytest.raises(FoldsketchError):
            load_mesh(path)


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "ply", "obj", "off", "glb", "3mf"])
def test_more_triangles_than_the_limit_are_refused(kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from foldsketch.mesh.files import precheck, precheck_text, read_3mf

    for module in (precheck, precheck_text, read_3mf):
        monkeypatch.setattr(module, "MAX_TRIANGLES", 11)
    path = tmp_path / f"box.{kind.split('_')[0]}"
    path.write_bytes(threemf(BOX) if kind == "3mf" else exported(kind))
    assert refusal(path) == ("3mf-components" if kind == "3mf" else "mesh-too-many-triangles")
