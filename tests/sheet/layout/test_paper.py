"""Paper and scales: the standard sizes, and what is refused."""

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.sheet.layout.paper import (
    STANDARD_SCALES,
    parse_paper,
    parse_scale,
    scale_text,
)

# ISO 216: A4 210 x 297, A3 297 x 420; ANSI Letter 8.5 x 11 in, Tabloid 11 x 17 in. ISO 5455: 1:1, 1:2, 1:5 …; 2:1 …
SIZES = {"A4": (210, 297), "a3": (297, 420), "letter": (8.5 * 25.4, 11 * 25.4), "Tabloid": (11 * 25.4, 17 * 25.4)}


@pytest.mark.parametrize("name", SIZES)
def test_paper_sizes(name):
    paper = parse_paper(name)
    assert (paper.width, paper.height) == pytest.approx(SIZES[name])
    lying = parse_paper(f"{name} landscape")
    assert (lying.width, lying.height) == pytest.approx(SIZES[name][::-1])


def test_scale_series():
    assert {50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01} <= set(STANDARD_SCALES)
    assert [scale_text(s) for s in (2.0, 1.0, 0.5, 0.2, 0.1, 0.05)] == ["2:1", "1:1", "1:2", "1:5", "1:10", "1:20"]
    assert list(STANDARD_SCALES) == sorted(STANDARD_SCALES, reverse=True)


@pytest.mark.parametrize("text", ["0", "-1", "nan", "1:0", "a:b", "", "1e9", "1:2:3"])
def test_scales_out_of_reason(text):
    with pytest.raises(FoldsketchError) as refused:
        parse_scale(text)
    assert [(f.code, f.value("given")) for f in refused.value.findings] == [("scale-invalid", text)]


@pytest.mark.parametrize(("text", "scale"), [("1:2", 0.5), ("2 : 1", 2.0), ("0.25", 0.25), ("Auto", None)])
def test_scales(text, scale):
    assert parse_scale(text) == scale


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("A5x", "paper-unknown"),
        ("Leter", "paper-misspelt"),
        ("", "paper-unknown"),
        ("foolscap", "paper-unknown"),
        ("10x10", "paper-out-of-range"),
        ("3000x3000", "paper-out-of-range"),
        ("3x11in", "paper-out-of-range"),
    ],
)
def test_papers_out_of_reason(text, code):
    with pytest.raises(FoldsketchError) as refused:
        parse_paper(text)
    assert [f.code for f in refused.value.findings] == [code]


def test_a_paper_of_any_size():
    """8 x 10 in is 203.2 x 254 mm."""
    paper = parse_paper("8x10in")
    assert (paper.width, paper.height) == pytest.approx((203.2, 254.0))
    assert parse_paper("8x10in landscape").width == pytest.approx(254.0)
