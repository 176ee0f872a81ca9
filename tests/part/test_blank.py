"""[blank] and the keys of features that set-ups read."""

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file import messages as m
from foldsketch.part.file.read import parse_part
from foldsketch.part.model import Blank

PART = """
name = "cover"
units = "mm"
{blank}
[[axis]]
name = "A"
at = [0, 0]

[[axis]]
name = "X"
point = [0, 0, 5]
direction = [1, 0, 0]

[[feature]]
name = "flange"
axis = "A"
shape = "cylinder"
diameter = 90
start = 0
end = 12
{feature}

[[feature]]
name = "bore"
axis = "A"
shape = "cylinder"
diameter = 30
start = -1
end = 13
cut = true

[[feature]]
name = "cross hole"
axis = "X"
shape = "cylinder"
diameter = 6
start = 0
end = 60
cut = true
"""


def read(blank="", feature="", units="mm"):
    return parse_part(PART.format(blank=blank, feature=feature).replace('"mm"', f'"{units}"'), "toml", "p.toml")[0]


def codes(blank):
    with pytest.raises(FoldsketchError) as refused:
        read("[blank]\n" + blank)
    assert all(f.where.startswith("p.toml line ") for f in refused.value.findings)
    return [f.code for f in refused.value.findings]


@pytest.mark.parametrize(
    ("text", "blank"),
    [
        ('kind = "bar"', Blank("bar")),
        ('kind = "bar"\ndiameter = 95', Blank("bar", 95)),
        ('kind = "sawn"\ndiameter = 95\nlength = 16', Blank("sawn", 95, 16)),
        ('kind = "casting"', Blank("casting")),
        ('kind = "casting"\nfaces = []', Blank("casting", faces=())),
        (
            'kind = "casting"\nfaces = ["flange -z"]\ncores = ["bore"]',
            Blank("casting", faces=("flange -z",), cores=("bore",)),
        ),
    ],
)
def test_blanks(text, blank):
    assert read("[blank]\n" + text).blank == blank


def test_no_blank_is_none():
    assert read().blank is None


def test_inches():
    assert read('[blank]\nkind = "sawn"\ndiameter = 4\nlength = 1', units="in").blank == Blank("sawn", 101.6, 25.4)
    assert read(feature="location = 0.01", units="in").features[0].location == pytest.approx(0.254)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('kind = "forging"', m.VALUE_UNKNOWN),
        ('kind = "casting"\nfaces = "flange -z"', m.VALUE_TYPE),
        ('kind = "casting"\ncores = [3]', m.VALUE_TYPE),
        ('kind = "casting"\nfaces = ["flange"]', m.BLANK_FACE_UNKNOWN),
        ('kind = "casting"\nfaces = ["bore +z"]', m.BLANK_FACE_UNKNOWN),
        ('kind = "casting"\ncores = ["cross hole"]', m.BLANK_CORE_UNKNOWN),
        ('kind = "casting"\ncores = ["flange"]', m.BLANK_CORE_UNKNOWN),
    ],
)
def test_errors(text, message):
    assert codes(text) == [message.code]


@pytest.mark.parametrize(
    "text", ["", 'kind = "bar"\nlength = 30', 'kind = "sawn"\nfaces = []', 'kind = "bar"\ndiameter = -3', "size = 3"]
)
def test_other_errors(text):
    assert codes(text)


def test_a_blank_that_is_no_table():
    with pytest.raises(FoldsketchError) as refused:
        read('blank = "bar"')
    assert [f.code for f in refused.value.findings] == [m.TABLE_NOT_TABLE.code]


def test_keys_of_features():
    plain, said = read().features[0], read(feature="location = 0.1\nround = 0.02\ntogether = false\nturned = true")
    assert (plain.location, plain.roundness, plain.together, plain.turned) == (None, None, True, False)
    f = said.features[0]
    assert (f.location, f.roundness, f.together, f.turned) == (0.1, 0.02, False, True)


@pytest.mark.parametrize("text", ["location = 0", 'round = "good"', "together = 1", 'turned = "yes"'])
def test_bad_keys_of_features(text):
    with pytest.raises(FoldsketchError) as refused:
        read(feature=text)
    assert [f.level for f in refused.value.findings] == ["error"]
