"""What a notebook shows of a model: one line of text, or its picture and sheets."""

import base64
import io
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from PIL import Image

import parts
from foldsketch.base.findings import Message
from foldsketch.job.choices import Choices
from foldsketch.job.model import MAX_SHEETS_SHOWN
from foldsketch.job.pipeline import make_model


@pytest.fixture(scope="module")
def made():
    return make_model(parts.ECCENTRIC, Choices(scale=0.5))


@pytest.mark.parametrize("what", ["", "nets", "solids", "faceted"])
def test_the_repr_is_one_line(made, what):
    text = repr(getattr(made, what) if what else made)
    assert "\n" not in text and len(text) < 150


def test_the_repr_counts_errors_and_warnings(made):
    assert repr(made) == "<Model 'eccentric shaft': 2 nets on 1 sheet A4 at 1:2>"
    warned = replace(made, findings=(Message("w", "warning", "odd").at(), Message("n", "note", "odd").at()))
    assert repr(warned).endswith("at 1:2, 1 warning>")


def shown(made):
    html = made._repr_html_()
    images = re.findall(r'src="data:(image/[a-z+]+);base64,([^"]+)"', html)
    return html, [(kind, base64.b64decode(data)) for kind, data in images]


def test_the_picture_and_every_sheet(made):
    _, images = shown(made)
    assert [kind for kind, _ in images] == ["image/png", *["image/svg+xml"] * len(made.sheets)]
    assert Image.open(io.BytesIO(images[0][1])).width > 100
    for _, data in images[1:]:
        assert ElementTree.fromstring(data).get("width") == "210mm"


def test_a_name_is_text_and_not_markup(made):
    html, _ = shown(replace(made, part=replace(made.part, name="<script>")))
    assert "<script>" not in html and "&lt;script&gt;" in html


def test_of_many_sheets_the_first_are_shown(made):
    html, images = shown(replace(made, sheets=made.sheets * (MAX_SHEETS_SHOWN + 3)))
    assert len(images) == 1 + MAX_SHEETS_SHOWN and "3 more sheets" in html
