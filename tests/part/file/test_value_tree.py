"""Part files as files and as text: what cannot be read is refused with its reason and its line."""

import os
from pathlib import Path

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.value_tree import MAX_PART_FILE_BYTES, load_text, parse_text
from part_files import GOOD


def refused(work, *arguments):
    """The one finding of the error that a call raises."""
    with pytest.raises(FoldsketchError) as caught:
        work(*arguments)
    (f,) = caught.value.findings
    return f


@pytest.mark.parametrize(
    ("data", "code", "line"),
    [
        (b"\xff\xfe\x00n", "file-not-text", ""),
        (b"n\x00", "file-not-text", ""),
        (b"\xff\xfe", "file-not-utf8", " line 1"),
        (b'name = "a"\nunits = "\xe9"', "file-not-utf8", " line 2"),
        (b"#" * (MAX_PART_FILE_BYTES + 1), "file-too-large", ""),
    ],
)
def test_files_that_are_no_text(tmp_path, data, code, line):
    path = tmp_path / "p.toml"
    path.write_bytes(data)
    f = refused(load_text, path)
    assert (f.code, f.where) == (code, f"{path}{line}")


def test_a_missing_file_and_a_folder(tmp_path):
    assert refused(load_text, tmp_path / "none.toml").code == "file-not-found"
    assert refused(load_text, tmp_path).code == "file-is-folder"


def test_a_mesh_is_sent_to_the_command_that_reads_it(tmp_path):
    (tmp_path / "part.STL").write_text("solid part\nendsolid part\n")
    f = refused(load_text, tmp_path / "part.STL")
    assert (f.code, f.value("name")) == ("file-is-mesh", "part.STL")
    (tmp_path / "part.STP").write_text("ISO-10303-21;")
    f = refused(load_text, tmp_path / "part.STP")
    assert (f.code, f.value("name")) == ("file-is-cad", "part.STP")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes and devices are those of POSIX")
def test_pipes_and_devices_are_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path("/dev/zero")):
        assert refused(load_text, path).code == "file-not-regular"


def test_a_name_that_no_file_can_have():
    assert refused(load_text, Path("a\0b")).code in ("file-unreadable", "file-not-found")


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch):
    def fail(*_, **__):
        raise PermissionError(13, "Permission denied")

    (tmp_path / "p.toml").write_text("a = 1")
    monkeypatch.setattr(Path, "open", fail)
    f = refused(load_text, tmp_path / "p.toml")
    assert (f.code, f.value("reason")) == ("file-unreadable", "Permission denied")


def test_the_format_goes_by_the_name(tmp_path):
    for name, file_format in (("p.toml", "toml"), ("p", "toml"), ("p.json", "json"), ("p.JSON", "json")):
        (tmp_path / name).write_text("x")
        assert load_text(tmp_path / name) == ("x", file_format)


def test_byte_order_mark_line_ends_and_tabs_do_not_matter():
    plain = parse_text(GOOD, "toml", "p").values
    odd = "\ufeff" + GOOD.replace(" = ", "\t=\t").replace("\n", "\r\n")
    assert parse_text(odd, "toml", "p").values == plain
    assert parse_text(odd.replace("\r\n", "\r"), "toml", "p").values == plain


@pytest.mark.parametrize(
    ("text", "file_format", "code", "line"),
    [
        ("", "toml", "file-empty", None),
        ("   \n", "json", "file-empty", None),
        ("#" * (MAX_PART_FILE_BYTES + 1), "toml", "file-too-large", None),
        ("[" * 100000, "json", "brackets-too-deep", None),
        ("a = " + "[" * 5000, "toml", "brackets-too-deep", None),
        ("a = 1\n" + "a." * 50 + "b = 1", "toml", "key-too-long", 2),
        ("a = 1\n" + '"a" . ' * 50 + "b = 1", "toml", "key-too-long", 2),
        ("[1, 2]", "json", "json-not-object", None),
        ('{"name": "a",\n "name": "b"}', "json", "key-twice", 2),
        ('{"name": ' + "9" * 5000 + "}", "json", "number-too-long", 1),
        ("a = 1\nb = " + "9" * 5000, "toml", "number-too-long", 2),
        ('{"name": ', "json", "text-not-understood", 1),
        ('{"name":\n tru}', "json", "text-not-understood", 2),
    ],
)
def test_texts_that_are_no_tree(text, file_format, code, line):
    f = refused(parse_text, text, file_format, "p")
    assert f.code == code
    assert f.where == ("p" if line is None else f"p line {line}")


def test_a_long_note_with_many_points_is_no_key():
    words = "a. " * 40
    text = f'one = "{words}"\ntwo = """\n{words}\n"""\n# {words}'
    assert parse_text(text, "toml", "p").values == {"one": words, "two": f"{words}\n"}
    with pytest.raises(FoldsketchError, match="line 6"):
        parse_text(text + "\n" + "a." * 40 + "a = 1", "toml", "p")


def test_only_the_first_hundred_repeated_keys_are_reported():
    text = "{" + ", ".join(f'"k{n}": 1, "k{n}": 2' for n in range(150)) + "}"
    with pytest.raises(FoldsketchError) as caught:
        parse_text(text, "json", "p")
    assert len(caught.value.findings) == 100


def test_lines_are_known_for_values_tables_and_nothing():
    tree = parse_text(GOOD, "toml", "p")
    lines = GOOD.split("\n")
    assert lines[tree.line(("feature", 1, "cut")) - 1] == "cut = true"
    assert lines[tree.line(("feature", 1, "colour")) - 1] == "[[feature]]", "a missing value: its table"
    assert tree.line(("colour",)) == 1
    assert parse_text('{\n"a": [1,\n2]}', "json", "p").line(("a", 1)) == 3
