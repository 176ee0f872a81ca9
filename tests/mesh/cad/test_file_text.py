import pytest

from cad_files import in_unit
from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.cad.file_text import read_iges_text, read_step_text

HEAD = b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n"
FOOT = b"ENDSEC;\nEND-ISO-10303-21;\n"


def refusal(read, data):
    with pytest.raises(FoldsketchError) as raised:
        read("a", data)
    (finding,) = raised.value.findings
    return finding.code


@pytest.mark.parametrize("unit", ["m", "in"])
def test_the_unit_is_the_one_that_the_geometry_is_in(unit, sleeve):
    assert read_step_text("a", sleeve.read_bytes()).units == ("mm",)
    assert read_step_text("a", in_unit(sleeve.read_bytes(), unit)).units == (unit,)


def test_no_unit_is_said(sleeve):
    assert read_step_text("a", in_unit(sleeve.read_bytes(), "none")).units == ()


def test_faces_are_counted_and_not_those_in_texts_and_comments(sleeve):
    assert read_step_text("a", sleeve.read_bytes()).faces == 4  # a sleeve: two walls, two ends
    fake = b"#1=PRODUCT('=ADVANCED_FACE(''it''s)','');/* #2=ADVANCED_FACE( */\n#3 =\nADVANCED_FACE ('',(#4),#5,.T.);\n"
    assert read_step_text("a", HEAD + fake + FOOT).faces == 1


@pytest.mark.parametrize("share", [0.2, 0.6, 0.99])
def test_a_cut_file_is_told(share, sleeve):
    text = sleeve.read_bytes()
    assert refusal(read_step_text, text[: int(share * len(text))]) == "cad-cut-short"


@pytest.mark.parametrize("data", [b"solid a\nendsolid a\n", b"PK\x03\x04", b"\x00" * 99, b"."])
def test_another_kind_of_file_is_told(data):
    assert refusal(read_step_text, data) == "cad-not-that-format"
    assert refusal(read_iges_text, data) == "cad-not-that-format"


@pytest.fixture(scope="module")
def iges(cad, tmp_path_factory):
    path = tmp_path_factory.mktemp("iges") / "sleeve.iges"
    cad.write_cad("sleeve", path)
    return path.read_bytes()


def test_iges_says_its_unit_and_its_faces(iges):
    assert read_iges_text("a", iges).units == ("mm",)
    assert read_iges_text("a", iges).faces == 4
    # flag 1 is the inch [IGES 5.3, 2.2.4.3.14]; the flag is the 14th of the parameters
    head = b",1.,2,2HMM,"
    assert iges.count(head) == 1
    assert read_iges_text("a", iges.replace(head, b",1.,1,2HIN,")).units == ("in",)


def test_iges_with_other_separators():
    """Parameters 1 and 2 of the global section name the separators [IGES 5.3, 2.2.3]."""
    head = b"1H//1H#/5Ha/b#c/4Hname/2Hxy/1H1/32/38/6/308/15/3Hout/1.0/6/1HM/1/0.1/1H2/1e-6/10./2Hme/2Hus/11/0/1H3#"
    rows = [b"start".ljust(72) + b"S      1"]
    rows += [head[k : k + 72].ljust(72) + b"G%7d" % (k // 72 + 1) for k in range(0, len(head), 72)]
    rows += [b"S      1G      2D      0P      0".ljust(72) + b"T      1"]
    assert read_iges_text("a", b"\r\n".join(rows)).units == ("m",)


def test_a_cut_iges_file_is_told(iges):
    assert refusal(read_iges_text, iges[: len(iges) // 2]) == "cad-cut-short"
