"""Fixture drawings read back from PDF and DXF by other libraries, and compared with the plate."""

import io
import math
from itertools import combinations

import ezdxf
import pypdfium2
import pytest

from foldsketch.base.drawing import Text
from foldsketch.base.lettering import text_width
from foldsketch.job.jaw_outputs import jaw_drawings
from foldsketch.part.file.read import read_part
from foldsketch.setup.plan.plan import plan
from foldsketch.sheet.setup_sheets.fixture_drawing import draw_fixture_page
from tests.in_hand_plan import CRANK, crank_in_fixture, three_set_ups
from tests.setup_works import COVER, SAMPLES, SMALL, TWIN

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def made():
    found = [jaw_drawings(COVER, three_set_ups(), TWIN)]
    for name in ("three-boss-rocker", "bilge-pump-cover"):
        part = read_part(SAMPLES / f"{name}.toml")[0]
        found.append(jaw_drawings(part, plan(part, SMALL), SMALL))
    return [*found, jaw_drawings(CRANK, crank_in_fixture(), TWIN)]


def test_every_fixture_has_its_files(made):
    for files in made:
        assert files.plates
        for p in files.plates:
            kinds = {f"fixture-{p.setup.number}.{kind}" for kind in ("pdf", "dxf", "toml")}
            assert kinds <= set(files.files)


def test_the_page_says_what_it_is_for(made):
    for files in made:
        for p in files.plates:
            with pypdfium2.PdfDocument(files.files[f"fixture-{p.setup.number}.pdf"]) as pages:
                text = pages[0].get_textpage().get_text_bounded()
            assert f"fixture of set-up {p.setup.number}" in text
            assert f"{p.offset:.2f}".rstrip("0").rstrip(".") in text
            for words in ("register", "bolts to spindle", "clamps on the work", "First estimates", "licensed"):
                assert words in text, "the maker's and the toolroom's stay blank"


def test_words_do_not_lie_on_words(made):
    for files in made:
        for p in files.plates:
            page = draw_fixture_page(p, "Three-boss rocker", 1, 1)
            boxes = []
            for t in (i for i in page.items if isinstance(i, Text) and i.text):
                w = text_width(t.text, t.size)
                x = t.at[0] - w * {"start": 0.0, "middle": 0.5, "end": 1.0}[t.anchor]
                boxes.append((t.text, x, t.at[1], x + w, t.at[1] + t.size))
                assert x >= 5 and x + w <= 292 and t.at[1] >= 4, t.text
            for a, b in combinations(boxes, 2):
                apart = a[3] < b[1] + 0.3 or b[3] < a[1] + 0.3 or a[4] < b[2] + 0.1 or b[4] < a[2] + 0.1
                assert apart, (a[0], b[0])


def test_the_dxf_is_true_to_size(made):
    for files in made:
        for p in files.plates:
            doc = ezdxf.read(io.StringIO(files.files[f"fixture-{p.setup.number}.dxf"].decode()))
            cut = [(c.dxf.center.x, c.dxf.center.y, c.dxf.radius) for c in doc.modelspace().query("CIRCLE")]
            for x, y, r in [(0, 0, p.radius), (p.offset, 0, p.size / 2), *((*b.at, b.diameter / 2) for b in p.pockets)]:
                assert any(math.dist((x, y, r), c) < 1e-6 for c in cut)


def test_the_part_file_is_the_plate(made, tmp_path):
    """Read back, the locator lies off centre, and the part file has no findings that are errors."""
    for files in made:
        for p in files.plates:
            path = tmp_path / "plate.toml"
            path.write_bytes(files.files[f"fixture-{p.setup.number}.toml"])
            part, findings = read_part(path)
            assert not [f for f in findings if f.level == "error"]
            located = next(f for f in part.features if f.name == p.locator)
            assert part.axis(located.axis).point[0] == pytest.approx(p.offset, abs=1e-3)
            assert located.radius * 2 == pytest.approx(p.size, abs=1e-3)
