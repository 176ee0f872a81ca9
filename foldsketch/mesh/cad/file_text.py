"""File text: what a STEP or IGES file says of itself: that it is whole, its unit, how many faces it lists."""

from __future__ import annotations

import re
from dataclasses import dataclass

from foldsketch.mesh.cad import messages

_STRING = re.compile(rb"'(?:[^']|'')*'|/\*.*?\*/", re.DOTALL)
"""A text or a comment in STEP (ISO 10303-21, 6.4.3 and 5.6)."""

_TEXT_OR_STYLED_ITEM = re.compile(_STRING.pattern + rb"|\b[A-Z_]*STYLED_ITEM(?=\s*\()", re.DOTALL)
_STATEMENT = re.compile(rb"#(\d+)\s*=\s*([^;]*);")
_UNIT_CONTEXT = re.compile(rb"GLOBAL_UNIT_ASSIGNED_CONTEXT\s*\(\s*\(([^)]*)\)")
_SI_UNIT = re.compile(rb"SI_UNIT\s*\(\s*(?:\$|\.(\w+)\.)\s*,\s*\.METRE\.")
_FACE = re.compile(rb"=\s*(?:ADVANCED_FACE|FACE_SURFACE)\s*\(")
_CONVERTED = re.compile(rb"CONVERSION_BASED_UNIT\s*\(\s*'([^']*)'")

SI_LENGTHS = {b"MILLI": "mm", b"CENTI": "cm", b"": "m", b"MICRO": "um"}
NAMED_LENGTHS = {"INCH": "in", "IN": "in", "FOOT": "ft", "FT": "ft", "MILLIMETRE": "mm", "MILLIMETER": "mm"}
"""Length units of STEP (ISO 10303-41), by prefix and by name, and what they are called here."""

IGES_UNITS = {1: "in", 2: "mm", 4: "ft", 6: "m", 9: "um", 10: "cm"}
"""Length units of IGES by the unit flag, parameter 14 of the global section (IGES 5.3, 2.2.4.3.14)."""

IGES_TRIMMED_FACES = (b"144", b"510")
"""Entity types of faces: trimmed parametric surface, and face of a solid (IGES 5.3, 4.76 and 4.130)."""

IGES_COLUMNS = 80
"""Characters in a line; the letter of its section is in column 73 (IGES 5.3, 2.2.1)."""


@dataclass(frozen=True, slots=True)
class FileText:
    """What the text of a file says.

    units: length units that it names ("mm", "in", ...), empty where it names none that is known; faces: how many faces
    it lists.
    """

    units: tuple[str, ...]
    faces: int


def read_step_text(where: str, data: bytes) -> FileText:
    """What a STEP file (ISO 10303-21) says of itself. Raises FoldsketchError for another kind of file or a cut one."""
    text = data.strip(b"\xef\xbb\xbf\x00 \t\r\n")
    if not text.startswith(b"ISO-10303-21"):
        raise messages.NOT_THAT_FORMAT.error(where, format="STEP")
    if b"END-ISO-10303-21" not in text[-200:]:
        raise messages.CUT_SHORT.error(where, format="STEP", end="END-ISO-10303-21")
    bare = _STRING.sub(b"''", text)
    return FileText(_step_units(text, bare), len(_FACE.findall(bare)))


def without_colours(data: bytes) -> bytes:
    """A STEP file whose faces have no colours: of several colours the kernel names the surfaces of the first one alone.

    A styled item (ISO 10303-46) becomes an entity that the kernel does not know and passes over.

    >>> without_colours(b"#7=OVER_RIDING_STYLED_ITEM('a STYLED_ITEM(',(#5),#4,#6);")
    b"#7=NO_STYLE('a STYLED_ITEM(',(#5),#4,#6);"
    """
    return _TEXT_OR_STYLED_ITEM.sub(lambda m: b"NO_STYLE" if m[0].endswith(b"STYLED_ITEM") else m[0], data)


def _step_units(text: bytes, bare: bytes) -> tuple[str, ...]:
    """The length units that the contexts of the file name. text: the file; bare: the same without strings."""
    used = {ref.strip(b"# \t\r\n") for refs in _UNIT_CONTEXT.findall(bare) for ref in refs.split(b",")}
    found: dict[str, None] = {}
    for number, statement in _STATEMENT.findall(bare):
        if number not in used or b"LENGTH_UNIT" not in statement:
            continue
        unit = None
        if b"CONVERSION_BASED_UNIT" in statement:
            named = _CONVERTED.search(text, text.find(b"#" + number + b"="))
            named = named or _CONVERTED.search(text)
            unit = NAMED_LENGTHS.get(named[1].decode("ascii", "replace").strip().upper()) if named else None
        elif si := _SI_UNIT.search(statement):
            unit = SI_LENGTHS.get(si[1] or b"")
        if unit:
            found[unit] = None
    return tuple(found)


def read_iges_text(where: str, data: bytes) -> FileText:
    """What an IGES file (5.3) says of itself. Raises FoldsketchError for another kind of file or a cut one."""
    lines = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").rstrip(b"\x00 \n\x1a").split(b"\n")
    letters = [line[72:73] for line in lines]
    if len(lines[0]) < IGES_COLUMNS - 7 or letters[0] != b"S":
        raise messages.NOT_THAT_FORMAT.error(where, format="IGES")
    if letters[-1] != b"T":
        raise messages.CUT_SHORT.error(where, format="IGES", end="a line T")
    head = b"".join(line[:72] for line, letter in zip(lines, letters, strict=True) if letter == b"G")
    entries = [line for line, letter in zip(lines, letters, strict=True) if letter == b"D"][::2]
    faces = sum(line[:8].strip() in IGES_TRIMMED_FACES for line in entries)
    values = _iges_parameters(head)
    try:
        unit = IGES_UNITS.get(int(values[13])) if len(values) > 13 else None
    except ValueError:
        unit = None
    return FileText((unit,) if unit else (), faces)


def _iges_parameters(head: bytes) -> list[bytes]:
    """Parameters of the global section: texts are ``5Habcde``; the first two name the separators (IGES 5.3, 2.2.3)."""
    separator, end = b",", b";"
    out: list[bytes] = []
    at = 0
    while at < len(head):
        text = re.compile(rb"\s*(\d+)H").match(head, at)
        if text:
            start = text.end()
            stop = start + int(text[1])
            value = head[start:stop]
        else:
            ends = [k for k in (head.find(separator, at), head.find(end, at)) if k >= 0]
            stop = min(ends, default=len(head))
            value = head[at:stop].strip()
        if len(out) == 0 and len(value) == 1:
            separator = value
        if len(out) == 1 and len(value) == 1:
            end = value
        out.append(value)
        if head[stop : stop + 1] == end:
            break
        at = stop + 1
    return out
