"""lesson: worksheet, answers, model and booklet of each part, or no file."""

from pathlib import Path

import pypdfium2

LESSONS = Path(__file__).parents[2] / "samples" / "lessons"
SPIGOT, BORE = LESSONS / "1-one-offset-spigot.toml", LESSONS / "2-offset-bore.toml"


def test_a_worksheet_and_an_answer_sheet_for_each_part(run, tmp_path):
    done = run("lesson", SPIGOT, BORE, "--scale", "1:2", "--out", tmp_path)
    assert done.code == 0, done.err
    names = sorted(p.name for p in tmp_path.iterdir())
    files = ("answers", "booklet", "model", "worksheet")
    assert names == sorted(f"{p.stem}-{what}.pdf" for p in (SPIGOT, BORE) for what in files)
    with pypdfium2.PdfDocument(tmp_path / f"{SPIGOT.stem}-worksheet.pdf") as pages:
        words = " ".join(page.get_textpage().get_text_bounded() for page in pages)
    assert "1:2" in words and "glued" in words


def test_the_lesson_is_held_as_asked(run, tmp_path):
    """The model's sheets say tape, and so do worksheet and class plan."""
    assert run("lesson", SPIGOT, "--hold", "tape", "--out", tmp_path).code == 0
    for what in ("worksheet", "answers", "model"):
        with pypdfium2.PdfDocument(tmp_path / f"{SPIGOT.stem}-{what}.pdf") as pages:
            words = " ".join(page.get_textpage().get_text_bounded() for page in pages)
        assert "tape" in words and "glue" not in words.replace("tape or glue", ""), what


def test_two_parts_of_one_name_would_overwrite_each_other(run, tmp_path):
    other = tmp_path / SPIGOT.name
    other.write_text(SPIGOT.read_text())
    done = run("lesson", SPIGOT, other, "--out", tmp_path / "out")
    assert done.code == 2 and SPIGOT.stem in done.err
    assert not (tmp_path / "out").exists()


def test_one_bad_part_and_nothing_is_written(run, tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text("name = 7")
    assert run("lesson", SPIGOT, bad, "--out", tmp_path / "out").code == 2
    assert not (tmp_path / "out").exists()
