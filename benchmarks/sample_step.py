"""Writes samples/bilge-pump-cover-cast.step: the part of bilge-pump-cover-cast.stl, drawn by the kernel in gmsh.

    python benchmarks/sample_step.py

The kernel's header, with its date and its own name, and its name for the part are replaced, so that the file is the
same whenever it is written.
"""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from cad_parts import write_cad
from reading_parts import kernel

SAMPLE = Path(__file__).parents[1] / "samples" / "bilge-pump-cover-cast.step"
NAME = b"Bilge pump cover, cast"
HEADER = b"""HEADER;
FILE_DESCRIPTION(('A sample part of an invented workshop'),'2;1');
FILE_NAME('bilge-pump-cover-cast','2026-11-30T00:00:00',(''),(''),'','','');
FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));
ENDSEC;
"""


def main() -> None:
    with kernel(), tempfile.TemporaryDirectory() as folder:
        drawn = Path(folder) / "drawn.step"
        write_cad("pump_cover", drawn)
        text = drawn.read_bytes()
    text = re.sub(rb"HEADER;.*?ENDSEC;\n", lambda _: HEADER, text, count=1, flags=re.DOTALL)
    text = re.sub(rb"'Open CASCADE STEP translator[^']*'", lambda _: b"'" + NAME + b"'", text)
    SAMPLE.write_bytes(text)
    print(f"wrote {SAMPLE.name}, {len(text)} bytes")


if __name__ == "__main__":
    main()
