"""The bounds that docs/security.md promises are those of the code, and what is written tells nothing of the machine."""

import re
import subprocess
import sys
import zlib
from pathlib import Path

import pytest

from foldsketch.job.pipeline import Choices
from foldsketch.mesh.files.load import MAX_COORDINATE, MAX_MESH_FILE_BYTES
from foldsketch.mesh.files.precheck import MAX_TRIANGLES
from foldsketch.mesh.files.read_3mf import MAX_COMPRESSION_RATIO, MAX_UNPACKED_BYTES
from foldsketch.part.file.features import MAX_CORNERS
from foldsketch.part.file.read import MAX_AXES, MAX_FEATURES
from foldsketch.part.file.value_tree import MAX_NESTING_LEVELS, MAX_PART_FILE_BYTES
from foldsketch.web import request_guard, worker

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "security.md").read_text("utf-8")


def row(start):
    """The figures in a row of the table of bounds."""
    (found,) = re.findall(rf"^\| {re.escape(start)}[^|]*\| (.*) \|$", PAGE, re.M)
    return [float(n.replace(",", "")) for n in re.findall(r"(?<![\w.])\d[\d,]*(?:e\d+)?", found)]


def test_the_bounds_are_those_of_the_code():
    assert row("part or machine file") == [MAX_PART_FILE_BYTES, MAX_NESTING_LEVELS, MAX_FEATURES, MAX_AXES, MAX_CORNERS]
    assert row("mesh file") == [MAX_MESH_FILE_BYTES, MAX_TRIANGLES, MAX_COORDINATE]
    assert row("3MF") == [MAX_UNPACKED_BYTES, MAX_COMPRESSION_RATIO]
    assert row("one run of `make`") == [Choices().seconds]
    assert row("one run on the page") == [worker.MAX_RUN_SECONDS, worker.MAX_MEMORY_BYTES]
    assert row("body of a request") == [request_guard.MAX_BODY_BYTES, request_guard.MAX_WAIT_S]
    assert "four tabs" in PAGE
    assert worker.WorkerPool().max_workers == 4


@pytest.mark.slow
def test_what_is_written_tells_nothing_of_the_machine(tmp_path):
    """No file holds the folder it was made in, the checkout or the home folder, nor does a packed stream of a PDF."""
    folder = tmp_path / "quite-a-telling-name"
    folder.mkdir()
    part = folder / "part.toml"
    part.write_text((ROOT / "samples" / "eccentric-shaft.toml").read_text("utf-8"), "utf-8")
    for words in (["make", "--booklet", "--dxf"], ["share"], ["setups"]):
        command = [
            sys.executable,
            "-m",
            "foldsketch.cli",
            words[0],
            str(part),
            *words[1:],
            "--out",
            str(folder / "out"),
        ]
        subprocess.run(command, check=True, capture_output=True)
    made = list((folder / "out").iterdir())
    assert len(made) >= 8
    for file in made:
        data = file.read_bytes()
        for stream in re.findall(rb"stream\r?\n(.*?)endstream", data, re.S) if file.suffix == ".pdf" else ():
            data += unpacked(stream)
        for telling in (b"quite-a-telling-name", str(ROOT).encode(), str(Path.home()).encode() + b"/"):
            assert telling not in data, f"{file.name}: {telling!r}"


def unpacked(stream):
    """A stream of a PDF as it is before it is packed, where it can be told."""
    import base64

    try:
        text = stream.strip()
        return zlib.decompress(base64.a85decode(text.removesuffix(b"~>")) if text.endswith(b"~>") else text)
    except (ValueError, zlib.error):
        return stream
