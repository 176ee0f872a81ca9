"""A part from what is said of it."""

from __future__ import annotations

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.units import format_count
from foldsketch.part.file.read import parse_part
from foldsketch.part.model import Part, Units
from foldsketch.part.spoken.messages import NO_UNIT
from foldsketch.part.spoken.spoken import SpokenPart, hear_part

UNITS = ("mm", "in")


def read_spoken(said: str, units: Units = "mm") -> tuple[Part, tuple[Finding, ...]]:
    """Read a part from lines as they are spoken: name, diameter x length, distance from the first axis, angle.

    Parameters
    ----------
    said : str
        Features parted by semicolons or new lines.
    units : {"mm", "in"}
        Unit of every length.

    Returns
    -------
    part : Part
        Lengths in mm, whatever the unit.
    findings : tuple of Finding
        Notes about the part.

    Raises
    ------
    FoldsketchError
        With every line that was not understood.

    Examples
    --------
    >>> part, findings = read_spoken("flange 110 x 14; inlet 42 x 35 at 24; 4 holes 11 on 90 from 45 deg")
    >>> part
    <Part 'Flange': 6 features on axes A, B, C, D, E, F>
    """
    if units not in UNITS:
        raise NO_UNIT.error(given=units)
    heard = hear_part(said, units)
    if heard.faults:
        raise FoldsketchError(heard.faults)
    return parse_part(heard.text, "toml", "what was said")


def heard_sentence(heard: SpokenPart, units: Units) -> str:
    """What was heard, in one sentence; or the first fault."""
    if heard.faults:
        return heard.faults[0].text_in(units)
    letters = list(dict.fromkeys(a for h in heard.heard for a in h.axes))
    features = heard.text.count("[[feature]]")
    if not features:
        return f"Heard: {', '.join(h.words for h in heard.heard)}."
    axes = "axis" if len(letters) == 1 else "axes"
    return f"Heard: {format_count(features, 'feature')} on {axes} {', '.join(letters)}, in {units}."
