"""Part files as files: what is no text, no file, or saved by another system."""

import os
from pathlib import Path

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.read import read_part
from part_files import GOOD


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"\xff\xfe\x00n", "not saved as UTF-8"),
        (b"\xff\xfe", "not UTF-8"),
        (b'name = "a"\nunits = "\xe9"', "line 2"),
        (b"n\x00", "not a text file"),
        (b"#" * 1_000_001, "larger than 1 MB"),
    ],
)
def test_files_that_are_no_text(tmp_path, data, says):
    path = tmp_path / "p.toml"
    path.write_bytes(data)
    with pytest.raises(FoldsketchError, match=says):
        read_part(path)


def test_missing_file_and_folder(tmp_path):
    with pytest.raises(FoldsketchError, match="does not exist"):
        read_part(tmp_path / "none.toml")
    with pytest.raises(FoldsketchError, match="is a folder"):
        read_part(tmp_path)


def test_pipes_and_devices_are_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path("/dev/zero")):
        with pytest.raises(FoldsketchError, match="not a file"):
            read_part(path)


def test_a_name_that_no_file_can_have():
    with pytest.raises(FoldsketchError, match=r"cannot be read|does not exist"):
        read_part(Path("a\0b"))


def test_bom_crlf_and_tabs_do_not_matter(tmp_path):
    path = tmp_path / "p.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace(" = ", "\t=\t").replace("\n", "\r\n").encode())
    assert read_part(path)[0].name == "Cover"
