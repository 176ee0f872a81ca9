"""Files are whole or not there; what is in the way is said, and older files stay."""

import os
import stat

import pytest

from foldsketch.base.files import write_all_atomically, write_atomically
from foldsketch.base.findings import FoldsketchError


def names(folder):
    return sorted(p.name for p in folder.iterdir())


def test_a_file_is_written_into_a_new_folder_with_usual_permissions(tmp_path):
    path = tmp_path / "new" / "a.txt"
    write_atomically(path, b"one")
    assert path.read_bytes() == b"one"
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    assert stat.S_IMODE(path.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)
    write_atomically(path, b"two")
    assert path.read_bytes() == b"two" and names(path.parent) == ["a.txt"]


def refused(files):
    with pytest.raises(FoldsketchError) as caught:
        write_all_atomically(files)
    (f,) = caught.value.findings
    assert f.code == "file-not-written"
    return f


def test_a_folder_in_the_way_leaves_the_older_set(tmp_path):
    (tmp_path / "a").write_bytes(b"old")
    (tmp_path / "b").mkdir()
    f = refused({tmp_path / "a": b"new", tmp_path / "b": b"new"})
    assert f.where == str(tmp_path / "b") and f.value("reason") == "there is a folder of that name"
    assert (tmp_path / "a").read_bytes() == b"old" and names(tmp_path) == ["a", "b"]


def test_a_file_in_place_of_the_folder(tmp_path):
    (tmp_path / "file").write_bytes(b"mine")
    assert refused({tmp_path / "file" / "a": b"new"}).value("reason") == "its folder is a file"
    assert (tmp_path / "file").read_bytes() == b"mine"


def test_a_name_that_is_too_long(tmp_path):
    refused({tmp_path / ("x" * 300): b"new"})
    assert names(tmp_path) == []


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_disk_that_fails_leaves_nothing_behind(tmp_path, monkeypatch, call):
    def fail(*_):
        raise OSError(28, "No space left on device")

    (tmp_path / "a").write_bytes(b"old")
    monkeypatch.setattr(os, call, fail)
    assert refused({tmp_path / "a": b"new"}).value("reason") == "no space left on device"
    assert names(tmp_path) == ["a"] and (tmp_path / "a").read_bytes() == b"old"
