"""Texts of part files that several tests damage."""

GOOD = """\
name = "Cover"
units = "mm"
material = "Brass"

[[axis]]
name = "A"
at = [0, 0]

[[axis]]
name = "B"
offset = 14
angle = 90

[[axis]]
name = "C"
offset = 10
angle = 0
from = "B"

[[axis]]
name = "D"
point = [0, 0, 6]
direction = [2, 0, 0]

[[feature]]
name = "flange"
axis = "A"
shape = "cylinder"
diameter = 90
start = 0
length = 12

[[feature]]
name = "hole"
axis = "D"
shape = "cylinder"
diameter = 5
start = -50
end = 50
cut = true
"""


def parse(text, file_format="toml"):
    """The part and the notes of a text."""
    from foldsketch.part.file.read import parse_part

    return parse_part(text, file_format, "test.toml")


def errors_of(text, file_format="toml"):
    """Code and line of every error of a text that is refused."""
    return [(f.code, line_of(f)) for f in findings_of(text, file_format)]


def findings_of(text, file_format="toml"):
    """The findings of a text that is refused."""
    import pytest

    from foldsketch.base.findings import FoldsketchError

    with pytest.raises(FoldsketchError) as caught:
        parse(text, file_format)
    return caught.value.findings


def line_of(finding):
    """The line that the place of a finding names."""
    return int(finding.where.removeprefix("test.toml line ").partition(",")[0])


def line_with(text, row):
    """The line of a text that begins with a row, counted from 1."""
    return next(k for k, r in enumerate(text.split("\n"), 1) if r.startswith(row))
