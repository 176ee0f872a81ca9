"""Every package that an installation brings is under a licence that may ship, and stands on the page of licences."""

import importlib.util
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def licences():
    spec = importlib.util.spec_from_file_location("licences", ROOT / ".ci" / "licences.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["licences"] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


def test_every_licence_is_allowed(licences):
    seen = licences.brought()
    assert len(seen) >= 15
    wrong = [f"{b.name}: {b.licence}" for b in seen if not licences.allowed(b.licence)]
    assert not wrong, "look at what it says of itself, and at the list in .ci/licences.py"


def test_fonts_alone_are_under_the_font_licence(licences):
    fonts = [b.name for b in licences.brought() if b.licence in licences.FOR_FONTS]
    assert fonts == ["fontpkg-noto-sans"]


def test_everything_stands_on_the_page(licences):
    """By name: versions and wording of metadata change without us."""
    page = (ROOT / "docs" / "licence.md").read_text("utf-8")
    table = page.partition(licences.HEADING)[2].partition("## ")[0]
    listed = set(re.findall(r"^\| ([\w.-]+) \|", table, re.M)) - {"package"}
    assert listed == {b.name for b in licences.brought()}, "run python .ci/licences.py"


def test_every_direct_dependency_has_a_reason(licences):
    why = {k.lower().replace("_", "-") for k in licences.reasons()}
    direct = {b.name.lower().replace("_", "-") for b in licences.brought() if "foldsketch" in b.by}
    assert direct <= why, "say why in pyproject.toml"


@pytest.mark.parametrize(
    ("licence", "may"),
    [
        ("MIT", True),
        ("BSD-3-Clause AND 0BSD AND CC0-1.0", True),
        ("GPL-3.0-or-later OR MIT", True),
        ("LGPL-2.1-or-later", True),
        ("BSD-3-Clause AND GPL-3.0-or-later WITH GCC-exception-3.1", True),
        ("GPL-3.0-or-later", False),
        ("MIT AND AGPL-3.0-only", False),
        ("Proprietary", False),
        ("unknown", False),
    ],
)
def test_the_list_lets_in_and_keeps_out(licences, licence, may):
    assert licences.allowed(licence) is may
