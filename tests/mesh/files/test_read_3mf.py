"""A 3MF whose XML declares entities is refused in whatever encoding it hides them; one without is read in each."""

import io
import zipfile

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.files.read_3mf import check_3mf

MODEL = """<?xml version="1.0" encoding="{encoding}"?>
{declared}<model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
<resources><object id="1"><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="{wide}" y="0" z="0"/>
<vertex x="0" y="10" z="0"/><vertex x="0" y="0" z="10"/></vertices>
<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="0" v2="3" v3="2"/>
<triangle v1="1" v2="2" v3="3"/></triangles></mesh></object></resources>
<build><item objectid="1"/></build></model>"""

ENCODINGS = ["utf-8", "utf-16", "iso-8859-1"]


def pack(encoding, declared="", wide="12.5"):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as z:
        text = MODEL.format(encoding=encoding, declared=declared, wide=wide)
        z.writestr("3D/3dmodel.model", text.encode(encoding))
    return out.getvalue()


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_without_entities_it_is_read(encoding):
    read = check_3mf("a.3mf", pack(encoding))
    corners, triangles = read.arrays
    assert corners.max() == 12.5
    assert (len(triangles), read.unit) == (4, "mm")


@pytest.mark.parametrize("encoding", ENCODINGS)
@pytest.mark.parametrize("ahead", ["", "<!-- " + "x" * 5000 + " -->\n"], ids=["at once", "far down"])
def test_with_entities_it_is_refused(encoding, ahead):
    declared = ahead + '<!DOCTYPE model [<!ENTITY a "12.5">]>\n'
    with pytest.raises(FoldsketchError) as caught:
        check_3mf("a.3mf", pack(encoding, declared, "&a;"))
    assert caught.value.findings[0].code == "3mf-entities"


def test_the_words_alone_are_no_reason():
    corners, _ = check_3mf("a.3mf", pack("utf-8", "<!-- an <!ENTITY is not declared here -->\n")).arrays
    assert corners.max() == 12.5
